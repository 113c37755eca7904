"""What is wished and not drawn yet: for each contact that is needed, what it works and what kind it has.

What ends a movement, how long a lock is free and how water ends is taken from the wish, the rules and the
data sheet. Where none of them says it, nothing is drawn for that wish and the question is asked.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from typing import Any, Final

from farpress.case.case import Case
from farpress.case.driven import Driven, driven_at
from farpress.case.wished import undrawn
from farpress.design.fixes import NOTHING_FIXED, Fixes
from farpress.domain.job import Promise
from farpress.domain.kinds import output_kind
from farpress.units import read_quantity, write_quantity

__all__ = ["WishedContact", "Wishes", "promises_of", "wishes_of"]

_PULSE_S: Final = 0.5
_PANEL_PULSE_S: Final = 1.0
_LOCK_S: Final = 4.0
"""A pulse to a drive, to a panel, and how long a lock is free where nobody says: our choice."""

_RESERVE: Final = 1.05
"""A pulse that has to last a whole movement lasts this much longer: our choice; the judge has the last
word.
"""


@dataclass(frozen=True)
class WishedContact:
    """One output to be drawn.

    Attributes:
        premises: where.
        functions: which press it.
        works: everything it works, as "device.input", the first one first.
        driven: the first of them.
        entry: keys of the output in a job file, as far as the wish decides them.
        because: in words, one sentence.
        apart_from: what its partner works, where one of two may be closed at a time.
        wants_s: how long it must be able to stay closed [s]; None for as long as it is held or until the
            next press.
    """

    premises: str
    functions: tuple[str, ...]
    works: tuple[str, ...]
    driven: Driven
    entry: dict[str, Any]
    because: str
    apart_from: str = ""
    wants_s: float | None = None

    @property
    def device(self) -> str:
        """Name of the device or panel."""
        return self.works[0].partition(".")[0]


@dataclass(frozen=True)
class Wishes:
    """All that is to be drawn, and what has to be asked first.

    Attributes:
        loads: contacts that belong into one box together: one, or the two of a pair.
        asks: function → the question for which nothing is drawn.
    """

    loads: tuple[tuple[WishedContact, ...], ...]
    asks: dict[str, str] = field(default_factory=dict)

    @property
    def contacts(self) -> tuple[WishedContact, ...]:
        """One after the other."""
        return tuple(contact for load in self.loads for contact in load)


def wishes_of(case: Case, fixes: Fixes = NOTHING_FIXED) -> Wishes:
    """Read the wishes of a job.

    Args:
        case: the job.
        fixes: what the user has decided.
    """
    asks: dict[str, str] = {}
    found: dict[tuple[str, tuple[str, ...]], WishedContact] = {}
    for name, function in case.job.functions.items():
        left = undrawn(case, name)
        if not left and not function.paths and not function.wished:
            asks[name] = f"Say what '{name}' shall work, as 'works: gate.open'."
        for premises, works in _by_feed(case, left):
            contact = _contact(case, name, premises, works, fixes)
            if isinstance(contact, str):
                asks[name] = contact
            elif (known := found.get((premises, works))) is not None:
                both = (*known.functions, name)
                found[premises, works] = replace(known, functions=tuple(dict.fromkeys(both)))
            else:
                found[premises, works] = contact
    return Wishes(tuple(_paired(case, list(found.values()))), asks)


def _by_feed(case: Case, wishes: Iterable[tuple[str, str]]) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Inputs of one function that one contact can work: at one address, fed alike and wanting the same."""
    kinds: dict[tuple[str, object], list[str]] = {}
    for number, (premises, works) in enumerate(wishes):
        driven = driven_at(case, premises, works)
        sheet = driven.sheet
        alike = sheet.supply in ("dc", "ac") and sheet.voltage_v is not None and driven.wants == "maintained"
        kind: object = (sheet.supply, sheet.voltage_v) if alike else number
        kinds.setdefault((premises, kind), []).append(works)
    for (premises, _), together in kinds.items():
        yield premises, tuple(together)


def _contact(
    case: Case, function: str, premises: str, works: tuple[str, ...], fixes: Fixes
) -> WishedContact | str:
    """The contact for a wish, or the question that comes first."""
    driven = driven_at(case, premises, works[0])
    if driven.input is None:
        return (
            f"Find out which inputs {driven.path} has, and what {works[0]} wants: on its label or its sheet."
        )
    made = _kind(case, function, premises, works[0], driven)
    fixed = fixes.of(function)
    if "kind" in fixed:
        fixed_entry: dict[str, Any] = {"kind": fixed["kind"]}
        if output_kind(fixed["kind"]).wants_length and "for" not in fixed:
            length = made[0].get("for") if not isinstance(made, str) else None
            if length is None:
                return f"Fix how long the pulse of '{function}' is too: --fix '{function}.for=4 s'."
            fixed_entry["for"] = length
        made = (fixed_entry, "as you fixed it", None)
    if isinstance(made, str):
        if "for" not in fixed:
            return made
        made = ({"kind": "pulse"}, "as you fixed it", None)
    entry, because, lasts_s = made
    if "for" in fixed:
        entry, because = entry | {"for": fixed["for"]}, "as you fixed it"
        lasts_s = read_quantity(fixed["for"], "time")
    entry = {"kind": entry.pop("kind"), **entry, "works": works[0]}
    if works[1:]:
        entry["with"] = list(works[1:])
    return WishedContact(premises, (function,), works, driven, entry, because, wants_s=lasts_s)


