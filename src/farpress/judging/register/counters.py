"""Counters out of step: fobs that are used at one premises and rarely at another.

Part of the judgements on the register. One counter for each fob, and a receiver that learns only from presses
it hears, unless the sheets say otherwise; both are worth asking.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import CHOICE, GIVEN, PRESSES
from farpress.core.keys.counters import (
    days_for_risk,
    longest_absence_days,
    share_first_press_ignored,
    share_ignored_at_random_visits,
)
from farpress.domain.finding import Ask, Finding, Link, Remedy, Who
from farpress.domain.job import Group
from farpress.domain.parts import Part, ReceiverSheet
from farpress.domain.refs import GroupRef, ReceiverRef, Ref
from farpress.judging.check import AT_MOST, Check, Estimate, Limit
from farpress.phrases import listed, plural

__all__ = ["IGNORED_SHARE", "SWALLOWED", "CounterJudgement", "counter_judgements", "judge_counters"]

IGNORED_SHARE: Final = 0.05
"""First presses of a visit that may be swallowed; our choice, one in twenty."""

HOLIDAY_DAYS: Final = 21.0
"""An absence that everybody has once a year: a holiday of three weeks; our choice."""

_A_DAY: Final = 1.0

SWALLOWED: Final = Check(
    "REG-03",
    Link.REGISTER,
    "First presses that a receiver swallows because the fob was used elsewhere.",
    bound=AT_MOST,
    limit=Limit(IGNORED_SHARE, (CHOICE,)),
    advice=True,
    who=Who.CUSTOMER,
    mends="Two presses in a row, a visit now and then, or a receiver that accepts more presses ahead.",
)
"""Where a second press is accepted and none is promised at the first, the limit is comfort, else need."""


@dataclass(frozen=True)
class CounterJudgement:
    """What is judged about the counters of one group's fobs at one receiver.

    Attributes:
        group: whose fobs.
        receiver: "premises/receiver".
        finding: the judgement.
        may_be_forgotten: a fob that was away for long may have to be learned there again; True too where that
            is not known.
    """

    group: str
    receiver: str
    finding: Finding
    may_be_forgotten: bool = False


@dataclass(frozen=True)
class _Visitors:
    """A group at one of its receivers."""

    name: str
    group: Group
    path: str
    part: Part[ReceiverSheet]
    everywhere: tuple[str, ...]

    @property
    def premises(self) -> str:
        return self.path.split("/")[0]

    @property
    def receiver(self) -> str:
        return self.path.split("/")[1]

    @property
    def is_own(self) -> bool:
        """Whether it is said how often they press for this very receiver."""
        return self.path in self.group.visits_per_day

    @property
    def where(self) -> str:
        """What they visit."""
        return self.path if self.is_own else self.premises

    @property
    def about(self) -> str:
        return f"{self.name} at {self.path}"

    @property
    def subjects(self) -> tuple[Ref, ...]:
        return GroupRef(self.name), ReceiverRef(self.path)


def judge_counters(case: Case) -> Iterator[Finding]:
    """Findings about first presses that receivers swallow."""
    for judged in counter_judgements(case):
        yield judged.finding


def counter_judgements(case: Case) -> Iterator[CounterJudgement]:
    """The same, with what they are about as values."""
    for name, group in case.job.groups.items():
        places = _receivers(case, group)
        # where the same fob works something that is not in this job, nothing is heard here either
        elsewhere = [where for where in group.premises_visits if where not in places]
        for receivers in places.values():
            at_receivers = [
                _Visitors(name, group, path, part, (*places, *elsewhere))
                for path in receivers
                if (part := case.equipment.receivers.get(path)) is not None
            ]
            own = [visitors for visitors in at_receivers if visitors.is_own]
            is_elsewhere = len(places) + len(elsewhere) > 1
            for visitors in at_receivers if is_elsewhere else own:
                yield _exposure(case, visitors)
            if not is_elsewhere and len(receivers) > 1 and not own:
                yield from _outrun(at_receivers)


def _outrun(at_receivers: list[_Visitors]) -> Iterator[CounterJudgement]:
    """What is asked where the presses of one day are more than a receiver accepts ahead, if it hears none."""
    for visitors in at_receivers:
        presses, window = visitors.group.presses_per_day, visitors.part.sheet.window_single
        if presses is not None and window is not None and presses > window:
            others = [other.receiver for other in at_receivers]
            yield _asked(
                visitors,
                f"The fobs of {visitors.name} are pressed {presses:g} times a day and are known at"
                f" {listed(others)}; one that is out of reach of the others' presses accepts {window} ahead.",
                Ask(
                    f"Ask how often {visitors.name} press for each of {listed(others)}, and whether each"
                    " hears the presses for the others.",
                    Who.CUSTOMER,
                    2.0,
                ),
            )
            return


def _receivers(case: Case, group: Group) -> dict[str, list[str]]:
    """Premises → receivers at which a group's fobs are learned."""
    receivers: dict[str, list[str]] = {}
    for function in case.job.functions_of(group):
        for path in case.job.functions[function].paths if function in case.job.functions else ():
            receiver = path.rsplit("/", 1)[0]
            known = receivers.setdefault(receiver.split("/")[0], [])
            if receiver not in known:
                known.append(receiver)
    return receivers


