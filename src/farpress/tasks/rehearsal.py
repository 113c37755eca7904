"""Rehearsal: search every press story for one that breaks a rule, and say how it goes.

Each check is searched on its own, in the smallest model that holds all it depends on:
first with presses and held buttons free (more stories than can happen, so that nothing
found means there is none), and a story found there is played again with the fob's cut-off
and the true lengths of pulses before it is believed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from farpress.core.rehearsal.model import TICK, Network, join, make_ready
from farpress.core.rehearsal.running import Found, Runner, briefest_story
from farpress.core.rehearsal.search import BUDGET, search_all
from farpress.core.rehearsal.wording import ModelError
from farpress.domain.finding import Finding, Link, Verdict
from farpress.sources import Citation, Mark, cited
from farpress.tasks.case import Case
from farpress.tasks.driven import driven_of, subjects_of
from farpress.tasks.grounds import GIVEN
from farpress.tasks.rehearsal_checks import BAD, Check, checks_always, checks_of, settled_elsewhere
from farpress.tasks.rehearsal_guided import follow
from farpress.tasks.rehearsal_site import Site, build_site, neighbours
from farpress.tasks.rules import outputs_named, rule_fault

__all__ = ["CODES", "RuleResult", "Story", "StoryStep", "finding_of", "rehearse", "replay", "time_text"]

CODES: Final[dict[str, str]] = {
    "RULE-16": "What must never be whether a rule says so or not, searched through every press story.",
    "RULE-17": "The acknowledgement output: every change asked for by a fob is acknowledged, and no other.",
}

QUICK: Final = 300_000
"""States searched for the shortest story before a guided one is tried; our choice, a third of a second."""

SEMANTICS: Final = Citation("timed behaviour as described in the explanation of the rehearsal", mark=Mark.CHOICE)


@dataclass(frozen=True)
class StoryStep:
    """One event of a story: when, which, and in words."""

    at_s: float
    event: str
    says: str


@dataclass(frozen=True)
class Story:
    """A story that breaks a rule.

    Attributes:
        steps: what people and the power do, in order.
        ends_s: when the rule is broken [s].
        ends: what is then so.
        tick_s: length of the tick it was found with [s].
        replayed: the player broke the rule with it, cut-off and pulse lengths included.
    """

    steps: tuple[StoryStep, ...]
    ends_s: float
    ends: str
    tick_s: float
    replayed: bool

    @property
    def text(self) -> str:
        """The story in one line."""
        return "; ".join([*(f"{time_text(step.at_s)}: {step.says}" for step in self.steps), f"{time_text(self.ends_s)}: {self.ends}"])


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
    subjects: tuple[str, ...] = ()


def rehearse(
    case: Case, *, budget: int = BUDGET, rules: tuple[int, ...] | None = None, progress: Callable[[str], None] | None = None
) -> list[RuleResult]:
    """Search all rules of the job, and what must never be in any job.

    Args:
        case: the job.
        budget: most states kept in one search.
        rules: numbers of the rules to search, from 1; all, and what always holds, if absent.
        progress: told what is searched; may raise to cancel.

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
            results.append(RuleResult(number, rule.never, "", Verdict.OPEN, f"Rule {number} cannot be searched: {fault}", "Correct the rule, or take it out.", searched=False, code="RULE-15"))
            continue
        if settled_elsewhere(rule):
            results.append(_by_looking(case, number))
            continue
        checks = list(checks_of(case, rule, outputs_named(case, rule)))
        if not checks and rule.never == "unset and open by one press":
            results.append(_by_looking(case, number))
        elif not checks:
            says = f"Rule {number} can never matter: nothing it names can do what it forbids."
            results.append(RuleResult(number, rule.never, "", Verdict.OPEN, says, "Correct the rule, or take it out.", searched=False, code="RULE-15"))
        for check in checks:
            tell(f"rule {number}, never {rule.never}: {check.about}")
            result = _search(case, check, budget, number, rule.never, tell)
            if rule.signed and result.verdict is Verdict.FAILS:
                result = _with(result, verdict=Verdict.THIN, because=f"{result.because} Accepted: {rule.signed}.".strip())
            results.append(result)
    if rules is None:
        done = {(result.never, result.about) for result in results}
        for check in checks_always(case):
            if (check.never, check.about) in done:
                continue
            tell(f"always: {check.about}")
            results.append(_search(case, check, budget, None, "", tell))
    return results


def finding_of(result: RuleResult) -> Finding:
    """A result as a finding, for the tables and papers of all findings."""
    about = f"rule {result.number}, never {result.never}" if result.number is not None else ""
    about = ": ".join(one for one in (about, result.about) if one)
    return Finding(result.code, Link.RULE, result.verdict, about, result.says, result.because, sources=(*(cited(search_all) if result.searched else ()), SEMANTICS, GIVEN), subjects=result.subjects)


