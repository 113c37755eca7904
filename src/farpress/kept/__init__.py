"""Results kept from one run to the next in the user's cache folder: a convenience that is never needed."""
