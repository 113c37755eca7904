"""Judges whether a supply suits what hangs on it: not too many volts, and the right kind of current."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.cabling import End
from farpress.core.wiring.rectifier import rectified, smoothing_f
from farpress.core.wiring.supply_load import BRIDGE_DROP_V, ac_highest_v, ac_peak_v
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake
from farpress.domain.parts import BatterySheet, Part, SupplySheet
from farpress.domain.refs import SupplyRef
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit
from farpress.judging.supply.asks import kind_of, most_volts_of, rated_volts_of, voltage_of
from farpress.judging.supply.transformers import winding
from farpress.sources import Citation, Mark, cited
from farpress.units import write_quantity, write_share

__all__ = ["HIGHEST_VOLTS", "KIND_OF_CURRENT", "MOST_OVER", "heat_says", "judge_suits", "kind_says"]

HIGHEST_VOLTS: Final = Check(
    "SUP-02",
    Link.SUPPLY,
    "Highest volts a supply can rise to, against the most a device, panel or coil stands or is made for.",
    unit="V",
    bound=AT_MOST,
    stake=Stake.PROMISE,
    ask="Read the highest permitted volts off the label.",
    mends="A regulator, or a device that stands more.",
)

KIND_OF_CURRENT: Final = Check(
    "SUP-06",
    Link.SUPPLY,
    "Kind of current of a supply, against the kind its device wants.",
    stake=Stake.PROMISE,
    ask="Read off the label whether it is for alternating or direct current.",
    mends="A supply of the other kind, a rectifier with smoothing, or a transformer for each.",
)

LEAD_FLOAT_V: Final = 2.3
"""Float voltage of a lead cell at 20 degC [V]; from memory."""

LEAD_CELL_V: Final = 2.0
"""Rated voltage of a lead cell [V]; from memory."""

HELD_WITHIN: Final = 0.02
"""Standard uncertainty of the highest volts of a supply for direct current, as a share of them: what chargers
and regulators hold, set on site and over the year; common practice."""

MOST_OVER: Final = {"dc": 1.3, "ac": 1.4}
"""Highest volts of a supply over the rated ones of a thing, up to which both may be of one class: common
practice, no source. A charged battery stands 15 % above, an unloaded transformer with high mains 32 %."""

LOW_MAINS: Final = 0.9
"""Mains below its rated voltage, at most: EN 50160, from memory."""

TRIED_A: Final = 0.1
LEAST_WINDING_OHM: Final = 0.5
"""Load and winding with which a rectifier is tried where nobody says; our choice [A], [ohm]."""

MAINS_FROM_V: Final = 100.0
"""The lowest mains voltage in use anywhere [V]: IEC 60038 and Japan's 100 V, from memory."""

_HELD: Final = Citation(f"highest volts held to {write_share(HELD_WITHIN)}", mark=Mark.PRACTICE)

_SAME_CLASS: Final = Citation(
    "a thing of one class of volts stands 1.3 times its rated ones, 1.4 on a transformer", mark=Mark.PRACTICE
)

_KINDS_SOURCE: Final = Citation("kinds of current on one winding", mark=Mark.PRACTICE)


def judge_suits(
    path: str, part: Part[SupplySheet], battery: Part[BatterySheet] | None, ends: tuple[End, ...]
) -> Iterator[Finding]:
    """SUP-02 of every end, SUP-06 of every end but panels, whose makers answer for their own supply."""
    for end in ends:
        if end.is_rectifier:
            continue  # its diodes stand more, and what comes out is judged behind it
        yield _highest(path, part, battery, end)
    for end in ends:
        if not end.is_panel and end.current != "potential-free":
            yield _kind_suits(path, part, ends, end)


