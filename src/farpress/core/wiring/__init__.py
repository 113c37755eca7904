"""Wiring: conductors, supplies, contacts, loops."""
