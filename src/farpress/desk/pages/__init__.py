"""The pages of the desk, one module each: call a task, show."""
