"""Checks and measurements of the proving plan: what each output, pair, line and rule must show.

Expected numbers are those that the rooms judged; nothing is computed a second time.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import combinations
from typing import Any, Final

from farpress.case.case import Case, OutputAt
from farpress.case.driven import Driven, alarm, driven_of, moves, seconds, subjects_of, switching
from farpress.domain.cautions import CAUTIONS, DUTIES, LOCAL_CODES
from farpress.domain.refs import GroupRef, OutputRef
from farpress.phrases import listed
from farpress.proving.held_checks import has_function, held_tests, output_words
from farpress.proving.line_checks import line_tests, supply_tests
from farpress.proving.signal_checks import signal_tests
from farpress.proving.tests import ProvingTest, Who

__all__ = ["checks"]

POWER_CUTS: Final = 3
"""Times the supply is switched off and on, once of them during a run; common practice."""

PULSE_TOLERANCE: Final = 0.1
"""By which a pulse may differ from its setting; our choice, a timer is better than that."""

LEAST_WATCHED_S: Final = 1.0
"""Shorter pulses are read from the setting; a hand with a watch does not see them. Our choice."""


_ATTEMPTS: Final = {
    "both on": "both at once, one after the other, with a lost press in between, ten times.",
    "works after power return": (
        "switch the supply off and on three times, once while it is on and once with a button held."
    ),
    "works without sight": "from every place where the movement is not seen.",
    "works by": "with a fob of each of those who must not.",
    "on longer than": "press again and again while it is on, and take the time.",
    "second press within": "press twice, with pauses of one, three and six seconds.",
    "unset and open by one press": "press each button short and long, set and unset.",
    "unset by a fob alone": "set it, press to unset from outside, and go in without the code; tell the alarm"
    " company first.",
    "state out of step": (
        "mix radio, keypad and lost presses (fob out of reach) twenty times, and compare with the panel's"
        " lamp."
    ),
    "alarm despite unsetting": (
        "set by radio and at the keypad by turns, open the way in, press, and wait until the entry time is"
        " over, ten times; tell the alarm receiving centre first."
    ),
    "toggles": "press twice; the second press must not undo the first.",
    "held on a start input": "hold the button for ten seconds.",
    "works from": "thirty presses from each of those places, by all ways of holding the fob.",
    "works beyond": "thirty presses from beyond, by all ways of holding the fob.",
    "closes while occupied": "stand a vehicle or a box in the way and press every button.",
    "needed to leave": "leave without a fob, with the supply off.",
    "both open": "open one, and press for the other while the first one moves, stands open and closes.",
    "set with somebody inside": "leave a colleague inside, still and moving, and set it by every button.",
    "open while set": "set it with the way open, then open it while it is set; tell the alarm company first.",
    "live while worked on": "isolate it, lock it off, and press every button; it must stay dead.",
    "more than one inside": (
        "stand a vehicle in the lock and press for every gate; follow close behind another one."
    ),
    "works outside hours": "press a minute before the hours begin and a minute after they end.",
}
"""How somebody on site tries to break a rule."""


def checks(case: Case) -> Iterator[ProvingTest]:
    """Every check and measurement, output by output, then what belongs to several."""
    for output in case.outputs():
        driven = driven_of(case, output)
        if driven:
            yield from _output(case, output, driven)
    yield from _pairs(case)
    yield from supply_tests(case)
    yield from line_tests(case)
    yield from _fobs(case)
    yield from signal_tests(case)
    yield from _rules(case)


def _who(driven: Iterable[Driven]) -> Who:
    things = list(driven)
    if any(thing.sheet.supply == "mains" for thing in things):
        return "licensed electrician"
    return "alarm company" if any(alarm(thing) for thing in things) else "installer"


def _output(case: Case, output: OutputAt, driven: tuple[Driven, ...]) -> Iterator[ProvingTest]:
    """Works, pulse, hold, release, power cut, escape, call."""
    what = listed(dict.fromkeys(thing.works for thing in driven))
    subjects = subjects_of(output, *driven)
    buttons = [
        f"{name} button {number}"
        for name, group in case.job.groups.items()
        for number, button in group.buttons.items()
        if has_function(button, output.functions)
    ]
    moving = [thing for thing in driven if moves(thing)]
    gate = CAUTIONS["shutter"] if moving else ""
    if any(thing.traits.is_leaf for thing in driven):
        gate = CAUTIONS["gate"]
    base = ProvingTest(
        "",
        "",
        "check",
        "",
        "",
        output.premises,
        receiver=output.receiver_path,
        outputs=(output.path,),
        subjects=subjects,
    )

    def check(kind: str, does: str, expected: str, **more: Any) -> ProvingTest:
        return replace(base, id=f"{kind}: {output.path}", does=does, expected=expected, **more)

    pressed = f" ({', '.join(buttons[:4])}{' and more' if len(buttons) > 4 else ''})" if buttons else ""
    yield check(
        "works",
        f"Beside {output.receiver}, press each button for {output_words(output)}{pressed} once.",
        f"{what} does what it shall, and nothing else moves.",
        minutes=1.0 + 0.2 * len(buttons),
        caution=gate,
    )
    stays = {
        "off": f"{output_words(output)} stays off",
        "as before": f"{output_words(output)} comes back as it was before",
    }.get(output.output.after_power_return or "", f"Write down what {output_words(output)} does")
    off = (
        "; nothing that moves, waters, heats or sounds starts"
        if moving or any((thing.traits.starts_unseen or thing.traits.feeds_more) for thing in driven)
        else ""
    )
    yield check(
        "power cut",
        f"Switch the supply of {output.receiver} off and on {POWER_CUTS} times, once while"
        f" {output_words(output)}"
        f" is on.",
        f"{stays}{off}.",
        minutes=4.0,
        who=_who(driven),
        caution=CAUTIONS["power cut"],
    )
    if (
        output.output.traits.wants_length
        and output.output.for_s is not None
        and output.output.for_s >= LEAST_WATCHED_S
    ):
        slack = max(PULSE_TOLERANCE * output.output.for_s, 0.3)
        yield replace(
            base,
            id=f"pulse: {output.path}",
            kind="measure",
            does=f"Take the time that {output_words(output)} stays on after one short press, in seconds.",
            expected=f"{seconds(output.output.for_s)}.",
            unit="s",
            low=output.output.for_s - slack,
            high=output.output.for_s + slack,
            predicted=output.output.for_s,
            minutes=1.0 + output.output.for_s / 60.0,
        )
    if output.output.traits.has_two_buttons:
        on, off = (listed(switching(case, output, way)) for way in ("on", "off"))
        yield check(
            "latch",
            f"Press {on} twice, then {off} twice, then {on} again; with two fobs both at the same moment.",
            f"{output_words(output)} is on after the first, off after the third press, and stays so when"
            " pressed again; at the same moment it ends up off.",
            minutes=1.5,
            caution=gate,
        )
    if output.output.traits.while_held:
        yield from held_tests(case, output, driven, base, gate)
    for thing in driven:
        if alarm(thing):
            yield check(
                f"status of {thing.works}",
                "Set and unset by radio, then at the keypad, then by radio again, with the panel's lamp in"
                f" sight ({thing.works}).",
                "Lamp or sounder tells after each press what the panel really did; radio and keypad never get"
                " out of step.",
                minutes=5.0,
                who="alarm company",
                caution=f"{CAUTIONS['alarm']} {DUTIES['alarm']}",
            )
        if thing.sheet.escape_route:
            yield check(
                f"escape by {thing.works}",
                f"With the supply off and without a fob, open {thing.works.split('.')[0]} from inside.",
                "It opens by hand at once.",
                minutes=2.0,
                who="competent person",
                caution=f"{CAUTIONS['escape']} {DUTIES['escape']} {LOCAL_CODES}",
            )
    if any(thing.traits.calls_help for thing in driven) or any(
        case.job.functions[name].kind == "call" for name in output.functions
    ):
        yield check(
            "call",
            "Press the call from each place where it is promised, without warning the one who answers; note"
            " the time until somebody comes.",
            "Somebody named answers each time; the time is written down and accepted by the customer.",
            minutes=10.0,
            who="customer",
            caution=CAUTIONS["call for help"],
        )


def _pairs(case: Case) -> Iterator[ProvingTest]:
    """Two buttons at once, and one soon after the other, where two outputs work one thing or must be kept
    apart.
    """
    outputs = list(case.outputs())
    named = {name: tuple(output.path for output in case.outputs_of(name)) for name in case.job.functions}
    apart = {
        frozenset((a, b))
        for rule in case.job.rules
        if rule.never == "both on"
        for f, g in combinations(rule.of, 2)
        for a in named.get(f, ())
        for b in named.get(g, ())
        if a != b
    }
    for first, second in combinations(outputs, 2):
        if first.premises != second.premises:
            continue
        shared = {thing.path for thing in driven_of(case, first)} & {
            thing.path for thing in driven_of(case, second)
        }
        locked = first.receiver_path == second.receiver_path and (
            first.number == second.output.interlock or second.number == first.output.interlock
        )
        if not (shared or locked or frozenset((first.path, second.path)) in apart):
            continue
        driven = (*driven_of(case, first), *driven_of(case, second))
        dangerous = (
            locked
            or frozenset((first.path, second.path)) in apart
            or {thing.logic for thing in driven} >= {"up", "down"}
        )
        expected = (
            "Never both on; a pause before the other direction."
            if dangerous
            else "The second press does what the drive's sheet says, and nothing else."
        )
        yield ProvingTest(
            f"pair: {first.path} and {second.path}",
            "",
            "check",
            f"With two fobs: {output_words(first)} and {output_words(second)} pressed at the same moment,"
            f" then one half a"
            " second after the other, both ways round, five times each.",
            expected,
            first.premises,
            receiver=first.receiver_path,
            outputs=(first.path, second.path),
            subjects=tuple(dict.fromkeys((*subjects_of(first, *driven), OutputRef(second.path)))),
            who=_who(driven),
            required=dangerous,
            minutes=4.0,
            caution=CAUTIONS["gate"] if any(thing.traits.is_leaf for thing in driven) else "",
        )


def _fobs(case: Case) -> Iterator[ProvingTest]:
    """The low-cell signal, once at each premises for each kind of fob; the cell's volts of each group's
    fob.
    """
    for premises in case.job.premises:
        kinds: dict[str, list[str]] = {}
        for name, group in case.job.groups.items():
            if any(
                path.startswith(f"{premises}/")
                for function in case.job.functions_of(group)
                if function in case.job.functions
                for path in case.job.functions[function].paths
            ):
                kinds.setdefault(group.fob, []).append(name)
        for kind, groups in kinds.items():
            fob = next(
                (case.equipment.fobs[name].sheet for name in groups if name in case.equipment.fobs), None
            )
            flag = (
                f" (below {fob.low_cell_v:g} V under load)"
                if fob is not None and fob.low_cell_v is not None
                else ""
            )
            yield ProvingTest(
                f"low cell: {kind} at {premises}",
                "",
                "check",
                f"Press with a nearly empty cell{flag} in a fob {kind}, then with a good one.",
                "The low-cell signal comes on at the weak press and goes off at the next good one.",
                premises,
                subjects=tuple(GroupRef(name) for name in groups),
                required=False,
                minutes=4.0,
                caution=CAUTIONS["cell"],
                because="Common practice, no source.",
            )


def _rules(case: Case) -> Iterator[ProvingTest]:
    """One check for each rule that can be tried on site."""
    seen: set[str] = set()
    for rule in case.job.rules:
        outputs = tuple(dict.fromkeys(output.path for name in rule.of for output in case.outputs_of(name)))
        what = f"{rule.never}: {listed(rule.of)}" if rule.of else rule.never
        says = rule.says or what
        if rule.never not in _ATTEMPTS or says in seen:
            continue  # the record shows it, nobody can try it on site
        seen.add(says)
        premises = outputs[0].split("/")[0] if outputs else next(iter(case.job.premises))
        yield ProvingTest(
            f"rule: {says}",
            "",
            "check",
            f'Try to break the rule "{says}": {_ATTEMPTS[rule.never]}',
            "It cannot be broken. If it can: write down how, and take the function out of use.",
            premises,
            outputs=outputs,
            subjects=tuple(OutputRef(path) for path in outputs),
            minutes=4.0,
        )
