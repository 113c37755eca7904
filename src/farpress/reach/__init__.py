"""Reach: link budgets, maps, places for the aerial."""
