"""What stands in each paper: one module a paper, from the case, its judgements and the record."""
