"""Judges how contacts are used over the years, and that motors never fight over them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.switched import Load, Switched
from farpress.core.wiring.contacts import expected_operations
from farpress.domain.finding import Ask, Change, Finding, Link, Remedy, Stake, Verdict, Who
from farpress.domain.refs import DeviceRef, refs_of
from farpress.judging.check import AT_LEAST, AT_MOST, Check, Estimate, Limit, no_edge, share_edge
from farpress.judging.contact.making import welds
from farpress.judging.contact.stronger import allowed_share_of, missing_of, names_of, power_loads
from farpress.sources import Citation, Mark, cited

__all__ = ["CONTACT_LIFE", "MOTORS_ON_CONTACT", "forecast_per_day", "judge_use", "operations_wanted"]

_LIFE_SPREAD: Final = 1.0
"""Contact life varies by more than a factor of two between pieces and loads; common practice, no source."""

CONTACT_LIFE: Final = Check(
    "CON-06",
    Link.CONTACT,
    "Operations over ten years, against the life of the contact at its load.",
    unit="operations",
    bound=AT_LEAST,
    thin=share_edge(_LIFE_SPREAD, "contact life varies by more than a factor of two"),
    stake=Stake.WEAR,
    ask="Read the life of the contact at its rated load off its data sheet.",
    mends="An interposing relay that wears instead and is changed in time.",
)

MOTORS_ON_CONTACT: Final = Check(
    "CON-07",
    Link.CONTACT,
    "Several motors on one contact without a separation relay.",
    unit="motors",
    bound=AT_MOST,
    limit=Limit(
        1.0,
        (
            Citation(
                "one motor for each contact; motors in parallel feed back into each other", mark=Mark.PRACTICE
            ),
        ),
    ),
    thin=no_edge("a number of motors is counted"),
    stake=Stake.PROMISE,
    mends="A separation relay with a pair of contacts for each motor.",
)

WANTED_YEARS: Final = 10.0
"""Years a contact is to last: our choice."""

_BUSIEST_PER_DAY: Final = 1000.0
"""Operations a day above which no forecast is asked for: a barrier of 600 holders does fewer; our choice."""

_DAYS_PER_YEAR: Final = 365.25

_MOST_YEARS_SAID: Final = 99.0
"""A sentence says no more years than this."""

_WANTED: Final = Citation(f"a contact is to last {WANTED_YEARS:g} years", mark=Mark.CHOICE)


def judge_use(case: Case, circuits: tuple[Switched, ...]) -> Iterator[Finding]:
    """Life and motors of all contacts; what keeps up and down apart is judged with the outputs (OUT-06)."""
    for circuit in circuits:
        yield from _life(case, circuit)
        yield from _motors(circuit)


def forecast_per_day(case: Case, output: OutputAt) -> tuple[float | None, str]:
    """Operations of an output a day, and where the number comes from: given, or the presses of its groups
    spread over their buttons.
    """
    if output.output.operations_per_day is not None:
        return output.output.operations_per_day, "as given"
    total, known = 0.0, False
    for group in case.job.groups.values():
        mine = [name for name in case.job.functions_of(group) if name in output.functions]
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


def _life(case: Case, circuit: Switched) -> Iterator[Finding]:
    """CON-06; where nobody says how often it works, it is held against the busiest of contacts."""
    daily, basis = forecast_per_day(case, circuit.at)
    powers = power_loads(circuit)
    if not powers or (daily is None and not circuit.at.functions):
        return
    load = max(powers, key=lambda power: power.amperes or 0.0)
    if allowed_share_of(circuit, load) == 0:
        return  # CON-01 says that this load is not rated at all
    if welds(circuit):
        return  # CON-02 says that it is over at the first operation
    name, lasts = circuit.contact.name, _lasts(circuit, load)
    wanted = operations_wanted(_BUSIEST_PER_DAY if daily is None else daily)
    asks: list[str | Ask] = [] if lasts is not None else _missing_of_life(circuit, load)
    is_usual = circuit.contact.life_is_usual and lasts is not None
    if is_usual and CONTACT_LIFE.word(lasts, Limit(wanted)) is Verdict.FAILS:
        asks.append(f"Read the life at its rated load of {name} off its data sheet.")
    if daily is not None:
        most = _most_per_day(case, circuit.at)
        if most is not None and _is_worse(lasts, wanted, operations_wanted(max(most, daily))):
            asks.append(_how_often(circuit))
        because = (
            f"{daily:.3g} operations a day over {WANTED_YEARS:g} years, {basis}. Thin means less than"
            f" {1 + _LIFE_SPREAD:g} times that: {CONTACT_LIFE.thin.because}."
        )
    elif CONTACT_LIFE.word(lasts, Limit(wanted)) is Verdict.HOLDS:
        because = (
            f"More than {_BUSIEST_PER_DAY:g} a day is not to be expected of a contact that fobs work: our"
            " choice."
        )
    else:
        because = "How often it is worked is not given."
        asks.append(_how_often(circuit))
    if lasts is None:
        says = f"How many operations {name} lasts with {load.name} is not known."
        if daily is not None:
            says = (
                f"{name} makes {wanted:,.0f} operations in {WANTED_YEARS:g} years; how many it lasts is not"
                " known."
            )
    elif daily:
        years = min(lasts / (daily * _DAYS_PER_YEAR), _MOST_YEARS_SAID)
        says = (
            f"{name} lasts about {lasts:,.0f} operations with {load.name}, {years:.1f} years at {daily:.3g}"
            " a day."
        )
    else:
        says = (
            f"{name} lasts about {lasts:,.0f} operations with {load.name}: {WANTED_YEARS:g} years at"
            f" {lasts / (_DAYS_PER_YEAR * WANTED_YEARS):.0f} a day."
        )
    yield CONTACT_LIFE.judge(
        about=circuit.about,
        subjects=circuit.subjects,
        value=Estimate(lasts, None, (*circuit.contact.sources, *cited(expected_operations))),
        limit=Limit(wanted, (_WANTED,)),
        says=says,
        because=because,
        asks=asks,
        failure_stands=daily is not None and not is_usual,
        remedies=(Remedy("Let an interposing relay wear instead, and note its change in the upkeep plan."),),
    )


def _most_per_day(case: Case, output: OutputAt) -> float | None:
    """Operations of an output a day if every press of its groups went to it; None where they are given, or
    nobody says how often anybody presses.
    """
    if output.output.operations_per_day is not None:
        return None
    presses = [
        (len(group.people) or group.count or 0) * group.presses_per_day
        for group in case.job.groups.values()
        if group.presses_per_day is not None
        and any(name in output.functions for name in case.job.functions_of(group))
    ]
    return sum(presses) if presses else None


def _is_worse(lasts: float | None, wanted: float, most: float) -> bool:
    """Whether the word of a contact's life hangs on how presses are spread."""
    spread, all_here = (CONTACT_LIFE.word(lasts, Limit(number)) for number in (wanted, most))
    return all_here.rank > spread.rank


