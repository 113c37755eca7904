"""Rehearsal: search every press story for one that breaks a rule, and say how it goes.

Each check is searched on its own, in the smallest model that holds all it depends on:
first with presses and held buttons free (more stories than can happen, so that nothing
found means there is none), and a story found there is played again with the fob's cut-off
and the true lengths of pulses before it is believed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Final

from farpress.case.case import Case
from farpress.case.driven import driven_of, subjects_of
from farpress.case.reads import Memo
from farpress.case.rules import outputs_named, rule_fault
from farpress.core.rehearsal.search import BUDGET
from farpress.core.rehearsal.wording import ModelError
from farpress.domain.finding import Verdict
from farpress.domain.refs import Ref
from farpress.phrases import listed
from farpress.rehearsal.checks import checks_always, checks_of, settled_elsewhere
from farpress.rehearsal.feeds import feeds_of
from farpress.rehearsal.search import Story, StoryStep, never_so, replay, search_check, site_of, time_text
from farpress.rehearsal.searched import SearchedCheck
from farpress.rehearsal.site import Site, neighbours
from farpress.rehearsal.things import too_short
from farpress.sources import Citation, Mark

__all__ = ["SEMANTICS", "RuleResult", "Story", "StoryStep", "rehearse", "replay", "time_text"]

SEMANTICS: Final = Citation(
    "timed behaviour as described in the explanation of the rehearsal", mark=Mark.CHOICE
)

_ONE_SUPPLY: Final = "One supply fails or returns without the others."

_AT_WORST: Final = "Open; at its worst:"

_OF_REACH: Final = frozenset({"works from", "works beyond"})
"""Rules that the radio settles."""


@dataclass(frozen=True)
class RuleResult:
    """What the search says about one rule, or one part of it.

    Attributes:
        number: of the rule in the job file; None for what always holds.
        never: as in the job file; empty likewise.
        about: which outputs or devices.
        verdict: as in a finding; `open` where the search did not finish or something is missing.
        says, because: in sentences.
        forbids: what must never be, as a clause.
        story: how it breaks; None if it does not.
        states, transitions: looked at.
        finished: every story was tried.
        depth: events and ticks up to which every story was tried.
        searched: a search was made; False where a rule is settled by looking.
        asks: what is missing.
        taken: what was taken where the sheet is silent.
        code, subjects: as in a finding.
        functions: of the press it is about, where it is about one press.
        kind: of what is searched for, as a rule in a job file, for what always holds too.
        grounds: what the verdict rests on, without the remark on the length of the story.
        is_shortest: there is no shorter story.
        is_empty: it holds only because what it speaks of cannot happen, which is a doubt about the job.
        head: what is said before the story, as a clause with its colon; empty where the story says all.
    """

    number: int | None
    never: str
    about: str
    verdict: Verdict
    says: str
    because: str = ""
    forbids: str = ""
    story: Story | None = None
    states: int = 0
    transitions: int = 0
    finished: bool = False
    depth: int = 0
    searched: bool = True
    asks: tuple[str, ...] = ()
    taken: tuple[str, ...] = ()
    code: str = ""
    subjects: tuple[Ref, ...] = ()
    functions: tuple[str, ...] = ()
    kind: str = ""
    grounds: str = ""
    is_shortest: bool = False
    is_empty: bool = False
    head: str = ""


def _nobody_looks(case: Case, number: int) -> Iterable[RuleResult]:
    return ()


def rehearse(
    case: Case,
    *,
    budget: int = BUDGET,
    rules: tuple[int, ...] | None = None,
    progress: Callable[[str], None] | None = None,
    together: int | None = None,
    always: tuple[str, ...] | None = None,
    by_looking: Callable[[Case, int], Iterable[RuleResult]] = _nobody_looks,
) -> list[RuleResult]:
    """Search all rules of the job, and what must never be in any job.

    Args:
        case: the job.
        budget: most states kept in one search.
        rules: numbers of the rules to search, from 1; all, and what always holds, if absent.
        progress: told what is searched; may raise to cancel.
        together: once so many states were kept in all searches, the rest is left out; no limit if absent.
        always: of what always holds, only these; all if absent.
        by_looking: gives the results of a rule that no story settles, from the case and the rule's number;
            such rules are left out if absent. `judging.rules.every` knows them.

    Returns:
        The job's rules in their order, then what always holds.
    """
    tell = progress or (lambda _: None)
    results: list[RuleResult] = []
    for number, rule in enumerate(case.job.rules, 1):
        if rules is not None and number not in rules:
            continue
        fault = rule_fault(case, rule)
        if fault:
            results.append(
                RuleResult(
                    number,
                    rule.never,
                    "",
                    Verdict.UNKNOWN,
                    f"Rule {number} cannot be searched: {fault}",
                    "Correct what the rule names.",
                    searched=False,
                    code="RULE-15",
                )
            )
            continue
        if rule.never in _OF_REACH:
            says = (
                f"Rule {number}, never {rule.never}, is settled by the radio reach, not by a story of"
                " presses; 'farpress assess' judges it."
            )
            results.append(RuleResult(number, rule.never, "", Verdict.UNKNOWN, says, searched=False))
            continue
        if settled_elsewhere(rule):
            results += by_looking(case, number)
            continue
        checks = _checks(case, number)
        if not checks and rule.never == "unset and open by one press":
            results += by_looking(case, number)
        elif not checks:
            says = f"Rule {number} can never matter: nothing it names can do what it forbids."
            results.append(
                RuleResult(
                    number,
                    rule.never,
                    "",
                    Verdict.UNKNOWN,
                    says,
                    "Look whether the job describes what it names as it is; leave a rule that keeps people"
                    " safe as it is.",
                    searched=False,
                    code="RULE-15",
                )
            )
        for place, check in enumerate(checks):
            if together is not None and sum(result.states for result in results) > together:
                return results
            tell(f"rule {number}, never {rule.never}: {check.about}")
            result = _searched(case, number, place, budget, tell)
            if rule.signed and result.verdict is Verdict.FAILS:
                result = _with(
                    result,
                    verdict=Verdict.THIN,
                    because=f"{result.because} Accepted: {rule.signed}.".strip(),
                    grounds=f"{result.grounds} Accepted: {rule.signed}.".strip(),
                )
            results.append(result)
    if rules is None:
        done = {(result.never, result.about) for result in results}
        for place, check in enumerate(_checks(case, None)):
            if (check.never, check.about) in done or (always is not None and check.never not in always):
                continue
            tell(f"always: {check.about}")
            results.append(_searched(case, None, place, budget, tell))
    return results


def _checks(case: Case, number: int | None) -> list[SearchedCheck]:
    """The checks that one rule of the job asks for, or those of what must never be in any job."""
    return case.once(_made_checks).once(number, lambda: _made(case, number))


def _made_checks(case: Case) -> Memo[list[SearchedCheck]]:
    """Number of a rule → its checks, which each search of one of them asks for."""
    del case
    return Memo()


def _made(case: Case, number: int | None) -> list[SearchedCheck]:
    if number is None:
        return list(checks_always(case))
    rule = case.job.rules[number - 1]
    return list(checks_of(case, rule, outputs_named(case, rule)))


def _searched(
    case: Case, number: int | None, place: int, budget: int, tell: Callable[[str], None]
) -> RuleResult:
    """What the search of one check comes to, by its rule and its place among the rule's checks."""

    def search() -> RuleResult:
        never = case.job.rules[number - 1].never if number is not None else ""
        return _search(case, _checks(case, number)[place], budget, number, never, tell)

    return case.kept(("searched", number, place, budget), search)


