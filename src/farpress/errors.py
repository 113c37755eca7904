"""Every error this package raises, and the one check that raises most of them.

The tree, from the general to the particular::

    FarpressError             catch this one to catch them all
    ├── InputError            a value we cannot use (also a ValueError)
    │   └── OutOfRange        a number outside the range a formula holds for
    ├── JobFileError          a job file that cannot be used, all its faults listed
    ├── CircuitError          a circuit that contradicts itself or floats
    │   └── NoOperatingPoint  a load asks for more than its cables can carry
    ├── RecordError           the record refused, the driver's message kept as cause
    └── PaperError            a document could not be set

A poor *result* (too little radio margin, an overloaded contact) is not an error. It
is a finding, it has a verdict and a source, and the calculation goes on.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

__all__ = [
    "CircuitError",
    "FarpressError",
    "Fault",
    "InputError",
    "JobFileError",
    "NoOperatingPoint",
    "OutOfRange",
    "PaperError",
    "RecordError",
    "require_range",
]


class FarpressError(Exception):
    """Root of all errors of this package; its text is meant for the user."""


class InputError(FarpressError, ValueError):
    """A value that cannot be used; the text says what is allowed and what to do."""


class OutOfRange(InputError):
    """A number outside the range that a formula or a table holds for."""


class CircuitError(FarpressError):
    """A circuit with a floating node or contradicting sources; names the node."""


class NoOperatingPoint(CircuitError):
    """A load of constant power or current asks for more than can come through its cables; names the load."""


class RecordError(FarpressError):
    """The record could not be read or written; nothing acknowledged was lost."""


class PaperError(FarpressError):
    """A document could not be set; says which, and what to change."""


@dataclass(frozen=True, order=True)
class Fault:
    """One fault of a job file: where it is, what was given, what to do.

    Attributes:
        file: name of the file, relative to the job folder.
        line: line, counted from 1; 0 when the fault has no single place.
        column: column, counted from 1; 0 likewise.
        path: the keys that lead there, as `premises.larkfen.receivers.R1`.
        says: what was given, what is allowed, what to do; whole sentences.
        given: the source line, to be shown with a caret; empty if there is none.
    """

    file: str
    line: int
    column: int
    path: str
    says: str
    given: str = ""

    def __str__(self) -> str:
        """Place, path and sentence on one line, as compilers print them."""
        place = f"{self.file}:{self.line}:{self.column}: " if self.line else f"{self.file}: "
        return f"{place}{self.path + ': ' if self.path else ''}{self.says}"


class JobFileError(FarpressError):
    """A job file that cannot be used; `faults` holds every fault found in it."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        """Keep the faults in the order of the file."""
        self.faults = tuple(sorted(faults))
        count = len(self.faults)
        head = f"{count} fault{'s' if count != 1 else ''}; nothing was calculated."
        super().__init__("\n".join([head, *map(str, self.faults)]))


def require_range(
    name: str,
    value: ArrayLike,
    unit: str,
    *,
    low: float | None = None,
    high: float | None = None,
    because: str,
    hint: str = "",
) -> None:
    """Refuse numbers outside `low` to `high` (both allowed), and anything not a number.

    Args:
        name: name of the argument, unit included, as the caller wrote it.
        value: number or array of any shape [unit].
        unit: unit printed with the number; empty for none.
        low: smallest allowed value [unit].
        high: largest allowed value [unit].
        because: who sets the limit: a document, or "our choice" and the reason.
        hint: what to do, a whole sentence.

    Raises:
        OutOfRange: any element is outside or is not a finite number.
    """
    if (
        isinstance(value, int | float)
        and math.isfinite(value)
        and not (low is not None and value < low)
        and not (high is not None and value > high)
    ):
        return  # the usual case, without loading a library for arrays
    import numpy as np

    numbers = np.asarray(value, dtype=np.float64)
    wrong = ~np.isfinite(numbers)
    if low is not None:
        wrong |= numbers < low
    if high is not None:
        wrong |= numbers > high
    if not np.any(wrong):
        return
    first = float(numbers[wrong].flat[0])
    bounds = [f"at least {low:g}" for low in [low] if low is not None]
    bounds += [f"at most {high:g}" for high in [high] if high is not None]
    allowed = " and ".join(bounds) or "a finite number"
    unit_text = f" {unit}" if unit else ""
    tail = f" {hint}" if hint else ""
    raise OutOfRange(f"{name} is {first:g}{unit_text}, but must be {allowed}{unit_text} ({because}).{tail}")
