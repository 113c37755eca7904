"""What a radio fob may not do, whatever else is right."""
