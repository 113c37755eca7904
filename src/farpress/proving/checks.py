"""Checks and measurements of the proving plan: what each output, pair, line and rule must show.

Expected numbers are those that the rooms judged; nothing is computed a second time.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import combinations
from typing import Any, Final

from farpress.case.cabling import ends_of, serve
from farpress.case.case import Case, OutputAt
from farpress.case.driven import LEAVES, Driven, alarm, driven_of, moves, seconds, subjects_of, switching
from farpress.core.rehearsal.press import overtravel_m, run_on_s
from farpress.domain.cautions import CAUTIONS, DUTIES, LOCAL_CODES
from farpress.domain.finding import Finding
from farpress.domain.refs import GroupRef, OutputRef, PanelRef, refs_of
from farpress.judging.device.moves import OVERTRAVEL_LONGEST_M
from farpress.judging.panel import coupling as panel
from farpress.judging.supply import volts as supply
from farpress.phrases import listed
from farpress.proving.tests import ProvingTest, Who

__all__ = ["checks"]

POWER_CUTS: Final = 3
"""Times the supply is switched off and on, once of them during a run; common practice."""

PULSE_TOLERANCE: Final = 0.1
"""By which a pulse may differ from its setting; our choice, a timer is better than that."""

LEAST_WATCHED_S: Final = 1.0
"""Shorter pulses are read from the setting; a hand with a watch does not see them. Our choice."""

DROP_TOLERANCE: Final = 1.25
"""Times the predicted loss that a good cable may show; our choice: lengths and joints are known to a
quarter."""

JOINT_OHM: Final = 5.0
"""By which a tamper leg may lie above the others; common practice."""


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
}
"""How somebody on site tries to break a rule."""


def checks(case: Case) -> Iterator[ProvingTest]:
    """Every check and measurement, output by output, then what belongs to several."""
    for at in case.outputs():
        driven = driven_of(case, at)
        if driven:
            yield from _output(case, at, driven)
    yield from _pairs(case)
    yield from _volts(case)
    yield from _lines(case)
    yield from _fobs(case)
    yield from _rules(case)


def _name(at: OutputAt) -> str:
    return f"output {at.number} of {at.receiver}"


def _who(driven: Iterable[Driven]) -> Who:
    some = list(driven)
    return (
        "licensed electrician"
        if any(one.sheet.supply == "mains" for one in some)
        else "alarm company"
        if any(alarm(one) for one in some)
        else "installer"
    )


def _output(case: Case, at: OutputAt, driven: tuple[Driven, ...]) -> Iterator[ProvingTest]:
    """Works, pulse, hold, release, power cut, escape, call."""
    what = listed(dict.fromkeys(one.works for one in driven))
    subjects = subjects_of(at, *driven)
    buttons = [
        f"{group} button {number}"
        for group, one in case.job.groups.items()
        for number, button in one.buttons.items()
        if _has(button, at.functions)
    ]
    moving = [one for one in driven if moves(one)]
    gate = (
        CAUTIONS["gate"]
        if any(one.kind in LEAVES for one in driven)
        else CAUTIONS["shutter"]
        if moving
        else ""
    )
    base = ProvingTest(
        "", "", "check", "", "", at.premises, receiver=at.receiver_path, outputs=(at.path,), subjects=subjects
    )

    def check(kind: str, does: str, expected: str, **more: Any) -> ProvingTest:
        return replace(base, id=f"{kind}: {at.path}", does=does, expected=expected, **more)

    pressed = f" ({', '.join(buttons[:4])}{' and more' if len(buttons) > 4 else ''})" if buttons else ""
    yield check(
        "works",
        f"Beside {at.receiver}, press each button for {_name(at)}{pressed} once.",
        f"{what} does what it shall, and nothing else moves.",
        minutes=1.0 + 0.2 * len(buttons),
        caution=gate,
    )
    stays = {"off": f"{_name(at)} stays off", "as before": f"{_name(at)} comes back as it was before"}.get(
        at.output.after_power_return or "", f"Write down what {_name(at)} does"
    )
    off = (
        "; nothing that moves, waters, heats or sounds starts"
        if moving or any(one.kind in ("valve", "sounder", "contactor") for one in driven)
        else ""
    )
    yield check(
        "power cut",
        f"Switch the supply of {at.receiver} off and on {POWER_CUTS} times, once while {_name(at)} is on.",
        f"{stays}{off}.",
        minutes=4.0,
        who=_who(driven),
        caution=CAUTIONS["power cut"],
    )
    if at.output.kind == "pulse" and at.output.for_s is not None and at.output.for_s >= LEAST_WATCHED_S:
        slack = max(PULSE_TOLERANCE * at.output.for_s, 0.3)
        yield replace(
            base,
            id=f"pulse: {at.path}",
            kind="measure",
            does=f"Take the time that {_name(at)} stays on after one short press, in seconds.",
            expected=f"{seconds(at.output.for_s)}.",
            unit="s",
            low=at.output.for_s - slack,
            high=at.output.for_s + slack,
            predicted=at.output.for_s,
            minutes=1.0 + at.output.for_s / 60.0,
        )
    if at.output.kind == "latch":
        on, off = (listed(switching(case, at, way)) for way in ("on", "off"))
        yield check(
            "latch",
            f"Press {on} twice, then {off} twice, then {on} again; with two fobs both at the same moment.",
            f"{_name(at)} is on after the first, off after the third press, and stays so when pressed again;"
            " at the same moment it ends up off.",
            minutes=1.5,
            caution=gate,
        )
    if at.output.kind == "follow":
        yield from _held(case, at, driven, base, gate)
    for one in driven:
        if alarm(one):
            yield check(
                f"status of {one.works}",
                "Set and unset by radio, then at the keypad, then by radio again, with the panel's lamp in"
                f" sight ({one.works}).",
                "Lamp or sounder tells after each press what the panel really did; radio and keypad never get"
                " out of step.",
                minutes=5.0,
                who="alarm company",
                caution=f"{CAUTIONS['alarm']} {DUTIES['alarm']}",
            )
        if one.sheet.escape_route:
            yield check(
                f"escape by {one.works}",
                f"With the supply off and without a fob, open {one.works.split('.')[0]} from inside.",
                "It opens by hand at once.",
                minutes=2.0,
                who="competent person",
                caution=f"{CAUTIONS['escape']} {DUTIES['escape']} {LOCAL_CODES}",
            )
    if any(one.kind == "call" for one in driven) or any(
        case.job.functions[name].kind == "call" for name in at.functions
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


def _has(button: object, functions: tuple[str, ...]) -> bool:
    names = (
        (button,)
        if isinstance(button, str)
        else button
        if isinstance(button, tuple)
        else getattr(button, "functions", ())
    )
    return any(one in functions for one in names)


def _held(
    case: Case, at: OutputAt, driven: tuple[Driven, ...], base: ProvingTest, gate: str
) -> Iterator[ProvingTest]:
    """A held press: where it ends, how far the leaf runs on, whether the travel fits in."""
    groups = [
        group
        for group, one in case.job.groups.items()
        if any(_has(button, at.functions) for button in one.buttons.values())
    ]
    cut_offs = [
        fob.sheet.cut_off_s
        for name in groups
        if (fob := case.equipment.fobs.get(name)) is not None and fob.sheet.cut_off_s is not None
    ]
    receiver = case.equipment.receivers.get(at.receiver_path)
    dropout = receiver.sheet.dropout_s if receiver is not None else None
    if cut_offs:
        low, high = min(cut_offs), max(cut_offs) + (dropout or 0.5)
        yield replace(
            base,
            id=f"held press: {at.path}",
            kind="measure",
            does=(
                f"Hold the button for {_name(at)} until the fob gives up by itself; take the time in seconds."
            ),
            expected=f"It ends by itself after {low:g} s, and needs a fresh press.",
            unit="s",
            low=0.9 * low,
            high=1.1 * high,
            predicted=low,
            minutes=2.0,
            caution=CAUTIONS["hold-to-run"],
            because="A held press ends after about 30 s: common practice.",
        )
    for one in driven:
        if not moves(one):
            continue
        travel = one.sheet.travel_worst_s or one.sheet.travel_s
        if travel is not None and cut_offs:
            yield replace(
                base,
                id=f"travel: {at.path} {one.works}",
                kind="measure",
                does=(
                    f"Take the time of the whole travel of {one.works.split('.')[0]} with the button held, in"
                    " seconds."
                ),
                expected=f"At most {min(cut_offs) - 1.0:g} s; the design says {travel:g} s at its worst.",
                unit="s",
                low=0.0,
                high=min(cut_offs) - 1.0,
                predicted=travel,
                minutes=2.0,
                caution=gate,
                because="The fob gives up before a longer travel has ended.",
            )
        if one.kind in LEAVES:
            speed, stop = one.sheet.speed_m_per_s, one.sheet.stops_after_s
            predicted = (
                None
                if speed is None or dropout is None
                else overtravel_m(
                    speed_m_per_s=speed,
                    run_on_time_s=run_on_s(dropout_s=dropout, relay_s=0.0, stops_after_s=stop or 0.0),
                )
            )
            yield replace(
                base,
                id=f"overtravel: {at.path} {one.works}",
                kind="measure",
                does=(
                    f"Let go at a mark during the movement of {one.works.split('.')[0]}; measure the run-on,"
                    " in metres. Three times, the worst counts."
                ),
                expected=f"At most {OVERTRAVEL_LONGEST_M:g} m.",
                unit="m",
                low=0.0,
                high=OVERTRAVEL_LONGEST_M,
                predicted=predicted,
                minutes=3.0,
                who="competent person",
                caution=f"{CAUTIONS['hold-to-run']} {DUTIES['machine']} {LOCAL_CODES}",
                because="Guidance on EN 12453: at most 100 mm under hold-to-run control.",
            )


def _pairs(case: Case) -> Iterator[ProvingTest]:
    """Two buttons at once, and one soon after the other, where two outputs work one thing or must be kept
    apart.
    """
    outputs = list(case.outputs())
    named = {name: tuple(at.path for at in case.outputs_of(name)) for name in case.job.functions}
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
        shared = {one.path for one in driven_of(case, first)} & {one.path for one in driven_of(case, second)}
        locked = first.receiver_path == second.receiver_path and (
            first.number == second.output.interlock or second.number == first.output.interlock
        )
        if not (shared or locked or frozenset((first.path, second.path)) in apart):
            continue
        driven = (*driven_of(case, first), *driven_of(case, second))
        dangerous = (
            locked
            or frozenset((first.path, second.path)) in apart
            or {one.logic for one in driven} >= {"up", "down"}
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
            f"With two fobs: {_name(first)} and {_name(second)} pressed at the same moment, then one half a"
            " second after the other, both ways round, five times each.",
            expected,
            first.premises,
            receiver=first.receiver_path,
            outputs=(first.path, second.path),
            subjects=tuple(dict.fromkeys((*subjects_of(first, *driven), OutputRef(second.path)))),
            who=_who(driven),
            required=dangerous,
            minutes=4.0,
            caution=CAUTIONS["gate"] if any(one.kind in LEAVES for one in driven) else "",
        )


def _volts(case: Case) -> Iterator[ProvingTest]:
    """Volts lost on the way to everything a supply feeds, against what may be lost."""
    judged = {
        finding.about: finding
        for finding in supply.judge(case)
        if finding.code == "SUP-01" and finding.margin is not None
    }
    for premises, house in case.job.premises.items():
        for name in house.supplies:
            part = case.equipment.supplies.get(f"{premises}/{name}")
            nominal = part.sheet.voltage_v if part is not None else None
            ends = ends_of(case, premises, name)
            served = (
                serve(case, ends, volts=nominal, source_ohm=part.sheet.source_ohm or 0.0)
                if part is not None and nominal and ends
                else None
            )
            for end in ends:
                finding = judged.get(f"{end.name} on {premises}/{name}")
                if finding is None or served is None or nominal is None or end.is_panel:
                    continue
                lost = nominal - served[end.name].volts
                most = max(lost + (finding.margin or 0.0), 0.0)
                outputs = tuple(ref.path for ref in refs_of(OutputRef, end.subjects))
                yield ProvingTest(
                    f"volts lost: {end.name} on {premises}/{name}",
                    "",
                    "measure",
                    f"With everything on {name} switched on at once, read the volts at {name} and at"
                    f" {end.who}; enter the difference.",
                    f"About {lost:.2f} V; at most {most:.2f} V, or too little arrives at {end.who} when the"
                    " supply is at its lowest.",
                    premises,
                    outputs=outputs,
                    subjects=finding.subjects,
                    required=bool(outputs),
                    unit="V",
                    low=0.0,
                    high=(
                        min(most, DROP_TOLERANCE * lost + 0.1)
                        if finding.margin and finding.margin > 0
                        else most
                    ),
                    predicted=lost,
                    minutes=3.0,
                    because=(
                        f"{finding.says} More than a quarter above the prediction is a bad joint or another"
                        " cable than drawn."
                    ),
                )


def _lines(case: Case) -> Iterator[ProvingTest]:
    """Ohms of supervised loops and tamper legs; pulses that a panel must notice."""
    for finding in panel.judge(case):
        outputs = tuple(ref.path for ref in refs_of(OutputRef, finding.subjects))
        premises = next((ref.path.split("/")[0] for ref in finding.subjects), "")
        if finding.code == "PAN-03" and finding.limit is not None:
            yield _line_check(
                "loop",
                finding,
                premises,
                outputs,
                "At the panel's terminals, circuit off, read the ohms of the loop at rest and pressed.",
                finding.says,
            )
        elif finding.code == "PAN-01":
            yield _line_check(
                "pulse noticed",
                finding,
                premises,
                outputs,
                "With the panel ready, press ten times with pauses; count how often the panel reacts.",
                "Ten of ten.",
            )
    for premises, house in case.job.premises.items():
        for name, loop in house.tamper_loops.items():
            for leg, ohm in loop.legs.items():
                yield ProvingTest(
                    f"tamper leg: {premises}/{name}/{leg}",
                    "",
                    "measure",
                    f"Read the ohms of tamper leg {leg} of {name}; tap the joints meanwhile, then open and"
                    " close the lid.",
                    f"About {ohm:g} ohm and steady.",
                    premises,
                    receiver=f"{premises}/{leg}" if leg in house.receivers else "",
                    subjects=(PanelRef(f"{premises}/{loop.panel.split('.')[0]}"),),
                    who="alarm company",
                    required=False,
                    unit="ohm",
                    low=0.0,
                    high=ohm + JOINT_OHM,
                    predicted=ohm,
                    minutes=2.0,
                    because="More than 5 ohm of change is a bad joint: common practice.",
                )


def _line_check(
    kind: str, finding: Finding, premises: str, outputs: tuple[str, ...], does: str, expected: str
) -> ProvingTest:
    return ProvingTest(
        f"{kind}: {finding.about}",
        "",
        "check",
        does,
        expected,
        premises,
        outputs=outputs,
        subjects=finding.subjects,
        who="alarm company",
        minutes=3.0,
        because=finding.because,
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
        outputs = tuple(dict.fromkeys(at.path for name in rule.of for at in case.outputs_of(name)))
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
