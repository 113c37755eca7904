"""The command line: one module per command; parse, call a task, print."""
