"""Judges what is special about alternating current: rectifiers on a winding, and peaks that electronics must
stand.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.cabling import End
from farpress.core.wiring.rectifier import rms_ratio
from farpress.core.wiring.supply_load import ac_highest_v, ac_peak_v
from farpress.domain.finding import Finding, Link, Remedy, Verdict
from farpress.domain.parts import Part, SupplySheet
from farpress.domain.refs import SupplyRef
from farpress.sources import Citation, Mark, cited

__all__ = ["TRANSFORMER_CODES", "judge_transformer", "rectifier_ratio", "winding"]

TRANSFORMER_CODES: Final[dict[str, str]] = {
    "SUP-09": "Peak of an alternating supply at high mains, against what the electronics of a device stand."
}

_LARGEST_RATIO: Final = 2.5
"""Transformer current over direct current where the winding's resistance is not known: a large transformer on
a small load."""


def judge_transformer(path: str, part: Part[SupplySheet], ends: tuple[End, ...]) -> Iterator[Finding]:
    """SUP-09, of every end with electronics on alternating current."""
    sheet = part.sheet
    if sheet.supply != "ac" or sheet.voltage_v is None:
        return
    # a highest voltage that is given has high mains and no load in it already
    peak = (
        ac_peak_v(rms_v=sheet.voltage_max_v)
        if sheet.voltage_max_v is not None
        else ac_highest_v(rms_v=sheet.voltage_v, diode_drop_v=0.0)
    )
    sources = (
        *part.cite("voltage_v", "voltage_max_v"),
        *(cited(ac_peak_v) if sheet.voltage_max_v is not None else cited(ac_highest_v)),
    )
    because = (
        f"{sheet.voltage_v:g} V AC is an effective value: its crest is {ac_peak_v(rms_v=sheet.voltage_v):.1f}"
        " V, more with high mains and an unloaded transformer."
    )
    for end in ends:
        if end.current != "dc or ac" or end.is_coil:
            continue
        about, subjects = f"{end.name} on {path}", (*end.subjects, SupplyRef(path))
        says = f"{path} can reach a crest of {peak:.1f} V"
        if end.peak_max_v is None:
            ask = Remedy(f"Ask which crest {end.who} stands; parts behind 24 V AC are usually made for 50 V.")
            yield Finding(
                "SUP-09",
                Link.SUPPLY,
                Verdict.UNKNOWN,
                about,
                f"{says}; what {end.who} stands is not known.",
                because,
                peak,
                None,
                "V",
                remedies=(ask,),
                sources=sources,
                subjects=subjects,
            )
            continue
        margin = end.peak_max_v - peak
        verdict = Verdict.FAILS if margin < 0 else Verdict.THIN if margin < 0.1 * peak else Verdict.HOLDS
        remedies = (
            ()
            if verdict is Verdict.HOLDS
            else (
                Remedy(
                    f"Use a transformer of {end.peak_max_v / peak * sheet.voltage_v / 1.1:.0f} V or less, or"
                    " a regulated supply for direct current."
                ),
            )
        )
        yield Finding(
            "SUP-09",
            Link.SUPPLY,
            verdict,
            about,
            f"{says}; {end.who} stands {end.peak_max_v:g} V.",
            because,
            peak,
            end.peak_max_v,
            "V",
            margin,
            None,
            remedies,
            (*sources, *end.sources),
            subjects,
        )


def winding(path: str, ends: tuple[End, ...], end: End) -> tuple[Verdict, str, str, tuple[Remedy, ...]]:
    """Whether the rectifiers on one winding may share a common 0 V: verdict, says, because, remedies."""
    both = [
        other
        for other in ends
        if other.current == "dc or ac" and not other.is_coil and other.rectifies != "none"
    ]
    names = ", ".join(other.who for other in both)
    because = (
        "A half-wave rectifier joins its 0 V to the winding, a bridge does not: with a common 0 V one diode"
        " of the bridge is shorted."
    )
    apart = (
        Remedy("Give each its own transformer."),
        Remedy("Join no 0 V of theirs, not even over an earth or a panel."),
    )
    kinds = {other.rectifies for other in both}
    if end not in both or len(both) < 2:
        return (
            Verdict.HOLDS,
            (
                f"{end.who} is the only one on {path} that rectifies."
                if end in both
                else f"{end.who} does not rectify."
            ),
            "",
            (),
        )
    if None in kinds:
        says = (
            f"{names} share the transformer {path}; if one rectifies half waves and another has a bridge, a"
            " common 0 V shorts a diode."
        )
        return (
            Verdict.UNKNOWN,
            says,
            because,
            (
                Remedy("Read in the data sheets how each one rectifies, or give each its own transformer."),
                apart[1],
            ),
        )
    if kinds == {"half-wave"}:
        return (
            Verdict.HOLDS,
            (
                f"{names} share the transformer {path}; all of them rectify half waves, so they may share the"
                " same side as 0 V."
            ),
            because,
            (),
        )
    if kinds == {"bridge"}:
        says = f"{names} share the transformer {path}; each has a bridge, so their 0 V must stay apart."
        return (
            Verdict.THIN,
            says,
            "Joined 0 V of two bridges puts two diodes across the winding in each half wave.",
            apart[1:],
        )
    return (
        Verdict.FAILS,
        (
            f"{names} share the transformer {path}, and half-wave and bridge rectifiers do not mix on one"
            " winding."
        ),
        because,
        apart,
    )


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
            _LARGEST_RATIO,
            (
                Citation(
                    "transformer current 2.5 times the direct current of a small rectified load",
                    mark=Mark.COMPUTED,
                ),
            ),
        )
    else:
        load_ohm = (
            sheet.voltage_v * 1.3 / (share * total)
        )  # behind a bridge about 1.3 times the effective value
        ratio, sources = (
            rms_ratio(source_share=min(max(sheet.source_ohm / load_ohm, 0.002), 0.2)),
            cited(rms_ratio),
        )
    return (
        1 + share * (ratio - 1),
        f" Rectified loads draw {ratio:.1f} times their direct current from a winding, in short peaks.",
        sources,
    )
