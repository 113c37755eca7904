"""A whole installation drawn up from what is wished: receivers, outputs, supplies, cables, buttons."""
