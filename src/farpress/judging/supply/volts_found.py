"""Judges volts that a meter read on an installation that is there, beside what its drawing has there."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.circuit.electrics import Electrics, electrics_of
from farpress.case.circuit.states import (
    AS_READ,
    BATTERY_END,
    BATTERY_FULL,
    HIGHEST,
    RATED_HOT,
    CircuitState,
    Moment,
    SupplyLevel,
)
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.terminals_there import found_terminals
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.premises import Premises
from farpress.domain.refs import DeviceRef, JunctionRef, PanelRef, ReceiverRef, Ref, SupplyRef
from farpress.domain.volts_read import VoltsRead
from farpress.judging.check import WITHIN, Check, Estimate, Limit, no_edge
from farpress.units import write_quantity

__all__ = ["LEAST_DOUBT_V", "SOURCE_SHARE", "VOLTS_FOUND", "judge"]

VOLTS_FOUND: Final = Check(
    "SUP-32",
    Link.SUPPLY,
    "Volts read between two terminals, against what the drawn circuit has there in the same state.",
    unit="V",
    bound=WITHIN,
    thin=no_edge("the band has the meter's and the supply's doubt in it"),
    stake=Stake.PROMISE,
    ask="Read the volts of the supply at its own terminals too.",
    who=Who.METER,
    minutes=5.0,
    mends="A joint made good, a core where it belongs, or the drawing put right.",
)

SOURCE_SHARE: Final = 0.05
"""By which a supply may differ from its rated volts, where its terminals were not read; common practice."""

METER_SHARE: Final = 0.02
"""Doubt of a hand meter and its leads, where the supply was read with it too; common practice."""

LEAST_DOUBT_V: Final = 0.1
"""What the last digits of a hand meter and a joint may make; our choice."""

_REFS: Final = (
    ("supplies", SupplyRef),
    ("receivers", ReceiverRef),
    ("devices", DeviceRef),
    ("panels", PanelRef),
    ("junctions", JunctionRef),
)


def judge(case: Case) -> Iterator[Finding]:
    """SUP-32 of every pair of terminals whose volts were read."""
    for premises, house in case.job.premises.items():
        for number, read in enumerate(house.volts_read):
            yield _found(case, premises, number, read)


def _found(case: Case, premises: str, number: int, read: VoltsRead) -> Finding:
    house = case.job.premises[premises]
    ends, wrong = found_terminals(case, premises, read.between)
    names = tuple(map(str, ends))
    low, high, asks, how = None, None, [Ask(text, Who.INSTALLER) for text in wrong], ""
    if not wrong:
        low, high, asks, how = _drawn(case, premises, (names[0], names[1]), read)
    during = f"{read.during}, mains off" if read.mains_off else read.during
    words = write_quantity(read.volts_v, "voltage")
    if low is None or high is None:
        drawn = "what the drawing has there is not known"
    else:
        drawn = f"drawn are {write_quantity(low, 'voltage')} to {write_quantity(high, 'voltage')}{how}"
    return VOLTS_FOUND.judge(
        about=f"volts read {number + 1} at {premises}",
        subjects=tuple(dict.fromkeys(_ref(house, premises, end.thing) for end in ends)),
        value=Estimate(read.volts_v, 0.0),
        limit=Limit(low, (), high),
        says=f"{words} were read from {read.between[0]} to {read.between[1]} ({during}); {drawn}.",
        because=_because(read.volts_v, low, high),
        asks=asks,
        remedies=(
            Remedy("Hold the meter along the way, terminal by terminal: where the volts go is the fault"),
            Remedy("Write into the job what is really there: another core, length, load or terminal"),
        ),
        sources=(GIVEN, PRACTICE),
    )


def _because(volts: float, low: float | None, high: float | None) -> str:
    """What such a reading hints at."""
    if low is None or high is None or low <= volts <= high:
        return ""
    if volts < 0 <= low:
        return "Less than nothing: two cores are changed over, or the leads were."
    if volts < low:
        return "A bad joint, a thinner or longer core, a return that others share, or more that draws."
    return "Less draws than is drawn, a contact is closed that should be open, or another supply feeds it."


def _drawn(
    case: Case, premises: str, ends: tuple[str, str], read: VoltsRead
) -> tuple[float | None, float | None, list[Ask], str]:
    """Lowest and highest volts that the drawing allows, what must be asked, and how it was worked out."""
    electrics = electrics_of(case, premises)
    moment = next((known for known in electrics.moments if known.name == read.during), None)
    if moment is None:
        says = f"Say what is on while {read.between[0]} is read: nothing at {premises} does '{read.during}'."
        return None, None, [Ask(says, Who.INSTALLER)], ""
    if any(end not in electrics.circuit.node_of for end in ends):
        return None, None, [Ask(f"Draw what leads to {' and '.join(ends)}.", Who.INSTALLER)], ""
    levels = (BATTERY_FULL, BATTERY_END) if read.mains_off else (AS_READ, RATED_HOT, HIGHEST)
    if not read.mains_off:
        scale = _scale(case, premises, electrics, moment, ends, read)
        if scale is not None:
            levels = (AS_READ, RATED_HOT)
            seen = _across(electrics, moment, levels, ends)
            return *_with_doubt([scale * volts for volts in seen], METER_SHARE), [], ", by the supply as read"
    seen = _across(electrics, moment, levels, ends)
    if not seen:
        says = f"Find which supply feeds {read.between[0]}, and its rated volts."
        return None, None, [Ask(says, Who.LABEL)], ""
    share = METER_SHARE if read.mains_off else SOURCE_SHARE
    return *_with_doubt(seen, share), [], ""


def _across(
    electrics: Electrics, moment: Moment, levels: tuple[SupplyLevel, ...], ends: tuple[str, str]
) -> list[float]:
    found = []
    for level in levels:
        volts = electrics.solve(CircuitState(moment, level)).across(*ends)
        if volts is not None:
            found.append(volts)
    return found


def _with_doubt(seen: list[float], share: float) -> tuple[float | None, float | None]:
    if not seen:
        return None, None
    low, high = min(seen), max(seen)
    return low - max(share * abs(low), LEAST_DOUBT_V), high + max(share * abs(high), LEAST_DOUBT_V)


def _scale(
    case: Case, premises: str, electrics: Electrics, moment: Moment, ends: tuple[str, str], read: VoltsRead
) -> float | None:
    """How the supply as it was read in the same state compares with its rated volts; None if it was not."""
    circuit = electrics.circuit
    solved = electrics.solve(CircuitState(moment, AS_READ))
    for other in case.job.premises[premises].volts_read:
        if other is read or (other.during, other.mains_off) != (read.during, read.mains_off):
            continue
        found, wrong = found_terminals(case, premises, other.between)
        names = tuple(map(str, found))
        if wrong or any(name not in circuit.node_of for name in names):
            continue
        for source in circuit.sources:
            poles = [circuit.node_of[source.plus], circuit.node_of[source.zero]]
            if [circuit.node_of[name] for name in names] != poles:
                continue
            rated = solved.across(source.plus, source.zero)
            mine = solved.net_of.get(circuit.node_of[ends[0]])
            if (
                isinstance(rated, float)
                and rated
                and solved.net_of.get(poles[0]) == mine
                and other.volts_v > 0
            ):
                return float(other.volts_v / rated)
    return None


def _ref(house: Premises, premises: str, thing: str) -> Ref:
    """The ref of a thing that has terminals."""
    made = next((ref for room, ref in _REFS if thing in getattr(house, room)), JunctionRef)
    return made(f"{premises}/{thing}")
