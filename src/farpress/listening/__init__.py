"""Readings from recordings of the radio channel, made with any measuring receiver, in open formats."""
