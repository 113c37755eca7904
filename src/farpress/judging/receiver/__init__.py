"""The receiver: housing, noise, coax."""
