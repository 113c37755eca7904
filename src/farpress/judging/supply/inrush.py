"""Judges what a load does to its supply at the moment it is switched on: does a receiver fall out?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from farpress.case.cabling import End, serve
from farpress.case.case import Case
from farpress.case.corners import lowest_of
from farpress.core.wiring.contacts import PEAK_MULTIPLES
from farpress.domain.finding import Finding, Link, Remedy, Verdict
from farpress.domain.parts import BatterySheet, Part, SupplySheet
from farpress.domain.refs import DeviceRef, SupplyRef, refs_of
from farpress.sources import Citation, Mark
from farpress.units import write_quantity

__all__ = ["INRUSH_CODES", "judge_inrush"]

INRUSH_CODES: Final[dict[str, str]] = {
    "SUP-10": (
        "Volts left for receivers while a load on the same supply starts, against the least they work with."
    )
}

_LONG: Final = frozenset({"motor", "lamp"})
"""Loads whose peak lasts a tenth of a second or more: no capacitor in a receiver bridges that."""

_SHORT_S: Final = 0.01
"""A receiver's own capacitor bridges this; common practice."""

_USUAL: Final = Citation("usual peaks by kind of load: instrument-module and switch manuals", mark=Mark.COPY)
_LIMITS: Final = Citation(
    "a regulated supply without battery limits near its rated current", mark=Mark.PRACTICE
)


def judge_inrush(
    case: Case, path: str, part: Part[SupplySheet], battery: Part[BatterySheet] | None, ends: tuple[End, ...]
) -> Iterator[Finding]:
    """SUP-10, of every motor, lamp or known long peak on a direct-current supply that feeds a receiver."""
    receivers = [end for end in ends if end.is_receiver]
    if part.sheet.supply == "ac" or not receivers:
        return
    for end in ends:
        peaks = _peaks_a(case, end)
        if peaks is not None:
            yield _start(case, path, part, battery, ends, receivers, end, *peaks)


def _peaks_a(case: Case, end: End) -> tuple[float, float, tuple[Citation, ...]] | None:
    """Least and greatest peak of an end, the same where it is given, and its source; None where it has none
    that lasts.
    """
    names = [ref.path for ref in refs_of(DeviceRef, end.subjects)]
    device = case.equipment.devices.get(names[0]) if names else None
    if device is None or end.amperes is None:
        return None
    sheet = device.sheet
    if sheet.peak_a is not None:
        lasts = sheet.load in _LONG if sheet.peak_s is None else sheet.peak_s > _SHORT_S
        total = sheet.peak_a * (sheet.pieces or 1)
        return (total, total, device.cite("peak_a", "pieces")) if lasts and total > end.amperes else None
    if sheet.load in _LONG:
        low, high = PEAK_MULTIPLES[sheet.load]
        return low * end.amperes, high * end.amperes, (*device.cite("current_a", "load"), _USUAL)
    return None


