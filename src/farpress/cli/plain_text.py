"""Text for a terminal: wrapped lines without control characters, and plain values as JSON."""

from __future__ import annotations

import dataclasses
import json
import math
import textwrap
import unicodedata
from collections.abc import Mapping
from enum import Enum
from typing import Any

__all__ = ["as_json", "bar", "wrapped"]


def wrapped(text: str, width: int, first: str = "", rest: str = "") -> list[str]:
    """A sentence in lines of at most `width` columns; control characters of a name go.

    Example:
        >>> wrapped("one two three", 8, "- ", "  ")
        ['- one', '  two', '  three']
    """
    kept = "".join(one if unicodedata.category(one) not in ("Cc", "Cs", "Zl", "Zp") else " " for one in text)
    return textwrap.wrap(
        kept, width, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    ) or [first.rstrip()]


def bar(share: float, width: int) -> str:
    """A share as a row of blocks, at most `width` of them; anything above nothing shows.

    Example:
        >>> bar(0.5, 4), bar(0.001, 4), bar(0.0, 4)
        ('██', '▏', '')
    """
    blocks = round(min(max(share, 0.0), 1.0) * width)
    return "█" * blocks if blocks else "▏" if share > 0 else ""


def as_json(value: object) -> str:
    """Dataclasses, mappings, lists and numbers as indented JSON, keys sorted, six significant digits."""
    return json.dumps(_plain(value), indent=2, sort_keys=True, ensure_ascii=False)


def _plain(value: Any) -> Any:
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {one.name: _plain(getattr(value, one.name)) for one in dataclasses.fields(value)}
    if isinstance(value, Enum):
        return str(value.value)
    if isinstance(value, Mapping):
        return {str(name): _plain(inner) for name, inner in value.items()}
    if hasattr(value, "_asdict"):
        return _plain(value._asdict())
    if isinstance(value, list | tuple | set | frozenset):
        return [_plain(inner) for inner in value]
    if isinstance(value, float):
        return float(f"{value:.6g}") if math.isfinite(value) else None
    return value if isinstance(value, str | int | bool) or value is None else str(value)
