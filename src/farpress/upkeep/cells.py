"""Cells in the years to come: how many are empty when, on which day to change all, what to order.

Ages come from the register; a cell whose age nobody wrote down is taken as new today, and
said so. Low-cell signals that really came are held against what was expected.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import CHOICE, GIVEN
from farpress.case.driven import holders
from farpress.core.upkeep.cell import cell_life
from farpress.core.upkeep.pulse import press_mix, pulse_usable_share
from farpress.core.upkeep.survival import BatchDate, batch_age, empty_share, expected_empty, number_band
from farpress.dates import YEAR_DAYS, day_of, years_between
from farpress.domain.acts import LowCell
from farpress.domain.event import Event, happened
from farpress.domain.register import FobRegister, FobState
from farpress.judging.fob.cell_plan import CellPlan, cell_plan
from farpress.judging.fob.cells import USE_SPREAD
from farpress.sources import Citation, Mark, cited

__all__ = [
    "FAILURE_COST",
    "OTHER_WAYS",
    "SOON_DAYS",
    "CellOrder",
    "GroupCells",
    "cell_orders",
    "cells_ahead",
    "change_months",
]

FAILURE_COST: Final = 10.0
"""One empty cell costs so many planned changes: a call, somebody locked out, a visit. Our choice."""

CONFIDENCE: Final = 0.9
"""Of the bands of numbers; our choice."""

SHORT_YEARS: Final = 0.75
"""A cell that lasts less than this asks for another way of working; our choice."""

OTHER_WAYS: Final = (
    "a timed run started by a short press instead of holding, a fob with a larger cell, or a wired push"
    " button where the work is"
)
"""What helps where cells are empty within months; common practice, no source."""

SOON_DAYS: Final = 30
"""A batch date that has passed is put so far ahead; our choice."""

_USE: Final = Citation(
    "presses from holder to holder", place="deviation of the logarithm 0.5", mark=Mark.MEMORY
)


@dataclass(frozen=True)
class GroupCells:
    """Cells of one group of fobs.

    Attributes:
        group: its name.
        plan: how a cell is used up.
        fobs: fobs that are out, by the register or, without one, by the job.
        ages_known: of how many the age is written down.
        mean_age_years: of those; None for none.
        expected: how many times a cell is empty in each coming month, each changed at once.
        low, high: fewest and most in the whole time, nine times in ten.
        empty_now: expected number that is past its life today.
        batch: cheapest age to change all at once.
        batch_on: that day; None where changing all early does not pay.
        batch_says: the same in a sentence; empty where it does not pay.
        signals: low-cell signals that came in the last twelve months.
        signals_expected: how many were expected in that time.
        signals_say: what the signals tell, in one sentence; empty where none came and none was expected.
        no_way: what to change where a cell lasts too short to live with; else empty.
        says: in sentences, that of the signals last.
        sources: where the numbers come from.
    """

    group: str
    plan: CellPlan
    fobs: int
    ages_known: int
    mean_age_years: float | None
    expected: tuple[float, ...]
    low: int
    high: int
    empty_now: float
    batch: BatchDate
    batch_on: date | None
    batch_says: str
    signals: int
    signals_expected: float
    signals_say: str
    no_way: str
    says: tuple[str, ...]
    sources: tuple[Citation, ...]


@dataclass(frozen=True)
class CellOrder:
    """Cells of one kind to order, and why so many."""

    cell: str
    number: int
    because: str


def cells_ahead(
    case: Case,
    register: FobRegister,
    events: Iterable[Event],
    *,
    today: date,
    months: int = 24,
    failure_cost: float = FAILURE_COST,
) -> tuple[GroupCells, ...]:
    """What happens to the cells of each group.

    Args:
        case: the job.
        register: who holds which fob, with the dates of its cells.
        events: of the record, for low-cell signals.
        today: the day to look ahead from.
        months: how far.
        failure_cost: of one empty cell, in planned changes.

    Raises:
        OutOfRange: months or a cost that are none.
    """
    signals = _signals(events, register, today)
    found = []
    for name, group in case.job.groups.items():
        plan = cell_plan(case, name)
        if plan is None:
            continue
        fobs = [
            fob
            for fob in register.fobs.values()
            if fob.group == name and fob.state in (FobState.ISSUED, FobState.BLOCKED)
        ]
        known = [
            max(years_between(day, today), 0.0) for fob in fobs if (day := day_of(fob.cell_date)) is not None
        ]
        count = len(fobs) if fobs else (holders(group) or 0)
        found.append(_group(plan, count, known, signals[name], today, months, failure_cost))
    return tuple(found)


def change_months(plan: CellPlan, *, failure_cost: float = FAILURE_COST) -> int:
    """Age at which a cell is changed [months], at least one: the cheapest for all at once, else all its life.

    The one answer for card, plan, list of what is due and forecast.
    """
    batch = _batch(plan, failure_cost)
    years = batch.age_years if _pays(batch) else min(plan.years, plan.shelf_years or plan.years)
    return max(round(12.0 * years), 1)


def _batch(plan: CellPlan, failure_cost: float) -> BatchDate:
    return batch_age(
        life_years=plan.by_charge_years,
        use_spread=USE_SPREAD,
        shelf_years=plan.shelf_years,
        planned_cost=1.0,
        failure_cost=failure_cost,
    )


def _pays(batch: BatchDate) -> bool:
    """Whether changing all early costs less than waiting for each."""
    return batch.cost_per_year < 0.99 * batch.waiting_cost_per_year


def _signals(events: Iterable[Event], register: FobRegister, today: date) -> Counter[str]:
    """Low-cell signals of the last twelve months by group; a fob counts once a month."""
    seen: set[tuple[str, str]] = set()
    found: Counter[str] = Counter()
    for event, low in happened(events, LowCell):
        day, label, month = day_of(event.moment), low.fob or "", event.moment[:7]
        if day is None or not 0 <= (today - day).days <= YEAR_DAYS or (label, month) in seen:
            continue
        seen.add((label, month))
        fob = register.fobs.get(label)
        found[fob.group if fob is not None else ""] += 1
    return found


def _group(
    plan: CellPlan,
    count: int,
    known: Sequence[float],
    signals: int,
    today: date,
    months: int,
    failure_cost: float,
) -> GroupCells:
    life = {"life_years": plan.by_charge_years, "use_spread": USE_SPREAD, "shelf_years": plan.shelf_years}
    ages = [*known, *[0.0] * (count - len(known))]
    expected = expected_empty(ages_years=ages, months=months, **life)
    low, high = number_band(expected=float(expected.sum()), confidence=CONFIDENCE)
    gone = empty_share(age_years=known, **life) if known else None
    # of the cells that were there a year ago, those that should have become empty since
    before = [age - 1.0 for age in known if age >= 1.0]
    last_year = float(expected_empty(ages_years=before, months=12, **life).sum()) if before else 0.0
    batch = _batch(plan, failure_cost)
    mean = sum(known) / len(known) if known else None
    pays = _pays(batch)
    oldest = max(known, default=0.0)
    day = (
        max(
            today + timedelta(days=round((batch.age_years - oldest) * YEAR_DAYS)),
            today + timedelta(days=SOON_DAYS),
        )
        if pays and count
        else None
    )
    batch_says = (
        ""
        if day is None
        else f"Change all of them on one day: {day:%B %Y}, at an age of {batch.age_years:.1f} years. It costs"
        f" {batch.cost_per_year:.2f} changes a year for each fob against"
        f" {batch.waiting_cost_per_year:.2f} when waiting for each to fail, an empty one counted as"
        f" {failure_cost:.0f} changes; {batch.empty_before_share:.0%} are empty before."
    )
    says = _says(
        plan, count, known, mean, [float(number) for number in expected], low, high, batch_says, months
    )
    signals_say = _signals_say(signals, last_year) if count else ""
    sources = (
        cited(cell_life)
        + cited(press_mix)
        + cited(pulse_usable_share)
        + cited(empty_share)
        + cited(expected_empty)
        + cited(batch_age)
        + cited(number_band)
        + (_USE, CHOICE, GIVEN)
    )
    return GroupCells(
        plan.group,
        plan,
        count,
        len(known),
        mean,
        tuple(float(number) for number in expected),
        low,
        high,
        float(gone.sum()) if gone is not None else 0.0,
        batch,
        day,
        batch_says,
        signals,
        last_year,
        signals_say,
        _no_way(plan),
        (*says, *((signals_say,) if signals_say else ())),
        sources,
    )


def _says(
    plan: CellPlan,
    count: int,
    known: Sequence[float],
    mean: float | None,
    expected: Sequence[float],
    low: int,
    high: int,
    batch_says: str,
    months: int,
) -> Iterable[str]:
    what = {
        "charge": "by its charge",
        "shelf life": "then its shelf life ends",
        "voltage in the cold": "then it no longer gives the current of a press in the cold",
        "voltage under load": "then it no longer gives the current of a press",
    }
    assumed = f" ({plan.assumed})" if plan.assumed else ""
    yield (
        f"A {plan.cell} lasts {plan.years:.1f} years in the middle of the holders, {what[plan.limited_by]}:"
        f" {plan.presses_per_day:.2g} presses a day of {plan.press_s:.1f} s{assumed};"
        f" {plan.presses_share:.0%} goes into presses, {plan.sleep_share:.0%} into rest,"
        f" {plan.self_discharge_share:.0%} into self-discharge."
    )
    if not count:
        yield "No fob of this group is out."
        return
    if len(known) < count:
        whose = "The age of the cell" if count == 1 else f"The age of {count - len(known)} of {count} cells"
        yield (
            f"{whose} is not written down; taken as new today. Look into {'it' if count == 1 else 'them'} and"
            " write the month down."
        )
    if mean is not None:
        yield f"The cells are {mean:.1f} years old on average."
    pieces = "the cell of one fob is" if count == 1 else f"the cells of {count} fobs are"
    yield (
        f"Changed only when empty, {pieces} empty {sum(expected):.1f} times in the next {months}"
        f" months ({low} to {high}, nine times in ten); at most {max(expected):.1f} times in one month."
    )
    if no_way := _no_way(plan):
        yield no_way
    if batch_says:
        yield batch_says
    else:
        yield (
            "Changing all on one day does not pay: change each when its signal comes, and at the end of the"
            " shelf life."
        )


def _no_way(plan: CellPlan) -> str:
    """What is to be changed where a cell lasts so short that changing it is no way to work; else nothing."""
    if plan.years >= SHORT_YEARS:
        return ""
    months = 12.0 * plan.years
    lasts = f"{months:.0f} months" if months >= 1.5 else f"{months * YEAR_DAYS / 12.0 / 7.0:.0f} weeks"
    return f"A cell that lasts {lasts} is no way to work: {OTHER_WAYS}."


def _signals_say(signals: int, expected: float) -> str:
    if not signals and expected < 0.5:
        return ""
    told = f"{signals} low-cell signals came in twelve months, {expected:.1f} were expected"
    low, high = number_band(expected=expected, confidence=CONFIDENCE)
    if signals > high:
        return (
            f"{told} (at most {high}): a poor batch, more presses than thought, or cold. Ask, and change the"
            " rest of the batch."
        )
    if signals < low:
        return f"{told} (at least {low}): are they noted at all?"
    return f"{told}."


def cell_orders(
    case: Case, groups: Iterable[GroupCells], *, today: date, months: int = 12
) -> tuple[CellOrder, ...]:
    """Cells to order for the coming months, by kind.

    Args:
        case: the job.
        groups: what was forecast.
        today: from when.
        months: for how long; batches that fall into them are counted whole.
    """
    until = today + timedelta(days=round(months * YEAR_DAYS / 12.0))
    batch: Counter[str] = Counter()
    single: dict[str, float] = {}
    for forecast in groups:
        if forecast.batch_on is not None and forecast.batch_on <= until:
            spares = case.job.groups[forecast.group].spares
            # a short life brings the batch date back within the time ordered for
            times = 1 + int(
                (until - forecast.batch_on).days / max(forecast.batch.age_years * YEAR_DAYS, SOON_DAYS)
            )
            batch[forecast.plan.cell] += times * forecast.fobs + spares
        else:
            single[forecast.plan.cell] = single.get(forecast.plan.cell, 0.0) + sum(forecast.expected[:months])
    found = []
    for cell in sorted({*batch, *single}):
        singles = number_band(expected=single.get(cell, 0.0), confidence=CONFIDENCE)[1]
        number = batch[cell] + singles
        if number:
            parts = [f"{batch[cell]} for batches, spares included"] if batch[cell] else []
            parts += (
                [f"{singles} for single ones ({single[cell]:.1f} expected, enough nineteen times in twenty)"]
                if singles
                else []
            )
            found.append(CellOrder(cell, number, "; ".join(parts)))
    return tuple(found)
