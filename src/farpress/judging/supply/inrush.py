"""Judges what a load does to its supply at the moment it is switched on: does a receiver fall out?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from farpress.case.cabling import End, core_of_run
from farpress.case.case import Case
from farpress.case.circuit.electrics import electrics_of
from farpress.case.circuit.solved import Solver
from farpress.case.circuit.states import LOWEST, CircuitState, Moment
from farpress.case.supply_volts import lowest_of
from farpress.core.wiring.contacts import PEAK_MULTIPLES
from farpress.core.wiring.standby import worn_ohm
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.parts import BatterySheet, DeviceSheet, Part, SupplySheet
from farpress.domain.refs import DeviceRef, Ref, SupplyRef, refs_of
from farpress.judging.check import AT_LEAST, AT_MOST, Check, Estimate, Limit, no_edge
from farpress.judging.supply.asks import cable_of, cores_of, current_of, least_volts_of
from farpress.judging.supply.drop import DROP_DOUBT
from farpress.judging.supply.standby import COLD_DEGC
from farpress.sources import Citation, Mark, cited
from farpress.units import write_quantity

__all__ = ["STARTING_CURRENT", "VOLTS_AT_START", "judge_inrush"]

VOLTS_AT_START: Final = Check(
    "SUP-10",
    Link.SUPPLY,
    "Volts left for receivers while a load on the same supply starts, against the least they work with.",
    unit="V",
    bound=AT_LEAST,
    thin=no_edge("the lowest voltage is the end of a range; what is doubtful is the drop from there"),
    stake=Stake.PROMISE,
    ask="Measure the volts at the receiver while the load starts.",
    who=Who.METER,
    mends="A supply of its own for the load, or a battery that buffers the receiver's.",
)

STARTING_CURRENT: Final = Check(
    "SUP-14",
    Link.SUPPLY,
    "Current of a load that starts, with all else on its supply, against what one without a battery gives.",
    unit="A",
    bound=AT_MOST,
    stake=Stake.PROMISE,
    ask="Read the rated current of the supply off its label.",
    mends="A supply of its own for the load, or a battery that buffers the receiver's.",
)

LASTING: Final = frozenset({"motor", "lamp"})
"""Loads whose peak lasts a tenth of a second or more: no capacitor in a receiver bridges that."""

BRIDGED_S: Final = 0.01
"""A receiver's own capacitor bridges a peak as short as this; common practice [s]."""

_USUAL: Final = Citation("usual peaks by kind of load: instrument-module and switch manuals", mark=Mark.COPY)
_LIMITS: Final = Citation(
    "a regulated supply without battery limits near its rated current", mark=Mark.PRACTICE
)


@dataclass(frozen=True)
class _Start:
    """An end that starts: its least and greatest peak [A], the same where it is given, and who says so.

    `least_a` and `most_a` are None where the peak is not known; `ask` then says what to find.
    """

    end: End
    least_a: float | None
    most_a: float | None
    sources: tuple[Citation, ...] = ()
    ask: Ask | None = None

    @property
    def is_given(self) -> bool:
        """Whether its peak is known as one figure."""
        return self.least_a == self.most_a

    @property
    def says(self) -> str:
        """Who takes how much."""
        if self.least_a is None or self.most_a is None:
            return f"What {self.end.who} takes when it starts is not known"
        most = write_quantity(self.most_a, "current")
        if self.is_given:
            return f"{self.end.who} takes {most} when it starts"
        least = write_quantity(self.least_a, "current")
        return f"{self.end.who} takes {least} to {most} (usual range) when it starts"


@dataclass(frozen=True)
class _Left:
    """The receiver that is worst off: which, and its volts."""

    receiver: End
    volts: float


def judge_inrush(
    case: Case, path: str, part: Part[SupplySheet], battery: Part[BatterySheet] | None, ends: tuple[End, ...]
) -> Iterator[Finding]:
    """SUP-10 or SUP-14 of every motor, lamp or known long peak on a direct-current supply of a receiver."""
    receivers = tuple(end for end in ends if end.is_receiver)
    if part.sheet.supply == "ac" or not receivers:
        return
    for end in ends:
        start = _start_of(case, end)
        if start is None:
            continue
        if battery is None and part.sheet.rated_a is not None:
            yield _starting_current(path, part, part.sheet.rated_a, ends, receivers, start)
        else:
            yield _volts_at_start(case, path, part, battery, ends, receivers, start)


