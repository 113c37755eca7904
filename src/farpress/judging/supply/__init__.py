"""The supply: volts, load, standby, fuses, inrush."""
