"""Judges what is special about alternating current: rectifiers on a winding, and peaks that electronics must
stand.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from farpress.case.cabling import End
from farpress.core.wiring.rectifier import rms_ratio
from farpress.core.wiring.supply_load import ac_highest_v, ac_peak_v
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake
from farpress.domain.parts import Part, SupplySheet
from farpress.domain.refs import SupplyRef
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit
from farpress.judging.supply.asks import voltage_of
from farpress.sources import Citation, Mark, cited
from farpress.units import rounded_down

__all__ = ["CREST_OF_SUPPLY", "Winding", "judge_transformer", "rectifier_ratio", "winding"]

CREST_OF_SUPPLY: Final = Check(
    "SUP-09",
    Link.SUPPLY,
    "Peak of an alternating supply at high mains, against what the electronics of a device stand.",
    unit="V",
    bound=AT_MOST,
    stake=Stake.WEAR,
    ask="Ask its maker which crest it stands.",
    mends="A transformer of fewer volts, or a regulated supply for direct current.",
)

HIGH_MAINS: Final = 1.1
"""Mains above its rated voltage, at most: EN 50160, from memory."""

LARGEST_RATIO: Final = 2.5
"""Transformer current over direct current where the winding's resistance is not known: a large transformer on
a small load."""

BEHIND_BRIDGE: Final = 1.3
"""Direct volts behind a loaded bridge with its capacitor over the effective value; common practice."""

SOURCE_SHARES: Final = (0.002, 0.2)
"""Source resistance over load for which the ratio of currents is computed; our choice, what transformers for
bells and gates have."""


@dataclass(frozen=True)
class Winding:
    """Whether the rectifiers on one winding may share a common 0 V."""

    answer: Answer
    says: str
    because: str = ""
    asks: tuple[str, ...] = ()
    remedies: tuple[Remedy, ...] = ()


def judge_transformer(path: str, part: Part[SupplySheet], ends: tuple[End, ...]) -> Iterator[Finding]:
    """SUP-09, of every end with electronics on alternating current."""
    if part.sheet.supply != "ac":
        return
    for end in ends:
        if end.current == "dc or ac" and not end.is_coil:
            yield _crest(path, part, end)


def _crest(path: str, part: Part[SupplySheet], end: End) -> Finding:
    sheet = part.sheet
    rated, highest, peak = sheet.voltage_v, sheet.voltage_max_v, _crest_v(sheet)
    because = ""
    asks: list[str | Ask] = []
    if rated is not None:
        because = (
            f"{rated:g} V AC is an effective value: its crest is {ac_peak_v(rms_v=rated):.1f} V, more with"
            " high mains and an unloaded transformer."
        )
    if peak is None:
        asks.append(voltage_of(path))
    if end.peak_max_v is None:
        asks.append(f"Ask which crest {end.who} stands; parts behind 24 V AC are usually made for 50 V.")
    crest = (
        f"The crest of {path} is not known" if peak is None else f"{path} can reach a crest of {peak:.1f} V"
    )
    stands = (
        f"what {end.who} stands is not known"
        if end.peak_max_v is None
        else (f"{end.who} stands {end.peak_max_v:g} V")
    )

    def smaller() -> tuple[Remedy, ...]:
        if peak is None or rated is None or end.peak_max_v is None:
            return ()
        most_v = end.peak_max_v / peak * rated / HIGH_MAINS
        return (
            Remedy(
                f"Use a transformer of {rounded_down(most_v, 0):.0f} V or less, or a regulated supply for"
                " direct current."
            ),
        )

    return CREST_OF_SUPPLY.judge(
        about=f"{end.name} on {path}",
        subjects=(*end.subjects, SupplyRef(path)),
        cause=SupplyRef(path),
        value=Estimate(peak),
        limit=Limit(end.peak_max_v, end.sources),
        says=f"{crest}; {stands}.",
        because=because,
        asks=asks,
        remedies=lambda verdict: smaller(),
        sources=(
            *part.cite("voltage_v", "voltage_max_v"),
            *(cited(ac_peak_v) if highest is not None else cited(ac_highest_v)),
        ),
    )


def _crest_v(sheet: SupplySheet) -> float | None:
    """The highest crest of an alternating supply; None where its volts are not known [V]."""
    if sheet.voltage_max_v is not None:  # has high mains and no load in it already
        return ac_peak_v(rms_v=sheet.voltage_max_v)
    return None if sheet.voltage_v is None else ac_highest_v(rms_v=sheet.voltage_v, diode_drop_v=0.0)


def winding(path: str, ends: tuple[End, ...], end: End) -> Winding:
    """Whether the rectifiers on one winding may share a common 0 V.

    Args:
        path: of the supply.
        ends: everything on it.
        end: the one that is asked about.
    """
    both = [
        other
        for other in ends
        if not other.is_coil
        and (
            other.rectifies in ("bridge", "half-wave")
            or (other.current == "dc or ac" and other.rectifies is None)
        )
    ]
    names = ", ".join(other.who for other in both)
    because = (
        "A half-wave rectifier joins its 0 V to the winding, a bridge does not: with a common 0 V one diode"
        " of the bridge is shorted."
    )
    own = Remedy("Give each its own transformer.")
    apart = Remedy("Join no 0 V of theirs, not even over an earth or a panel.")
    kinds = {other.rectifies for other in both}
    if end not in both:
        return Winding(Answer.YES, f"{end.who} does not rectify.")
    if len(both) < 2:
        return Winding(Answer.YES, f"{end.who} is the only one on {path} that rectifies.")
    if {"half-wave", "bridge"} <= kinds:
        says = (
            f"{names} share the transformer {path}, and half-wave and bridge rectifiers do not mix on one"
            " winding."
        )
        return Winding(Answer.NO, says, because, remedies=(own, apart))
    if None in kinds:
        says = (
            f"{names} share the transformer {path}; if one rectifies half waves and another has a bridge, a"
            " common 0 V shorts a diode."
        )
        asks = tuple(
            f"Read in the data sheet how {other.who} rectifies, or give it its own transformer."
            for other in both
            if other.rectifies is None
        )
        return Winding(Answer.UNKNOWN, says, because, asks=asks)
    if kinds == {"half-wave"}:
        says = (
            f"{names} share the transformer {path}; all of them rectify half waves, so they may share the"
            " same side as 0 V."
        )
        return Winding(Answer.YES, says, because)
    says = f"{names} share the transformer {path}; each has a bridge, so their 0 V must stay apart."
    because = "Joined 0 V of two bridges puts two diodes across the winding in each half wave."
    return Winding(Answer.BARELY, says, because, remedies=(apart,))


def rectifier_ratio(
    part: Part[SupplySheet], ends: tuple[End, ...]
) -> tuple[float, str, tuple[Citation, ...]]:
    """Transformer current over the loads' direct current, with a sentence and its sources; 1 on direct
    current.
    """
    rectifying = [
        end
        for end in ends
        if end.current == "dc or ac" and not end.is_coil and end.rectifies != "none" and end.amperes
    ]
    sheet = part.sheet
    total = sum(end.amperes or 0.0 for end in ends)
    if sheet.supply != "ac" or not rectifying or not total:
        return 1.0, "", ()
    share = sum(end.amperes or 0.0 for end in rectifying) / total
    sources: tuple[Citation, ...]
    if sheet.source_ohm is None or not sheet.voltage_v:
        ratio, sources = (
            LARGEST_RATIO,
            (
                Citation(
                    "transformer current 2.5 times the direct current of a small rectified load",
                    mark=Mark.COMPUTED,
                ),
            ),
        )
    else:
        least, most = SOURCE_SHARES
        load_ohm = sheet.voltage_v * BEHIND_BRIDGE / (share * total)
        ratio, sources = (
            rms_ratio(source_share=min(max(sheet.source_ohm / load_ohm, least), most)),
            cited(rms_ratio),
        )
    return (
        1 + share * (ratio - 1),
        f" Rectified loads draw {ratio:.1f} times their direct current from a winding, in short peaks.",
        sources,
    )