def _start_of(case: Case, end: End) -> _Start | None:
    """The peak of an end; None where it has none that lasts."""
    paths = [ref.path for ref in refs_of(DeviceRef, end.subjects)]
    device = case.equipment.devices.get(paths[0]) if paths else None
    if device is None:
        return None
    sheet = device.sheet
    if sheet.peak_a is not None:
        total = sheet.peak_a * (sheet.pieces or 1)
        if not _lasts(sheet) or (end.amperes is not None and total <= end.amperes):
            return None
        return _Start(end, total, total, device.cite("peak_a", "pieces"))
    if sheet.load is None:
        ask = Ask(f"Say what kind of load {end.who} is: a motor and a lamp take several times their current.")
        return _Start(end, None, None, ask=ask)
    if sheet.load not in LASTING:
        return None
    if sheet.pull_in_a is not None:
        total = sheet.pull_in_a * (sheet.pieces or 1)
        return _Start(end, total, total, device.cite("pull_in_a", "pieces"))
    if end.amperes is None:
        return _Start(end, None, None, ask=current_of(end))
    low, high = PEAK_MULTIPLES[sheet.load]
    sources = (*device.cite("current_a", "load"), _USUAL)
    return _Start(end, low * end.amperes, high * end.amperes, sources)


def _lasts(sheet: DeviceSheet) -> bool:
    if sheet.peak_s is not None:
        return bool(sheet.peak_s > BRIDGED_S)
    return sheet.load is None or sheet.load in LASTING


def _subjects(start: _Start, receivers: tuple[End, ...], path: str) -> tuple[Ref, ...]:
    fallen = tuple(subject for receiver in receivers for subject in receiver.subjects)
    return (*start.end.subjects, *fallen, SupplyRef(path))


def _measure(start: _Start, receiver: End) -> Ask:
    instead = "." if start.is_given else ", or find its starting current."
    return Ask(f"Measure the volts at {receiver.who} while {start.end.who} starts{instead}", Who.METER, 10.0)


def _apart(start: _Start) -> Remedy:
    return Remedy(
        f"Feed {start.end.who} from a supply of its own, or buffer the receiver's supply with a battery."
    )


def _starting_current(
    path: str,
    part: Part[SupplySheet],
    rated_a: float,
    ends: tuple[End, ...],
    receivers: tuple[End, ...],
    start: _Start,
) -> Finding:
    """SUP-14: a usual range fails where even its least is too much, and is not known where its most is."""
    others = sum(end.rest_a or 0.0 for end in ends if end is not start.end)
    most = None if start.most_a is None else start.most_a + others
    is_by_range = start.least_a is not None and most is not None and start.least_a + others <= rated_a < most
    stands = most is not None and most <= rated_a
    asks = [start.ask] if start.ask else []
    return STARTING_CURRENT.judge(
        about=f"{start.end.name} on {path}",
        subjects=_subjects(start, receivers, path),
        cause=SupplyRef(path),
        value=Estimate(most),
        limit=Limit(rated_a),
        says=f"{start.says}; {path} gives {rated_a:g} A"
        f"{', so its voltage stands.' if stands else ' and has no battery.'}",
        because=""
        if stands
        else (
            "A regulated supply without a battery limits near its rated current: its voltage breaks down"
            " while the load starts, and receivers begin anew."
        ),
        asks=[*asks, *([_measure(start, receivers[0])] if is_by_range else [])],
        failure_stands=not is_by_range,
        remedies=(_apart(start),),
        sources=(*start.sources, *part.cite("rated_a"), _LIMITS),
    )


