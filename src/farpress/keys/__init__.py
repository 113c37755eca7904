"""Keys: the register of fobs and people."""
