"""Wiring: conductors, circuits, supplies, contacts, coils and loops, as plain calculation."""
