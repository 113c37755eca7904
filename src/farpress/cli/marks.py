"""How a verdict is drawn in front of what it is about; shape carries it, colour only repeats it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from farpress.domain.finding import Verdict

__all__ = ["MARKS"]

MARKS: Final[Mapping[Verdict, str]] = {
    Verdict.HOLDS: "━━",
    Verdict.THIN: "──",
    Verdict.UNKNOWN: "╌╌",
    Verdict.FAILS: "━╳━",
}
"""Signs for each; `cli.text.to_ascii` makes ==, --, .. and =X= of them."""
