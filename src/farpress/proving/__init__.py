"""Proving: trials, entries, what they show."""
