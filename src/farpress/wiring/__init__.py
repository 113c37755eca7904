"""Wiring: schedule, readings, drawings."""
