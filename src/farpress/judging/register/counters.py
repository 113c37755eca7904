"""Counters out of step: fobs that are used at one premises and rarely at another.

Part of the judgements on the register; see `register` for the list of codes. One counter
for each fob, and a receiver that learns only from presses it hears, unless the sheets
say otherwise; both are worth asking.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import CHOICE, GIVEN, PRESSES
from farpress.core.keys.counters import (
    days_for_risk,
    share_first_press_ignored,
    share_ignored_at_random_visits,
)
from farpress.domain.finding import Finding, Link, Remedy, Verdict
from farpress.domain.job import Group
from farpress.domain.parts import Part, ReceiverSheet
from farpress.domain.refs import GroupRef, ReceiverRef, Ref
from farpress.phrases import listed

__all__ = ["CounterJudgement", "counter_judgements", "judge_counters"]

IGNORED_SHARE: Final = 0.05
"""First presses of a visit that may be swallowed; our choice, one in twenty."""

LONG_ABSENCE_DAYS: Final = 182.0
"""An absence that is looked at for a fob that is not accepted any more; our choice, half a year."""


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


def judge_counters(case: Case) -> Iterator[Finding]:
    """Findings about first presses that receivers swallow."""
    for judged in counter_judgements(case):
        yield judged.finding


def counter_judgements(case: Case) -> Iterator[CounterJudgement]:
    """The same, with what they are about as values."""
    for name, group in case.job.groups.items():
        places = _receivers(case, group)
        if len(places) < 2:
            continue
        for premises, receivers in places.items():
            for path in receivers:
                part = case.equipment.receivers.get(path)
                if part is not None:
                    yield from _exposure(case, name, group, premises, path, part, tuple(places))


def _receivers(case: Case, group: Group) -> dict[str, list[str]]:
    """Premises → receivers at which a group's fobs are learned."""
    found: dict[str, list[str]] = {}
    for function in case.job.functions_of(group):
        for path in case.job.functions[function].paths if function in case.job.functions else ():
            receiver = path.rsplit("/", 1)[0]
            known = found.setdefault(receiver.split("/")[0], [])
            if receiver not in known:
                known.append(receiver)
    return found


def _exposure(
    case: Case,
    name: str,
    group: Group,
    premises: str,
    path: str,
    part: Part[ReceiverSheet],
    everywhere: tuple[str, ...],
) -> Iterator[CounterJudgement]:
    about, subjects = f"{name} at {path}", (GroupRef(name), ReceiverRef(path))
    fob = case.equipment.fobs.get(name)
    presses, window = group.presses_per_day, part.sheet.window_single
    if presses is None:
        if premises == everywhere[0]:
            asked = _ask(
                about,
                f"{name} use their fobs at {listed(everywhere)}; how often they press in a day is not given.",
                "Ask; a rough number will do.",
                subjects,
            )
            yield CounterJudgement(name, path, asked)
        return
    share = _visit_share(group, premises, everywhere)
    if share is None:
        says = (
            f"How often one of {name} is at {premises} is not given, and their fobs are used elsewhere"
            f" {presses:g} times a day."
        )
        asked = _ask(about, says, "Ask how many days a week one of them is there.", subjects)
        yield CounterJudgement(name, path, asked)
        return
    if window is None:
        says = (
            f"How many presses a fob may be ahead at {path} is not known; {name} press {presses:g} times a"
            " day, elsewhere too."
        )
        asked = _ask(
            about,
            says,
            f"Press a fob 20 times out of reach of {path.split('/')[1]} and see whether the next press there"
            " works.",
            subjects,
        )
        yield CounterJudgement(name, path, asked)
        return
    each = (
        presses / max(len(group.buttons), 1)
        if fob is not None and fob.sheet.counter == "one per button"
        else presses
    )
    chance = share_ignored_at_random_visits(visit_share=share, presses_per_day=each, window=window)
    yield _judged(case, name, about, subjects, part, path, share, each, window, chance)


