"""Motors that run the other way when the volts on their two cores are changed over, each core by an output.

The changeover contact of each output leads its core to plus while it is on and to 0 V at rest: with one on
the motor runs, with none or both its two cores lie on the same potential and it stands.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from farpress.case.behaviour import is_collector
from farpress.case.case import Case, OutputAt
from farpress.case.driven import Driven, driven_of

__all__ = ["TurnedPair", "is_turned", "turned_pair", "worked_by_turning"]

_AHEAD: Final = frozenset({"up", "open only", "on"})
_BACK: Final = frozenset({"down", "close"})


@dataclass(frozen=True)
class TurnedPair:
    """Two outputs that turn the volts of a motor round.

    Attributes:
        devices: names of the motors, side by side on the same two cores.
        ahead, back: the output whose core leads to their +, and to their 0.
        supply: that they hang on.
    """

    devices: tuple[str, ...]
    ahead: OutputAt
    back: OutputAt
    supply: str


def is_turned(driven: Driven) -> bool:
    """Whether a motor runs the other way with its volts changed over."""
    return driven.sheet.reverses == "polarity"


def worked_by_turning(case: Case) -> Iterator[tuple[Driven, tuple[tuple[OutputAt, Driven], ...]]]:
    """Every such motor that a contact feeds, with each output that works it."""
    found: dict[str, list[tuple[OutputAt, Driven]]] = {}
    for output in case.outputs():
        for driven in driven_of(case, output):
            if is_turned(driven) and output.output.load_from is not None:
                found.setdefault(driven.path, []).append((output, driven))
    for rows in found.values():
        yield rows[0][1], tuple(rows)


def turned_pair(case: Case, output: OutputAt) -> TurnedPair | None:
    """The pair that an output is one of; None where it works nothing that way, or cannot."""
    return case.once(_pairs).get(output.path)


def _pairs(case: Case) -> dict[str, TurnedPair]:
    devices: dict[tuple[str, str], list[str]] = {}
    sides: dict[tuple[str, str], tuple[OutputAt, OutputAt]] = {}
    for driven, rows in worked_by_turning(case):
        ahead = [output for output, mine in rows if mine.logic in _AHEAD]
        back = [output for output, mine in rows if mine.logic in _BACK]
        if len(ahead) != 1 or len(back) != 1 or ahead[0].path == back[0].path:
            continue
        pair = ahead[0], back[0]
        if not all(_changes_over(case, output) for output in pair) or not _are_alike(*pair):
            continue
        key = pair[0].path, pair[1].path
        sides[key] = pair
        devices.setdefault(key, []).append(driven.path.partition("/")[2])
    found: dict[str, TurnedPair] = {}
    for key, (first, second) in sides.items():
        if key[0] in found or key[1] in found:
            continue
        made = TurnedPair(tuple(devices[key]), first, second, first.output.load_from or "")
        found |= dict.fromkeys(key, made)
    return found


def _changes_over(case: Case, output: OutputAt) -> bool:
    form = case.equipment.receivers[output.receiver_path].sheet.contact_form
    is_plain = output.output.via is None and output.output.contact == "normally open"
    return form in (None, "changeover") and is_plain and not is_collector(case, output)


def _are_alike(first: OutputAt, second: OutputAt) -> bool:
    mine, other = first.output, second.output
    fed = (mine.load_from, mine.load_branch) == (other.load_from, other.load_branch)
    return fed and first.receiver_path == second.receiver_path
