"""Judges the peak at switching on against what the contact may make."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from farpress.case.case import Case
from farpress.case.switched import Load, Switched
from farpress.core.wiring.contacts import (
    PEAK_MULTIPLES,
    USUAL_MAKE_MULTIPLE,
    making_peak_a,
    pieces_per_contact,
)
from farpress.core.wiring.inrush import capacitor_peak_a
from farpress.core.wiring.supply_load import ac_peak_v
from farpress.domain.finding import Finding, Link, Remedy, Stake, Verdict
from farpress.judging.check import AT_MOST, Check, Estimate, Limit
from farpress.judging.contact.stronger import how_many, missing_of, power_loads, stronger
from farpress.sources import Citation, Mark, cited
from farpress.units import write_at_most, write_quantity

__all__ = ["MAKING_PEAK", "judge_making", "welds"]

MAKING_PEAK: Final = Check(
    "CON-02",
    Link.CONTACT,
    "Peak at switching on, against what the contact may make.",
    unit="A",
    bound=AT_MOST,
    stake=Stake.PROMISE,
    ask="Read the making current of the contact off its data sheet.",
    mends="A contactor for the peak, an inrush limiter, or fewer pieces on one contact.",
)

_EMPTY_AT_FIRST: Final = ("capacitive", "constant power")
"""Loads with a capacitor that is empty at first: no multiple of their steady current bounds its charge."""

_PEAK_RANGE: Final = Citation(
    "usual peaks by kind of load: instrument-module manual; Lighting Research Center note 2011-03-02",
    mark=Mark.COPY,
)

_MEASURED: Final = Citation("peak at switching on, measured in the line", mark=Mark.MEASURED)

_TEN_TIMES: Final = Citation(
    "relays are often rated to make 10 times their current",
    place="Lighting Research Center note 2011-03-02",
    mark=Mark.COPY,
)


@dataclass(frozen=True)
class _Peak:
    """Peak of everything a contact switches on at once [A].

    Attributes:
        least_a, greatest_a: known peaks, and the usual range of the others.
        ranged: loads of which only the usual range is known.
        asks: what is missing of loads of which nothing can be said.
        sources: of the loads and of the ranges.
    """

    least_a: float
    greatest_a: float
    ranged: tuple[Load, ...]
    asks: tuple[str, ...]
    sources: tuple[Citation, ...]

    @property
    def says(self) -> str:
        greatest = write_quantity(self.greatest_a, "current")
        if not self.ranged:
            return greatest
        return f"{write_quantity(self.least_a, 'current')} to {greatest} (usual range)"


def judge_making(case: Case, circuit: Switched) -> Iterator[Finding]:
    """CON-02: known peaks added; unknown ones bounded by what is usual for the kind of load."""
    powers = power_loads(circuit)
    if not powers:
        return
    contact, peak = circuit.contact, _peak(circuit, powers)
    limit, limit_asks, because = _limit(circuit, peak)
    held_least = MAKING_PEAK.word(peak.least_a, limit)
    fails = held_least is Verdict.FAILS
    asks = (*peak.asks, *limit_asks)
    if not fails and MAKING_PEAK.word(peak.greatest_a, limit) is Verdict.FAILS:
        asks = (*asks, *(f"Read the peak current of {load.name} off its label." for load in peak.ranged))
    is_limited = fails and bool(circuit.at.output.limits_inrush)
    if is_limited:
        asks = (*asks, "Read off its data sheet what peak the inrush limiter lets through.")
    says = f"Switching on makes a peak of {peak.says}: {' and '.join(_named(load) for load in powers)}"
    if _measured_a(circuit) is not None:
        says = f"Switching on makes a peak of {peak.says}, measured in this line"
    if peak.asks and not fails:
        says = f"The peak of {_unknown_names(powers)} at switching on is not known."
    elif is_limited:
        says += " without the inrush limiter that is fitted; what is left with it is not known."
    elif limit.value is None:
        says += f"; what {contact.name} may make is not known."
    elif limit_asks:
        says += (
            f"; what {contact.name} may make is not known. Many relays make"
            f" {USUAL_MAKE_MULTIPLE:g} times their rating, here {limit.value:g} A."
        )
    else:
        says += f"; {contact.name} may make {limit.value:g} A."
    value = peak.least_a if fails else peak.greatest_a
    yield MAKING_PEAK.judge(
        about=circuit.about,
        subjects=circuit.subjects,
        value=Estimate(value if value or not peak.asks else None, None, peak.sources),
        limit=limit,
        says=says,
        because=because,
        asks=tuple(dict.fromkeys(asks)),
        failure_stands=fails and not is_limited,
        remedies=lambda _: _against_peak(case, circuit, powers, limit.value or 0.0),
    )


def _limit(circuit: Switched, peak: _Peak) -> tuple[Limit, tuple[str, ...], str]:
    """What the contact may make; where nobody says, its rating, or what is usual, with the question."""
    contact = circuit.contact
    if contact.make_a is not None:
        return Limit(contact.make_a, contact.sources), (), ""
    if contact.rated_a is None:
        ask = f"Read the rated and the making current of {contact.name} off its data sheet."
        return Limit(None, contact.sources), (ask,), ""
    rated = Limit(contact.rated_a, contact.sources)
    usual = Limit(USUAL_MAKE_MULTIPLE * contact.rated_a, (*contact.sources, _TEN_TIMES))
    if MAKING_PEAK.word(peak.greatest_a, rated) is not Verdict.FAILS:
        return rated, (), "The peak lies below the continuous rating."
    if MAKING_PEAK.word(peak.least_a, usual) is Verdict.FAILS:
        because = (
            f"The making current of {contact.name} is not given; even {USUAL_MAKE_MULTIPLE:g} times its"
            f" {contact.rated_a:g} A, which many relays make, is not enough. It would weld."
        )
        return usual, (), because
    return usual, (f"Read the making current of {contact.name} off its data sheet.",), ""


def _peak(circuit: Switched, powers: Sequence[Load]) -> _Peak:
    """As measured in the line, with all that hangs on it; else as computed from the pieces."""
    measured = _measured_a(circuit)
    if measured is None:
        return _peak_of(powers)
    sources = [source for load in powers for source in load.sources]
    return _Peak(measured, measured, (), (), (*sources, _MEASURED))


def _measured_a(circuit: Switched) -> float | None:
    """Peak measured in the line [A]; a contact that works the coil of a relay does not carry it."""
    is_coil = bool(circuit.at.output.via) and not circuit.contact.is_relay
    return None if is_coil else circuit.at.output.peak_a


def _peak_of(powers: Sequence[Load]) -> _Peak:
    least = greatest = 0.0
    ranged: list[Load] = []
    asks: list[str] = []
    sources: list[Citation] = [source for load in powers for source in load.sources]
    sources += cited(making_peak_a)
    for load in powers:
        asks += how_many(load)
        if load.piece_peak_a is not None:
            peak = making_peak_a(
                piece_peak_a=load.piece_peak_a,
                pieces=load.pieces,
                voltage_v=_crest_v(load),
                loop_ohm=load.loop_ohm,
            )
            least, greatest = least + peak, greatest + peak
        elif load.amperes is not None and load.kind is not None:
            low_a, high_a = (multiple * load.amperes for multiple in PEAK_MULTIPLES[load.kind])
            most_a = _by_ohms_law(load)
            if load.kind in _EMPTY_AT_FIRST:  # nothing but the way to it holds the first moment down
                high_a = high_a if most_a is None else most_a
                asks += [f"Name the cable to {load.name} and its length."] * (most_a is None)
            elif most_a is not None:
                high_a = min(high_a, most_a)
            least, greatest = least + min(low_a, high_a), greatest + high_a
            if low_a < high_a:
                ranged.append(load)
                sources += (_PEAK_RANGE, *cited(capacitor_peak_a))
        else:
            asks += [f"Read the peak current of {load.name} off its label.", *missing_of(load)]
    return _Peak(least, greatest, tuple(ranged), tuple(asks), tuple(sources))


def _by_ohms_law(load: Load) -> float | None:
    """What source and cold cable let through at the crest [A]; None where they are not known."""
    volts = _crest_v(load)
    if volts is None or not load.cold_loop_ohm:
        return None
    return capacitor_peak_a(voltage_v=volts, loop_ohm=load.cold_loop_ohm)


def welds(circuit: Switched) -> bool:
    """Whether the least peak at switching on is more than the contact may make, and nothing limits it."""
    powers = power_loads(circuit)
    if not powers or circuit.at.output.limits_inrush:
        return False
    peak = _peak(circuit, powers)
    return MAKING_PEAK.word(peak.least_a, _limit(circuit, peak)[0]) is Verdict.FAILS


def _crest_v(load: Load) -> float | None:
    if load.volts is None:
        return None
    return ac_peak_v(rms_v=load.volts) if load.alternating is not False else load.volts


def _named(load: Load) -> str:
    if load.pieces > 1 and load.piece_peak_a:
        return f"{load.pieces} x {load.piece_peak_a:g} A of {load.name}"
    return load.name


def _unknown_names(powers: Sequence[Load]) -> str:
    return " and ".join(
        load.name
        for load in powers
        if load.piece_peak_a is None and (load.amperes is None or load.kind is None)
    )


def _against_peak(
    case: Case, circuit: Switched, powers: Sequence[Load], limit_a: float
) -> tuple[Remedy, ...]:
    remedies = list(stronger(case, circuit, powers))
    if len(powers) == 1 and powers[0].piece_peak_a and powers[0].pieces > 1:
        fit = pieces_per_contact(piece_peak_a=powers[0].piece_peak_a, make_a=limit_a)
        if fit:
            remedies.append(
                Remedy(
                    f"Split it: at most {fit} of {powers[0].pieces} pieces on one contact,"
                    f" {math.ceil(powers[0].pieces / fit)} contacts."
                )
            )
        else:
            remedies.append(
                Remedy(f"Splitting does not help: one piece alone makes {powers[0].piece_peak_a:g} A.")
            )
    remedies.append(
        Remedy(
            "Fit an inrush limiter or a contact that closes at the zero of the wave, so that no more than"
            f" {write_at_most(limit_a, 'current')} are left."
        )
    )
    return tuple(remedies)
