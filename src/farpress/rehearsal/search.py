"""One check searched: with times and presses free first, then played again, then exactly.

The steps are those that the explanation of the rehearsal describes under "The search".
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final, NamedTuple

from farpress.case.case import Case
from farpress.core.rehearsal.model import TICK, EventAct, Network, StateModel, join, make_ready
from farpress.core.rehearsal.running import Runner, SearchResult, briefest_story
from farpress.core.rehearsal.search import search_all
from farpress.core.rehearsal.wording import ModelError
from farpress.kept.plain import Plain
from farpress.kept.units import Units
from farpress.rehearsal.building import build_site
from farpress.rehearsal.guided import follow
from farpress.rehearsal.panels import BAD
from farpress.rehearsal.searched import SearchedCheck
from farpress.rehearsal.site import Site

__all__ = ["SEARCHES", "Settled", "Story", "StoryStep", "replay", "search_check", "time_text"]

QUICK: Final = 300_000
"""States searched for the shortest story before a guided one is tried; our choice, a third of a second."""

KEPT: Final = 4096
"""Results of searches kept in memory, the oldest dropped first; our choice."""


@dataclass(frozen=True)
class StoryStep:
    """One event of a story: when, which, and in words."""

    at_s: float
    event: str
    says: str
    act: EventAct | None = None


@dataclass(frozen=True)
class Story:
    """A story that breaks a rule.

    Attributes:
        steps: what people and the power do, in order.
        ends_s: when the rule is broken [s]; where it is broken just after a moment, that moment.
        ends: what is then so.
        tick_s: length of the tick it was found with [s].
        replayed: the player broke the rule with it, cut-off and pulse lengths included.
        just_after: the rule is broken from one tick after `ends_s` on, as "longer than" is.
    """

    steps: tuple[StoryStep, ...]
    ends_s: float
    ends: str
    tick_s: float
    replayed: bool
    just_after: bool = False

    @property
    def end_text(self) -> str:
        """When the rule is broken, in words."""
        return f"{'after ' if self.just_after else ''}{time_text(self.ends_s)}"

    @property
    def text(self) -> str:
        """The story in one line."""
        return "; ".join(
            [
                *(f"{time_text(step.at_s)}: {step.says}" for step in self.steps),
                f"{self.end_text}: {self.ends}",
            ]
        )


class Settled(NamedTuple):
    """What a search of one check came to: counts, length of its tick [ms], and a story that breaks the rule
    or None.
    """

    found: SearchResult
    tick_ms: int
    story: Story | None


SEARCHES: Final[Units[Settled]] = Units(
    "searches", most=KEPT, plain=Plain(Settled, SearchResult, Story, StoryStep, EventAct)
)
"""All searches that were made."""


def search_check(
    case: Case, check: SearchedCheck, site: Site, *, budget: int, tell: Callable[[str], None]
) -> Settled:
    """Search with times and presses free; believe a story only when the player breaks the rule with it, else
    search exactly.

    A result is kept by what the models say, so that a change of the job that touches none of
    them costs no new search; it is the same as the search would give.

    Args:
        case: the job.
        check: what is forbidden.
        site: the model with presses free.
        budget: most states kept in one search.
        tell: told what goes on; may raise to cancel.

    Raises:
        ModelError: the model contradicts itself.
    """

    def settle() -> Settled:
        found, network, story = _both_ways(case, check, site, budget, tell)
        return Settled(found, network.tick_ms, story)

    return SEARCHES.once(_key(case, check, site, budget), settle)


def _key(case: Case, check: SearchedCheck, site: Site, budget: int) -> str:
    variants = [site, *(_variant(case, site, exact=exact) for exact in (False, True))]
    digest = hashlib.sha256(f"{budget} {check.forbids} {check.just_after}".encode())
    for variant in variants:
        watch = check.watch(variant)
        model = join([variant.model, watch]) if isinstance(watch, StateModel) else variant.model
        times = defaultdict(
            lambda: 1, model.times_ms
        )  # a constant that nothing uses may ask for a time that is not there
        constants = sorted(
            (name, given(times) if callable(given) else given) for name, given in model.constants.items()
        )
        digest.update(
            repr(
                (
                    model.variables,
                    model.events,
                    model.ticking,
                    model.settling,
                    sorted(model.times_ms.items()),
                    constants,
                    sorted(model.bad.items()),
                )
            ).encode()
        )
    return digest.hexdigest()


def _variant(case: Case, site: Site, *, exact: bool) -> Site:
    """The same outputs with true times, or with leaves that may take any time; each built once a job."""
    lengths = exact or site.lengths
    built = case.once(_built_variants)
    key = (tuple(output.path for output in site.outputs), lengths, site.resumes, exact)
    if key not in built:
        built[key] = build_site(
            case, site.outputs, lengths=lengths, exact=exact, resumes=site.resumes, timeless=not exact
        )
    return built[key]


def _built_variants(case: Case) -> dict[tuple[object, ...], Site]:
    """Paths of outputs, and how they are built → their model; several checks ask for the same one."""
    del case
    return {}


def _both_ways(
    case: Case, check: SearchedCheck, site: Site, budget: int, tell: Callable[[str], None]
) -> tuple[SearchResult, Network, Story | None]:
    if any(thing.kind == "leaf" for thing in site.things.values()):
        loose = _ready(check, _variant(case, site, exact=False))
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
    exact_site = _variant(case, site, exact=True)
    events = briefest_story(network, BAD) or found.stories[BAD]
    for candidate in dict.fromkeys((events, found.stories[BAD])):
        story = _story(network, candidate, check)
        if replay(check, exact_site, story):
            return found, network, _with_replay(story)
    exact = _ready(check, exact_site)
    again = search_all(exact, budget=budget, progress=_counting(tell, check))
    if not again.stories:
        return again, exact, None
    events = briefest_story(exact, BAD) or again.stories[BAD]
    story = _story(exact, events, check)
    return again, exact, _with_replay(story) if replay(check, exact_site, story) else story


def _guided(
    case: Case,
    check: SearchedCheck,
    site: Site,
    loose: Network,
    proved: SearchResult,
    budget: int,
    tell: Callable[[str], None],
) -> tuple[SearchResult, Network, Story] | None:
    """A story for a model too large to search quickly, led by the order of events without times; None if it
    is small or nothing is found.
    """
    network = _ready(check, site)
    found = search_all(network, budget=min(budget, QUICK), progress=_counting(tell, check))
    if found.finished or found.stories or not proved.stories:
        return None
    exact_site = _variant(case, site, exact=True)
    for events in dict.fromkeys((briefest_story(loose, BAD) or proved.stories[BAD], proved.stories[BAD])):
        led = follow(check, loose, events, exact_site)
        if led is not None:
            story = _story(led[0], led[1], check)
            if replay(check, exact_site, story):
                return found, network, _with_replay(story)
    return None


def _with_replay(story: Story) -> Story:
    return replace(story, replayed=True)


def _counting(tell: Callable[[str], None], check: SearchedCheck) -> Callable[[int], None]:
    return lambda states: tell(
        f"{check.about}: {states} states"
        if states
        else f"loading the compiled search; its first use takes some seconds: {check.about}"
    )


def _ready(check: SearchedCheck, site: Site) -> Network:
    watch = check.watch(site)
    if isinstance(watch, str):
        raise ModelError(watch)
    return make_ready(join([site.model, watch]))


def _story(network: Network, events: tuple[str, ...], check: SearchedCheck) -> Story:
    steps: list[StoryStep] = []
    ticks = 0
    for event in events:
        if event == TICK:
            ticks += 1
        else:
            steps.append(
                StoryStep(ticks * network.tick_ms / 1000, event, network.says(event), network.act(event))
            )
    last = max(ticks - check.just_after, 0)
    return Story(
        tuple(steps),
        last * network.tick_ms / 1000,
        check.forbids,
        network.tick_ms / 1000,
        replayed=False,
        just_after=check.just_after,
    )


def replay(check: SearchedCheck, site: Site, story: Story, *, strict: bool = True) -> bool:
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
    ends_s = story.ends_s + (story.tick_s if story.just_after else 0.0)
    moments = [*((round(step.at_s * 1000), step.event) for step in story.steps), (round(ends_s * 1000), "")]
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


def time_text(at_s: float) -> str:
    """A moment in a story: `0 s`, `4.5 s`, `2 min 30 s`, `1 h 5 min`."""
    tenths = round(at_s * 1000) / 1000
    if tenths < 120:
        return f"{tenths:g} s"
    hours, rest = divmod(tenths, 3600)
    minutes, seconds = divmod(rest, 60)
    pieces = [
        f"{hours:g} h" if hours else "",
        f"{minutes:g} min" if minutes else "",
        f"{round(seconds, 3):g} s" if round(seconds, 3) else "",
    ]
    return " ".join(piece for piece in pieces if piece)
