"""Judges the lines between panel and receivers: open collectors, tamper circuits; loops in `loops`."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from statistics import median
from typing import Final

from farpress.case.cabling import core_of
from farpress.case.case import Case
from farpress.core.wiring.loops import BAD_JOINT_OHM
from farpress.core.wiring.open_collector import equivalent, ground_shift_v, low_level_v
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.parts import PanelOutput, PanelSheet, Part, ReceiverSheet
from farpress.domain.premises import ReceiverInput
from farpress.domain.refs import CableRef, InputRef, PanelRef, ReceiverRef, Ref
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit, no_edge
from farpress.judging.panel.loops import judge_loops
from farpress.sources import Citation, Mark, cited
from farpress.units import write_quantity

__all__ = ["CHANGE_OF_LEG", "LEG_OF_LOOP", "LOW_LEVEL", "SINK_CURRENT", "judge_lines"]

LOW_LEVEL: Final = Check(
    "PAN-04",
    Link.PANEL,
    "Volts that a panel's transistor output leaves on an input, against what the input counts as closed.",
    unit="V",
    bound=AT_MOST,
    stake=Stake.PROMISE,
    ask="Find the voltage below which the status input counts as closed.",
    mends="A small relay or optocoupler between, or a 0 V core of its own for the status line.",
)

SINK_CURRENT: Final = Check(
    "PAN-13",
    Link.PANEL,
    "Current of a status input, against what the panel's transistor output may sink.",
    unit="A",
    bound=AT_MOST,
    stake=Stake.WEAR,
    ask="Find the current that the panel's output may sink.",
    mends="A small relay or optocoupler between.",
)

LEG_OF_LOOP: Final = Check(
    "PAN-05",
    Link.PANEL,
    "Legs of a tamper loop: a leg that stands out, or has changed, has a bad joint.",
    unit="ohm",
    bound=AT_MOST,
    limit=Limit(
        BAD_JOINT_OHM,
        (
            Citation(
                f"more than {BAD_JOINT_OHM:g} ohm over the other legs, or of change, is a bad joint",
                mark=Mark.PRACTICE,
            ),
        ),
    ),
    stake=Stake.PROMISE,
    ask="Measure the other legs of the loop.",
    who=Who.METER,
    minutes=10.0,
    mends="The joints of the leg made again, or a pair of its own for it.",
)

SMALL_CHANGE_OHM: Final = 0.5
"""What a good leg may change between two readings; our choice, the meter's and the leads' share."""

CHANGE_OF_LEG: Final = Check(
    "PAN-14",
    Link.PANEL,
    "Change of a leg of a tamper loop between two readings, against the meter's and the leads' share.",
    unit="ohm",
    bound=AT_MOST,
    limit=Limit(
        SMALL_CHANGE_OHM, (Citation("meter and leads make 0.5 ohm between two readings", mark=Mark.CHOICE),)
    ),
    thin=no_edge("the share of meter and leads is the doubt itself"),
    stake=Stake.WEAR,
    advice=True,
    mends="The joints of the leg looked at before they fail.",
)

_RELAY: Final = Remedy("Put a small relay or optocoupler between; then nothing of this matters.")


@dataclass(frozen=True)
class _StatusLine:
    """A panel's output on a status input of a receiver.

    Attributes:
        about, subjects: as findings have them.
        reads: the panel's output, as in the job.
        output: what the panel's data say of it.
        panel, receiver: with their sheets.
        core_ohm: of one core of its cable, hot; None where the cable is not known.
        is_one_supply: panel and receiver are named as fed from one.
    """

    about: str
    subjects: tuple[Ref, ...]
    reads: str
    output: PanelOutput
    panel: Part[PanelSheet]
    receiver: Part[ReceiverSheet]
    core_ohm: float | None
    is_one_supply: bool


def judge_lines(case: Case) -> Iterator[Finding]:
    """Loops, status lines and tamper circuits, in the order of the job."""
    yield from judge_loops(case)
    for premises, house in case.job.premises.items():
        for receiver, box in house.receivers.items():
            for number, entry in box.inputs.items():
                yield from _status_line(case, ReceiverRef(f"{premises}/{receiver}"), number, entry)
        for name, loop in house.tamper_loops.items():
            panel = PanelRef(f"{premises}/{loop.panel.split('.')[0]}")
            for leg in loop.legs:
                housing = (ReceiverRef(f"{premises}/{leg}"),) if leg in house.receivers else ()
                cable = CableRef(f"{premises}/{name}/{leg}")
                yield from _leg(
                    f"{premises}/{name}: {leg}",
                    leg,
                    dict(loop.legs),
                    loop.later.get(leg),
                    (panel, *housing, cable),
                    cable,
                )


def _status_line(case: Case, receiver: ReceiverRef, number: str, entry: ReceiverInput) -> Iterator[Finding]:
    """PAN-04 and PAN-13 of an input that reads a panel; a relay contact is free of potential."""
    premises, house = receiver.premises.path, case.job.premises[receiver.premises.path]
    panel_name, _, output_name = entry.reads.partition(".")
    panel = case.equipment.panels.get(f"{premises}/{panel_name}")
    if panel is None:
        return
    output = (panel.sheet.outputs or {}).get(output_name)
    about = f"{receiver} input {number} from {entry.reads}"
    cause = InputRef(f"{receiver}/in{number}")
    subjects: tuple[Ref, ...] = (receiver, PanelRef(f"{premises}/{panel_name}"), cause)
    if output is None or output.form is None:
        yield LOW_LEVEL.decide(
            about=about,
            subjects=subjects,
            cause=cause,
            answer=Answer.UNKNOWN,
            says=f"Whether {entry.reads} is a relay contact or an open collector is not known.",
            asks=(Ask(f"Find the form of {entry.reads} in the panel's manual.", Who.ALARM_COMPANY, 5.0),),
        )
        return
    if output.form == "relay":
        yield LOW_LEVEL.decide(
            about=about,
            subjects=subjects,
            cause=cause,
            answer=Answer.YES,
            says=f"{entry.reads} is a relay contact, free of potential.",
            sources=panel.cite("outputs"),
        )
        return
    fed, panel_fed = house.receivers[receiver.name].fed, house.panels[panel_name].fed
    cable = entry.cable
    core = (
        core_of(case.equipment.cables[cable.part]) if cable and cable.part in case.equipment.cables else None
    )
    line = _StatusLine(
        about,
        subjects,
        entry.reads,
        output,
        panel,
        case.equipment.receivers[receiver.path],
        core.hot_ohm_per_km * cable.length_m / 1000 if core and cable else None,
        fed is not None and panel_fed is not None and fed.from_ == panel_fed.from_,
    )
    yield _sink_current(line)
    yield _low_level(line)


def _sink_current(line: _StatusLine) -> Finding:
    """PAN-13."""
    drawn, most = line.receiver.sheet.input_current_a, line.output.current_max_a
    asks = _asks(("current of the status input", drawn), (f"current that {line.reads} may sink", most))
    draws = "is not known" if drawn is None else f"is {write_quantity(drawn, 'current')}"
    sinks = "what it may sink is not known" if most is None else f"may sink {write_quantity(most, 'current')}"
    return SINK_CURRENT.judge(
        about=line.about,
        subjects=line.subjects,
        value=Estimate(drawn),
        limit=Limit(most),
        says=f"The current of the input {draws}; {line.reads}: {sinks}.",
        because="An open collector only pulls down to the 0 V of its panel.",
        asks=asks,
        remedies=(_RELAY,),
        sources=(*line.panel.cite("outputs"), *line.receiver.cite("input_current_a")),
    )


def _asks(*named: tuple[str, float | None]) -> list[str]:
    return [f"Find the {what}." for what, value in named if value is None]


def _low_level(line: _StatusLine) -> Finding:
    """PAN-04: its 0 V wire is taken to be the receiver's own return, whose current lifts it."""
    sheet, saturation = line.receiver.sheet, line.output.saturation_v
    low, drawn, returns = sheet.input_low_v, sheet.input_current_a, sheet.current_idle_a
    asks: list[str | Ask] = [
        *_asks(
            (f"saturation voltage of {line.reads}", saturation),
            ("voltage below which the status input counts as closed", low),
            ("current of the status input", drawn),
            ("cable of the status line", line.core_ohm),
            ("current of the receiver at rest, which returns in the same 0 V core", returns),
        )
    ]
    if not line.is_one_supply:
        asks.append(
            Ask(
                "Say whether panel and receiver are fed from one supply; if not, join their 0 V, never their"
                " positives, and earth one at most.",
                Who.INSTALLER,
                5.0,
            )
        )
    because = "An open collector only pulls down to the 0 V of its panel."
    level: float | None = None
    remedies: tuple[Remedy, ...] = (_RELAY,)
    if saturation is None or line.core_ohm is None:
        says = (
            f"{line.reads} is an open collector; whether the receiver's input takes it for closed is not"
            " known."
        )
    else:
        shift = ground_shift_v(return_a=(returns or 0.0) + (drawn or 0.0), core_ohm=line.core_ohm)
        level = low_level_v(saturation_v=saturation, shift_v=shift)
        because += (
            f" {saturation:g} V remain at it, and {shift:.2f} V are lost if the receiver's return current"
            f" shares its 0 V core.{_looks(line, saturation)}"
        )
        says = f"{level:.2f} V are left at the input when {line.reads} is on"
        says += "." if low is None else f"; up to {low:g} V count as closed."
        alone = low_level_v(
            saturation_v=saturation, shift_v=ground_shift_v(return_a=drawn or 0.0, core_ohm=line.core_ohm)
        )
        if low is not None and alone < low:
            own = Remedy(
                "Give the status line a 0 V core that nothing else returns in.",
                f"{alone:.2f} V are left at the input",
            )
            remedies = (own, _RELAY)
    if not line.is_one_supply:
        says += " Panel and receiver are not named as fed from one supply."
    return LOW_LEVEL.judge(
        about=line.about,
        subjects=line.subjects,
        value=Estimate(level),
        limit=Limit(low),
        says=says,
        because=because,
        asks=asks,
        remedies=remedies,
        sources=(
            *line.panel.cite("outputs"),
            *line.receiver.cite("input_voltage_v", "input_current_a", "input_low_v", "current_idle_a"),
            *cited(low_level_v),
        ),
    )


