"""Lets `python -m farpress` do what the `farpress` command does."""

from __future__ import annotations

from farpress.cli.main import main

__all__: list[str] = []

if __name__ == "__main__":
    main()
