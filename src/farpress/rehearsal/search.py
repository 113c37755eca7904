"""One check searched: with times and presses free first, then played again, then exactly.

The steps are those that the explanation of the rehearsal describes under "The search".
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import chain, islice
from typing import Final, NamedTuple

from farpress.case.case import Case, OutputAt
from farpress.case.reads import Memo
from farpress.core.rehearsal.model import TICK, EventAct, StateModel, join
from farpress.core.rehearsal.ready import Network, make_ready
from farpress.core.rehearsal.running import Runner, SearchResult, briefest_stories, briefest_story
from farpress.core.rehearsal.search import search_all
from farpress.core.rehearsal.wording import ModelError
from farpress.kept.plain import Plain
from farpress.kept.units import Units
from farpress.rehearsal.building import build_site
from farpress.rehearsal.guided import in_order, moments_in
from farpress.rehearsal.panels import BAD
from farpress.rehearsal.searched import SearchedCheck
from farpress.rehearsal.site import Site
from farpress.rehearsal.things import Leaves

__all__ = [
    "SEARCHES",
    "Settled",
    "Story",
    "StoryStep",
    "never_so",
    "replay",
    "search_check",
    "site_of",
    "time_text",
]

LED: Final = 40_000
"""States searched at least for other moments of a story that does not happen as it was found, however few the
search of all stories keeps: our choice, a fifth of a second in plain Python."""

QUICK: Final = 300_000
"""The same at most; our choice, a third of a second in machine code."""

LOOSE: Final[tuple[Leaves, ...]] = ("any time", "whole travels")
"""Leaves that do more than a real one, in the order they are tried."""

ORDERS: Final = 12
"""Stories of a looser model tried before the true one is searched; our choice."""

FEW: Final = 2
"""The same of the loosest models, whose stories often cannot happen; our choice."""

SHORT: Final = 8
"""A time is short beside one so many times as long; our choice."""

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


def never_so(case: Case, check: SearchedCheck, site: Site, expression: str, *, budget: int) -> bool:
    """Whether a search to the end shows that something is so in no story, as the player plays it: two times
    that end together leave no gap. Leaves take any time, which only leaves more stories.
    """
    loosest = _variant(case, site, exact=False, leaves="any time")
    model = join([check.surroundings(loosest), loosest.model, StateModel(bad={BAD: expression})])
    found = search_all(make_ready(model), budget=budget)
    return found.finished and not found.stories


def _key(case: Case, check: SearchedCheck, site: Site, budget: int) -> str:
    variants = [
        site,
        _variant(case, site, exact=True),
        *(_variant(case, site, exact=False, leaves=leaves) for leaves in LOOSE if _has_leaf(site)),
    ]
    digest = hashlib.sha256(f"{budget} {check.forbids} {check.just_after}".encode())
    for variant in variants:
        if not variant.digest:
            variant.digest = _digest_of(variant.model, variant.model.times_ms)
        digest.update(variant.digest)
        watch = check.watch(variant)
        if isinstance(watch, StateModel):
            parts = (check.surroundings(variant), watch)
            times = {key: time for part in (*parts, variant.model) for key, time in part.times_ms.items()}
            for part in parts:
                digest.update(_digest_of(part, times))
    return digest.hexdigest()


def _digest_of(model: StateModel, times_ms: Mapping[str, int]) -> bytes:
    """A hash of a part of a model, its constants worked out with these times."""
    times = defaultdict(lambda: 1, times_ms)  # a constant that nothing uses may ask for one that is not there
    constants = sorted(
        (name, given(times) if callable(given) else given) for name, given in model.constants.items()
    )
    said = (
        model.variables,
        model.events,
        model.ticking,
        model.settling,
        sorted(model.times_ms.items()),
        constants,
        sorted(model.bad.items()),
        model.timers,
    )
    return hashlib.sha256(repr(said).encode()).digest()


def _variant(case: Case, site: Site, *, exact: bool, leaves: Leaves = "positions") -> Site:
    """The same outputs with true times and lengths, or with leaves that do more."""
    return site_of(
        case,
        site.outputs,
        lengths=exact or site.lengths,
        exact=exact,
        resumes=site.resumes,
        leaves=leaves,
        apart=site.feeds is not None,
    )


def site_of(
    case: Case,
    outputs: tuple[OutputAt, ...],
    *,
    lengths: bool,
    exact: bool,
    resumes: bool | None = None,
    leaves: Leaves = "positions",
    apart: bool = False,
) -> Site:
    """What `build_site` makes, each built once a job: several checks ask for the same one."""
    return case.once(_built_variants).once(
        (tuple(output.path for output in outputs), lengths, resumes, exact, leaves, apart),
        lambda: build_site(
            case, outputs, lengths=lengths, exact=exact, resumes=resumes, leaves=leaves, apart=apart
        ),
    )


def _built_variants(case: Case) -> Memo[Site]:
    """Paths of outputs, and how they are built → their model; several checks ask for the same one."""
    del case
    return Memo()


def _both_ways(
    case: Case, check: SearchedCheck, site: Site, budget: int, tell: Callable[[str], None]
) -> tuple[SearchResult, Network, Story | None]:
    progress = _counting(tell, check)
    exact_site = _variant(case, site, exact=True)
    for network, orders in _from_loosest(case, check, site):
        found = search_all(network, budget=budget, progress=progress)
        if found.finished and not found.stories:
            return found, network, None
        told = _first_that_happens(check, network, found, exact_site, orders, budget, progress)
        if told is not None:
            return replace(found, stories=told[1]), network, told[0]
        if orders > FEW and not found.stories:
            return found, network, None
    exact = _ready(check, exact_site)
    again = search_all(exact, budget=budget, progress=progress)
    if not again.stories:
        return again, exact, None
    events = briefest_story(exact, BAD) or again.stories[BAD]
    return again, exact, _played(check, exact, events, exact_site) or _story(exact, events, check)


def _from_loosest(case: Case, check: SearchedCheck, site: Site) -> Iterator[tuple[Network, int]]:
    """Models that all do at least what the true one does, the smallest first, with the number of stories of
    each that are worth trying: leaves that take any time or keep whole travels, and short times left open.
    """
    looser = [_variant(case, site, exact=False, leaves=leaves) for leaves in LOOSE if _has_leaf(site)]
    for model in (*looser, site):
        network = _ready(check, model)
        if model is not site or not looser:  # a position is counted in ticks of its own
            longest_ms = max(network.highs, default=0) * network.tick_ms
            # beside leaves of any time no pulse needs its length for a first look
            all_of_them = bool(looser) and model is looser[0]
            below_ms = longest_ms + 1 if all_of_them else longest_ms // SHORT
            coarse = _ready(check, model, loose_below_ms=below_ms)
            if coarse.tick_ms >= SHORT * network.tick_ms:
                yield coarse, FEW
        yield network, FEW if looser and model is looser[0] else ORDERS


def _has_leaf(site: Site) -> bool:
    return any(thing.kind == "leaf" for thing in site.things.values())


def _first_that_happens(
    check: SearchedCheck,
    network: Network,
    found: SearchResult,
    exact_site: Site,
    orders: int,
    budget: int,
    progress: Callable[[int], None],
) -> tuple[Story, Mapping[str, tuple[str, ...]]] | None:
    """The first story of a looser model that the player breaks the rule with, as it is or with the same steps
    at other moments; beside it the stories of the search where there is none with fewer steps, else nothing.
    """
    if not found.stories:
        return None
    exact: Network | None = None
    fewest: int | None = None
    for events in islice(chain(briefest_stories(network, BAD), (found.stories[BAD],)), orders):
        steps = [event for event in events if event in network.steps]
        fewest = len(steps) if fewest is None else fewest
        story = _played(check, network, events, exact_site)
        if story is None:
            exact = exact or _ready(check, exact_site)
            led = in_order(exact, steps)
            met = search_all(led, budget=min(max(budget, LED), QUICK), progress=progress)
            story = _played(check, led, met.stories[BAD], exact_site) if met.stories else None
        if story is not None:
            return story, found.stories if len(steps) <= fewest else {}
    return None


def _played(
    check: SearchedCheck, network: Network, events: tuple[str, ...], exact_site: Site
) -> Story | None:
    """A story that the player breaks the rule with: as found, or with what comes in the last instant of a
    timer a little earlier; None if neither does.
    """
    for early_ms in (0, _early_ms(network.tick_ms)):
        story = _story(network, events, check, early_ms=early_ms)
        broken = _broken_ms(check, exact_site, story, strict=True)
        if broken is not None:
            return replace(story, replayed=True, ends_s=broken / 1000)
    return None


def _early_ms(tick_ms: int) -> int:
    """How long before the end of a timer somebody presses who presses just before it: well below a tick, and
    a moment that can be told; our choice.
    """
    return next((early for early in (1000, 100, 10) if 2 * early <= tick_ms), 1)


def _counting(tell: Callable[[str], None], check: SearchedCheck) -> Callable[[int], None]:
    return lambda states: tell(
        f"{check.about}: {states} states" if states else f"making machine code of the model: {check.about}"
    )


def _ready(check: SearchedCheck, site: Site, *, loose_below_ms: int = 0) -> Network:
    watched = check.watched(site)
    if isinstance(watched, str):
        raise ModelError(watched)
    return make_ready(watched, closed=True, loose_below_ms=loose_below_ms)


def _story(network: Network, events: tuple[str, ...], check: SearchedCheck, *, early_ms: int = 0) -> Story:
    steps = tuple(
        StoryStep(at_ms / 1000, event, network.says(event), network.act(event))
        for at_ms, event in moments_in(network, events, early_ms=early_ms)
    )
    last = max(events.count(TICK) - check.just_after, 0)
    return Story(
        steps,
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
    return _broken_ms(check, site, story, strict=strict) is not None


def _broken_ms(check: SearchedCheck, site: Site, story: Story, *, strict: bool) -> int | None:
    """When playing a story breaks what a check forbids, or the moment after which it does [ms]; None if it
    does not.
    """
    watched = check.watched(site)
    if isinstance(watched, str):
        return None
    ends_s = story.ends_s + (story.tick_s if story.just_after else 0.0)
    moments = [*((round(step.at_s * 1000), step.event) for step in story.steps), (round(ends_s * 1000), "")]
    network = make_ready(watched, slicing=False, moments_ms=[at_ms for at_ms, _ in moments])
    runner, state, ticks, broken = Runner(network), network.starts, 0, None
    earlier = int(story.just_after)
    for at_ms, event in moments:
        while ticks < at_ms // network.tick_ms:
            later = runner.tick(state)
            state, ticks = later[0], ticks + 1
            if later[1] and broken is None:
                broken = (ticks - earlier) * network.tick_ms
        if event:
            taken = runner.step(state, event) if event in runner.events else None
            if taken is None and strict:
                return None
            if taken is not None:
                state = taken[0]
                if taken[1] and broken is None:
                    broken = ticks * network.tick_ms
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
