"""What a quotation does not hold: what others must do, and what could not be counted because nobody says
it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from farpress.case.cables import cables_of
from farpress.case.case import Case
from farpress.case.driven import holders
from farpress.domain.finding import Who
from farpress.judging.device.mains_cables import carries_mains
from farpress.phrases import listed, plural
from farpress.proving.tests import ProvingPlan
from farpress.quoting.figures import plain_figure
from farpress.quoting.laying import is_laid, metres

__all__ = ["NotCounted", "excluded_sentences", "not_counted"]


@dataclass(frozen=True)
class NotCounted:
    """Something that is needed and has no number: what, and who can say it."""

    says: str
    who: Who


def excluded_sentences(case: Case, plan: ProvingPlan) -> tuple[str, ...]:
    """What others do, from what the job is made of: mains, alarm panel, what stands there, trials, ways."""
    return (*_mains(case), *_panels(case), *_standing(case), *_trials(plan), *_ways(case))


def not_counted(case: Case) -> tuple[NotCounted, ...]:
    """Cables that are not described, groups whose number nobody says."""
    return (*_cables_open(case), *_groups_open(case))


def _mains(case: Case) -> Iterator[str]:
    for premises, house in case.job.premises.items():
        sums: dict[str, Decimal] = {}
        ends: list[str] = []
        for body in cables_of(case, premises):
            if carries_mains(case, body):
                ends.append(f"{body.label} ({body.near} to {body.far})")
                if body.length_m is not None and not is_laid(case, body):
                    sums[body.part] = sums.get(body.part, Decimal(0)) + metres(body.length_m)
        fed = [name for name, supply in house.supplies.items() if supply.fed is None and supply.solar is None]
        if ends:
            material = listed(f"{plain_figure(length)} m of {part}" for part, length in sums.items())
            bought = f", with {material}" if sums else ""
            yield (
                f"{premises}: mains cables {listed(ends)}{bought}: laid and connected by a"
                " licensed electrician."
            )
        if fed:
            yield f"{premises}: the mains side of {listed(fed)}: by a licensed electrician."


def _panels(case: Case) -> Iterator[str]:
    for premises, house in case.job.premises.items():
        for panel in house.panels:
            count = sum(
                any(end.thing == panel for end in side)
                for body in cables_of(case, premises)
                for core in body.conductors
                for side in (core.near, core.far)
            )
            if count:
                yield (
                    f"{premises}: {plural(count, 'core end')} at the terminals of {panel}, and all"
                    " settings in it:"
                    " by the alarm company."
                )


def _standing(case: Case) -> Iterator[str]:
    delivery = case.job.delivery
    if delivery.stands:
        yield f"Stands there already, and is not delivered: {listed(delivery.stands)}."
    left = [
        f"{premises}/{name}"
        for premises, house in case.job.premises.items()
        for name in (*house.devices, *house.panels)
        if f"{premises}/{name}" not in delivery.delivers
    ]
    if left:
        yield (
            f"Devices and panels, taken to stand there or to come from others: {listed(left)}. What the firm"
            " delivers of them stands in the job under 'delivery'."
        )
    laid = [
        f"{premises}/{body.label}"
        for premises in case.job.premises
        for body in cables_of(case, premises)
        if is_laid(case, body)
    ]
    if laid:
        yield f"Cables that lie there already: {listed(laid)}; their core ends are counted."


def _trials(plan: ProvingPlan) -> Iterator[str]:
    others = Counter(test.who for test in plan.tests if test.who != "installer")
    for who, count in sorted(others.items()):
        yield f"{plural(count, 'trial')} of the proving plan: by {_a(who)}."


def _a(who: str) -> str:
    return f"the {who}" if who in ("alarm company", "customer") else f"a {who}"


def _ways(case: Case) -> Iterator[str]:
    hidden = [
        f"{premises}/{body.label}"
        for premises in case.job.premises
        for body in cables_of(case, premises)
        if body.length_m is not None and body.way is None and not is_laid(case, body)
    ]
    if hidden:
        yield (
            f"Ducts, trenches, masonry and making good: not counted; {plural(len(hidden), 'cable')} of"
            " this job"
            f" {'has' if len(hidden) == 1 else 'have'} a length and no way that is described."
        )
    ways = [f"{premises}/{name}" for premises, house in case.job.premises.items() for name in house.ways]
    if ways:
        yield f"Ducts and trays {listed(ways)}: taken to be there; the job gives no length of them."
    zones = [
        f"{premises}/{panel}"
        for premises, house in case.job.premises.items()
        for panel, given in house.panels.items()
        if given.zones
    ]
    if zones:
        yield f"Detection circuits of {listed(zones)}, with their cables: by the alarm company."


def _cables_open(case: Case) -> Iterator[NotCounted]:
    for premises in case.job.premises:
        for body in cables_of(case, premises):
            if body.length_m is None and not is_laid(case, body):
                says = (
                    f"{premises}: the cable from {body.near} to {body.far} is not described:"
                    " which, and how long."
                )
                yield NotCounted(says, Who.INSTALLER)


def _groups_open(case: Case) -> Iterator[NotCounted]:
    for name, group in case.job.groups.items():
        if holders(group) is None:
            yield NotCounted(
                f"How many people of '{name}' get a fob ({group.fob}) is not said.", Who.CUSTOMER
            )