def _looks(line: _StatusLine, saturation_v: float) -> str:
    """What the transistor looks like to the input, as a resistance."""
    volts, drawn = line.receiver.sheet.input_voltage_v, line.receiver.sheet.input_current_a
    if not volts or not drawn or saturation_v >= volts:
        return ""
    ohm = equivalent(supply_v=volts, pull_up_ohm=volts / drawn, saturation_v=saturation_v).ohm
    return f" To the input it looks like {write_quantity(ohm, 'resistance')}."


def _leg(
    about: str,
    leg: str,
    legs: dict[str, float],
    later: float | None,
    subjects: tuple[Ref, ...],
    cable: CableRef,
) -> Iterator[Finding]:
    """PAN-05 by the other legs and by its own change; PAN-14 where it was read twice."""
    first = legs[leg]
    now = later if later is not None else first
    others = [ohm for name, ohm in legs.items() if name != leg]
    usual = median(others) if others else None
    change = None if later is None else abs(later - first)
    known = [value for value in (None if usual is None else now - usual, change) if value is not None]
    moved = (
        f"Leg {leg} went from {first:g} to {now:g} ohm"
        if later is not None
        else f"Leg {leg} reads {first:g} ohm"
    )
    says = f"{moved}." if usual is None else f"{moved}; the others read about {usual:g} ohm."
    because = (
        "A leg of a few metres reads about 1 ohm and stays there; a loose joint reads more and moves when"
        " tapped."
    )
    remedies = (
        Remedy(f"Tap along leg {leg} with a meter on it, redo its joints, and measure again."),
        Remedy("Give this leg a pair of its own to the panel, so that its alarms can be told apart."),
    )
    yield LEG_OF_LOOP.judge(
        about=about,
        subjects=subjects,
        cause=cable,
        value=Estimate(max(0.0, *known) if known else None),
        says=says,
        because=because,
        asks=()
        if known
        else (Ask(f"Measure the other legs of this loop, or leg {leg} again.", Who.METER, 10.0),),
        remedies=remedies,
    )
    if change is not None:
        yield CHANGE_OF_LEG.judge(
            about=about,
            subjects=subjects,
            cause=cable,
            value=Estimate(change),
            says=f"{moved}; meter and leads make up to {SMALL_CHANGE_OHM:g} ohm.",
            because=because,
            remedies=remedies,
        )
