"""Judges status lines: a panel's transistor output on an input of a receiver, each with a 0 V of its own.

The transistor pulls down to the panel's 0 V, and the input counts from the receiver's. What returns from the
panel lifts the one, what returns from the receiver the other; the circuit says how far they are apart.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Final

from farpress.case.cabling import core_of_run, ends_of, hot_degc_of, shares_return
from farpress.case.case import Case
from farpress.case.circuit.electrics import Electrics, electrics_of
from farpress.case.circuit.parts import Circuit, Conductor
from farpress.case.circuit.solved import Solver
from farpress.case.circuit.states import AS_READ, LABELS_HOT, CircuitState
from farpress.case.drawn_wires import drawn_run, supply_of
from farpress.case.supply_ends import End
from farpress.core.wiring.open_collector import equivalent, low_level_v
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Verdict, Who
from farpress.domain.parts import PanelOutput, PanelSheet, Part, ReceiverSheet
from farpress.domain.premises import CableRun, ReceiverInput
from farpress.domain.refs import InputRef, PanelRef, ReceiverRef, Ref
from farpress.judging.check import AT_MOST, WITHIN, Answer, Check, Estimate, Limit
from farpress.judging.supply.asks import cable_of, current_of
from farpress.sources import Citation, Mark, cited
from farpress.units import write_quantity

__all__ = ["LOW_LEVEL", "SINK_CURRENT", "judge_status_line"]

LEAST_INPUT_V: Final = -0.3
"""As far below its own 0 V an input stands without its protection conducting; common practice [V]."""

LOW_LEVEL: Final = Check(
    "PAN-04",
    Link.PANEL,
    (
        "Volts that a panel's transistor output leaves on an input, in every moment, against what the input"
        " counts as closed and how far below its own 0 V it stands."
    ),
    unit="V",
    bound=WITHIN,
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

_BELOW: Final = Citation(f"an input stands {LEAST_INPUT_V:g} V against its own 0 V", mark=Mark.PRACTICE)

_RELAY: Final = Remedy("Put a small relay or optocoupler between; then nothing of this matters.")


@dataclass(frozen=True)
class _StatusLine:
    """A panel's output on a status input of a receiver.

    Attributes:
        about, subjects: as findings have them.
        reads: the panel's output, as in the job.
        output: what the panel's data say of it.
        panel, receiver: with their sheets.
        is_cable_known: whether its cores and their length are.
        receiver_ref, panel_ref: the two boxes.
        live, common, panel_zero: terminals of the input and the panel's 0 V.
        run, cold_ohm_per_km: its cable; None where it is not known.
        is_one_supply: panel and receiver are named as fed from one.
    """

    about: str
    subjects: tuple[Ref, ...]
    reads: str
    output: PanelOutput
    panel: Part[PanelSheet]
    receiver: Part[ReceiverSheet]
    is_cable_known: bool
    is_one_supply: bool
    receiver_ref: ReceiverRef
    panel_ref: PanelRef
    live: str
    common: str
    panel_zero: str
    run: CableRun | None
    cold_ohm_per_km: float | None


def judge_status_line(
    case: Case, receiver: ReceiverRef, number: str, entry: ReceiverInput
) -> Iterator[Finding]:
    """PAN-04 and PAN-13 of an input that reads a panel; a relay contact is free of potential."""
    premises = receiver.premises.path
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
    cable = entry.cable or drawn_run(case, premises, f"{receiver.name}.in{number}")
    core = core_of_run(case, cable)
    line = _StatusLine(
        about,
        subjects,
        entry.reads,
        output,
        panel,
        case.equipment.receivers[receiver.path],
        core is not None and cable is not None,
        supply_of(case, premises, receiver.name) is not None
        and supply_of(case, premises, receiver.name) == supply_of(case, premises, panel_name),
        receiver,
        PanelRef(f"{premises}/{panel_name}"),
        f"{receiver.name}.in{number}",
        f"{receiver.name}.in{number} common",
        f"{panel_name}.0",
        cable,
        core.cold_ohm_per_km if core else None,
    )
    yield _sink_current(line)
    yield _low_level(case, line)


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


@dataclass(frozen=True)
class _Levels:
    """Volts at an input while the panel's output is on, over all moments.

    Attributes:
        lowest_v, highest_v: at the input over its own 0 V [V].
        least_shift_v, most_shift_v: the panel's 0 V over the receiver's [V].
    """

    lowest_v: float
    highest_v: float
    least_shift_v: float
    most_shift_v: float

    @property
    def says(self) -> str:
        """The range, or one figure."""
        if self.highest_v - self.lowest_v < 0.005:
            return f"{self.highest_v:.2f} V are"
        return f"{self.lowest_v:.2f} to {self.highest_v:.2f} V are"


def _levels(electrics: Electrics, line: _StatusLine, circuit: Circuit | None = None) -> _Levels | None:
    """Over every moment in which the output is on; None where the line or a 0 V is not known."""
    solver = electrics if circuit is None else Solver(circuit)
    seen: list[float] = []
    shifts: list[float] = []
    for moment in electrics.moments:
        if not moment.signals or moment.is_open:
            continue
        solved = solver.solve(CircuitState(moment, LABELS_HOT))
        volts = solved.across(line.live, line.common)
        shift = solved.across(line.panel_zero, line.common)
        if volts is None or shift is None:
            return None
        seen.append(volts)
        shifts.append(shift)
    return _Levels(min(seen), max(seen), min(shifts), max(shifts)) if seen else None


def _low_level(case: Case, line: _StatusLine) -> Finding:
    """PAN-04: the end of the range that lies nearest to what the input takes, or furthest beyond it."""
    electrics = electrics_of(case, line.receiver_ref.premises.path)
    sheet, saturation = line.receiver.sheet, line.output.saturation_v
    low, drawn = sheet.input_low_v, sheet.input_current_a
    asks: list[str | Ask] = [
        *_asks(
            (f"saturation voltage of {line.reads}", saturation),
            (f"voltage below which {line.reads} counts as closed at the receiver's input", low),
            (f"current of the receiver's input for {line.reads}", drawn),
            (f"cable of the status line {line.reads}", line.is_cable_known or None),
        ),
        *_asks_of_returns(case, line),
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
    levels = None if saturation is None or not line.is_cable_known else _levels(electrics, line)
    because = "An open collector only pulls down to the 0 V of its panel."
    remedies: Sequence[Remedy] | Callable[[Verdict], Sequence[Remedy]] = (_RELAY,)
    value: float | None = None
    if saturation is None or levels is None:
        says = (
            f"{line.reads} is an open collector; whether the receiver's input takes it for closed is not"
            " known."
        )
    else:
        value = _nearest(levels, low)
        because += _shift_says(electrics, line, levels, saturation)
        says = f"{levels.says} left at the input when {line.reads} is on"
        says += "." if low is None else f"; up to {low:g} V count as closed."
        if levels.lowest_v < LEAST_INPUT_V:
            says += f" That is below its own 0 V, where it stands {LEAST_INPUT_V:g} V."
        remedies = partial(_remedies, electrics, line, low)
    if not line.is_one_supply:
        says += " Panel and receiver are not named as fed from one supply."
    return LOW_LEVEL.judge(
        about=line.about,
        subjects=line.subjects,
        value=Estimate(value),
        limit=_limit(low, levels),
        says=says,
        because=lambda verdict: because + (_as_read(electrics, line) if verdict is Verdict.FAILS else ""),
        asks=asks,
        remedies=remedies,
        sources=(
            *line.panel.cite("outputs", "current_a"),
            *line.receiver.cite("input_voltage_v", "input_current_a", "input_low_v", "current_idle_a"),
            *cited(low_level_v),
            _BELOW,
        ),
    )


def _as_read(electrics: Electrics, line: _StatusLine) -> str:
    """What a meter shows at the input while nothing is pressed and nothing is hot."""
    resting = next((moment for moment in electrics.moments if moment.signals and not moment.on), None)
    if resting is None:
        return ""
    solved = electrics.in_moment(resting, AS_READ)
    volts, over = solved.across(line.live, line.common), solved.across(line.common, line.panel_zero)
    if volts is None or over is None:
        return ""
    return (
        f" With nothing pressed, rated volts and cores at 20 °C a meter shows {volts:.2f} V there, and the"
        f" receiver's 0 V {over:.2f} V over the panel's."
    )


def _limit(low: float | None, levels: _Levels | None) -> Limit:
    """What the input takes; that it is below its own 0 V needs no threshold to be wrong."""
    if low is not None:
        return Limit(LEAST_INPUT_V, upper=low)
    if levels is not None and levels.lowest_v < LEAST_INPUT_V:
        return Limit(LEAST_INPUT_V, upper=levels.highest_v + 1.0)
    return Limit(None)


def _nearest(levels: _Levels, low: float | None) -> float:
    if low is None:
        return levels.lowest_v if levels.lowest_v < LEAST_INPUT_V else levels.highest_v
    is_low = levels.lowest_v - LEAST_INPUT_V < low - levels.highest_v
    return levels.lowest_v if is_low else levels.highest_v


def _shift_says(electrics: Electrics, line: _StatusLine, levels: _Levels, saturation_v: float) -> str:
    least, most = levels.least_shift_v, levels.most_shift_v
    apart = f"{most:.2f} V" if most - least < 0.005 else f"{least:.2f} to {most:.2f} V"
    says = f" {saturation_v:g} V remain at it, and the panel's 0 V lies {apart} over the receiver's."
    own = [core for core in electrics.circuit.conductors if core.name == f"{line.reads} to {line.live}, back"]
    if own:
        cores = tuple(core for core in electrics.circuit.conductors if core not in own)
        without = _levels(electrics, line, replace(electrics.circuit, conductors=cores))
        if without is not None and abs(without.highest_v - levels.highest_v) >= 0.005:
            says += f" Without the 0 V core of its own cable {without.says} left."
    return f"{says}{_looks(line, saturation_v)}"


def _remedies(electrics: Electrics, line: _StatusLine, low: float | None, _: Verdict) -> tuple[Remedy, ...]:
    own = _own_zero(electrics, line, low)
    return (own, _RELAY) if own is not None else (_RELAY,)


def _own_zero(electrics: Electrics, line: _StatusLine, low: float | None) -> Remedy | None:
    """A 0 V core of its own for the line, where it has none and one would do; tried in the circuit."""
    run = line.run
    if run is None or line.cold_ohm_per_km is None or low is None:
        return None
    name = f"{line.reads} to {line.live}, back"
    if any(core.name == name for core in electrics.circuit.conductors):
        return None
    extra = Conductor(
        name,
        line.panel_zero,
        line.common,
        line.cold_ohm_per_km,
        run.length_m,
        hot_degc_of(run),
        run.part,
        (),
        "another",
    )
    circuit = electrics.circuit
    tried = _levels(electrics, line, replace(circuit, conductors=(*circuit.conductors, extra)))
    if tried is None or not LEAST_INPUT_V <= tried.lowest_v <= tried.highest_v <= low:
        return None
    return Remedy(
        "Give the status line a 0 V core of its own, beside those that lie there.",
        f"{tried.says} left at the input",
    )


def _asks_of_returns(case: Case, line: _StatusLine) -> Iterator[Ask]:
    """What is open about the ways back of panel and receiver, and what flows in them."""
    premises = line.receiver_ref.premises.path
    for name in case.job.premises[premises].supplies:
        ends = ends_of(case, premises, name)
        mine = [end for end in ends if {line.receiver_ref, line.panel_ref} & set(end.subjects)]
        near: dict[str, End] = {}
        for end in mine:
            if end.is_coil:
                continue
            if end.run is None:
                yield cable_of(end)
            sharing = shares_return(ends, end)
            near |= {other.name: other for other in ends if other.name in sharing}
        for end in near.values():
            panel = case.equipment.panels.get(end.subjects[0].path) if end.is_panel else None
            is_elsewhere = panel is not None and panel.sheet.current_a is None
            if end.ask or is_elsewhere:
                yield (
                    current_of(end)
                    if end.ask
                    else Ask(f"Find the current of {end.who} itself, on its label or data sheet.")
                )


def _looks(line: _StatusLine, saturation_v: float) -> str:
    """What the transistor looks like to the input, as a resistance."""
    volts, drawn = line.receiver.sheet.input_voltage_v, line.receiver.sheet.input_current_a
    if not volts or not drawn or saturation_v >= volts:
        return ""
    ohm = equivalent(supply_v=volts, pull_up_ohm=volts / drawn, saturation_v=saturation_v).ohm
    return f" To the input it looks like {write_quantity(ohm, 'resistance')}."