def _highest(path: str, part: Part[SupplySheet], battery: Part[BatterySheet] | None, end: End) -> Finding:
    """SUP-02."""
    sheet, highest = part.sheet, part.sheet.voltage_max_v
    sources = (*part.cite("voltage_max_v", "voltage_v"), *end.sources)
    reasons: list[str] = []
    if sheet.supply == "ac" and sheet.voltage_v:
        reasons.append(
            f"Effective values. Behind a rectifier {sheet.voltage_v:g} V AC peaks at"
            f" {ac_peak_v(rms_v=sheet.voltage_v):.1f} V, up to {ac_highest_v(rms_v=sheet.voltage_v):.1f} V"
            " with high mains and an unloaded transformer."
        )
        sources = (*sources, *cited(ac_highest_v))
    if battery is not None and highest is None and battery.sheet.voltage_v:
        floating = battery.sheet.voltage_v / LEAD_CELL_V * LEAD_FLOAT_V
        reasons.append(
            f"A lead battery of {battery.sheet.voltage_v:g} V is charged at about {floating:.1f} V (from"
            " memory)."
        )
    most = _most(sheet, end)
    if most is None or highest is None:
        says = f"Whether {end.who} stands the highest voltage of {path} is not known."
    elif end.maximum_v is not None:
        says = f"{path} can rise to {highest:g} V; {end.who} stands {end.maximum_v:g} V."
    else:
        says = (
            f"{path} can rise to {highest:g} V; {end.who} is made for {end.nominal_v:g} V, and such"
            f" {'coils' if end.is_coil else 'things'} stand {most:g} V."
        )
        sources = (*sources, _SAME_CLASS)
    asks = [] if most is not None else [_volts_ask(end)]
    return HIGHEST_VOLTS.judge(
        about=f"{end.name} on {path}",
        subjects=(*end.subjects, SupplyRef(path)),
        cause=SupplyRef(path),
        value=_highest_of(sheet),
        limit=Limit(most),
        says=says,
        because=" ".join(reasons),
        asks=[*asks, *([f"Find the highest voltage of {path}."] if highest is None else [])],
        remedies=(Remedy(f"Feed {end.who} through a regulator, or choose one that stands {highest:g} V."),)
        if highest is not None
        else (),
        sources=sources,
    )


def _most(sheet: SupplySheet, end: End) -> float | None:
    """The most an end stands [V]; None where that has to be asked.

    A thing of which only the rated volts are known fails beyond its class; below, a coil and a panel hold,
    and a device is asked about.
    """
    if end.maximum_v is not None or end.nominal_v is None:
        return end.maximum_v
    most = MOST_OVER["ac" if sheet.supply == "ac" else "dc"] * end.nominal_v
    is_beyond = sheet.voltage_max_v is not None and sheet.voltage_max_v > most
    return most if is_beyond or end.is_coil or end.is_panel else None


def _volts_ask(end: End) -> Ask:
    """The question for the most an end stands; of a coil or panel its rated volts are enough."""
    return rated_volts_of(end) if end.is_coil or end.is_panel else most_volts_of(end)


def _highest_of(sheet: SupplySheet) -> Estimate:
    """Highest volts; how far those of a transformer may be off, nobody knows."""
    if sheet.voltage_max_v is None or sheet.supply != "dc":
        return Estimate(sheet.voltage_max_v)
    return Estimate(sheet.voltage_max_v, HELD_WITHIN * sheet.voltage_max_v, (_HELD,))


