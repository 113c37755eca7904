"""Which version this is."""

from __future__ import annotations

from typing import Final

__all__ = ["__version__"]

__version__: Final = "0.1.0"
