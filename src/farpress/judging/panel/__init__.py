"""The alarm panel: pulses, loops, lines, acknowledgement."""