def _exposure(case: Case, visitors: _Visitors) -> CounterJudgement:
    name, group, path = visitors.name, visitors.group, visitors.path
    fob = case.equipment.fobs.get(name)
    presses, window = group.presses_per_day, visitors.part.sheet.window_single
    if presses is None:
        return _asked(
            visitors,
            f"{name} use their fobs at {listed(visitors.everywhere)}; how often they press in a day is not"
            " given.",
            Ask(f"Ask how often {name} press in a day; a rough number will do.", Who.CUSTOMER, 1.0),
        )
    share = _visit_share(visitors)
    if share is None:
        return _asked(
            visitors,
            f"How often one of {name} is at {visitors.premises} is not given, and their fobs are used"
            f" elsewhere {presses:g} times a day.",
            Ask(f"Ask how many days a week one of {name} is at {visitors.premises}.", Who.CUSTOMER, 1.0),
        )
    if window is None:
        return _asked(
            visitors,
            f"How many presses a fob may be ahead at {path} is not known; {name} press {presses:g} times a"
            " day, elsewhere too.",
            Ask(
                f"Press a fob 20 times out of reach of {visitors.receiver} and see whether the next press"
                " there works.",
                Who.INSTALLER,
                10.0,
            ),
        )
    has_counter_per_button = fob is not None and fob.sheet.counter == "one per button"
    each = presses / max(len(group.buttons), 1) if has_counter_per_button else presses
    return _judged(case, visitors, share, each, window)


def _judged(case: Case, visitors: _Visitors, share: float, presses: float, window: int) -> CounterJudgement:
    """REG-03 with everything known but, perhaps, the wider window.

    Args:
        case: the job.
        visitors: who, and where.
        share: of a holder's days at the premises.
        presses: of one counter on each other day.
        window: presses a single press may be ahead.
    """
    name, double = visitors.name, visitors.part.sheet.window_double
    # a receiver out of reach hears nothing of the day it is visited on, too
    gap_days = 1.0 / share - (0.0 if visitors.is_own else 1.0)
    chance = share_ignored_at_random_visits(visit_share=share, presses_per_day=presses, window=window)
    absence_days = max(longest_absence_days(gap_days=max(gap_days, _A_DAY)), HOLIDAY_DAYS)
    away = presses * absence_days
    # without the wider window, the narrow one is the least that a receiver accepts
    dead = share_first_press_ignored(unheard_mean=away, window=window if double is None else double)
    is_lost = double is not None and dead > IGNORED_SHARE
    is_promised = _is_first_press_promised(case, visitors)
    says = (
        f"The first press of a visit is ignored in {chance:.0%}: the fobs of {name} are at"
        f" {visitors.where} on {share:.0%} of their days and pressed {presses:g} times on each other day;"
        f" {visitors.receiver} accepts {window} ahead, and about {presses * gap_days:.0f} come together"
        f" between two visits. {_after_days(presses, gap_days, window)}"
    )
    is_swallowed = chance > IGNORED_SHARE
    asks: tuple[Ask, ...] = ()
    because = ""
    if is_lost:
        because = f"At most {double} presses ahead are accepted: it must be learned again. {says}"
        says = (
            f"A fob of {name} that was {absence_days:.0f} days elsewhere, the longest stretch of a year, is"
            f" not accepted at {visitors.path} any more in {dead:.0%}."
        )
    elif double is None and (is_swallowed or dead > IGNORED_SHARE):
        because = (
            "Whether two presses in a row are then accepted is not known; without that the fob is dead there"
            " until it is learned again. Ask, or try it."
        )
        asks = (
            Ask(
                f"Try whether {visitors.receiver} accepts two presses in a row of a fob that is far ahead.",
                Who.INSTALLER,
                10.0,
            ),
        )
    elif is_swallowed and is_promised:
        because = "It is promised to work at the first press."
    elif is_swallowed:
        because = (
            "The second press in a row is accepted. Users call it 'works only at the second try'. Reckoned as"
            f" if {visitors.receiver} heard nothing of the presses elsewhere; how many it overhears is not"
            " sure, and each lets its count keep up."
        )
    check = replace(SWALLOWED, advice=not (is_lost or is_promised))
    finding = check.judge(
        about=visitors.about,
        subjects=visitors.subjects,
        says=says,
        because=because,
        value=Estimate(dead if is_lost else chance),
        asks=asks,
        failure_stands=is_promised,
        remedies=_remedies(window, presses, gap_days, is_accepted_twice=double is not None and not is_lost),
        sources=(*visitors.part.cite("window_single", "window_double"), GIVEN, PRESSES),
    )
    return CounterJudgement(name, visitors.path, finding, may_be_forgotten=is_lost or double is None)