def _with(result: RuleResult, **changes: object) -> RuleResult:
    return replace(result, **changes)  # type: ignore[arg-type]


def _search(
    case: Case, check: SearchedCheck, budget: int, number: int | None, never: str, tell: Callable[[str], None]
) -> RuleResult:
    outputs = neighbours(case, check.seeds)
    site = site_of(case, outputs, lengths=check.lengths, exact=False)
    subjects = tuple(
        dict.fromkeys(name for seed in check.seeds for name in subjects_of(seed, *driven_of(case, seed)))
    )
    base = RuleResult(
        number,
        never,
        check.about,
        Verdict.UNKNOWN,
        "",
        asks=tuple(site.asks),
        taken=tuple(dict.fromkeys((*site.taken, *check.taken))),
        code=check.code,
        subjects=subjects,
        forbids=check.forbids,
        functions=check.functions,
        kind=check.never,
    )
    watch = check.watch(site)
    if isinstance(watch, str):
        reasons = (
            " ".join(site.asks)
            or " ".join(f"{assumption[:1].upper()}{assumption[1:]}." for assumption in base.taken)
            or "Nothing that is known of it can do what the rule forbids."
        )
        asks = base.asks or (f"First mend what keeps it out of the search, then look again: {reasons}",)
        says = f"{check.about} cannot be searched: {watch}. {reasons}"
        in_vain = any(too_short(seed, load) for seed in check.seeds for load in driven_of(case, seed))
        is_empty = in_vain and number is not None and not base.asks
        return _with(base, says=says, asks=asks, searched=False, is_empty=is_empty)
    try:
        found, tick_ms, story = search_check(case, check, site, budget=budget, tell=tell)
    except ModelError as error:
        return _with(base, says=f"{check.about} cannot be searched: {error}", searched=False)
    base = _with(
        base, states=found.states, transitions=found.transitions, finished=found.finished, depth=found.depth
    )
    if story is not None:
        if ask := check.unknown(site):
            return _with(
                base,
                story=story,
                head=_AT_WORST,
                says=f"{_AT_WORST} {story.text}.",
                because=_because(base, ask),
                grounds=_because(base, ask),
                is_shortest=bool(found.stories),
                asks=(*base.asks, ask),
            )
        if check.softens:
            return _with(
                base,
                verdict=Verdict.THIN,
                story=story,
                says=f"{story.text}.",
                because=_because(base, check.softens),
                grounds=_because(base, check.softens),
                is_shortest=bool(found.stories),
            )
        return _with(
            base,
            verdict=Verdict.FAILS,
            story=story,
            says=f"{story.text}.",
            grounds=_because(base, ""),
            is_shortest=bool(found.stories),
            because=_because(
                base,
                "The shortest story found." if found.stories else "A story found; there may be shorter ones.",
            ),
        )
    if not found.finished:
        says = (
            f"Not settled: whether {check.forbids} is open. It was not met in {found.states} states, every"
            f" story of up to {found.depth} events and ticks of {tick_ms / 1000:g} s; there are more."
        )
        return _with(
            base, says=says, because="Give it a larger budget, or shorten the times it holds together."
        )
    if site.asks:
        return _with(
            base,
            says=f"Not met in any story of what is known, but something is missing: {' '.join(site.asks)}",
        )
    if _silent_about_closing(site):
        again = site_of(case, outputs, lengths=check.lengths, exact=False, resumes=True)
        other, _, worse = search_check(case, check, again, budget=budget, tell=tell)
        if worse is not None:
            names = ", ".join(path.partition("/")[2] for path in _silent_about_closing(site))
            head = (
                f"Holds if {names} waits for a command once the power is back; if timed closing goes on"
                " by itself:"
            )
            return _with(
                base,
                story=worse,
                head=head,
                finished=other.finished,
                states=found.states + other.states,
                says=f"{head} {worse.text}.",
                because=(
                    "Switch the drive's supply off and on while it stands open, watch it for the closing"
                    " time, and write 'closes_after_power_return'."
                ),
            )
        if not other.finished:
            says = (
                f"Holds if {', '.join(_silent_about_closing(site))} waits for a command once the power is"
                f" back; whether it holds if timed closing goes on is not settled ({other.states} states)."
            )
            return _with(base, says=says, states=found.states + other.states, finished=False)
    if len(feeds_of(case, outputs).every) > 1:
        apart = site_of(case, outputs, lengths=check.lengths, exact=False, resumes=site.resumes, apart=True)
        other, _, worse = search_check(case, check, apart, budget=budget, tell=tell)
        base = _with(base, states=found.states + other.states)
        if worse is not None:
            feeds, events = feeds_of(case, outputs), [step.event for step in worse.steps]
            unsaid = feeds.unsaid(
                events, (load.path for seed in check.seeds for load in driven_of(case, seed))
            )
            ask = f"Say what feeds {listed(path.partition('/')[2] for path in unsaid)}, under 'fed'."
            alone = _ONE_SUPPLY if feeds.is_alone(events) else ""
            why = _because(base, f"{alone} {ask if unsaid else ''}".strip())
            return _with(
                base,
                verdict=Verdict.UNKNOWN if unsaid else Verdict.FAILS,
                story=worse,
                head=_AT_WORST if unsaid else "",
                says=f"{_AT_WORST} {worse.text}." if unsaid else f"{worse.text}.",
                finished=other.finished,
                is_shortest=bool(other.stories),
                grounds=why,
                because=why,
                asks=(*base.asks, ask) if unsaid else base.asks,
            )
        if not other.finished:
            says = (
                "Holds where the power of the whole premises fails; whether it holds where one supply fails"
                f" alone is not settled ({other.states} states)."
            )
            return _with(base, says=says, finished=False, because="Give it a larger budget.")
    if ask := check.unproved(site):
        return _with(
            base,
            says=f"Not met in any story of what is known ({found.states} states), but something is missing.",
            because=ask,
            asks=(*base.asks, ask),
        )
    idle = [
        what
        for what, so in (check.matters(site) if number is not None else ())
        if never_so(case, check, site, so, budget=budget)
    ]
    if idle:
        ask = (
            f"Find out why {' and '.join(idle)} in no story, and correct what the job says of its outputs,"
            " presses and inputs; leave the rule as it is."
        )
        return _with(
            base,
            is_empty=True,
            says=f"Nothing could break it: in no story, whatever is pressed, {' or '.join(idle)}"
            f" ({found.states} states).",
            because=ask,
            grounds=ask,
            asks=(*base.asks, ask),
        )
    return _with(
        base,
        verdict=Verdict.HOLDS,
        says=f"No press story ends so that {check.forbids}: searched to the end, {base.states} states.",
        because=_because(base, ""),
    )


def _because(result: RuleResult, first: str) -> str:
    taken = f"Taken: {'; '.join(result.taken)}." if result.taken else ""
    return " ".join(sentence for sentence in (first, taken) if sentence)


def _silent_about_closing(site: Site) -> tuple[str, ...]:
    return tuple(
        path
        for path, thing in site.things.items()
        if thing.kind == "leaf"
        and thing.load.sheet.closes_after_s
        and thing.load.sheet.closes_after_power_return is None
    )
