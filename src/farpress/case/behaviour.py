"""How outputs and what they work behave: look-ups that judging and rehearsal share.

After a power cut, while a button is held, in both directions of one motor, on a second press. Nothing is
judged here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from farpress.case.areas import areas_of
from farpress.case.case import Case, OutputAt
from farpress.case.driven import Driven, driven_of, groups_of
from farpress.sources import Citation

__all__ = [
    "HOURS_SWITCHED",
    "LONG_PULSE_S",
    "PRESENCE",
    "PULSE_LONGEST_S",
    "Apart",
    "after_power_return",
    "hours_kept",
    "is_collector",
    "keeps_apart",
    "leaves_worked",
    "longest_hold_s",
    "never_runs",
    "prevents_setting",
    "runs_only_with",
    "second_press_counts",
    "shortest_hold_s",
    "waits_for",
]

PULSE_LONGEST_S: Final = 2.0
"""A start contact closed longer counts as held where the sheet gives no limit; common practice, 0.2 to 2
s."""

LONG_PULSE_S: Final = 10.0
"""A pulse that could be resumed after a power cut and matter; our choice."""

HOURS_SWITCHED: Final = frozenset({"time switch", "panel"})
"""What keeps hours by itself; people forget them, and a receiver has no clock."""

PRESENCE: Final = frozenset({"beams", "presence", "loop"})
"""Safeguards that notice somebody or something in the way without touching."""


def after_power_return(case: Case, output: OutputAt) -> str:
    """How an output stands once power is back: `off`, `on`, `as before` or `unknown`.

    A pulse and a follow output fall off and stay off unless the job says otherwise; a
    long pulse is unknown until somebody has asked, because some receivers resume it.
    """
    stated = output.output.after_power_return
    part = case.equipment.receivers.get(output.receiver_path)
    kind = output.output.traits
    if stated is None and kind.keeps_state and part is not None:
        stated = part.sheet.toggle_after_power_return
    if stated is None and not kind.keeps_state:
        is_long = kind.wants_length and (output.output.for_s is None or output.output.for_s > LONG_PULSE_S)
        stated = "unknown" if is_long else "off"
    state = stated or "unknown"
    return "on" if state == "off" and output.output.contact == "normally closed" else state


def is_collector(case: Case, output: OutputAt) -> bool:
    """Whether an output is a transistor to the 0 V of its receiver, which may have outputs of both forms."""
    if output.output.form is not None:
        return output.output.form == "open collector"
    return case.equipment.receivers[output.receiver_path].sheet.output_form == "open collector"


def second_press_counts(driven: Driven) -> bool | None:
    """Whether a second press during the movement stops or turns it; None if that is not known.

    Of what may move, an input that nobody describes may be a start input.
    """
    if driven.input is not None and driven.input.closes_by_second_press is not None:
        return driven.input.closes_by_second_press
    may_start = driven.logic is None and driven.panel is None and (driven.traits.moves or driven.kind is None)
    return None if driven.logic == "start" or may_start else False


def shortest_hold_s(case: Case, output: OutputAt) -> tuple[float, str, tuple[Citation, ...]] | None:
    """Earliest cut-off of all fobs that press an output: time, group, sources; None if any is unknown."""
    return _hold(case, output, earliest=True)


def longest_hold_s(case: Case, output: OutputAt) -> tuple[float, str, tuple[Citation, ...]] | None:
    """Latest cut-off of all fobs that press an output: time, group, sources; None if any is unknown."""
    return _hold(case, output, earliest=False)


def _hold(case: Case, output: OutputAt, *, earliest: bool) -> tuple[float, str, tuple[Citation, ...]] | None:
    cut_offs = []
    for name, _ in groups_of(case, output):
        fob = case.equipment.fobs.get(name)
        if fob is None or fob.sheet.cut_off_s is None:
            return None
        cut_offs.append((fob.sheet.cut_off_s, name, fob.cite("cut_off_s")))
    if not cut_offs:
        return None
    ordered = sorted(cut_offs, key=lambda cut_off: cut_off[0])
    return ordered[0] if earliest else ordered[-1]


@dataclass(frozen=True)
class Apart:
    """What keeps two outputs from being on together.

    Attributes:
        says: what it is, as "the interlock of receiver R3"; empty if nothing does.
        pause_s: both off for this long in between; None if not known.
        own: the device does it itself, pause included.
    """

    says: str
    pause_s: float | None = None
    own: bool = False


def keeps_apart(case: Case, first: OutputAt, second: OutputAt) -> Apart:
    """What keeps two outputs apart: the device itself, a relay, or the receiver; `says` is empty if
    nothing.
    """
    if first.path == second.path:
        return Apart("")
    shared = [(a, b) for a in driven_of(case, first) for b in driven_of(case, second) if a.path == b.path]
    if shared and all(a.sheet.interlocked for a, _ in shared):
        return Apart(f"{shared[0][0].path.split('/')[1]} itself", own=True)
    if _is_relay_pair(case, first, second, works_one=bool(shared)):
        return Apart(f"the interlocked relays {first.output.via}", _pause(first, second))
    same = first.receiver_path == second.receiver_path
    if same and first.output.interlock == second.number and second.output.interlock == first.number:
        return Apart(f"the interlock of receiver {first.receiver}", _pause(first, second))
    return Apart("")


def _is_relay_pair(case: Case, first: OutputAt, second: OutputAt, *, works_one: bool) -> bool:
    """Whether two outputs work the two relays of one interlocked pair: with one thing to work, by the names
    of each other, or because no third output at the address works relays of that make.
    """
    name = first.output.via
    relay = case.equipment.relays.get(name or "")
    if relay is None or name != second.output.via or not relay.sheet.interlocked:
        return False
    if first.premises != second.premises:
        return False
    named = first.receiver_path == second.receiver_path and (
        first.output.interlock == second.number or second.output.interlock == first.number
    )
    users = [output for output in case.outputs() if output.premises == first.premises]
    return works_one or named or sum(output.output.via == name for output in users) == 2


def _pause(first: OutputAt, second: OutputAt) -> float | None:
    pauses = [output.output.interlock_pause_s for output in (first, second)]
    known = [pause for pause in pauses if pause is not None]
    return min(known) if len(known) == 2 else None


def leaves_worked(case: Case, first: OutputAt, second: OutputAt) -> tuple[str, str] | None:
    """Two things of which a pulse only begins the movement: apart are their leaves, not the relays."""
    paths = [
        {
            driven.path
            for driven in driven_of(case, output)
            if driven.traits.moves and driven.wants == "pulse" and not output.output.traits.while_held
        }
        for output in (first, second)
    ]
    if not paths[0] or not paths[1] or paths[0] & paths[1]:
        return None
    return min(paths[0]), min(paths[1])


def waits_for(case: Case, path: str) -> tuple[str, ...]:
    """Paths of the leaves without whose closed contact a leaf is kept from opening; people keep nothing."""
    premises, _, name = path.partition("/")
    device = case.job.premises[premises].devices.get(name)
    if device is None or device.waits_by not in ("end contacts", "drives"):
        return ()
    return tuple(f"{premises}/{other}" for other in device.waits_for)


def runs_only_with(case: Case, path: str) -> tuple[str, ...]:
    """Paths of the things without one of which a device does not run, as a switch or a controller sees to it;
    presses see to nothing.
    """
    premises, _, name = path.partition("/")
    device = case.job.premises[premises].devices.get(name)
    if device is None or device.only_with_by not in ("a switch of its own", "a controller"):
        return ()
    return tuple(other if "/" in other else f"{premises}/{other}" for other in device.only_with)


def never_runs(case: Case, path: str) -> bool:
    """Whether what a device runs only with waits for it in turn, so that none of them ever begins."""
    waiting, ahead = {path}, [path]
    while ahead:
        others = runs_only_with(case, ahead.pop())
        if not others:
            return False
        ahead += [other for other in others if other not in waiting]
        waiting |= {*others}
    return True


def hours_kept(case: Case, output: OutputAt) -> tuple[str, ...]:
    """Hours at which an output's contact works anything, where something switches it off at others.

    None where it works at any hour, for which one function without such hours is enough.
    """
    functions = [case.job.functions[name] for name in output.functions]
    kept = [function.hours for function in functions if function.hours_by in HOURS_SWITCHED]
    return tuple(dict.fromkeys(hours for hours in kept if hours)) if len(kept) == len(functions) else ()


def prevents_setting(case: Case, path: str) -> tuple[str, ...]:
    """What keeps a panel, or an area with a state of its own, from being set, as the job says it."""
    areas = areas_of(case, path).values()
    return tuple(dict.fromkeys(what for area in areas for what in area.set_prevented_by or ()))
