"""One door: a job opened with its record, and what in it is joined to what."""