def time_text(at_s: float) -> str:
    """A moment in a story: `0 s`, `4.5 s`, `2 min 30 s`, `1 h 5 min`."""
    tenths = round(at_s * 1000) / 1000
    if tenths < 120:
        return f"{tenths:g} s"
    hours, rest = divmod(tenths, 3600)
    minutes, seconds = divmod(rest, 60)
    pieces = [f"{hours:g} h" if hours else "", f"{minutes:g} min" if minutes else "", f"{round(seconds, 3):g} s" if round(seconds, 3) else ""]
    return " ".join(piece for piece in pieces if piece)


def _with(result: RuleResult, **changes: object) -> RuleResult:
    from dataclasses import replace

    return replace(result, **changes)  # type: ignore[arg-type]


def _by_looking(case: Case, number: int) -> RuleResult:
    rule = case.job.rules[number - 1]
    where = "the radio reach" if rule.never in ("works from", "works beyond") else "who holds what and how things are built"
    says = f"Rule {number}, never {rule.never}, is settled by {where}, not by a story of presses; 'farpress assess' judges it."
    return RuleResult(number, rule.never, "", Verdict.HOLDS, says, searched=False, code="")


def _search(case: Case, check: Check, budget: int, number: int | None, never: str, tell: Callable[[str], None]) -> RuleResult:
    outputs = neighbours(case, check.seeds)
    site = build_site(case, outputs, lengths=check.lengths, exact=False)
    subjects = tuple(dict.fromkeys(name for at in check.seeds for name in subjects_of(at, *driven_of(case, at))))
    base = RuleResult(number, never, check.about, Verdict.OPEN, "", asks=tuple(site.asks), taken=tuple(dict.fromkeys(site.taken)), code=check.code, subjects=subjects, forbids=check.forbids)
    watch = check.watch(site)
    if isinstance(watch, str):
        reasons = " ".join(site.asks) or " ".join(f"{one}." for one in base.taken) or "Nothing that is known of it can do what the rule forbids."
        return _with(base, says=f"{check.about} cannot be searched: {watch}. {reasons}", searched=False)
    try:
        found, network, story = _both_ways(case, check, site, budget, tell)
    except ModelError as error:
        return _with(base, says=f"{check.about} cannot be searched: {error}", searched=False)
    base = _with(base, states=found.states, transitions=found.transitions, finished=found.finished, depth=found.depth)
    if story is not None:
        if ask := check.unknown(site):
            return _with(base, story=story, says=f"Open; at its worst: {story.text}.", because=_because(base, ask), asks=(*base.asks, ask))
        if check.softens:
            return _with(base, verdict=Verdict.THIN, story=story, says=f"{story.text}.", because=_because(base, check.softens))
        return _with(base, verdict=Verdict.FAILS, story=story, says=f"{story.text}.", because=_because(base, "The shortest story found." if found.stories else "A story found; there may be shorter ones."))
    if not found.finished:
        says = f"Not settled: whether {check.forbids} is open. It was not met in {found.states} states, every story of up to {found.depth} events and ticks of {network.tick_ms / 1000:g} s; there are more."
        return _with(base, says=says, because="Give it a larger budget, or shorten the times it holds together.")
    if site.asks:
        return _with(base, says=f"Not met in any story of what is known, but something is missing: {' '.join(site.asks)}")
    if check.asks_power and _silent_about_closing(site):
        again = build_site(case, outputs, lengths=check.lengths, exact=False, resumes=True)
        other, _, worse = _both_ways(case, check, again, budget, tell)
        if worse is not None:
            names = ", ".join(path.partition("/")[2] for path in _silent_about_closing(site))
            return _with(base, story=worse, finished=other.finished, states=found.states + other.states, says=f"Holds if {names} waits for a command once the power is back; if timed closing goes on by itself: {worse.text}.",
                         because="Switch the drive's supply off and on while it stands open, watch it for the closing time, and write 'closes_after_power_return'.")
        if not other.finished:
            says = f"Holds if {', '.join(_silent_about_closing(site))} waits for a command once the power is back; whether it holds if timed closing goes on is not settled ({other.states} states)."
            return _with(base, says=says, states=found.states + other.states, finished=False)
    if ask := check.unknown(site) if check.never == "closes while occupied" else "":
        return _with(base, says=f"Not met in any story, if what notices somebody works ({found.states} states).", because=ask, asks=(*base.asks, ask))
    return _with(base, verdict=Verdict.HOLDS, says=f"No press story ends so that {check.forbids}: searched to the end, {found.states} states.", because=_because(base, ""))


def _because(result: RuleResult, first: str) -> str:
    taken = f"Taken: {'; '.join(result.taken)}." if result.taken else ""
    return " ".join(one for one in (first, taken) if one)


