"""Rehearsal: press stories searched and played."""
