"""Reach: loss along the way, spread, and the chance that a press is heard."""