def _judged(
    case: Case,
    name: str,
    about: str,
    subjects: tuple[Ref, ...],
    part: Part[ReceiverSheet],
    path: str,
    share: float,
    presses: float,
    window: int,
    chance: float,
) -> CounterJudgement:
    premises = path.split("/")[0]
    double, gap_days = part.sheet.window_double, 1.0 / share - 1.0
    once = any(
        promise.to == name
        and promise.within_presses < 2
        and premises in {one.split("/")[0] for one in case.job.functions[promise.function].paths}
        for promise in case.job.promises
        if promise.function in case.job.functions
    )
    dead = (
        None
        if double is None or presses <= 0
        else share_first_press_ignored(unheard_mean=presses * max(gap_days, LONG_ABSENCE_DAYS), window=double)
    )
    sources = (*part.cite("window_single", "window_double"), GIVEN, PRESSES, CHOICE)
    says = (
        f"The first press of a visit is ignored in {chance:.0%}: the fobs of {name} are at {premises} on"
        f" {share:.0%} of their days and pressed {presses:g} times on each other day; {path.split('/')[1]}"
        f" accepts {window} ahead."
    )
    margin = IGNORED_SHARE - chance
    if chance <= IGNORED_SHARE and (dead is None or dead <= IGNORED_SHARE):
        holds = Finding(
            "REG-03",
            Link.REGISTER,
            Verdict.HOLDS,
            about,
            says,
            "",
            chance,
            IGNORED_SHARE,
            "",
            margin,
            sources=sources,
            subjects=subjects,
        )
        return CounterJudgement(name, path, holds, may_be_forgotten=double is None)
    lost = dead is not None and dead > IGNORED_SHARE
    verdict = Verdict.FAILS if lost or once else Verdict.UNKNOWN if double is None else Verdict.THIN
    if lost:
        because = (
            f"After half a year elsewhere the fob is not accepted any more in {dead:.0%} ({double} ahead at"
            " most): it must be learned again."
        )
    elif double is None:
        because = (
            "Whether two presses in a row are then accepted is not known; without that the fob is dead there"
            " until it is learned again. Ask, or try it."
        )
    elif once:
        because = "It is promised to work at the first press."
    else:
        because = "The second press in a row is accepted. Users call it 'works only at the second try'."
    safe = (
        days_for_risk(risk_share=IGNORED_SHARE, presses_per_day=presses, window=window)
        if presses > 0
        else float("inf")
    )
    remedies = (
        [Remedy("Say on the card: at this receiver press twice", "two presses in a row are accepted")]
        if double is not None and not lost
        else []
    )
    if safe >= 1.0:
        remedies.append(
            Remedy(
                f"One of them there at least every {safe:.0f} days", f"ignored in {IGNORED_SHARE:.0%} at most"
            )
        )
    remedies.append(
        Remedy(
            "A receiver that accepts more presses ahead",
            f"{presses * gap_days:.0f} come together between two visits on average",
        )
    )
    finding = Finding(
        "REG-03",
        Link.REGISTER,
        verdict,
        about,
        says,
        because,
        chance,
        IGNORED_SHARE,
        "",
        margin,
        remedies=tuple(remedies),
        sources=sources,
        subjects=subjects,
    )
    return CounterJudgement(name, path, finding, may_be_forgotten=lost or double is None)


def _visit_share(group: Group, premises: str, everywhere: tuple[str, ...]) -> float | None:
    """Share of a holder's days spent at a premises; None if it is not known.

    With visits to all premises given, their days are what the visits add up to; with some
    missing, the rest of every day of the week may be spent there.
    """
    visits = group.visits_per_day.get(premises)
    if visits is None or visits <= 0:
        return None
    total = sum(group.visits_per_day.values())
    if all(other in group.visits_per_day for other in everywhere):
        return float(min(visits / max(total, 1e-9), 1.0))
    return float(min(visits / max(total, 1.0), 1.0))


def _ask(about: str, says: str, because: str, subjects: tuple[Ref, ...]) -> Finding:
    return Finding(
        "REG-03", Link.REGISTER, Verdict.UNKNOWN, about, says, because, sources=(GIVEN,), subjects=subjects
    )
