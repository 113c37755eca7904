"""The output: kind, times, pairs, latches, use."""
