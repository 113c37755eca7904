"""Odd changes of a job that can still be read: swapped, left out, doubled, extreme, in another script.

Used by the fuzzing by hand (`tools/fuzz_meaning.py`) and by the tests; it writes nothing.
"""

from __future__ import annotations

import json
import random
import re
from collections.abc import Sequence

from farpress.case.case import Case
from farpress.domain.finding import Change
from farpress.jobfile.node import Node

__all__ = ["Path_", "odd_changes", "places_of"]

Path_ = tuple[str | int, ...]

NUMBER = re.compile(r"^(-?\d+(?:\.\d+)?)( ?[^\d\s].*)?$")
WORDS = ("Żółć", "门", "a\u0301" * 8, "no", "yes", "null", "R1", "1", "x" * 200, "=1+1", "<b>", "../x")
DAYS = ("0001-01-01", "9999-12-31", "9999-12", "2023-02-29", "2026-13", "24:00-00:00", "00:00-00:00", "25:00")
FACTORS = (0, -1, 1e-9, 1e-3, 0.1, 10, 1e3, 1e6, 1e12)
COUNTS = (0, -1, 1, 99, 10**5, 10**9, 10**18)
COPIES = (1, 2, 20)


def places_of(node: Node, path: Path_ = ()) -> list[tuple[Path_, object]]:
    """Every place of a job file with what stands there."""
    children: list[tuple[str | int, Node]] = [(key, child) for key, (_, _, child) in node.items.items()]
    children += list(enumerate(node.elements))
    found: list[tuple[Path_, object]] = []
    for key, child in children:
        found += [((*path, key), _plain(child)), *places_of(child, (*path, key))]
    return found


def _plain(node: Node) -> object:
    """What stands at a place, without how it was written."""
    return json.loads(json.dumps(node.data, default=str))


def _another(value: object, chance: random.Random) -> object:
    """Something odd in the place of a value."""
    if isinstance(value, int) and not isinstance(value, bool) and chance.random() < 0.5:
        return chance.choice(COUNTS)
    found = NUMBER.match(str(value)) if not isinstance(value, dict | list | bool) else None
    if found is None:
        return chance.choice([*WORDS, *DAYS, None, [], {}, True, 0, value])
    number = float(found[1]) * chance.choice(FACTORS)
    return f"{number:g}{found[2]}" if found[2] else number


def odd_changes(
    case: Case, chance: random.Random, places: Sequence[tuple[Path_, object]] | None = None
) -> tuple[Change, ...]:
    """One to three odd changes.

    Args:
        case: a job that was read from a file.
        chance: decides; the same seed gives the same changes.
        places: those of the job, where they are known already.
    """
    assert case.document is not None
    places = places or places_of(case.document.tree)
    found = []
    for _ in range(chance.choice([1, 1, 2, 3])):
        path, value = chance.choice(places)
        kind = chance.randrange(6)
        if kind == 0:
            found.append(Change(path, None))
        elif kind == 1:
            alike = [other for where, other in places if where[-1] == path[-1] and other != value]
            found.append(Change(path, chance.choice(alike) if alike else value))
        elif kind == 2 and isinstance(path[-1], str):
            found.append(Change((*path[:-1], chance.choice([*WORDS, f"{path[-1]}2"])), value))
        elif kind == 3 and isinstance(value, list) and value:
            found.append(Change(path, [*value, *[chance.choice(value)] * chance.choice(COPIES)]))
        else:
            found.append(Change(path, _another(value, chance)))
    return tuple(found)
