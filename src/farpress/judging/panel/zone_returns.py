"""Zones that come back on a core in which the current of something else flows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from farpress.case.cabling import shares_return
from farpress.case.case import Case
from farpress.case.citations import GIVEN
from farpress.case.cores import HOT, core_of_run
from farpress.case.supply_ends import End, ends_of
from farpress.core.wiring.zones import zone_ohm
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.premises import CableRun
from farpress.judging.check import Answer, Check
from farpress.judging.panel.loop_bands import ohms
from farpress.judging.panel.zone_states import KnownZone, ZoneAt
from farpress.sources import Citation, Mark
from farpress.units import write_quantity

__all__ = ["SHARED_RETURN", "judge_return", "lift_v_of", "on_the_core", "seen_ohm"]

SHARED_RETURN: Final = Check(
    "PAN-24",
    Link.PANEL,
    "Ohms that the panel reads of a zone while the load is on with which it shares a core.",
    stake=Stake.PROMISE,
    ask="Find what flows in the shared core, and the panel's supply of the zone.",
    who=Who.ALARM_COMPANY,
    minutes=10.0,
    mends="A return core of its own for the zone.",
)

_DIVIDER: Final = Citation(
    "Ohm's law", place="volts along a shared core add to those of the loop", mark=Mark.COMPUTED
)


def seen_ohm(loop_ohm: float, lift_v: float, supply_v: float, pull_up_ohm: float) -> float:
    """What a panel takes a loop for [ohm], whose far end a load lifts over its 0 V [V].

    >>> round(seen_ohm(4715.0, 2.16, 12.0, 4700.0))
    6782
    """
    return loop_ohm + lift_v * (loop_ohm + pull_up_ohm) / (supply_v - lift_v)


def judge_return(case: Case, zone_at: ZoneAt, known: KnownZone | tuple[Ask, ...]) -> Iterator[Finding]:
    """PAN-24, of a zone whose cable says with whom it shares its return."""
    run = zone_at.zone.cable
    if run is None or run.shares_return_with is None:
        return
    together = on_the_core(case, zone_at.path.split("/")[0], run.shares_return_with)
    core = core_of_run(case, run)
    loop = zone_at.loop
    asks: tuple[Ask, ...] = ()
    lift_v = lift_v_of(run, together, None if core is None else core.hot_ohm_per_km)
    if lift_v is None:
        asks = (Ask(f"Find the current of {run.shares_return_with}.", Who.LABEL),)
    supply_v = None if loop is None else loop.supply_v
    pull_up_ohm = None if loop is None else loop.pull_up_ohm
    if supply_v is None or pull_up_ohm is None:
        asks = (
            *asks,
            Ask(f"Find the volts and the pull-up resistor of {zone_at.called}.", Who.ALARM_COMPANY, 5.0),
        )
    asks = (*asks, *(known.asks if isinstance(known, KnownZone) else known))
    head = f"{zone_at.head} comes back on the core of {run.shares_return_with}"
    answer, says = Answer.UNKNOWN, f"{head}; what the panel reads while that is on is not known."
    if isinstance(known, KnownZone) and lift_v is not None and supply_v and pull_up_ohm:
        answer, told = _read(known, lift_v, supply_v, pull_up_ohm)
        if asks and answer is Answer.YES:
            answer = Answer.UNKNOWN  # with its resistors as marked; what is not known may spoil it
        says = f"{head}, which lifts it by {write_quantity(lift_v, 'voltage')} while that is on: {told}."
    yield SHARED_RETURN.decide(
        about=zone_at.about,
        subjects=zone_at.subjects,
        cause=zone_at.ref,
        answer=answer,
        says=says,
        because="The panel measures volts: those along the shared core count as ohms of the zone.",
        asks=asks if answer is Answer.UNKNOWN else (),
        remedies=(Remedy("Give the zone a return core of its own, from the panel to its far end"),),
        sources=(
            *zone_at.sources,
            *(source for end in together for source in end.sources),
            HOT,
            _DIVIDER,
            GIVEN,
        ),
    )


def lift_v_of(run: CableRun, together: Sequence[End], ohm_per_km: float | None) -> float | None:
    """Volts by which what is on lifts the far end of a shared core [V]; None where not all of it is known."""
    if not together or ohm_per_km is None or any(end.amperes is None for end in together):
        return None
    lift_v = 0.0
    for end in together:
        lengths = [run.length_m, end.run.length_m if end.run else run.length_m]
        shared_m = min(lengths) if run.shared_m is None else min(run.shared_m, *lengths)
        lift_v += (end.amperes or 0.0) * ohm_per_km * shared_m / 1000.0
    return lift_v


def _read(known: KnownZone, lift_v: float, supply_v: float, pull_up_ohm: float) -> tuple[Answer, str]:
    if lift_v >= supply_v:
        return Answer.NO, "more than the panel puts on the zone"
    words, is_right = [], True
    for opened, what, right in ((0, "at rest", "normal"), (1, "1 open", "alarm")):
        ohm = zone_ohm(chain=known.chain, worked=opened, loop_ohm=known.loop_ohm)
        seen = seen_ohm(ohm, lift_v, supply_v, pull_up_ohm)
        read = known.read(seen)
        is_right = is_right and read == right
        words.append(f"{what} {ohms(ohm)} is read as {ohms(seen)} ({read})")
    return Answer.of(is_right), "; ".join(words)


def on_the_core(case: Case, premises: str, name: str) -> tuple[End, ...]:
    """What hangs on any supply of the premises by this name, and all that comes back on its core."""
    for supply in case.job.premises[premises].supplies:
        ends = tuple(ends_of(case, premises, supply))
        named = next((end for end in ends if name in (end.name, *end.aliases)), None)
        if named is not None:
            names = shares_return(ends, named)
            return tuple(end for end in ends if end.name in names)
    return ()
