"""The browser workbench: one module per page; call a task, show."""
