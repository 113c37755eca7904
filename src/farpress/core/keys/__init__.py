"""Keys: counters, capacity, layout, tours."""
