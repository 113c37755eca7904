"""Proving: how many trials, and what they show."""
