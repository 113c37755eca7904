"""Judges the fuse of a supply: against all that hangs on it; shorts in its cables are judged beside."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from farpress.case.cabling import End
from farpress.case.case import Case
from farpress.case.circuit.arriving import heaviest_press, most_given
from farpress.case.circuit.electrics import electrics_of
from farpress.domain.finding import Finding, Link, Remedy, Stake, Verdict
from farpress.domain.parts import BatterySheet, Part, SupplySheet
from farpress.domain.refs import SupplyRef
from farpress.judging.check import AT_MOST, TENTH, Check, Estimate, Limit, share_edge
from farpress.judging.supply.asks import fuse_of, unknown_currents
from farpress.judging.supply.fed import perhaps_asks
from farpress.judging.supply.fuses import fuse_before, fuse_place, fused_branches
from farpress.judging.supply.short_circuit import short_circuit
from farpress.sources import Citation, Mark
from farpress.units import write_quantity, write_share

__all__ = ["LOAD_OF_FUSE", "has_own_cable", "judge_protection", "supply_wires"]

FUSE_SHARE: Final = 0.8
"""Share of its rating that a fuse to UL 248-14 carries for good, and one of which nobody says the kind:
common practice. One to IEC 60127 carries its rating; from memory."""

LOAD_OF_FUSE: Final = Check(
    "SUP-11",
    Link.SUPPLY,
    "Current of everything behind one fuse, against the rating of the fuse.",
    unit="A",
    bound=AT_MOST,
    thin=share_edge(
        1 - FUSE_SHARE, f"a fuse to UL 248-14 carries {write_share(FUSE_SHARE, '.0f')} of its rating for good"
    ),
    stake=Stake.PROMISE,
    ask="Find the fuse; where there is none, fit one.",
    mends="A fuse for each cable, each by its own load.",
)

_FUSE_SHARE: Final = Citation(
    f"a fuse to UL 248-14 is loaded to {write_share(FUSE_SHARE, '.0f')} of its rating", mark=Mark.PRACTICE
)

_WHOLE_FUSE: Final = Citation("IEC 60127-1", place="a fuse carries its rated current", mark=Mark.MEMORY)


def judge_protection(
    case: Case, path: str, part: Part[SupplySheet], battery: Part[BatterySheet] | None, ends: tuple[End, ...]
) -> Iterator[Finding]:
    """SUP-05 of every cable of one supply, each told once, and SUP-11 of its fuse."""
    seen: set[tuple[str | int, ...]] = set()
    for end in supply_wires(ends):
        if end.run is not None and end.run_path in seen:
            continue  # the same cable, told with the first end on it
        seen.add(end.run_path)
        yield short_circuit(case, path, part, battery, ends, end)
    if ends:
        yield _load_of_fuse(case, path, part, ends, "")
    for branch in fused_branches(ends):
        if branch:
            yield _load_of_fuse(case, path, part, ends, branch)


def has_own_cable(end: End) -> bool:
    """Whether a cable leads to it; a coil beside its receiver has none of its own."""
    return not (end.is_coil and end.run_path[-2:] == ("fed", "cable"))


def supply_wires(ends: tuple[End, ...]) -> tuple[End, ...]:
    """The ends that a cable leads to."""
    return tuple(end for end in ends if has_own_cable(end))


def _load_of_fuse(
    case: Case, path: str, part: Part[SupplySheet], ends: tuple[End, ...], branch: str
) -> Finding:
    """SUP-11 of the supply's own fuse or of a branch's: about the supply, and so about all that it feeds."""
    fuse, place = fuse_before(case, path, branch), fuse_place(path, branch)
    ends = tuple(end for end in ends if not branch or end.branch == branch)
    supply = SupplyRef(path)
    electrics = electrics_of(case, supply.premises.path)
    everything = most_given(electrics, supply.name, branch)[1]
    press = heaviest_press(electrics, supply.name, branch)
    drawn = f"Everything on draws {write_quantity(everything, 'current')} through the fuse of {place}"
    rated = "" if fuse is None else f", rated {write_quantity(fuse, 'current')}"
    is_iec = case.job.region == "europe"
    share = 1.0 if is_iec else FUSE_SHARE
    for_good = "" if fuse is None else write_quantity(share * fuse, "current")
    kind = (
        "a fuse to IEC 60127 carries its rating"
        if is_iec
        else f"a fuse carries {write_share(share, '.0f')} of it"
    )

    def says(verdict: Verdict) -> str:
        if fuse is None or verdict is Verdict.UNKNOWN:
            return f"{drawn}{rated}, as far as is known."
        if verdict is Verdict.FAILS and press is not None:
            alone = write_quantity(press[1], "current")
            if press[1] > fuse:
                return f"{drawn}{rated}; '{press[0].function}' alone {alone}."
            return f"{drawn}{rated}; it takes several presses in the same moments."
        return f"{drawn}{rated}; it carries {for_good} for good."

    check = replace(LOAD_OF_FUSE, thin=TENTH) if is_iec else LOAD_OF_FUSE
    return check.judge(
        about=place,
        subjects=(SupplyRef(path),),
        value=Estimate(everything),
        limit=Limit(fuse),
        says=says,
        because=f"If all of it hangs on this one fuse; {kind} for good.",
        asks=(
            *unknown_currents(ends),
            *((fuse_of(place),) if fuse is None else ()),
            *perhaps_asks(case, SupplyRef(path)),
        ),
        remedies=(Remedy("Fuse the cables one by one, each by its own load and its own short circuit."),),
        sources=(
            *part.cite("fuse_a"),
            *(source for end in ends for source in end.sources),
            _WHOLE_FUSE if is_iec else _FUSE_SHARE,
        ),
    )
