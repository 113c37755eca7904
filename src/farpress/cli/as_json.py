"""What commands print for programs: an assessment, and plain values, as JSON."""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Mapping
from enum import Enum
from typing import Any

from farpress.judging.as_json import assessment_json

__all__ = ["as_json", "assessment_json"]


def as_json(value: object) -> str:
    """Dataclasses, mappings, lists and numbers as indented JSON, keys sorted, six significant digits."""
    return json.dumps(_plain(value), indent=2, sort_keys=True, ensure_ascii=False)


def _plain(value: Any) -> Any:
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {field.name: _plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
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
