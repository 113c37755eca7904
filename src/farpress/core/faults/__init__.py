"""Faults: causes, tests, the most telling next test."""
