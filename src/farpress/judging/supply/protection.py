"""Judges what protects a cable: a short at its far end against its fuse, its current against its cores."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.cabling import End, core_of_run, loop_ohm_of, on_same_cable, return_partner, together_with
from farpress.case.case import Case
from farpress.case.load_scenarios import heaviest_press, scenarios
from farpress.core.wiring.capacity import ambient_factor, bundle_factor
from farpress.core.wiring.protection import (
    OPERATES_AT,
    OPERATES_SURELY_AT,
    end_short_circuit_a,
    largest_fuse_a,
)
from farpress.domain.finding import Finding, Link, Remedy, Verdict
from farpress.domain.parts import BatterySheet, Part, SupplySheet
from farpress.domain.refs import SupplyRef
from farpress.sources import Citation, Mark, cited
from farpress.units import write_quantity

__all__ = ["PROTECTION_CODES", "judge_protection"]

PROTECTION_CODES: Final[dict[str, str]] = {
    "SUP-05": "Short circuit at the far end of a cable, against what the fuse needs to operate.",
    "SUP-07": "Current in a cable, against what its cores may carry where it lies.",
    "SUP-11": "Current of everything behind one fuse, against what the fuse carries for good.",
}

_SOFT_SHARE: Final = 0.1
"""A supply whose own resistance is not known is taken to lose a tenth of its voltage at its rated current;
our choice, on the safe side for a regulated one."""

FUSE_SHARE: Final = 0.8
"""Share of its rating that a fuse carries for good: common practice."""

_FUSE_SHARE: Final = Citation("a fuse is loaded to 80 % of its rating", mark=Mark.PRACTICE)

_SOFT: Final = Citation(
    "source resistance of a tenth of voltage over rated current where none is given", mark=Mark.CHOICE
)

_WARM_DEGC: Final = 40.0
"""Air around a cable where nobody says: our choice, a roof space or sunny wall."""

_ALL_LOADED_A: Final = 1.0
"""The rating of thin alarm cores already counts all of them as loaded; common practice [A]."""


def judge_protection(
    case: Case, path: str, part: Part[SupplySheet], battery: Part[BatterySheet] | None, ends: tuple[End, ...]
) -> Iterator[Finding]:
    """Fuse and cores of every cable of one supply."""
    seen: set[tuple[str | int, ...]] = set()
    wires = [
        end for end in ends if not (end.is_coil and end.run_path[-2:] == ("fed", "cable"))
    ]  # a coil beside its receiver has no cable of its own
    for end in wires:
        if end.run is not None and end.run_path in seen:
            continue  # the same cable, told with the first end on it
        seen.add(end.run_path)
        yield from _fuse(case, path, part, battery, ends, end)
    yield from _cores(case, path, part.sheet.fuse_a, ends, wires)
    carried = _carried(case, path, part, ends)
    if carried is not None:
        yield carried


def _carried(case: Case, path: str, part: Part[SupplySheet], ends: tuple[End, ...]) -> Finding | None:
    """SUP-11: fails where a single press overloads the fuse, thin above its design share or where several
    presses do.
    """
    fuse = part.sheet.fuse_a
    if fuse is None or not ends or any(end.ask for end in ends):
        return None
    found = scenarios(case, path.split("/")[0], ends)
    everything = found[-1]
    press = heaviest_press(found) or everything
    subjects = (SupplyRef(path), *dict.fromkeys(subject for end in ends for subject in end.subjects))
    sources = (*part.cite("fuse_a"), *(source for end in ends for source in end.sources), _FUSE_SHARE)
    says = (
        f"Everything on draws {write_quantity(everything.amperes, 'current')} through the fuse of"
        f" {write_quantity(fuse, 'current')} of {path}"
    )
    because = (
        f"If all of it hangs on this one fuse; a fuse carries {100 * FUSE_SHARE:.0f} % of its rating for"
        " good."
    )
    limit = FUSE_SHARE * fuse
    if press.amperes > fuse * (1 + 1e-9):
        verdict, says = (
            Verdict.FAILS,
            f"{says}; '{press.name}' alone {write_quantity(press.amperes, 'current')}.",
        )
    elif everything.amperes > limit * (1 + 1e-9):
        verdict, says = (
            Verdict.THIN,
            f"{says}, of which it carries {write_quantity(limit, 'current')} for good.",
        )
    else:
        verdict, says = Verdict.HOLDS, f"{says}; it carries {write_quantity(limit, 'current')} for good."
    apart = Remedy("Fuse the cables one by one, each by its own load and its own short circuit.")
    return Finding(
        "SUP-11",
        Link.SUPPLY,
        verdict,
        path,
        says,
        because,
        everything.amperes,
        limit,
        "A",
        limit - everything.amperes,
        None,
        () if verdict is Verdict.HOLDS else (apart,),
        sources,
        subjects,
    )


def _fuse(
    case: Case,
    path: str,
    part: Part[SupplySheet],
    battery: Part[BatterySheet] | None,
    ends: tuple[End, ...],
    end: End,
) -> Iterator[Finding]:
    """SUP-05. An unknown source resistance is bounded: none for a failure that is sure, a soft source for one
    that holds.
    """
    sheet = part.sheet
    volts = min(
        (v for v in (sheet.voltage_min_v, sheet.voltage_v, battery.sheet.end_v if battery else None) if v),
        default=None,
    )
    loop = loop_ohm_of(case, end.run)
    if volts is None or not loop:
        return
    mine = on_same_cable(ends, end)
    about = f"cable to {end.name} on {path}"
    subjects = (*dict.fromkeys(subject for one in mine for subject in one.subjects), SupplyRef(path))
    rated = sheet.rated_a or (
        sheet.rated_va / sheet.voltage_v if sheet.rated_va and sheet.voltage_v else None
    )
    soft = None if rated is None else _SOFT_SHARE * (sheet.voltage_v or volts) / rated
    source = sheet.source_ohm if sheet.source_ohm is not None else soft
    most = end_short_circuit_a(voltage_v=volts, source_ohm=sheet.source_ohm or 0.0, loop_ohm=loop)
    current = end_short_circuit_a(voltage_v=volts, source_ohm=source or 0.0, loop_ohm=loop)
    branch, held = _branch_fuse(current, sum(other.amperes or 0.0 for other in mine))
    known, sources = (
        "",
        (
            *part.cite("fuse_a", "source_ohm", "voltage_v", "voltage_min_v"),
            *cited(end_short_circuit_a),
            *cited(largest_fuse_a),
        ),
    )
    if sheet.source_ohm is None:
        known = (
            f" The supply's own resistance is not known and taken as {write_quantity(soft, 'resistance')};"
            f" with none {write_quantity(most, 'current')} would flow."
            if soft is not None
            else " The supply's own resistance is not known and counted as none; the true current is smaller."
        )
        sources = (*sources, _SOFT) if soft is not None else sources
    because = (
        f"A fuse operates within minutes at {OPERATES_AT:g} times its rating, within seconds at"
        f" {OPERATES_SURELY_AT:g} times. {held}.{known}"
    )
    says = f"A short at the end of the cable to {end.who} draws {write_quantity(current, 'current')}"
    ask_source = Remedy(
        f"Find how far the voltage of {path} falls under load, or measure its resistance: volts lost over"
        " amperes drawn."
    )
    if sheet.fuse_a is None:
        ask = Remedy(f"Find the fuse of this output of {path}; where there is none, fit one.")
        yield Finding(
            "SUP-05",
            Link.SUPPLY,
            Verdict.UNKNOWN,
            about,
            f"{says}; the fuse is not known.",
            because,
            current,
            None,
            "A",
            remedies=(ask, branch),
            sources=sources,
            subjects=subjects,
        )
        return
    limit = OPERATES_AT * sheet.fuse_a
    says = (
        f"{says}; the fuse of {write_quantity(sheet.fuse_a, 'current')} needs"
        f" {write_quantity(limit, 'current')}."
    )
    remedies: tuple[Remedy, ...]
    if most < limit:
        verdict, remedies = Verdict.FAILS, (branch,)
    elif sheet.source_ohm is None and (soft is None or current < limit):
        verdict, remedies = Verdict.UNKNOWN, (ask_source, branch)
    elif current >= OPERATES_SURELY_AT * sheet.fuse_a:
        verdict, remedies = Verdict.HOLDS, ()
    else:
        verdict, remedies = Verdict.THIN, (branch,)
    yield Finding(
        "SUP-05",
        Link.SUPPLY,
        verdict,
        about,
        says,
        because,
        current,
        limit,
        "A",
        current - limit,
        None,
        remedies,
        sources,
        subjects,
    )


def _branch_fuse(short_circuit_a: float, load_a: float) -> tuple[Remedy, str]:
    """A fuse for one cable that carries its load and notices a short at its end, the surer one first."""
    largest = largest_fuse_a(short_circuit_a=short_circuit_a)
    held = (
        f"The largest fuse that operates at all is {write_quantity(largest, 'current')}"
        if largest
        else "No fuse of the series would operate"
    )
    for multiple in (OPERATES_SURELY_AT, OPERATES_AT):
        rating = largest_fuse_a(short_circuit_a=short_circuit_a, multiple=multiple)
        if rating is not None and rating >= load_a:
            return (
                Remedy(
                    f"Fuse this cable on its own with {write_quantity(rating, 'current')}.",
                    f"a short at its end is {short_circuit_a / rating:.1f} times that",
                ),
                held,
            )
    return (
        Remedy(
            "Limit this cable electronically, or use more copper: a fuse that carries"
            f" {write_quantity(load_a, 'current')} would not notice a short at its end."
        ),
        held,
    )


def _cores(
    case: Case, path: str, fuse_a: float | None, ends: tuple[End, ...], wires: list[End]
) -> Iterator[Finding]:
    """SUP-07: thin where it is only the rating at 30 degC with few cores loaded that carries it."""
    for end in wires:
        part = case.equipment.cables.get(end.run.part) if end.run else None
        core = core_of_run(case, end.run)
        if (
            end.run is None
            or part is None
            or core is None
            or end.amperes is None
            or (end.is_panel and not end.amperes)
        ):
            continue
        on = together_with(ends, end)
        mine = on_same_cable(ends, end)
        shared = [other for other in ends if other not in mine and return_partner(ends, other) in mine]
        current = sum(other.amperes or 0.0 for other in (*mine, *shared) if other.name in on)
        about, subjects = f"cores of {end.run.part} to {end.name}", (*end.subjects, SupplyRef(path))
        sources = (*part.cite("rated_a"), *end.sources, *cited(ambient_factor), *cited(bundle_factor))
        what = (
            "its return core, shared with " + ", ".join(other.who for other in shared)
            if shared
            else "its cores"
        )
        if core.rated_a is None:
            says = (
                f"{write_quantity(current, 'current')} flow to {end.who}; what {end.run.part} may carry is"
                " not known."
            )
            yield Finding(
                "SUP-07",
                Link.SUPPLY,
                Verdict.UNKNOWN,
                about,
                says,
                value=current,
                unit="A",
                remedies=(Remedy(f"Find the current rating of {end.run.part}."),),
                sources=sources,
                subjects=subjects,
            )
            continue
        warm = end.run.warmest_degc
        loaded = min(part.sheet.cores or 2, 24)
        if warm is not None and warm > 60.0:
            says = f"The cable to {end.who} lies at {warm:g} °C; PVC cable has no place above 60 °C."
            yield Finding(
                "SUP-07",
                Link.SUPPLY,
                Verdict.FAILS,
                about,
                says,
                value=current,
                unit="A",
                remedies=(Remedy("Lead it another way, or use a heat-resistant cable and its own rating."),),
                sources=sources,
                subjects=subjects,
            )
            continue
        factor = ambient_factor(ambient_degc=_WARM_DEGC if warm is None else warm) * (
            1.0 if core.rated_a <= _ALL_LOADED_A else bundle_factor(loaded_cores=loaded)
        )
        left = core.rated_a * factor
        because = (
            f"{write_quantity(core.rated_a, 'current')} at 30 °C; {write_quantity(left, 'current')} are left"
            f" at {_WARM_DEGC if warm is None else warm:g} °C"
            f"{' (our choice, not given)' if warm is None else ''}{f' with all {loaded} cores loaded' if core.rated_a > _ALL_LOADED_A and loaded > 3 else ''}."  # noqa: E501
        )
        limit = core.rated_a if warm is None else left
        verdict = (
            Verdict.FAILS
            if current > limit
            else Verdict.THIN
            if current > left or current > 0.9 * core.rated_a
            else Verdict.HOLDS
        )
        says = (
            f"{write_quantity(current, 'current')} flow to {end.who}; {what} may carry"
            f" {write_quantity(left, 'current')}."
        )
        remedies = (
            () if verdict is Verdict.HOLDS else (Remedy("Use a cable with more copper, or join cores."),)
        )
        if verdict is Verdict.HOLDS and fuse_a is not None and fuse_a > core.rated_a:
            verdict = Verdict.THIN
            says += (
                f" The fuse of {write_quantity(fuse_a, 'current')} would let more flow if something goes"
                " wrong."
            )
            remedies = (
                Remedy(f"Fuse this cable on its own with at most {write_quantity(core.rated_a, 'current')}."),
            )
        yield Finding(
            "SUP-07",
            Link.SUPPLY,
            verdict,
            about,
            says,
            because,
            current,
            left,
            "A",
            left - current,
            None,
            remedies,
            sources,
            subjects,
        )
