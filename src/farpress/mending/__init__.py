"""What to change so that everything promised holds: every change tried on a copy before it is shown."""