def _kind_suits(path: str, part: Part[SupplySheet], ends: tuple[End, ...], end: End) -> Finding:
    """SUP-06."""
    kind = part.sheet.supply
    about, subjects = f"{end.name} on {path}", (*end.subjects, SupplyRef(path))
    if kind is None or end.current is None:
        unknown = [name for name, known in ((end.who, end.current), (path, kind)) if known is None]
        return KIND_OF_CURRENT.decide(
            about=about,
            subjects=subjects,
            answer=Answer.UNKNOWN,
            says=f"Whether {' and '.join(unknown)} {'are' if len(unknown) > 1 else 'is'} for alternating or"
            " direct current is not known.",
            asks=tuple(kind_of(name) for name in unknown),
        )
    says = f"{end.who} wants {kind_says(end.current)} and {path} gives {kind_says(kind)}."
    answer, because = Answer.YES, ""
    asks: tuple[str | Ask, ...] = ()
    remedies: tuple[Remedy, ...] = ()
    volts = part.sheet.voltage_v
    if end.current == "mains" and volts is None:
        asks = (voltage_of(path),)
    elif end.current == "mains" and volts is not None and volts < MAINS_FROM_V:
        answer = Answer.NO
        remedies = (
            Remedy(
                f"Feed {end.who} from the mains through a contactor; mains side by a licensed electrician."
            ),
        )
    elif end.current == "dc" and kind == "ac":
        answer = Answer.NO
        because = "Half of each wave has the wrong sign: electronics are destroyed, coils buzz."
        remedies = (
            Remedy(
                f"Use a supply for direct current, or a rectifier and smoothing for {end.who}.",
                _behind_a_rectifier(part.sheet, end),
            ),
        )
    elif end.current == "ac" and kind == "dc":
        answer = Answer.NO
        because = (
            "A coil made for alternating current draws several times its current on direct current and burns."
            f"{heat_says(part.sheet, end)}"
        )
        remedies = (Remedy(f"Use a transformer for {end.who}."),)
    elif end.current == "dc or ac" and kind == "ac" and not end.is_coil:
        shared = winding(path, ends, end)
        answer, because, asks, remedies = shared.answer, shared.because, shared.asks, shared.remedies
        says = f"{says} {shared.says}" if answer is Answer.YES else shared.says
    return KIND_OF_CURRENT.decide(
        about=about,
        subjects=subjects,
        cause=SupplyRef(path),
        answer=answer,
        says=says,
        because=because,
        asks=asks,
        remedies=remedies,
        sources=(*part.cite("supply"), _KINDS_SOURCE),
    )


def _behind_a_rectifier(supply: SupplySheet, end: End) -> str:
    """Between which volts a rectifier with its capacitor gives, on this winding and with this load."""
    if not supply.voltage_v:
        return ""
    highest = ac_highest_v(rms_v=supply.voltage_v)
    if supply.voltage_max_v is not None:
        highest = ac_peak_v(rms_v=supply.voltage_max_v) - BRIDGE_DROP_V
    lowest_rms, load_a = supply.voltage_min_v or LOW_MAINS * supply.voltage_v, end.amperes or TRIED_A
    lowest = rectified(
        rms_v=lowest_rms,
        frequency_hz=50.0,
        source_ohm=max(supply.source_ohm or 0.0, LEAST_WINDING_OHM),
        capacitance_f=smoothing_f(load_a),
        load_ohm=lowest_rms / load_a,
    ).lowest_v
    stands = "" if end.maximum_v is None or highest <= end.maximum_v else ", so a regulator behind it"
    return f"{lowest:.0f} to {highest:.0f} V come out of it{stands}"


def heat_says(supply: SupplySheet, end: End) -> str:
    """What a coil made for alternating current takes on direct current, against what it is made for."""
    if not end.coil_ohm or not supply.voltage_v:
        return ""
    volts, ohm = supply.voltage_v, end.coil_ohm
    says = (
        f" {ohm:g} ohm take {write_quantity(volts / ohm, 'current')} and {volts**2 / ohm:.3g} W"
        f" at {volts:g} V direct current"
    )
    if end.amperes is None:
        return f"{says}."
    meant = (end.amperes / end.pieces) ** 2 * ohm
    return f"{says}; as it is meant the coil takes {meant:.2g} W."


def kind_says(current: str) -> str:
    """A kind of current in words."""
    return {
        "dc": "direct current",
        "ac": "alternating current",
        "dc or ac": "either kind of current",
        "mains": "mains",
    }.get(current, current)
