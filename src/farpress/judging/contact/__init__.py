"""The contact: what it carries, makes, breaks and wets."""
