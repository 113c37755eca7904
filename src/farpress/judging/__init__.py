"""Findings come from here and from nowhere else: one check a code, one folder a link."""
