"""The origin of a plan moved: every point of it, and of what is drawn on the same plan, gets new numbers, and
nothing moves.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

from farpress.domain.finding import Change
from farpress.domain.job import Job
from farpress.errors import InputError

__all__ = ["POINT_FIELDS", "moved_origin"]

POINT_FIELDS: Final = frozenset({"at", "along", "outline", "slope", "aerial_at"})
"""Keys of the job file that hold points of the plan."""

MILLIMETRE_DIGITS: Final = 3


def moved_origin(
    job: Job, values: Mapping[str, Any], premises: str, *, x_m: float, y_m: float
) -> list[Change]:
    """The changes that make a point of the plan its 0, 0.

    Premises that are drawn on one plan share their origin, and move together. Heights stay.

    Args:
        job: as it is.
        values: the same as plain values of its file, where points are looked for.
        premises: whose plan.
        x_m, y_m: the point, by the present origin [m].

    Raises:
        InputError: there are no such premises, or nothing is drawn there.
    """
    if premises not in job.premises:
        raise InputError(f"There are no premises '{premises[:60]}' in this job.")
    plan = job.premises[premises].on_plan_of or premises
    on_it = [name for name, house in job.premises.items() if (house.on_plan_of or name) == plan]
    found = [
        point
        for name in on_it
        for point in _points(values["premises"][name], ("premises", name), is_point=False)
    ]
    for number, reading in enumerate(values.get("readings") or ()):
        if str(reading.get("receiver", "")).partition("/")[0] in on_it:
            found += _points(reading, ("readings", number), is_point=False)
    if not found:
        raise InputError(f"Nothing is drawn at {plan} yet, so there is nothing to measure from.")
    return [
        Change((*path, axis), _written(float(point[axis]) - by))
        for path, point in found
        for axis, by in enumerate((x_m, y_m))
        if by
    ]


def _points(
    value: Any, path: tuple[str | int, ...], *, is_point: bool
) -> Iterator[tuple[tuple[str | int, ...], list[Any]]]:
    """Every point below a value, with its place in the file; lists of numbers elsewhere are none."""
    if isinstance(value, Mapping):
        for key, child in value.items():
            yield from _points(child, (*path, key), is_point=key in POINT_FIELDS)
    elif isinstance(value, list):
        if is_point and value and not isinstance(value[0], list):
            yield path, value
            return
        for number, child in enumerate(value):
            yield from _points(child, (*path, number), is_point=is_point)


def _written(metres: float) -> float | int:
    rounded = round(metres, MILLIMETRE_DIGITS)
    return int(rounded) if rounded == int(rounded) else rounded
