"""The register: room in the receivers and growth; the rest of the register's rooms are asked from here.

What the design says; what was really learned, lost and deleted stands in the record.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import CHOICE, GIVEN
from farpress.case.driven import holders
from farpress.core.keys.capacity import full_between_years, years_until_full
from farpress.dates import YEAR_DAYS, day_of
from farpress.domain.finding import Ask, Change, Finding, Link, Remedy, Stake, Verdict, Who
from farpress.domain.job import Button, Group
from farpress.domain.parts import Part, ReceiverSheet
from farpress.domain.refs import ReceiverRef
from farpress.judging.check import AT_LEAST, AT_MOST, Answer, Check, Estimate, Limit, wide_edge
from farpress.judging.register import persons
from farpress.judging.register.counters import judge_counters
from farpress.judging.register.handed_out import judge_handed_out
from farpress.judging.register.lost import judge_lost
from farpress.judging.register.memory_use import MemoryUse
from farpress.judging.register.still_obeyed import judge_still_obeyed
from farpress.phrases import listed

__all__ = ["MEMORY", "YEARS_FULL", "judge", "learned_at"]

PLANNED_YEARS: Final = 10.0
"""Growth is looked at so far ahead; our choice."""

SOON_YEARS: Final = 5.0
"""A memory that is full sooner fails; our choice."""

_DAYS_TOLD_YEARS: Final = 2.0
"""A memory that is full sooner is told in days; our choice."""

MOST_CHURN_SHARE: Final = 1.0
"""Holders that leave in a year where nobody says: all of them. Our choice, more than any block of flats."""

MOST_GROWTH_SHARE: Final = 1.0
"""Holders that are added in a year where nobody says: as many again. Our choice, more than any site."""

LONGEST_YEARS: Final = 100.0
"""A memory that is full later is not full in any time that can be planned; our choice."""

MEMORY: Final = Check(
    "REG-01",
    Link.REGISTER,
    "Fobs, or buttons, to be learned at a receiver against its memory.",
    unit="records",
    bound=AT_MOST,
    ask="Ask what its memory holds, and whether it counts fobs or buttons.",
    mends="A receiver that counts fobs, or a second one for some of the groups.",
)
YEARS_FULL: Final = Check(
    "REG-02",
    Link.REGISTER,
    "Years until a receiver's memory is full.",
    unit="years",
    bound=AT_LEAST,
    limit=Limit(SOON_YEARS, (CHOICE,)),
    thin=wide_edge(
        PLANNED_YEARS - SOON_YEARS, f"a memory is planned for {PLANNED_YEARS:g} years; our choice"
    ),
    stake=Stake.WEAR,
    ask="Ask for the share of holders that leave in a year, and whether leavers are deleted.",
    who=Who.CUSTOMER,
    mends="Leavers deleted, or a larger memory.",
)


def judge(case: Case) -> Iterator[Finding]:
    """All findings about the register."""
    for path, part in case.equipment.receivers.items():
        learned = learned_at(case, path)
        if learned.groups or learned.missing:
            yield from _capacity(path, part, learned)
            yield from _growth(case, path, part, learned)
            yield persons.deletion(path, part, learned, case.job.register_.learn_takes_s)
            yield from judge_handed_out(case, path, part, learned)
        yield from persons.unknown_records(path, learned)
    yield from judge_counters(case)
    yield from judge_lost(case)
    yield from judge_still_obeyed(case)
    yield from persons.pools(case)
    yield from persons.names(case)


def learned_at(case: Case, receiver: str) -> MemoryUse:
    """What the job has learned at a receiver, "premises/name"."""
    functions = {
        name
        for name, function in case.job.functions.items()
        if any(path.rsplit("/", 1)[0] == receiver for path in function.paths)
    }
    groups: dict[str, tuple[int, int]] = {}
    missing = []
    for name, group in case.job.groups.items():
        buttons = sum(bool(functions & _on_button(group, number)) for number in group.buttons)
        if not buttons:
            continue
        number = holders(group)
        if number is None:
            missing.append(name)
            number = 0
        groups[name] = (number + group.spares, buttons)
    premises, box = receiver.split("/")
    entry = case.job.premises[premises].receivers[box]
    return MemoryUse(groups, tuple(missing), entry.learned_unknown, entry.learned)


def _on_button(group: Group, number: str) -> set[str]:
    button = group.buttons[number]
    if isinstance(button, Button):
        return set(button.functions)
    return {button} if isinstance(button, str) else set(button)


def _needs(part: Part[ReceiverSheet], learned: MemoryUse) -> tuple[int, str] | None:
    """Records that are needed, and what one is; None where it is not known and decides whether they fit."""
    counts, capacity = part.sheet.capacity_counts, part.sheet.capacity
    if counts == "buttons":
        return max(learned.buttons, learned.counted or 0), "buttons"
    if counts is not None:
        return max(learned.fobs, learned.counted or 0), "fobs"
    if capacity is None or learned.fobs <= capacity < learned.buttons:
        return None
    return (learned.buttons, "buttons") if learned.buttons <= capacity else (learned.fobs, "fobs")


def _capacity(path: str, part: Part[ReceiverSheet], learned: MemoryUse) -> Iterator[Finding]:
    name, capacity = path.split("/")[1], part.sheet.capacity
    subjects, needed = (ReceiverRef(path),), _needs(part, learned)
    sources = (*part.cite("capacity", "capacity_counts"), GIVEN)
    limit = Limit(None if capacity is None else float(capacity))
    if learned.missing:
        yield MEMORY.judge(
            about=path,
            subjects=subjects,
            says=(
                f"How many fobs {listed(learned.missing)} will have is not given; {learned.fobs} others are"
                f" to be learned at {name}."
            ),
            because="Give the names or the number of holders.",
            value=Estimate(None),
            limit=limit,
            asks=tuple(
                Ask(f"Ask how many fobs {group} will have.", Who.CUSTOMER) for group in learned.missing
            ),
            sources=sources,
        )
    elif capacity is None or needed is None:
        what = "How many it holds" if capacity is None else f"It holds {capacity}; whether fobs or buttons"
        yield MEMORY.judge(
            about=path,
            subjects=subjects,
            says=(
                f"{learned.fobs} fobs with {learned.buttons} buttons are to be learned at {name}. {what} is"
                " not known."
            ),
            because=MEMORY.ask,
            value=Estimate(None),
            limit=limit,
            sources=sources,
        )
    else:
        need, unit = needed

        def because(verdict: Verdict) -> str:
            if verdict is Verdict.HOLDS:
                return ""
            is_full = verdict is Verdict.FAILS
            text = (
                "It is full before everybody has been learned."
                if is_full
                else f"Less than a tenth is left over: {capacity - need} lost, spare or new ones that nobody"
                " deletes fill it."
            )
            if unit == "buttons" and learned.fobs <= capacity:
                text += f" It counts buttons, not fobs; {learned.fobs} fobs alone would fit."
            return text

        yield MEMORY.judge(
            about=path,
            subjects=subjects,
            says=f"{need} {unit} are to be learned at {name}, which holds {capacity} {unit}.",
            because=because,
            value=Estimate(float(need)),
            limit=limit,
            remedies=(
                Remedy(
                    "A receiver that counts fobs, or a second one for some of the groups",
                    f"{learned.fobs} of {capacity}" if unit == "buttons" else "",
                ),
            ),
            sources=sources,
        )


@dataclass(frozen=True)
class _Filling:
    """How a memory fills.

    Attributes:
        need, capacity, unit: records from the first day, records that fit, and what one is.
        active: of them those that people use, spares and unknown ones left out.
        churn_share, growth_share: holders that leave, and that are added, in a year [1/year]; None where
            nobody says.
        is_deleted: whether leavers are deleted; None where nobody says.
    """

    need: int
    capacity: int
    unit: str
    active: int
    churn_share: float | None
    growth_share: float | None
    is_deleted: bool | None

    def years(self, *, churn_share: float, growth_share: float) -> float:
        """Until it is full."""
        return years_until_full(
            capacity=self.capacity,
            used=self.need,
            holders=self.active,
            churn_share=churn_share,
            growth_share=growth_share,
        )

    @property
    def likely_years(self) -> float:
        """With leavers as planned; where nobody says whether they are deleted, they are not."""
        churn = 0.0 if self.is_deleted else self.churn_share or 0.0
        return self.years(churn_share=churn, growth_share=self.growth_share or 0.0)

    @property
    def worst_years(self) -> float:
        """With what nobody says taken at its worst."""
        churn = MOST_CHURN_SHARE if self.churn_share is None else self.churn_share
        growth = MOST_GROWTH_SHARE if self.growth_share is None else self.growth_share
        return self.years(churn_share=0.0 if self.is_deleted else churn, growth_share=growth)

    @property
    def best_years(self) -> float:
        """With what nobody says taken at its best."""
        churn = (self.churn_share or 0.0) if self.is_deleted is False else 0.0
        return self.years(churn_share=churn, growth_share=self.growth_share or 0.0)

    @property
    def is_churn_open(self) -> bool:
        """Whether nobody says how many leave, though leavers stay in it as far as is known."""
        return self.churn_share is None and not self.is_deleted

    @property
    def asks(self) -> tuple[Ask, ...]:
        """What is not said, if it could matter."""
        if self.worst_years >= PLANNED_YEARS:
            return ()
        open_questions = []
        if self.is_churn_open:
            open_questions.append(Ask("Ask for the share of holders that leave in a year.", Who.CUSTOMER))
        if self.is_deleted is None:
            open_questions.append(Ask("Ask whether leavers are deleted.", Who.CUSTOMER, 1.0))
        if self.growth_share is None:
            open_questions.append(
                Ask("Ask how many holders are added in a year; 0 % if it stays as it is.", Who.CUSTOMER, 1.0)
            )
        return tuple(open_questions)

    @property
    def how(self) -> str:
        """What becomes of leavers, in words."""
        if self.is_deleted is None:
            return "if leavers stay in it"
        return "leavers deleted" if self.is_deleted else "leavers not deleted"


def _growth(case: Case, path: str, part: Part[ReceiverSheet], learned: MemoryUse) -> Iterator[Finding]:
    """REG-02; a memory that is too small on the first day, or unknown, is judged by REG-01 alone."""
    needed, capacity, plan = _needs(part, learned), part.sheet.capacity, case.job.register_
    if capacity is None or learned.missing or needed is None or needed[0] > capacity:
        return
    need, unit = needed
    spares = {group: case.job.groups[group].spares for group in learned.groups}
    active = sum(
        (fobs - spares[group]) * (buttons if unit == "buttons" else 1)
        for group, (fobs, buttons) in learned.groups.items()
    )
    filling = _Filling(
        need, capacity, unit, active, plan.churn_share, plan.growth_share, plan.leavers_deleted
    )
    yield _full_after(case, path, part, filling)


def _after(years: float, case: Case) -> str:
    """A time until a memory is full: in days and to the day where it is near and the survey has a date."""
    if years >= _DAYS_TOLD_YEARS:
        return f"{years:.1f} years"
    days = math.floor(years * YEAR_DAYS)
    begun = day_of(case.job.details.date)
    when = f", about {(begun + timedelta(days=days)).isoformat()}" if begun is not None else ""
    return f"{days} days{when}"


def _full_after(case: Case, path: str, part: Part[ReceiverSheet], filling: _Filling) -> Finding:
    name, years, asks = path.split("/")[1], filling.likely_years, filling.asks
    subjects = (ReceiverRef(path),)
    if filling.is_churn_open and asks:
        return YEARS_FULL.judge(
            about=path,
            subjects=subjects,
            says=(
                f"{name} will be {filling.need / filling.capacity:.0%} full from the first day; how many"
                " holders leave in a year is not given."
            ),
            because=YEARS_FULL.ask,
            value=Estimate(None if math.isinf(filling.best_years) else filling.best_years),
            asks=asks,
            failure_stands=filling.best_years < SOON_YEARS,
        )
    if not asks:
        years = filling.worst_years
    is_never = years > LONGEST_YEARS
    when = f"is full after {_after(years, case)}"
    if is_never:
        when = "is not full in any time that can be planned"
    says = (
        f"{name} {when} ({filling.need} of {filling.capacity} {filling.unit}, {_changes_say(filling)},"
        f" {filling.how})."
    )
    sources = (*part.cite("capacity", "capacity_counts"), GIVEN, CHOICE)
    if math.isinf(years):
        return YEARS_FULL.decide(
            about=path,
            subjects=subjects,
            says=says,
            answer=Answer.YES,
            asks=asks,
            limit=SOON_YEARS,
            sources=sources,
        )
    return YEARS_FULL.judge(
        about=path,
        subjects=subjects,
        says=says,
        because=_band(filling, years),
        value=Estimate(years),
        asks=asks,
        failure_stands=filling.best_years < SOON_YEARS,
        remedies=_delete_leavers(filling),
        sources=sources,
    )


def _changes_say(filling: _Filling) -> str:
    """How many leave and are added in a year, as far as anybody says."""
    leave = f"{filling.churn_share or 0.0:.0%} leave"
    if filling.churn_share is None:
        leave = "however many leave" if filling.is_deleted else f"even if {MOST_CHURN_SHARE:.0%} leave"
    if filling.growth_share is not None:
        return f"{leave} and {filling.growth_share:.0%} are added in a year"
    if filling.asks:
        return f"{leave} in a year, how many are added is not given"
    return f"{leave} and even if {MOST_GROWTH_SHARE:.0%} are added in a year"


def _band(filling: _Filling, years: float) -> str:
    """Between when and when it is full, leavers coming at random; and what is still to be asked."""
    asked = " ".join(ask.says for ask in filling.asks)
    growth = filling.growth_share or 0.0
    new = filling.active * ((0.0 if filling.is_deleted else filling.churn_share or 0.0) + growth)
    free = filling.capacity - filling.need
    if years >= PLANNED_YEARS or new <= 0 or free < 1:
        return asked
    band = full_between_years(free=free, leavers_per_year=new, chance=0.9, growth_share=growth)
    what = "leavers" if growth == 0 else "new records"
    return (
        f"With {what} at random it is full between {band.early_years:.1f} and {band.late_years:.1f} years,"
        f" nine times in ten. {asked}"
    ).strip()


_FREE_SHARE: Final = 0.25
"""Share of a memory that is left free when one is chosen; common practice, no source."""


def _delete_leavers(filling: _Filling) -> tuple[Remedy, ...]:
    bigger = _bigger_memory(filling)
    if filling.is_deleted or not filling.churn_share:
        return (bigger,)
    if filling.growth_share is None:  # no copy of the job can show that this is enough
        return (Remedy("Delete every leaver from it as he leaves; ask how many are added in a year"), bigger)
    years = filling.years(churn_share=0.0, growth_share=filling.growth_share or 0.0)
    effect = "never full" if math.isinf(years) else f"full after {years:.1f} years"
    return (Remedy("Delete leavers", effect, (Change(("register", "leavers_deleted"), True),)), bigger)


def _bigger_memory(filling: _Filling) -> Remedy:
    """A memory in which what is needed today leaves a quarter free."""
    wanted = math.ceil(filling.need / (1.0 - _FREE_SHARE))
    return Remedy(
        f"A receiver that holds {wanted:,} records or more, a quarter of them free, or a second one for some"
        " of the groups"
    )