def _start(
    case: Case,
    path: str,
    part: Part[SupplySheet],
    battery: Part[BatterySheet] | None,
    ends: tuple[End, ...],
    receivers: list[End],
    end: End,
    least_a: float,
    most_a: float,
    cites: tuple[Citation, ...],
) -> Finding:
    sheet, lowest, given = part.sheet, lowest_of(part, battery), least_a == most_a
    subjects = (*end.subjects, *(subject for one in receivers for subject in one.subjects), SupplyRef(path))
    sources = (
        *cites,
        *part.cite("rated_a", "source_ohm"),
        *(battery.cite("inner_ohm") if battery else ()),
        _LIMITS,
    )
    says = (
        f"{end.who} takes {write_quantity(most_a, 'current')} when it starts"
        if given
        else (
            f"{end.who} takes {write_quantity(least_a, 'current')} to {write_quantity(most_a, 'current')}"
            " (usual range) when it starts"
        )
    )
    others = sum(one.rest_a or 0.0 for one in ends if one is not end)
    apart = Remedy(
        f"Feed {end.who} from a supply of its own, or buffer the receiver's supply with a battery."
    )
    measure = Remedy(
        f"Measure the volts at {receivers[0].who} while {end.who} starts"
        + ("." if given else ", or find its starting current.")
    )

    def finding(
        verdict: Verdict,
        text: str,
        because: str = "",
        value: float | None = None,
        limit: float | None = None,
        remedies: tuple[Remedy, ...] = (),
    ) -> Finding:
        margin = value - limit if value is not None and limit is not None else None
        return Finding(
            "SUP-10",
            Link.SUPPLY,
            verdict,
            f"{end.name} on {path}",
            text,
            because,
            value,
            limit,
            "V" if value is not None else "",
            margin,
            None,
            remedies,
            sources,
            subjects,
        )

    if battery is None and sheet.rated_a is not None:
        if most_a + others <= sheet.rated_a:
            return finding(Verdict.HOLDS, f"{says}; {path} gives {sheet.rated_a:g} A, so its voltage stands.")
        because = (
            "A regulated supply without a battery limits near its rated current: its voltage breaks down"
            " while the load starts, and receivers begin anew."
        )
        text = f"{says}; {path} gives {sheet.rated_a:g} A and has no battery."
        return (
            finding(Verdict.FAILS, text, because, remedies=(apart,))
            if least_a + others > sheet.rated_a
            else finding(Verdict.UNKNOWN, text, because, remedies=(measure, apart))
        )
    ohm = battery.sheet.inner_ohm if battery is not None else sheet.source_ohm
    if ohm is None or lowest is None:
        return finding(
            Verdict.UNKNOWN,
            f"{says}; whether the receivers on {path} keep running is not known.",
            remedies=(measure,),
        )
    worst = _left(case, ends, receivers, end, most_a, lowest.volts, ohm + lowest.source_ohm)
    best = _left(case, ends, receivers, end, least_a, lowest.volts, ohm + lowest.source_ohm)
    if worst is None or best is None:
        return finding(
            Verdict.UNKNOWN, f"{says}; the cables of {path} hardly carry that.", remedies=(measure, apart)
        )
    who, volts, limit = worst
    text = f"{says}; {write_quantity(float(f'{volts:.3g}'), 'voltage')} are left at {who}"
    because = (
        f"{lowest.says[0].upper()}{lowest.says[1:]} at {lowest.volts:g} V behind"
        f" {write_quantity(ohm, 'resistance')}."
    )
    if limit is None:
        return finding(
            Verdict.UNKNOWN,
            f"{text}.",
            because,
            volts,
            None,
            (Remedy(f"Find the lowest voltage {who} works with."),),
        )
    verdict = (
        Verdict.HOLDS
        if volts - limit >= 0.1 * (lowest.volts - volts)
        else Verdict.THIN
        if volts >= limit
        else Verdict.FAILS
        if given or best[1] < limit
        else Verdict.UNKNOWN
    )
    remedies = (
        () if verdict is Verdict.HOLDS else (measure, apart) if verdict is Verdict.UNKNOWN else (apart,)
    )
    return finding(verdict, f"{text}, which needs {limit:g} V.", because, volts, limit, remedies)


def _left(
    case: Case, ends: tuple[End, ...], receivers: list[End], end: End, peak_a: float, volts: float, ohm: float
) -> tuple[str, float, float | None] | None:
    """The receiver that is worst off while an end takes its peak: who, volts, its minimum; None if the cables
    cannot carry it.
    """
    started = tuple(replace(one, amperes=peak_a, watts=None) if one is end else one for one in ends)
    served = serve(case, started, volts=volts, source_ohm=ohm, on=(end.name,))
    if served is None:
        return None
    return min(
        ((one.who, served[one.name].volts, one.minimum_v) for one in receivers),
        key=lambda left: left[1] - (left[2] or 0.0),
    )
