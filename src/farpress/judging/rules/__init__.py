"""The "must never" rules: how things are built, and every press story searched."""