def _how_often(circuit: Switched) -> Ask:
    return Ask(
        f"Say how often a day output {circuit.at.number} of {circuit.at.receiver} is worked, or how often"
        " each holder presses.",
        Who.CUSTOMER,
    )


def operations_wanted(per_day: float) -> float:
    """Operations that a contact is to last: those of `WANTED_YEARS`."""
    return per_day * _DAYS_PER_YEAR * WANTED_YEARS


def _lasts(circuit: Switched, load: Load) -> float | None:
    """Operations that the contact lasts with its greatest load; None where a figure is missing."""
    contact = circuit.contact
    if contact.life is None or contact.rated_a is None or load.amperes is None or missing_of(load):
        return None
    return expected_operations(
        rated_operations=float(contact.life),
        rated_a=contact.rated_a * allowed_share_of(circuit, load),
        current_a=load.amperes,
    )


def _missing_of_life(circuit: Switched, load: Load) -> list[str | Ask]:
    contact = circuit.contact
    named = (("life at its rated load", contact.life), ("rated current", contact.rated_a))
    asks = [
        f"Read the {what} of {contact.name} off its data sheet." for what, value in named if value is None
    ]
    return [*asks, *missing_of(load)]


def _motors(circuit: Switched) -> Iterator[Finding]:
    """CON-07."""
    motors = [load for load in circuit.loads if load.motors]
    count = sum(load.motors for load in motors)
    if not count:
        return
    names, contact = names_of(motors), circuit.contact
    turned = all(load.reverses == "polarity" for load in motors)
    are_apart = count == 1 or turned or all(load.separation_relay for load in motors)
    if count == 1:
        says = f"{contact.name} works one motor ({names})."
    elif turned:
        says = f"{contact.name} works {count} motors of {names}, which turn round with their volts."
    elif are_apart:
        says = f"{contact.name} works {count} motors of {names} through a separation relay."
    elif any(load.separation_relay is None for load in motors):
        says = f"{contact.name} works {count} motors of {names}; no separation relay is named."
    else:
        says = f"{contact.name} works {count} motors of {names} without a separation relay."
    yield MOTORS_ON_CONTACT.judge(
        about=circuit.at.path,  # the same motors, whichever contact switches them
        subjects=circuit.subjects,
        value=Estimate(1.0 if are_apart else float(count)),
        says=says,
        because=(
            ""
            if count == 1
            else "Motors in parallel drive each other through their windings: end switches burn, leaves"
            " creep, one runs the other backwards."
        ),
        remedies=(
            Remedy(
                f"Fit a separation relay with {count} pairs of contacts, one pair for each motor.",
                changes=tuple(
                    Change(
                        ("premises", circuit.at.premises, "devices", device.name, "separation_relay"), True
                    )
                    for device in refs_of(DeviceRef, motors[0].subjects)
                ),
            ),
            Remedy("Give each motor outputs of its own."),
        ),
        asks=tuple(
            Ask(
                f"Look whether {load.name} turns round with its volts or has a winding for each way, and"
                " write it as 'reverses': motors that turn with their volts may lie side by side.",
                Who.LABEL,
            )
            for load in motors
            if not are_apart and load.reverses is None and load.alternating is False
        ),
    )