def _silent_about_closing(site: Site) -> tuple[str, ...]:
    return tuple(path for path, thing in site.things.items() if thing.kind == "leaf" and thing.one.sheet.closes_after_s and thing.one.sheet.closes_after_power_return is None)


def _both_ways(case: Case, check: Check, site: Site, budget: int, tell: Callable[[str], None]) -> tuple[Found, Network, Story | None]:
    """Search with times and presses free; believe a story only when the player breaks the rule with it, else search exactly."""
    if any(thing.kind == "leaf" for thing in site.things.values()):
        loose = _ready(check, build_site(case, site.outputs, lengths=check.lengths, exact=False, resumes=site.resumes, timeless=True))
        proved = search_all(loose, budget=budget, progress=_counting(tell, check))
        if proved.finished and not proved.stories:
            return proved, loose, None
        guided = _guided(case, check, site, loose, proved, budget, tell)
        if guided is not None:
            return guided
    network = _ready(check, site)
    found = search_all(network, budget=budget, progress=_counting(tell, check))
    if not found.stories:
        return found, network, None
    exact_site = build_site(case, site.outputs, lengths=True, exact=True, resumes=site.resumes)
    events = briefest_story(network, BAD) or found.stories[BAD]
    for candidate in dict.fromkeys((events, found.stories[BAD])):
        story = _story(network, candidate, check.forbids)
        if replay(check, exact_site, story):
            return found, network, _with_replay(story)
    exact = _ready(check, exact_site)
    again = search_all(exact, budget=budget, progress=_counting(tell, check))
    if not again.stories:
        return again, exact, None
    events = briefest_story(exact, BAD) or again.stories[BAD]
    story = _story(exact, events, check.forbids)
    return again, exact, _with_replay(story) if replay(check, exact_site, story) else story


def _guided(case: Case, check: Check, site: Site, loose: Network, proved: Found, budget: int, tell: Callable[[str], None]) -> tuple[Found, Network, Story] | None:
    """A story for a model too large to search quickly, led by the order of events without times; None if it is small or nothing is found."""
    network = _ready(check, site)
    found = search_all(network, budget=min(budget, QUICK), progress=_counting(tell, check))
    if found.finished or found.stories or not proved.stories:
        return None
    exact_site = build_site(case, site.outputs, lengths=True, exact=True, resumes=site.resumes)
    for events in dict.fromkeys((briefest_story(loose, BAD) or proved.stories[BAD], proved.stories[BAD])):
        led = follow(check, loose, events, exact_site)
        if led is not None:
            story = _story(led[0], led[1], check.forbids)
            if replay(check, exact_site, story):
                return found, network, _with_replay(story)
    return None


def _with_replay(story: Story) -> Story:
    return Story(story.steps, story.ends_s, story.ends, story.tick_s, replayed=True)


def _counting(tell: Callable[[str], None], check: Check) -> Callable[[int], None]:
    return lambda states: tell(f"{check.about}: {states} states")


def _ready(check: Check, site: Site) -> Network:
    watch = check.watch(site)
    if isinstance(watch, str):
        raise ModelError(watch)
    return make_ready(join([site.model, watch]))


def _story(network: Network, events: tuple[str, ...], ends: str) -> Story:
    steps: list[StoryStep] = []
    ticks = 0
    for event in events:
        if event == TICK:
            ticks += 1
        else:
            steps.append(StoryStep(ticks * network.tick_ms / 1000, event, network.says(event)))
    return Story(tuple(steps), ticks * network.tick_ms / 1000, ends, network.tick_ms / 1000, replayed=False)


def replay(check: Check, site: Site, story: Story, *, strict: bool = True) -> bool:
    """Whether playing a story in a model, nothing left out, breaks what a check forbids.

    Args:
        check: what is forbidden.
        site: the model.
        story: its events and moments.
        strict: an event that cannot happen means no; else it is passed over.
    """
    watch = check.watch(site)
    if isinstance(watch, str):
        return False
    moments = [*((round(step.at_s * 1000), step.event) for step in story.steps), (round(story.ends_s * 1000), "")]
    network = make_ready(join([site.model, watch]), slicing=False, moments_ms=[at_ms for at_ms, _ in moments])
    runner, state, ticks, broken = Runner(network), network.starts, 0, False
    for at_ms, event in moments:
        while ticks < at_ms // network.tick_ms:
            later = runner.tick(state)
            state, ticks, broken = later[0], ticks + 1, broken or bool(later[1])
        if event:
            taken = runner.step(state, event) if event in runner.events else None
            if taken is None and strict:
                return False
            if taken is not None:
                state, broken = taken[0], broken or bool(taken[1])
    return broken
