"""What stands in each paper, and the making of a pack."""
