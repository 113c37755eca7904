"""Fobs counted against fobs listed, what deleting costs in a year, and fobs that never come back.

About the register as a whole: no promise is the better or worse kept for them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from farpress.case.access import opens, unsets
from farpress.case.case import Case
from farpress.case.citations import CHOICE, GIVEN
from farpress.case.driven import driven_of, holders
from farpress.domain.cautions import CAUTIONS
from farpress.domain.finding import Ask, Change, Finding, Link, Remedy, Stake, Who
from farpress.domain.job import Group
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit, wide_edge
from farpress.phrases import listed

__all__ = ["COUNTED", "DELETING", "NEVER_BACK", "a_year", "judge", "opens_or_unsets"]

COUNTED: Final = Check(
    "REG-16",
    Link.REGISTER,
    "Fobs that the customer counts, against those that the job lists.",
    stake=Stake.DUTY,
    ask="Count the fobs in hand, and number each.",
    who=Who.CUSTOMER,
    minutes=15.0,
    mends="Every fob counted in hand and numbered; the list put right.",
)
DELETING: Final = Check(
    "REG-17",
    Link.REGISTER,
    "Hours a year that deleting the fobs of those who leave takes.",
    unit="h",
    bound=AT_MOST,
    limit=Limit(40.0, (CHOICE,)),
    thin=wide_edge(20.0, "half a week of work is told; our choice"),
    stake=Stake.WEAR,
    advice=True,
    ask="Say how long it takes to delete one fob from one receiver.",
    who=Who.INSTALLER,
    mends="A list of slots, deleting in monthly rounds, and fobs in as few receivers as can be.",
)
NEVER_BACK: Final = Check(
    "REG-18",
    Link.REGISTER,
    "Fobs that never come back from those who leave, and still open or unset something.",
    unit="fobs a year",
    bound=AT_MOST,
    limit=Limit(0.0, (CHOICE,)),
    stake=Stake.HARM,
    ask="Ask how many of those who leave keep their fob, and whether leavers are deleted.",
    who=Who.CUSTOMER,
    mends="Every leaver deleted within a day from every receiver, whether the fob came back or not.",
)

MANY_LEAVERS: Final = 50.0
"""Deletions a year from which on their labour is told, and asked for: one a week; our choice."""

_HALF: Final = 0.5
"""Fobs a year below which it is a reservation, no failure: less than one in two years; our choice."""

_HARDLY: Final = 0.05
"""Fobs a year below which none is spoken of: one in twenty years; our choice."""


def judge(case: Case) -> Iterator[Finding]:
    """REG-16 where a count is told, REG-17 and REG-18 where the share of leavers is."""
    yield from _counted(case)
    churn = case.job.register_.churn_share
    if not churn:
        return
    leavers = {
        name: churn * number
        for name, group in case.job.groups.items()
        if (number := holders(group)) is not None
    }
    # the fob of a pool stays learned when somebody leaves; whether it comes back counts all the same
    people = {name: number for name, number in leavers.items() if not case.job.groups[name].pool}
    yield from _deleting(case, people)
    yield from _never_back(case, leavers)


def _counted(case: Case) -> Iterator[Finding]:
    said = case.job.register_.fobs
    if said is None:
        return
    unknown = [name for name, group in case.job.groups.items() if holders(group) is None]
    listed_fobs = sum((holders(group) or 0) + group.spares for group in case.job.groups.values())
    asks = tuple(Ask(f"Say how many fobs {name} has.", Who.CUSTOMER) for name in unknown)
    says = f"{said} fobs are said to be there; the groups have {listed_fobs}, spares included."
    if said != listed_fobs and not unknown:
        asks = (Ask("Count the fobs in hand, and number each.", Who.CUSTOMER, 15.0),)
        says = f"{said} fobs are said to be there, but the groups add up to {listed_fobs}."
    yield COUNTED.decide(
        about="fobs",
        subjects=(),
        answer=Answer.of(True if said == listed_fobs and not unknown else None),
        says=says,
        because="A fob that nobody counts is a key that nobody misses." if asks else "",
        asks=asks,
        value=float(said),
        limit=float(listed_fobs),
        sources=(GIVEN,),
    )


def _receivers_of(case: Case, group: Group) -> set[str]:
    """Receivers that a group's fobs are learned in."""
    return {
        output.receiver_path
        for function in case.job.functions_of(group)
        for output in case.outputs_of(function)
    }


