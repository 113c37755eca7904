"""The fob: power, code, buttons, cells."""
