"""Play a story: what every output, device and panel does, on a time line.

Everything that the pressed outputs touch runs together, with the fob's cut-off and all
lengths as they are. A press is seen at once; a telegram's own length is not drawn.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Final

from farpress.case.case import Case
from farpress.case.rules import outputs_named, rule_fault
from farpress.core.rehearsal.model import TICK, StateModel, join
from farpress.core.rehearsal.ready import make_ready
from farpress.core.rehearsal.running import Runner
from farpress.errors import InputError
from farpress.rehearsal.building import build_site
from farpress.rehearsal.checks import checks_always, checks_of, settled_elsewhere
from farpress.rehearsal.moments import moments_of, outputs_of
from farpress.rehearsal.search import Story, replay, time_text
from farpress.rehearsal.searched import SearchedCheck
from farpress.rehearsal.site import Site
from farpress.rehearsal.story import parse_story
from farpress.rehearsal.surrounding import drawn_round, everything_round
from farpress.rehearsal.timeline import LONGEST_TICKS, Broken, PlayedMoment, Timeline
from farpress.rehearsal.tracks import acknowledging, rest_of, tracks_of, watched_of

__all__ = ["play", "play_story"]


_TAIL_S: Final = 3600.0
"""Played on after the last event until nothing changes, at most; our choice."""


def play(case: Case, story: str, *, progress: Callable[[str], None] | None = None) -> Timeline:
    """Play a story written in words.

    Raises:
        InputError: the story cannot be read, or what it names cannot be played; all faults at once.
    """
    happenings = parse_story(case, story)
    outputs = outputs_of(case, happenings)
    is_apart = any(event.who and event.kind in ("power off", "power on") for event in happenings)
    site = build_site(case, outputs, lengths=True, exact=True, apart=is_apart)
    moments, marks = moments_of(case, site, happenings)
    return play_story(case, site, tuple(moments), tuple(marks), title=story, progress=progress)


def play_story(
    case: Case,
    site: Site,
    moments: tuple[tuple[float, str], ...],
    marks: tuple[PlayedMoment, ...],
    *,
    title: str,
    progress: Callable[[str], None] | None = None,
) -> Timeline:
    """Play events of a model at given moments [s], and say what every thing does."""
    events = {event for _, event in moments}
    watched = [*watched_of(case, site), *drawn_round(case, site, events)]
    tracked = join(
        [
            everything_round(case, site),
            site.model,
            *acknowledging(case, site),
            StateModel(bad={f"track{i}": condition for i, (_, _, _, condition) in enumerate(watched)}),
        ]
    )
    network = make_ready(tracked, slicing=False, moments_ms=[round(at_s * 1000) for at_s, _ in moments])
    tick_s = network.tick_ms / 1000.0
    last_s = max([at_s for at_s, _ in moments], default=0.0)
    if last_s / tick_s > LONGEST_TICKS:
        raise InputError(
            f"The story lasts {time_text(last_s)}; at a tick of {tick_s:g} s that is more than"
            f" {LONGEST_TICKS} ticks. Leave out the quiet hours."
        )
    runner, state, ticks = Runner(network), network.starts, 0
    at_rest = runner.probe(state, {str(i): condition for i, (_, _, _, condition) in enumerate(watched)})
    bits = rest = sum(1 << int(place) for place, so in at_rest.items() if so)
    history: list[tuple[int, int]] = [(0, bits)]
    done: list[PlayedMoment] = []
    for (at_s, event), mark in zip(moments, marks, strict=True):
        while ticks < round(at_s / tick_s):
            (state, bits), ticks = runner.tick(state, bits), ticks + 1
            history.append((ticks, bits))
        taken = runner.step(state, event) if event in runner.events else None
        done.append(
            mark if taken is not None or not event else replace(mark, says=f"{mark.says} (without effect)")
        )
        if taken is not None:
            state, bits = taken
            if history == [(0, rest)] and ticks == 0:  # rest lasts no time before a story that begins at once
                history.clear()
            history.append((ticks, bits))
    quiet = 0
    while ticks < min(round((last_s + _TAIL_S) / tick_s), LONGEST_TICKS) and TICK in runner.events:
        taken = runner.step(state, TICK)
        assert taken is not None
        if taken[0] == state:
            quiet += 1
            if quiet > 1:
                break
        (state, bits), ticks = taken, ticks + 1
        history.append((ticks, bits))
    ends_s = _end(history, last_s, tick_s)
    broken = tuple(_broken(case, site, moments, ends_s, progress))
    return Timeline(
        case.job.job,
        title,
        tuple(_merged(done)),
        tuple(tracks_of(watched, history, tick_s, ends_s)),
        ends_s,
        broken,
        tuple(site.asks),
        tuple(dict.fromkeys(site.taken)),
        last_s,
        {
            name: (rest, *dict.fromkeys(state for owner, _, state, _ in watched if owner == name))
            for name, rest in (
                *((output.path, "off") for output in site.outputs),
                *((path, rest_of(thing)) for path, thing in site.things.items()),
            )
        },
    )


def _merged(marks: list[PlayedMoment]) -> Iterator[PlayedMoment]:
    seen = set()
    for mark in marks:
        if mark.says and (mark.at_s, mark.says) not in seen:
            seen.add((mark.at_s, mark.says))
            yield mark


def _end(history: list[tuple[int, int]], last_s: float, tick_s: float) -> float:
    changed = (
        next((history[i][0] for i in range(len(history) - 1, 0, -1) if history[i][1] != history[i - 1][1]), 0)
        * tick_s
    )
    end = max(changed, last_s)
    return max(end * 1.05, end + 1.0)


def _broken(
    case: Case,
    site: Site,
    moments: tuple[tuple[float, str], ...],
    ends_s: float,
    progress: Callable[[str], None] | None,
) -> Iterator[Broken]:
    from farpress.rehearsal.rules import StoryStep

    steps = tuple(StoryStep(at_s, event, "") for at_s, event in moments if event)
    inside = {output.path for output in site.outputs}
    checks: list[tuple[int | None, str, SearchedCheck]] = []
    for place, rule in enumerate(case.job.rules, 1):
        if not settled_elsewhere(rule) and not rule_fault(case, rule):
            checks += [
                (place, rule.never, check) for check in checks_of(case, rule, outputs_named(case, rule))
            ]
    checks += [(None, check.never, check) for check in checks_always(case)]
    seen = set()
    tells_the_time = any(event.startswith("clock_") for _, event in moments)
    for number, never, check in checks:
        if check.at_hours and not tells_the_time:
            continue
        if (never, check.about) in seen or not {seed.path for seed in check.seeds} <= inside:
            continue
        seen.add((never, check.about))
        if progress is not None:
            progress(f"{never}: {check.about}")
        if replay(check, site, Story(steps, ends_s, check.forbids, 0.0, replayed=False), strict=False):
            yield Broken(number, never, check.about, check.forbids)