def _volts_at_start(
    case: Case,
    path: str,
    part: Part[SupplySheet],
    battery: Part[BatterySheet] | None,
    ends: tuple[End, ...],
    receivers: tuple[End, ...],
    start: _Start,
) -> Finding:
    """SUP-10: with the greatest peak of a usual range, unless only that is too much."""
    lowest = lowest_of(part, battery)
    ohm, worn = part.sheet.source_ohm, ""
    if battery is not None:
        ohm, worn = _battery_ohm(battery)
    worst = best = None
    if lowest is not None and ohm is not None and start.least_a is not None and start.most_a is not None:
        behind = ohm + lowest.source_ohm
        worst = _left(case, SupplyRef(path), receivers, start.end, start.most_a, behind)
        best = _left(case, SupplyRef(path), receivers, start.end, start.least_a, behind)
    receiver = worst.receiver if worst else receivers[0]
    least = receiver.minimum_v
    asks: list[Ask] = [start.ask] if start.ask else []
    is_by_range = False
    if worst is None or best is None or lowest is None or ohm is None:
        asks.append(_measure(start, receiver))
        is_short = ohm is not None and lowest is not None and start.ask is None
        says = (
            f"{start.says}; the cables of {path} hardly carry that."
            if is_short
            else f"{start.says}; whether the receivers on {path} keep running is not known."
        )
        value, because = Estimate(None), ""
    else:
        needs = f", which needs {least:g} V" if least is not None else ""
        left = write_quantity(float(f"{worst.volts:.3g}"), "voltage")
        says = f"{start.says}; {left} are left at {receiver.who}{needs}."
        because = (
            f"{lowest.says[0].upper()}{lowest.says[1:]} at {lowest.volts:g} V behind"
            f" {write_quantity(ohm, 'resistance')}{worn}."
        )
        value = Estimate(worst.volts, DROP_DOUBT * (lowest.volts - worst.volts))
        is_by_range = least is not None and worst.volts < least <= best.volts and not start.is_given
        if is_by_range:
            asks.append(_measure(start, receiver))
    if least is None:
        asks.append(least_volts_of(receiver))
    asks += [cable_of(end) for end in (start.end, *receivers) if end.run is None]
    asks += [
        cores_of(end.run) for end in (start.end, *receivers) if end.run and not core_of_run(case, end.run)
    ]
    return VOLTS_AT_START.judge(
        about=f"{start.end.name} on {path}",
        subjects=_subjects(start, receivers, path),
        cause=SupplyRef(path),
        value=value,
        limit=Limit(least),
        says=says,
        because=because,
        asks=asks,
        failure_stands=not is_by_range,
        remedies=(_apart(start),),
        sources=(
            *start.sources,
            *part.cite("source_ohm"),
            *((*battery.cite("inner_ohm", "coldest_degc"), *cited(worn_ohm)) if battery else ()),
        ),
    )


def _battery_ohm(battery: Part[BatterySheet]) -> tuple[float | None, str]:
    """Resistance inside a battery, worn and cold, and how that is said; None where its sheet does not say."""
    fresh, coldest = battery.sheet.inner_ohm, battery.sheet.coldest_degc
    if (
        fresh is None or battery.sheet.chemistry != "lead"
    ):  # how much more another has in the cold, nobody says
        return None, ""
    degc = COLD_DEGC if coldest is None else coldest
    new = write_quantity(fresh, "resistance")
    return worn_ohm(fresh_ohm=fresh, coldest_degc=degc), f" ({new} new; worn and at {degc:g} °C)"


def _left(
    case: Case, supply: SupplyRef, receivers: tuple[End, ...], end: End, peak_a: float, ohm: float
) -> _Left | None:
    """The receiver that is worst off while an end takes its peak; None if the cables cannot carry it."""
    electrics = electrics_of(case, supply.premises.path)
    draw = electrics.circuit.terminals_of[supply.name, end.name][2]
    solver = Solver(electrics.circuit.with_start(draw, peak_a, supply.name, ohm))
    on = frozenset({end.at.path}) if end.at is not None else frozenset[str]()
    moment = electrics.alone(supply.name, Moment("start", on))
    solved = solver.solve(CircuitState(moment, LOWEST))
    lefts = [
        _Left(receiver, volts)
        for receiver in receivers
        if (volts := solved.at(supply.name, receiver.name)[0]) is not None
    ]
    if draw in solved.starved or len(lefts) < len(receivers):
        return None
    return min(lefts, key=lambda left: left.volts - (left.receiver.minimum_v or 0.0))
