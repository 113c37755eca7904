"""Parts whose every value is invented, for cases that are built without a catalogue."""

from __future__ import annotations

from typing import TypeVar

from farpress.domain.parts import Part
from farpress.domain.quantity import Model
from farpress.sources import Citation, Mark

__all__ = ["INVENTED", "part_of", "sheet_of"]

Sheet = TypeVar("Sheet", bound=Model)

INVENTED = Citation("invented example", mark=Mark.INVENTED)


def part_of(sheet: Sheet, *, title: str = "") -> Part[Sheet]:
    """A part with this data sheet; each value that it has comes from the same invented source."""
    stated = {name for name in type(sheet).model_fields if getattr(sheet, name) is not None}
    return Part("", title, sheet, dict.fromkeys(sorted(stated), INVENTED))


def sheet_of(kind: type[Sheet], values: Model) -> Sheet:
    """The data sheet that is written out where a thing is mounted."""
    return kind(**{name: getattr(values, name) for name in kind.model_fields})
