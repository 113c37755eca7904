"""Judges how contacts are used over the years, and that motors never fight over them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.switched import Load, Switched
from farpress.core.wiring.contacts import allowed_share, expected_operations
from farpress.domain.finding import Change, Finding, Link, Remedy, Verdict
from farpress.sources import Citation, Mark, cited

__all__ = ["USE_CODES", "forecast_per_day", "judge_use"]

USE_CODES: Final[dict[str, str]] = {
    "CON-06": "Operations over ten years, against the life of the contact at its load.",
    "CON-07": "Several motors on one contact without a separation relay.",
}

WANTED_YEARS: Final = 10.0
"""Years a contact is to last: our choice."""

_BUSIEST_PER_DAY: Final = 1000.0
"""Operations a day above which no forecast is asked for: a barrier of 600 holders does fewer; our choice."""

_MOTORS: Final = Citation(
    "one motor for each contact; motors in parallel feed back into each other", mark=Mark.PRACTICE
)


def judge_use(case: Case, contacts: tuple[Switched, ...]) -> Iterator[Finding]:
    """Life and motors of all contacts; what keeps up and down apart is judged with the outputs (OUT-06)."""
    for one in contacts:
        life = _life(case, one)
        if life is not None:
            yield life
        motors = _motors(one)
        if motors is not None:
            yield motors


def forecast_per_day(case: Case, at: OutputAt) -> tuple[float | None, str]:
    """Operations of an output a day, and where the number comes from: given, or the presses of its groups
    spread over their buttons.
    """
    if at.output.operations_per_day is not None:
        return at.output.operations_per_day, "as given"
    total, known = 0.0, False
    for group in case.job.groups.values():
        mine = [name for name in case.job.functions_of(group) if name in at.functions]
        holders = len(group.people) or group.count
        if not mine or group.presses_per_day is None or not holders:
            continue
        known = True
        total += holders * group.presses_per_day * len(mine) / max(len(case.job.functions_of(group)), 1)
    return (
        (total, "the presses of its groups, spread evenly over their functions (our choice)")
        if known
        else (None, "")
    )


def _life(case: Case, one: Switched) -> Finding | None:
    """CON-06."""
    daily, basis = forecast_per_day(case, one.at)
    powers = [load for load in one.loads if not load.is_signal]
    if not powers:
        return None
    if daily is None:
        return _life_without_forecast(one, powers)
    wanted = daily * 365.25 * WANTED_YEARS
    because = f"{daily:.3g} operations a day over {WANTED_YEARS:g} years, {basis}."
    sources = (
        *one.contact.sources,
        *cited(expected_operations),
        Citation("a contact is to last ten years", mark=Mark.CHOICE),
    )
    load = max(powers, key=lambda power: power.amperes or 0.0)
    if (
        one.contact.life is None
        or one.contact.rated_a is None
        or load.amperes is None
        or load.kind is None
        or load.volts is None
        or load.alternating is None
    ):
        ask = [f"life of {one.contact.name}"] * (one.contact.life is None) + [
            f"current and kind of {load.name}"
        ] * (load.amperes is None or load.kind is None)
        remedy = Remedy(f"Find out: {', '.join(ask) or 'rating and load'}.")
        says = (
            f"{one.contact.name} makes {wanted:,.0f} operations in {WANTED_YEARS:g} years; how many it lasts"
            " is not known."
        )
        return Finding(
            "CON-06",
            Link.CONTACT,
            Verdict.UNKNOWN,
            one.about,
            says,
            because,
            wanted,
            None,
            "operations",
            remedies=(remedy,),
            sources=sources,
            subjects=one.subjects,
        )
    suppressed = one.suppression not in (None, "none")
    share = allowed_share(
        kind=load.kind, voltage_v=load.volts, alternating=load.alternating, suppressed=suppressed
    )
    if share == 0:
        return None  # CON-01 says that this load is not rated at all
    lasts = expected_operations(
        rated_operations=float(one.contact.life), rated_a=one.contact.rated_a * share, current_a=load.amperes
    )
    verdict = Verdict.FAILS if lasts < wanted else Verdict.THIN if lasts < 2 * wanted else Verdict.HOLDS
    years = lasts / (daily * 365.25) if daily else float("inf")
    says = (
        f"{one.contact.name} lasts about {lasts:,.0f} operations with {load.name}, {min(years, 99):.1f} years"
        f" at {daily:.3g} a day."
    )
    because += " Thin means less than twice that: contact life varies by more than a factor of two."
    remedies = (
        ()
        if verdict is Verdict.HOLDS
        else (Remedy("Let an interposing relay wear instead, and note its change in the upkeep plan."),)
    )
    return Finding(
        "CON-06",
        Link.CONTACT,
        verdict,
        one.about,
        says,
        because,
        lasts,
        wanted,
        "operations",
        lasts - wanted,
        None,
        remedies,
        sources,
        one.subjects,
    )


def _life_without_forecast(one: Switched, powers: list[Load]) -> Finding | None:
    """How often a day it may work to last, where nobody says how often it will; nothing where the load itself
    is not known.
    """
    load = max(powers, key=lambda power: power.amperes or 0.0)
    if (
        one.contact.life is None
        or one.contact.rated_a is None
        or load.amperes is None
        or load.kind is None
        or load.volts is None
        or load.alternating is None
        or not one.at.functions
    ):
        return None
    share = allowed_share(
        kind=load.kind,
        voltage_v=load.volts,
        alternating=load.alternating,
        suppressed=one.suppression not in (None, "none"),
    )
    if share == 0:
        return None
    lasts = expected_operations(
        rated_operations=float(one.contact.life), rated_a=one.contact.rated_a * share, current_a=load.amperes
    )
    daily = lasts / (365.25 * WANTED_YEARS)
    says = (
        f"{one.contact.name} lasts about {lasts:,.0f} operations with {load.name}: {WANTED_YEARS:g} years at"
        f" {daily:.0f} a day."
    )
    sources = (
        *one.contact.sources,
        *cited(expected_operations),
        Citation("a contact is to last ten years", mark=Mark.CHOICE),
    )
    if daily >= _BUSIEST_PER_DAY:
        return Finding(
            "CON-06",
            Link.CONTACT,
            Verdict.HOLDS,
            one.about,
            says,
            "More than a thousand a day is not to be expected of a contact that fobs work: our choice.",
            lasts,
            None,
            "operations",
            sources=sources,
            subjects=one.subjects,
        )
    ask = Remedy(
        f"Say how often a day output {one.at.number} of {one.at.receiver} is worked, or how often each holder"
        " presses."
    )
    return Finding(
        "CON-06",
        Link.CONTACT,
        Verdict.UNKNOWN,
        one.about,
        says,
        "How often it is worked is not given.",
        lasts,
        None,
        "operations",
        remedies=(ask,),
        sources=sources,
        subjects=one.subjects,
    )


def _motors(one: Switched) -> Finding | None:
    """CON-07."""
    motors = [load for load in one.loads if load.motors]
    count = sum(load.motors for load in motors)
    if not count:
        return None
    names = " and ".join(load.name for load in motors)
    because = (
        "Motors in parallel drive each other through their windings: end switches burn, leaves creep, one"
        " runs the other backwards."
    )
    if count == 1:
        return Finding(
            "CON-07",
            Link.CONTACT,
            Verdict.HOLDS,
            one.about,
            f"{one.contact.name} works one motor ({names}).",
            value=1.0,
            limit=1.0,
            unit="motors",
            sources=(_MOTORS,),
            subjects=one.subjects,
        )
    kept = all(load.separation_relay for load in motors)
    unknown = any(load.separation_relay is None for load in motors)
    if kept:
        says, verdict = (
            f"{one.contact.name} works {count} motors of {names} through a separation relay.",
            Verdict.HOLDS,
        )
    else:
        says = f"{one.contact.name} works {count} motors of {names}" + (
            "; no separation relay is named." if unknown else " without a separation relay."
        )
        verdict = Verdict.FAILS
    device = motors[0].subjects[0].path.partition("/")[2]
    change = Change(("premises", one.at.premises, "devices", device, "separation_relay"), True)
    remedies = (
        ()
        if kept
        else (
            Remedy(
                f"Fit a separation relay with {count} pairs of contacts, one pair for each motor.",
                changes=(change,),
            ),
            Remedy("Give each motor outputs of its own."),
        )
    )
    return Finding(
        "CON-07",
        Link.CONTACT,
        verdict,
        one.about,
        says,
        because,
        float(count),
        1.0,
        "motors",
        1.0 - count,
        None,
        remedies,
        (_MOTORS,),
        one.subjects,
    )