def _after_days(presses: float, gap_days: float, window: int) -> str:
    """How often the first press is ignored after the usual stretch elsewhere, a day at least."""
    days = max(round(gap_days), 1)
    ignored = share_first_press_ignored(unheard_mean=presses * days, window=window)
    return f"After {plural(days, 'day')} elsewhere it is ignored in {ignored:.0%}."


def _is_first_press_promised(case: Case, visitors: _Visitors) -> bool:
    return any(
        promise.to == visitors.name
        and promise.within_presses < 2
        and any(
            visitors.where in (path.split("/")[0], path.rsplit("/", 1)[0])
            for path in case.job.functions[promise.function].paths
        )
        for promise in case.job.promises
        if promise.function in case.job.functions
    )


def _remedies(window: int, presses: float, gap_days: float, *, is_accepted_twice: bool) -> tuple[Remedy, ...]:
    safe = float("inf")
    if presses > 0:
        safe = days_for_risk(risk_share=IGNORED_SHARE, presses_per_day=presses, window=window)
    remedies = []
    if is_accepted_twice:
        remedies.append(
            Remedy("Say on the card: at this receiver press twice", "two presses in a row are accepted")
        )
    if safe >= 1.0:
        remedies.append(
            Remedy(
                f"One of them there at least every {safe:.0f} days", f"ignored in {IGNORED_SHARE:.0%} at most"
            )
        )
    return (
        *remedies,
        Remedy(
            "A receiver that accepts more presses ahead",
            f"{presses * gap_days:.0f} come together between two visits on average",
        ),
    )


def _visit_share(visitors: _Visitors) -> float | None:
    """Share of a holder's days spent at a premises; None if it is not known.

    With visits to all premises given, their days are what the visits add up to; with some
    missing, the rest of every day of the week may be spent there. Of a receiver of its own: the share of
    their days at its premises.
    """
    group = visitors.group
    visits = group.visits_per_day.get(visitors.where)
    if visits is None or visits <= 0:
        return None
    if visitors.is_own:
        days = group.premises_visits.get(visitors.premises, 1.0)
        return float(min(visits / max(days, 1e-9), 1.0))
    total = sum(group.premises_visits.values())
    if all(other in group.visits_per_day for other in visitors.everywhere):
        return float(min(visits / max(total, 1e-9), 1.0))
    return float(min(visits / max(total, 1.0), 1.0))


def _asked(visitors: _Visitors, says: str, ask: Ask) -> CounterJudgement:
    finding = SWALLOWED.judge(
        about=visitors.about,
        subjects=visitors.subjects,
        says=says,
        because=ask.says,
        value=Estimate(None),
        asks=(ask,),
        sources=(GIVEN,),
    )
    return CounterJudgement(visitors.name, visitors.path, finding)
