"""Papers, drawings, cards and labels: from results, never from files."""
