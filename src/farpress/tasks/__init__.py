"""The steps of the job; the only place where parts meet."""
