"""How much longer than needed a pulse has to be until it is safe."""

from __future__ import annotations

from typing import Final

__all__ = ["SAFE_FACTOR"]

SAFE_FACTOR: Final = 1.5
"""A pulse is to be so many times as long as its input needs; see `coupling` for what panels took."""
