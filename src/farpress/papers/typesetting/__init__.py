"""Papers as data, and how they are set."""
