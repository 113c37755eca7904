"""Upkeep: cells, wear, drift."""