_Kind = tuple[dict[str, Any], str, float | None]


def _kind(case: Case, function: str, premises: str, works: str, driven: Driven) -> _Kind | str:
    """Kind and length of an output, why, and how long it must be able to be; or a question."""
    wish = case.job.functions[function]
    if wish.switches is not None:
        return {"kind": "latch"}, "one button switches it on, another off", None
    if driven.panel is not None:
        return _for_panel(driven, wish.lasts_s)
    if driven.wants == "pulse":
        length = _pulse_s(driven, _PULSE_S)
        return _pulse(length, f"{works} wants a pulse")
    if driven.wants is None:
        return f"Find out whether {works} wants a pulse or a contact that stays closed."
    if driven.logic in ("stop", "safety"):
        return f"{works} is for what keeps people safe; a press by radio is no safety function. Take it out."
    return _maintained(case, function, works, driven, _most_s(case, function, driven))


def _maintained(
    case: Case, function: str, works: str, driven: Driven, most_s: tuple[float, str] | None
) -> _Kind | str:
    """What closes for as long as the thing shall work."""
    wish, traits = case.job.functions[function], driven.traits
    if traits.moves or traits.hurts:
        return {"kind": "follow"}, f"{driven.kind} moves only while the button is held", None
    if wish.lasts_s is not None:
        length, why = wish.lasts_s, "so long it was wished"
        if most_s is not None and most_s[0] < length:
            length, why = most_s
        made = _pulse(length, why)
        return (made[0] | {"retrigger": True}, made[1], made[2]) if traits.gives_light else made
    if traits.is_lock or traits.frees_on_press:
        return _pulse(_LOCK_S, "our choice for a door; say 'lasts' at the function for another time")
    if most_s is not None:
        return _pulse(*most_s)
    if traits.gives_light and not traits.not_toggled:
        return (
            {"kind": "toggle"},
            "one sees whether it is on; say 'lasts' for a light that goes off by itself",
            None,
        )
    return f"Say how long '{function}' shall go on after a press, as 'lasts: 20 min'."


def _for_panel(driven: Driven, lasts_s: float | None) -> _Kind | str:
    if driven.reads is None and driven.wants is None:
        return f"Ask the alarm company how {driven.works} is read, and write 'reads' at the panel's input."
    if driven.wants == "maintained":
        return (
            {"kind": "toggle"},
            f"{driven.works} is read as a level: open and closed mean something else",
            None,
        )
    most = driven.input.max_pulse_s if driven.input is not None else None
    if lasts_s is not None and (most is None or lasts_s <= most):
        return _pulse(lasts_s, "so long it was wished")
    return _pulse(_pulse_s(driven, _PANEL_PULSE_S), f"{driven.works} wants a pulse")


def _pulse(length_s: float, because: str) -> _Kind:
    return {"kind": "pulse", "for": write_quantity(length_s, "time")}, because, length_s


def _pulse_s(driven: Driven, usual_s: float) -> float:
    """The usual length where the input takes it; twice what it needs where that is more; never beyond its
    longest [s].
    """
    entry = driven.input
    least = max(
        [0.0] if entry is None else [entry.min_pulse_s or 0.0, getattr(entry, "response_s", None) or 0.0]
    )
    length = max(usual_s, 2.0 * least)
    most = entry.max_pulse_s if entry is not None else None
    if most is None or length <= most:
        return length
    return round(math.sqrt(max(least, 0.1 * most) * most), 2)


def _most_s(case: Case, function: str, driven: Driven) -> tuple[float, str] | None:
    """The longest that a rule or the device allows it to be on, and who says so."""
    limits = [
        (rule.for_s, f"a rule allows no longer{f': {rule.says}' if rule.says else ''}")
        for rule in case.job.rules
        if rule.never == "on longer than" and rule.for_s is not None and function in rule.of
    ]
    if driven.sheet.longest_run_s is not None:
        limits.append((driven.sheet.longest_run_s, f"{driven.path} may run no longer"))
    return min(limits, default=None)


def _paired(case: Case, contacts: list[WishedContact]) -> Iterator[tuple[WishedContact, ...]]:
    """Contacts that belong into one box: the two directions of a drive, kept apart from each other."""
    left = list(contacts)
    while left:
        first = left.pop(0)
        partner = next((other for other in left if _is_pair(case, first, other)), None)
        if partner is None:
            yield (first,)
            continue
        left.remove(partner)
        yield (replace(first, apart_from=partner.works[0]), replace(partner, apart_from=first.works[0]))


def _is_pair(case: Case, a: WishedContact, b: WishedContact) -> bool:
    """Two directions of one device that both stay closed while it moves, or two that a rule keeps apart."""
    if a.premises != b.premises:
        return False
    ruled = any(
        rule.never == "both on" and set(rule.of) & set(a.functions) and set(rule.of) & set(b.functions)
        for rule in case.job.rules
    )
    is_opposite = {a.driven.logic, b.driven.logic} in ({"up", "down"}, {"open only", "close"})
    return ruled or (a.device == b.device and is_opposite and a.driven.wants == "maintained")


def promises_of(case: Case, load: Iterable[WishedContact]) -> tuple[Promise, ...]:
    """The promises that a load's functions are in."""
    names = {name for contact in load for name in contact.functions}
    return tuple(promise for promise in case.job.promises if promise.function in names)
