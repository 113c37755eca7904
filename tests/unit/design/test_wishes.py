"""Which contact a wish becomes: its kind and length, or the question that comes first."""

from __future__ import annotations

from pathlib import Path

import pytest

from farpress.design.fixes import fixes_from
from farpress.design.wishes import wishes_of
from farpress.errors import InputError
from helpers.wished_jobs import YARD, opened

HEAD = "farpress: 2\njob: Alder\npremises:\n  home:\n    devices:\n"
TAIL = "functions:\n  press: {works: thing.in%s}\n"

FED = "supply: dc, voltage: 12 V, current: 0.3 A"
PULSE = "inputs: {in: {logic: open only, wants: pulse, min_pulse: 0.2 s, max_pulse: 2 s}}"
STAYS = "inputs: {in: {logic: on, wants: maintained}}"

DRAWN = [
    ("device: sliding gate, " + PULSE, "", {"kind": "pulse", "for": "500 ms"}),
    ("device: barrier, " + PULSE.replace("0.2 s", "0.6 s"), "", {"kind": "pulse", "for": "1.2 s"}),
    (
        "device: barrier, " + PULSE.replace("0.2 s", "1 s").replace("2 s", "1.5 s"),
        "",
        {"kind": "pulse", "for": "1.22 s"},
    ),
    (f"device: lamp, {FED}, {STAYS}", "", {"kind": "toggle"}),
    (f"device: lamp, {FED}, {STAYS}", ", lasts: 5 min", {"kind": "pulse", "for": "5 min", "retrigger": True}),
    (f"device: valve, {FED}, {STAYS}", ", lasts: 20 min", {"kind": "pulse", "for": "20 min"}),
    (
        f"device: valve, {FED}, longest_run: 10 min, {STAYS}",
        ", lasts: 20 min",
        {"kind": "pulse", "for": "10 min"},
    ),
    (f"device: pump, {FED}, {STAYS}", "", {"kind": "follow"}),
    (
        f"device: strike, {FED}, inputs: {{in: {{logic: release, wants: maintained}}}}",
        "",
        {"kind": "pulse", "for": "4 s"},
    ),
]
"""A device, more of the function, and the keys of the output that is drawn."""

ASKED = [
    (f"device: valve, {FED}, {STAYS}", "how long 'press' shall go on"),
    (f"device: sounder, {FED}, {STAYS}", "how long 'press' shall go on"),
    (f"device: heater, {FED}, inputs: {{in: {{logic: stop, wants: maintained}}}}", "no safety function"),
    ("device: sliding gate, inputs: {in: {voltage: 24 V}}", "a pulse or a contact that stays closed"),
    (f"device: contactor, {FED}, {STAYS}", "how long 'press' shall go on"),
]
"""A device whose wish cannot be drawn yet, and what is asked."""


def quoted(device: str) -> str:
    """The word "on" is quoted, as it must be in a job file."""
    return device.replace("logic: on,", 'logic: "on",').replace("logic: on}", 'logic: "on"}')


@pytest.mark.parametrize(("device", "more", "entry"), DRAWN)
def test_a_wish_becomes_a_contact(device: str, more: str, entry: dict[str, object], tmp_path: Path) -> None:
    """What moves or hurts follows the button, what wants a pulse gets one, what the wish limits ends by
    itself.
    """
    case = opened(tmp_path / "job", f"{HEAD}      thing: {{{quoted(device)}}}\n{TAIL % more}")
    (contact,) = wishes_of(case).contacts

    assert contact.entry == entry | {"works": "thing.in"}


@pytest.mark.parametrize(("device", "ask"), ASKED)
def test_what_nobody_says_is_asked_and_not_drawn(device: str, ask: str, tmp_path: Path) -> None:
    """Water without an end, a stop by radio, an input of which nothing is known: no contact, a question."""
    case = opened(tmp_path / "job", f"{HEAD}      thing: {{{quoted(device)}}}\n{TAIL % ''}")
    wishes = wishes_of(case)

    assert wishes.contacts == ()
    assert ask in wishes.asks["press"]


def test_what_is_fixed_settles_the_question(tmp_path: Path) -> None:
    """A valve whose pulse the user gives is drawn with it."""
    case = opened(
        tmp_path / "job", f"{HEAD}      thing: {{{quoted(f'device: valve, {FED}, {STAYS}')}}}\n{TAIL % ''}"
    )
    (contact,) = wishes_of(case, fixes_from(case, ["press.for=90 s"])).contacts

    assert contact.entry == {"kind": "pulse", "for": "90 s", "works": "thing.in"}
    assert contact.wants_s == 90.0


def test_two_directions_stay_together(tmp_path: Path) -> None:
    """Haul and lower are one load of two outputs; each gate is one of its own."""
    unruled = YARD.replace("  - {never: both on, of: [haul, lower]}\n", "")
    wishes = wishes_of(opened(tmp_path / "job", unruled))

    assert unruled != YARD
    assert sorted(len(load) for load in wishes.loads) == [1, 1, 2]


def test_wrong_fixes_are_refused_all_at_once(tmp_path: Path) -> None:
    """An unknown name, key and value, and a sign that is missing: each is named with what is near."""
    case = opened(tmp_path / "job", YARD)
    with pytest.raises(InputError) as caught:
        fixes_from(case, ["haul", "haull.kind=pulse", "haul.knd=pulse", "haul.kind=puls", "haul.for=soon"])
    told = str(caught.value)

    assert "write it as 'function.kind=pulse'" in told
    assert "'haull' is no function and no premises of this job; closest: 'haul'" in told
    assert "closest: 'kind'" in told
    assert "closest: 'pulse'" in told
    assert "soon" in told


def test_a_wish_that_points_nowhere_is_refused(tmp_path: Path) -> None:
    """A device that is not there, an input it does not have, premises that are not there: all with the
    nearest name.
    """
    text = YARD.replace("works: winch.haul", "works: wich.haul").replace("winch.lower", "winch.lover")
    text = text.replace("works: slip-gate.open", "works: yrd/slip-gate.open")
    with pytest.raises(Exception, match="wich") as caught:
        opened(tmp_path / "job", text)
    told = str(caught.value)

    assert "Did you mean 'winch'?" in told
    assert "'lover'" in told
    assert "Did you mean 'lower'?" in told
    assert "Did you mean 'yard'?" in told
