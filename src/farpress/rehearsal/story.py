"""A story in words, read: `0 s: drivers hold 2 for 3 s; 4 s: power off`.

Every part is a moment, a colon and what happens. All faults are told at once, each with
what is known and what was probably meant.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from farpress.case.areas import states_of_panel
from farpress.case.case import Case
from farpress.domain.job import Button
from farpress.errors import InputError
from farpress.phrases import listed

__all__ = ["PRESS_S", "Happening", "parse_story"]

PRESS_S: Final = 0.5
"""How long a button is down where a story does not say; our choice."""

_EXAMPLES = (
    "family press 2",
    "somebody else of family press 2",
    "family hold 2 for 3 s",
    "family press 2 long",
    "family press open gate",
    "power off",
    "power on",
    "power off of supply",
    "power on of supply",
    "lost for 0.5 s",
    "keypad",
    "keypad of panel",
    "alarm of panel",
    "entry of panel",
    "under gate",
    "clear gate",
    "into office",
    "out of office",
    "into lock by outer gate",
    "work on pump",
    "done with pump",
    "isolator of pump on",
    "clock 20:00",
    "wait",
)


@dataclass(frozen=True)
class Happening:
    """One part of a story.

    Attributes:
        at_s: when [s].
        kind: "press", "power off", "power on", "lost", "keypad", "alarm", "entry", "under", "clear", "wait",
            or what happens round things: "goes in", "goes out", "drives in", "drives out", "works on", "work
            over", "isolator on", "clock".
        for_s: how long a button is held or telegrams are lost [s].
        functions: what is pressed.
        length: "short", "long" or "".
        who: who presses; or the panel, area, device, lock or supply meant; empty: the power of all.
        by: gate that is driven through, or the time of day.
        is_another: with another fob than the one that pressed before.
        text: as it was written.
    """

    at_s: float
    kind: str
    for_s: float = 0.0
    functions: tuple[str, ...] = ()
    length: str = ""
    who: str = ""
    text: str = ""
    is_another: bool = False
    by: str = ""


def parse_story(case: Case, story: str) -> list[Happening]:
    """Read a story, in the order of its moments.

    Raises:
        InputError: parts that cannot be read, all of them, each with what is allowed.
    """
    found: list[Happening] = []
    faults: list[str] = []
    for number, part in enumerate((piece.strip() for piece in re.split(r"[;\n]", story)), 1):
        if not part:
            continue
        try:
            found.append(_part(case, part))
        except InputError as error:
            faults.append(f"Part {number} of the story, '{part}': {error}")
    if not found and not faults:
        faults.append(
            f"The story is empty. Write a moment, a colon and what happens, as '0 s: {_some_press(case)}; 4"
            " s: power off'."
        )
    if faults:
        raise InputError("\n".join(faults))
    return sorted(found, key=lambda happening: happening.at_s)


def _some_press(case: Case) -> str:
    name, group = next(iter(case.job.groups.items()), ("family", None))
    return f"{name} hold {next(iter(group.buttons), '1') if group is not None else '1'} for 3 s"


def _part(case: Case, part: str) -> Happening:
    moment, colon, what = part.partition(":")
    if not colon:
        raise InputError(f"no moment stands before it; write it as '0 s: {part}'.")
    at_s = _time(moment)
    what = " ".join(what.split())
    words = what.casefold()
    if words in ("power off", "power on", "wait"):
        return Happening(at_s, words, text=what)
    if match := re.fullmatch(r"(power off|power on) of (.+)", what, re.IGNORECASE):
        fed = _known(match[2], _names(case, "supply"), "supply, receiver or device")
        return Happening(at_s, match[1].casefold(), who=fed, text=what)
    if match := re.fullmatch(r"(?:telegrams )?lost for (.+)", words):
        return Happening(at_s, "lost", for_s=_time(match[1]), text=what)
    if match := re.fullmatch(r"(keypad|alarm|entry)(?: of (.+))?", what, re.IGNORECASE):
        kind = match[1].casefold()
        return Happening(
            at_s,
            kind,
            who=(
                _known(match[2], _names(case, "panel"), "panel")
                if match[2]
                else _only(_names(case, "panel"), kind)
            ),
            text=what,
        )
    if match := re.fullmatch(r"(under|clear) (.+)", what, re.IGNORECASE):
        return Happening(
            at_s, match[1].casefold(), who=_known(match[2], _names(case, "device"), "device"), text=what
        )
    if (round_it := _round(case, at_s, what)) is not None:
        return round_it
    other, pressing = re.match(r"somebody else of ", what, re.IGNORECASE), what
    if other:
        pressing = what[other.end() :]
    if match := re.fullmatch(r"(.+?) (?:holds?|press(?:es)?) (.+?)(?: for (.+))?", pressing, re.IGNORECASE):
        return replace(_press(case, at_s, what, match), is_another=other is not None)
    raise InputError(f"what happens is not understood. Write one of: {'; '.join(_EXAMPLES)}.")


_ROUND: Final = (
    (r"(into|out of) (.+) by (.+)", "lock"),
    (r"(into|out of) (.+)", "area"),
    (r"(work on|done with|isolator of) (.+?)( on)?", "device"),
)
"""What happens round things, and what it happens to."""

_KINDS: Final = {
    ("into", "lock"): "drives in",
    ("out of", "lock"): "drives out",
    ("into", "area"): "goes in",
    ("out of", "area"): "goes out",
    ("work on", "device"): "works on",
    ("done with", "device"): "work over",
    ("isolator of", "device"): "isolator on",
}


def _round(case: Case, at_s: float, what: str) -> Happening | None:
    """People, workers, vehicles and the clock; None where it is none of them."""
    if match := re.fullmatch(r"clock (\d{1,2}):(\d{2})", what, re.IGNORECASE):
        return Happening(at_s, "clock", text=what, by=f"{int(match[1]):02d}:{match[2]}")
    for pattern, thing in _ROUND:
        if match := re.fullmatch(pattern, what, re.IGNORECASE):
            who = _known(match[2], _names(case, thing), thing)
            gates = _gates(case, who) if thing == "lock" else []
            by = _known(match[3], gates, "gate").partition("/")[2] if gates else ""
            return Happening(at_s, _KINDS[match[1].casefold(), thing], who=who, text=what, by=by)
    return None


def _gates(case: Case, lock: str) -> list[str]:
    premises, _, name = lock.partition("/")
    given = case.job.premises[premises].gate_locks[name]
    return [f"{premises}/{gate}" for gate in dict.fromkeys((*given.enter_by, *given.leave_by))]


def _press(case: Case, at_s: float, what: str, match: re.Match[str]) -> Happening:
    for_s = _time(match[3]) if match[3] else PRESS_S
    groups = case.job.groups
    people = {person: name for name, group in groups.items() for person in group.people}
    who = _known(match[1], [*groups, *people], "group or person")
    own = [name for name, group in groups.items() if name == who or who in group.people]
    button, _, length = match[2].removeprefix("button ").partition(" ")
    for name in own:
        learned = groups[name].buttons.get(button)
        if learned is not None and length in ("", "short", "long"):
            both = (
                {"short": learned.short, "long": learned.long}
                if isinstance(learned, Button)
                else {"": learned}
            )
            fallback = "" if "" in both else "short"
            key = length if length in both else fallback
            names = both[key]
            functions = (names,) if isinstance(names, str) else tuple(names or ())
            if functions:
                return Happening(at_s, "press", for_s, functions, key, who, what)
            raise InputError(f"button {button} of {name} does nothing when pressed {key or 'at all'}.")
    wanted = match[2].removesuffix(" long").removesuffix(" short")
    learned_all = [function for name in own for function in case.job.functions_of(groups[name])]
    buttons = [
        f"{number} ({listed(_functions(pressed))})"
        for name in own
        for number, pressed in groups[name].buttons.items()
    ]
    if wanted not in learned_all:
        raise InputError(f"{who} has no button '{match[2]}'; on the fob are {listed(buttons)}.")
    length = "long" if match[2].endswith(" long") else ""
    return Happening(at_s, "press", for_s, (wanted,), length, who, what)


def _functions(pressed: str | tuple[str, ...] | Button) -> tuple[str, ...]:
    if isinstance(pressed, Button):
        return pressed.functions
    return (pressed,) if isinstance(pressed, str) else pressed


def _time(text: str) -> float:
    from farpress.units import read_quantity

    pieces = re.findall(r"\d[\d.,]*\s*[a-zA-Z]+", text)
    if not pieces or re.sub(r"\s", "", "".join(pieces)) != re.sub(r"\s", "", text):
        value = read_quantity(text.strip(), "time")
    else:
        value = sum(read_quantity(piece, "time") for piece in pieces)
    if value < 0:
        raise InputError(f"'{text.strip()}' lies before the story begins; its first moment is 0 s.")
    return value


def _names(case: Case, kind: str) -> list[str]:
    found: list[str] = []
    for where, house in case.job.premises.items():
        names: dict[str, Iterable[str]] = {
            "panel": (
                path.partition("/")[2]
                for panel in house.panels
                for path in states_of_panel(case, f"{where}/{panel}")
            ),
            "device": house.devices,
            "lock": house.gate_locks,
            "supply": (*house.supplies, *house.receivers, *house.devices),
            "area": (
                f"{panel}.{area}" if area else panel
                for panel, entry in house.panels.items()
                for area in (entry.areas or ("",))
            ),
        }
        found += [f"{where}/{name}" for name in names[kind]]
    return found


def _only(paths: list[str], kind: str) -> str:
    if len(paths) == 1:
        return paths[0]
    raise InputError(
        f"which panel is meant? Write '{kind} of' and one of {listed(paths)}."
        if paths
        else "there is no panel in this job."
    )


def _known(given: str, names: Iterable[str], kind: str) -> str:
    import difflib

    known, small = list(dict.fromkeys(names)), given.casefold()
    exact = [name for name in known if name == given]
    alike = [
        name
        for name in known
        if small in (name.casefold(), name.casefold().partition("/")[2], name.casefold().partition(".")[2])
    ]
    beginning = [name for name in known if name.casefold().startswith(small)]
    for fitting in (exact, alike, beginning):
        if len(fitting) == 1:
            return fitting[0]
        if len(fitting) > 1:
            raise InputError(f"'{given}' may be {listed(fitting)}; write which {kind} is meant.")
    close = difflib.get_close_matches(given, known, n=1)
    hint = f" Did you mean '{close[0]}'?" if close else ""
    raise InputError(
        f"there is no {kind} '{given}'.{hint} There are"
        f" {listed(known[:12])}{' and more' if len(known) > 12 else ''}."
    )
