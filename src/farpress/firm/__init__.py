"""The firm's shelf of jobs."""
