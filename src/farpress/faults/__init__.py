"""Faults: from complaint to cause."""