def _deleting(case: Case, leavers: dict[str, float]) -> Iterator[Finding]:
    """REG-17: every leaver from every receiver its fob is learned in."""
    deletions = sum(
        number * len(_receivers_of(case, case.job.groups[name])) for name, number in leavers.items()
    )
    takes = case.job.register_.delete_takes_s
    if deletions < MANY_LEAVERS or (takes is None and case.job.register_.leavers_deleted is False):
        return
    hours = None if takes is None else deletions * takes / 3600.0
    people = sum(leavers.values())
    what = f"{people:.0f} leave in a year, {deletions:.0f} deletions at the receivers"
    takes_words = "how long one takes is not said" if hours is None else f"{hours:.1f} h of work"
    yield DELETING.judge(
        about="deleting",
        subjects=(),
        value=Estimate(hours, 0.0, (GIVEN,)),
        says=f"{what}: {takes_words}, the ways not counted.",
        because=f"{people / 250:.1f} leave on a working day." if people >= 250 else "",
        remedies=(
            Remedy("Write down every slot while learning, and delete in monthly rounds"),
            Remedy("Learn a fob only where it is needed"),
        ),
    )


def _never_back(case: Case, leavers: dict[str, float]) -> Iterator[Finding]:
    """REG-18, of the groups whose fobs open or unset something."""
    grave = {name: number for name, number in leavers.items() if opens_or_unsets(case, case.job.groups[name])}
    total, share = sum(grave.values()), case.job.register_.unreturned_share
    if total < _HARDLY:
        return
    is_deleted = case.job.register_.leavers_deleted
    kept = None if share is None else total * share
    asks: list[Ask] = []
    if share is None and not is_deleted:
        asks.append(Ask("Ask how many of those who leave keep their fob.", Who.CUSTOMER, 2.0))
    if is_deleted is None:
        asks.append(Ask("Ask whether the fobs of those who leave are deleted.", Who.CUSTOMER, 1.0))
    some = "an unknown number" if kept is None else a_year(kept)
    says = (
        f"{a_year(total)} of those who leave in a year hold fobs of {listed(grave)}; {some} never come back"
    )
    if is_deleted:
        says += ", and every leaver is deleted."
    else:
        says += f" and {'still work' if is_deleted is False else 'may still work'}."
    check = replace(NEVER_BACK, advice=True) if kept is not None and kept < _HALF else NEVER_BACK
    yield check.judge(
        about="fobs that never come back",
        subjects=(),
        value=Estimate(0.0 if is_deleted else kept, 0.0, (GIVEN,)),
        says=says,
        because=CAUTIONS["lost fob"],
        asks=asks,
        failure_stands=is_deleted is False,
        remedies=(
            Remedy(
                "Delete every leaver within a day from every receiver, whether the fob came back or not",
                "none of them works",
                (Change(("register", "leavers_deleted"), True),),
            ),
        ),
    )


def a_year(number: float) -> str:
    """So many a year, in words for few: "about 81", "about 0.25 (one in 4 years)"."""
    if number >= 1.0:
        return f"about {number:.0f}"
    if number > 0.0 and round(1.0 / number) > 1:
        return f"about {number:.2g} (one in {1.0 / number:.0f} years)"
    return f"about {number:.2g}" if number > 0.0 else "none"


def opens_or_unsets(case: Case, group: Group) -> bool:
    """Whether a fob of the group opens a way or unsets an alarm."""
    return any(
        opens(driven) or unsets(case, output, driven)
        for function in case.job.functions_of(group)
        for output in case.outputs_of(function)
        for driven in driven_of(case, output)
    )
