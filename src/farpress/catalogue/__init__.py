"""Generic parts as data files, each value with its source."""
