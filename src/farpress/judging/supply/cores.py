"""Judges the cores of a supply's cables: what flows in them, and the fuse before them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.cabling import Core, End, core_of_run, on_same_cable, return_partner
from farpress.case.case import Case
from farpress.case.circuit.arriving import most_in_cores
from farpress.case.circuit.electrics import electrics_of
from farpress.core.wiring.capacity import ambient_factor, bundle_factor
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.parts import CableSheet, Part, SupplySheet
from farpress.domain.premises import CableRun
from farpress.domain.refs import SupplyRef
from farpress.judging.check import AT_MOST, Check, Estimate, Limit, no_edge
from farpress.judging.supply.asks import cable_of, cable_ref, cores_of, current_of, fuse_of
from farpress.judging.supply.fuses import fuse_before, fuse_place
from farpress.judging.supply.protection import supply_wires
from farpress.sources import Citation, Mark, cited
from farpress.units import write_at_most, write_quantity

__all__ = ["CURRENT_IN_CORES", "FUSE_BEFORE_CORES", "judge_cores"]

CURRENT_IN_CORES: Final = Check(
    "SUP-07",
    Link.SUPPLY,
    "Current in a cable, against what its cores may carry where it lies.",
    unit="A",
    bound=AT_MOST,
    stake=Stake.HARM,
    ask="Find the current rating of the cable.",
    mends="A cable with more copper, joined cores, or a cooler way.",
)

FUSE_BEFORE_CORES: Final = Check(
    "SUP-13",
    Link.SUPPLY,
    "Rating of the fuse before a cable, against what one of its cores may carry.",
    unit="A",
    bound=AT_MOST,
    thin=no_edge("a fuse as large as the rating of the cores is the rule, not a narrow case"),
    stake=Stake.HARM,
    advice=True,
    ask="Find the fuse; where there is none, fit one.",
    mends="A fuse of its own for this cable.",
)

WARM_DEGC: Final = 40.0
"""Air around a cable where nobody says: our choice, a roof space or sunny wall."""

HOTTEST_DEGC: Final = 60.0
"""PVC cable has no place in hotter air: where DIN VDE 0298-4, table 17, ends."""

ALL_LOADED_A: Final = 1.0
"""Up to here the rating of thin alarm cores counts all of them as loaded already; common practice [A]."""

CORES_TAKEN: Final = 2
"""Loaded cores of a cable whose number nobody says: one pair."""

MOST_CORES: Final = 24
"""Where the table for loaded cores ends."""

_WARM: Final = Citation(f"air of {WARM_DEGC:g} °C around a cable where none is given", mark=Mark.CHOICE)

_OVERLOAD: Final = Citation(
    "IEC 60364-4-43",
    place="433.1 fuse not above the cores' rating; 433.3 left out where the load cannot overload them",
    mark=Mark.MEMORY,
)


def judge_cores(case: Case, path: str, part: Part[SupplySheet], ends: tuple[End, ...]) -> Iterator[Finding]:
    """SUP-07 of every end that a cable leads to; SUP-13 of every cable, told once."""
    seen: set[tuple[str | int, ...]] = set()
    for end in supply_wires(ends):
        yield _current(case, path, ends, end)
        if end.run is not None and end.run_path not in seen:
            seen.add(end.run_path)
            yield _fuse(case, path, part, ends, end, end.run)


def _current(case: Case, path: str, ends: tuple[End, ...], end: End) -> Finding:
    """SUP-07: in air that nobody measured, between the rating there and at 30 degC, it is not known."""
    cable = case.equipment.cables.get(end.run.part) if end.run else None
    core = core_of_run(case, end.run)
    mine = on_same_cable(ends, end)
    shared = [other for other in ends if other not in mine and return_partner(ends, other) in mine]
    counted = (*mine, *shared)
    asks = [current_of(other) for other in counted if other.amperes is None]
    asks += _cable_asks(end, core)
    electrics = electrics_of(case, SupplyRef(path).premises.path)
    flows = most_in_cores(electrics, end.run_path) if end.run is not None else None
    current = None
    if end.amperes is not None:
        current = _most_a(counted) if flows is None else flows
    if (
        end.is_panel and end.amperes == 0.0
    ):  # it stands in the supply's other load, and draws no more than that
        current = case.job.premises[SupplyRef(path).premises.path].supplies[SupplyRef(path).name].other_load_a
    rated = core.rated_a if core else None
    left = None if cable is None or rated is None else _left_a(cable, rated, end.run)
    warmest = end.run.warmest_degc if end.run else None
    is_by_warmth = (
        warmest is None
        and current is not None
        and left is not None
        and rated is not None
        and left < current <= rated
    )
    if is_by_warmth:
        asks.append(
            Ask(
                f"Say how warm it gets around the cable to {end.who} at its warmest place"
                f" ({WARM_DEGC:g} °C is taken).",
                Who.INSTALLER,
            )
        )
    if cable is not None and rated is not None and _is_beyond_the_table(cable, rated):
        asks.append(
            Ask(
                f"Ask the maker of {end.run.part if end.run else 'the cable'} what one core carries with all"
                f" {cable.sheet.cores} loaded: the table ends at {MOST_CORES}."
            )
        )
    return CURRENT_IN_CORES.judge(
        about=f"cores of {end.run.part if end.run else 'the cable'} to {end.name}",
        subjects=(*end.subjects, SupplyRef(path)),
        cause=cable_ref(ends, end, path),
        value=Estimate(current),
        limit=Limit(left),
        says=_current_says(end, shared, current, left, warmest),
        because=_rating_says(cable, rated, left, warmest),
        asks=asks,
        failure_stands=not is_by_warmth,
        remedies=(
            Remedy("Lead it another way, or use a heat-resistant cable and its own rating.")
            if warmest is not None and warmest > HOTTEST_DEGC
            else Remedy("Use a cable with more copper, or join cores."),
        ),
        sources=(
            *(cable.cite("rated_a") if cable else ()),
            *end.sources,
            *cited(ambient_factor),
            *cited(bundle_factor),
            *((_WARM,) if warmest is None else ()),
        ),
    )


def _most_a(ends: tuple[End, ...]) -> float:
    """Where no core of the cable is known: by the labels."""
    return sum(end.amperes or 0.0 for end in ends)


def _cable_asks(end: End, core: Core | None) -> list[Ask]:
    if end.run is None:
        return [cable_of(end)]
    if core is None:
        return [cores_of(end.run)]
    return [Ask(f"Find the current rating of {end.run.part}.")] if core.rated_a is None else []


def _current_says(
    end: End, shared: list[End], current: float | None, left: float | None, warmest: float | None
) -> str:
    flows = (
        f"What flows to {end.who} is not known"
        if current is None
        else f"{write_quantity(current, 'current')} flow to {end.who}"
    )
    if left is None:
        return f"{flows}; what {end.run.part if end.run else 'its cable'} may carry is not known."
    if warmest is not None and warmest > HOTTEST_DEGC:
        return (
            f"The cable to {end.who} lies at {warmest:g} °C; PVC cable has no place above"
            f" {HOTTEST_DEGC:g} °C."
        )
    guests = ", ".join(other.who for other in shared)
    what = f"its return core, shared with {guests}," if shared else "its cores"
    return f"{flows}; {what} may carry {write_quantity(left, 'current')}."


def _left_a(cable: Part[CableSheet], rated_a: float, run: CableRun | None) -> float:
    """What a core may carry where it lies; nothing where it is too hot for it [A]."""
    warmest = run.warmest_degc if run is not None and run.warmest_degc is not None else WARM_DEGC
    if warmest > HOTTEST_DEGC:
        return 0.0
    return rated_a * ambient_factor(ambient_degc=warmest) * _bundle_share(cable, rated_a)


def _loaded_cores(cable: Part[CableSheet]) -> int:
    return min(cable.sheet.cores or CORES_TAKEN, MOST_CORES)


def _is_beyond_the_table(cable: Part[CableSheet], rated_a: float) -> bool:
    """Whether no row says what so many cores leave of the rating: at most what the last row does."""
    return (cable.sheet.cores or 0) > MOST_CORES and rated_a > ALL_LOADED_A


def _bundle_share(cable: Part[CableSheet], rated_a: float) -> float:
    return 1.0 if rated_a <= ALL_LOADED_A else bundle_factor(loaded_cores=_loaded_cores(cable))


def _rating_says(
    cable: Part[CableSheet] | None, rated: float | None, left: float | None, warmest: float | None
) -> str:
    if cable is None or rated is None or left is None:
        return ""
    taken = " (our choice, not given)" if warmest is None else ""
    loaded = f" with all {_loaded_cores(cable)} cores loaded" if _bundle_share(cable, rated) < 1.0 else ""
    if _is_beyond_the_table(cable, rated):
        loaded = f" at most, of {cable.sheet.cores} cores; the table ends at {MOST_CORES} loaded ones"
    return (
        f"{write_quantity(rated, 'current')} at 30 °C; {write_quantity(left, 'current')} are left at"
        f" {WARM_DEGC if warmest is None else warmest:g} °C{taken}{loaded}."
    )


def _fuse(
    case: Case, path: str, part: Part[SupplySheet], ends: tuple[End, ...], end: End, run: CableRun
) -> Finding:
    """SUP-13: good habit, as a load that is known cannot overload its cores, and a short is judged apart."""
    core, fuse = core_of_run(case, run), fuse_before(case, path, end.branch)
    rated = core.rated_a if core else None
    cable = case.equipment.cables.get(run.part)
    cores_say = "is not known" if rated is None else f"is {write_quantity(rated, 'current')}"
    fuse_says = "not known" if fuse is None else write_quantity(fuse, "current")
    return FUSE_BEFORE_CORES.judge(
        about=f"fuse before {run.part} to {end.name} on {path}",
        subjects=(*end.subjects, SupplyRef(path)),
        cause=cable_ref(ends, end, path),
        value=Estimate(fuse),
        limit=Limit(rated),
        says=f"The fuse before {run.part} to {end.who} is {fuse_says}; what its cores may carry {cores_say}.",
        because="A larger fuse would let more flow than the cores bear if something goes wrong.",
        asks=(*((fuse_of(fuse_place(path, end.branch)),) if fuse is None else ()), *_cable_asks(end, core)),
        remedies=(Remedy(f"Fuse this cable on its own with at most {write_at_most(rated, 'current')}."),)
        if rated is not None
        else (),
        sources=(*part.cite("fuse_a"), *(cable.cite("rated_a") if cable else ()), _OVERLOAD),
    )
