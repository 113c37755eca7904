"""The revisions, one module each."""
