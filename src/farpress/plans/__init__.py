"""Floor plans from drawings and pictures."""
