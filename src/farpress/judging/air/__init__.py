"""The air: every promise between thumb and aerial."""
