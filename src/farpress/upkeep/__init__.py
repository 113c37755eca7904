"""Upkeep: what is due when."""
