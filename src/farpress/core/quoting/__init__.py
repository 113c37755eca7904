"""Reckoning of a quotation: money to the last unit, cables cut out of drums."""
