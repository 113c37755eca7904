"""Which of several changes to make: a choice over sets, without knowing what they mean."""
