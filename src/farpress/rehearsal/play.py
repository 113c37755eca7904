"""Play a story: what every output, device and panel does, on a time line.

Everything that the pressed outputs touch runs together, with the fob's cut-off and all
lengths as they are. A press is seen at once; a telegram's own length is not drawn.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.rules import outputs_named, rule_fault
from farpress.core.rehearsal.driven import MODES
from farpress.core.rehearsal.model import TICK, StateModel, join, make_ready
from farpress.core.rehearsal.panels import ACKNOWLEDGED, acknowledgement
from farpress.core.rehearsal.running import Runner
from farpress.errors import InputError
from farpress.phrases import listed
from farpress.rehearsal.checks import SearchedCheck, checks_always, checks_of, settled_elsewhere
from farpress.rehearsal.presses import pressers
from farpress.rehearsal.rules import Story, replay, time_text
from farpress.rehearsal.site import (
    ModelledThing,
    Site,
    build_site,
    neighbours,
    output_id,
    signals_of,
    thing_id,
)
from farpress.rehearsal.story import Happening, parse_story

__all__ = [
    "LONGEST_TICKS",
    "Broken",
    "PlayedMoment",
    "Span",
    "Timeline",
    "Track",
    "play",
    "play_story",
    "states_of",
]

LONGEST_TICKS: Final = 400_000
"""Ticks played at most; our choice, it catches a story of days at a tick of milliseconds."""

_REST: Final = {
    "on": "off",
    "up": "still",
    "down": "still",
    "opening": "closed",
    "closing": "closed",
    "locked": "released",
    "released": "locked",
    "set": "unset",
    "alarm": "unset",
    "exit time": "unset",
    "entry time": "unset",
    "open": "closed",
}

_TAIL_S: Final = 3600.0
"""Played on after the last event until nothing changes, at most; our choice."""


@dataclass(frozen=True)
class Span:
    """A thing in one state from one moment to another [s]."""

    from_s: float
    to_s: float
    state: str


@dataclass(frozen=True)
class Track:
    """One line of a time line: a thing and its states, the resting state left out.

    Attributes:
        name: what it is, as "larkfen/R1/1".
        says: what it does or works.
        spans: in order.
    """

    name: str
    says: str
    spans: tuple[Span, ...]


@dataclass(frozen=True)
class PlayedMoment:
    """Something that happens at a moment [s]."""

    at_s: float
    says: str


@dataclass(frozen=True)
class Broken:
    """A rule that the story breaks; `number` is None for what must never be in any job."""

    number: int | None
    never: str
    about: str
    says: str


@dataclass(frozen=True)
class Timeline:
    """A story played.

    Attributes:
        job, story: names.
        marks: what people and the power do, as far as it had an effect.
        tracks: what things do.
        ends_s: where the line ends [s].
        broken: rules that were broken on the way.
        asks, taken: what is missing; what was taken where the sheet is silent.
    """

    job: str
    story: str
    marks: tuple[PlayedMoment, ...]
    tracks: tuple[Track, ...]
    ends_s: float
    broken: tuple[Broken, ...]
    asks: tuple[str, ...] = ()
    taken: tuple[str, ...] = ()

    @property
    def lines(self) -> tuple[str, ...]:
        """The time line as text, one change a line."""
        changes = [(mark.at_s, 0, mark.says) for mark in self.marks]
        for track in self.tracks:
            for span in track.spans:
                if track.says != "supply":
                    changes.append((span.from_s, 2, f"{track.name} {span.state}"))
                if (
                    track.says not in ("pulses", "supply")
                    and span.to_s < self.ends_s
                    and not any(other.from_s == span.to_s for other in track.spans)
                ):
                    changes.append((span.to_s, 2, f"{track.name} {_REST.get(span.state, 'at rest')}"))
        return tuple(f"{time_text(at_s)}: {says}" for at_s, _, says in sorted(changes))


def play(case: Case, story: str, *, progress: Callable[[str], None] | None = None) -> Timeline:
    """Play a story written in words.

    Raises:
        InputError: the story cannot be read, or what it names cannot be played; all faults at once.
    """
    happenings = parse_story(case, story)
    outputs = _outputs(case, happenings)
    site = build_site(case, outputs, lengths=True, exact=True)
    moments, marks = _moments(case, site, happenings)
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
    watched = _watched(case, site)
    tracked = join(
        [
            site.model,
            *_acknowledging(case, site),
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
    runner, state, ticks, bits = Runner(network), network.starts, 0, 0
    history: list[tuple[int, int]] = [(0, 0)]
    done: list[PlayedMoment] = []
    for (at_s, event), mark in zip(moments, marks, strict=True):
        while ticks < round(at_s / tick_s):
            (state, bits), ticks = runner.tick(state, bits), ticks + 1
            history.append((ticks, bits))
        taken = runner.step(state, event) if event in runner.events else None
        done.append(
            mark
            if taken is not None or not event
            else PlayedMoment(mark.at_s, f"{mark.says} (without effect)")
        )
        if taken is not None:
            state, bits = taken
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
        tuple(_tracks(watched, history, tick_s, ends_s)),
        ends_s,
        broken,
        tuple(site.asks),
        tuple(dict.fromkeys(site.taken)),
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


def _outputs(case: Case, happenings: list[Happening]) -> tuple[OutputAt, ...]:
    every = tuple(case.outputs())
    paths = {path for one in happenings for name in one.functions for path in case.job.functions[name].paths}
    named = {one.who for one in happenings if one.kind in ("keypad", "alarm", "entry", "under", "clear")}
    seeds = [
        at
        for at in every
        if at.path in paths or any(f"{at.premises}/{works.partition('.')[0]}" in named for works in at.works)
    ]
    return neighbours(case, seeds or every)


def _moments(
    case: Case, site: Site, happenings: list[Happening]
) -> tuple[list[tuple[float, str]], list[PlayedMoment]]:
    dark = _stretches(happenings, "power off", "power on")
    lost = [(one.at_s, one.at_s + one.for_s) for one in happenings if one.kind == "lost"]
    found: list[tuple[float, int, str, str]] = []
    last_end: dict[tuple[str, str, bool], float] = {}
    every = pressers(case, site.outputs)
    faults = []
    for order, one in enumerate(happenings):
        if one.kind in ("power off", "power on"):
            found.append(
                (
                    one.at_s,
                    order,
                    one.kind.replace(" ", "_"),
                    f"the power {'fails' if one.kind == 'power off' else 'returns'}",
                )
            )
        elif one.kind == "wait":
            found.append((one.at_s, order, "", ""))
        elif one.kind == "lost":
            found.append((one.at_s, order, "", f"telegrams are lost for {time_text(one.for_s)}"))
        elif one.kind in ("keypad", "alarm", "entry", "under", "clear"):
            event = f"{thing_id(one.who)}_{ {'under': 'enter', 'clear': 'leave'}.get(one.kind, one.kind) }"
            if event not in {known.name for known in site.model.events}:
                faults.append(f"{one.text}: nothing of that kind can happen to {one.who} in this job.")
            found.append((one.at_s, order, event, one.text))
        else:
            fitting = [
                presser
                for presser in every
                if set(one.functions) & set(presser.functions)
                and (presser.functions == one.functions or len(one.functions) == 1)
            ]
            exact = (
                [
                    presser
                    for presser in fitting
                    if presser.functions == one.functions and presser.length == one.length
                ]
                or [presser for presser in fitting if presser.functions == one.functions]
                or fitting
            )
            if not exact:
                faults.append(
                    f"{one.text}: nothing of what it works can be played. {' '.join(site.asks)}".strip()
                )
                continue
            found += _pressing(case, site, one, order, exact[0].key, dark, lost, last_end)
    if faults:
        raise InputError("\n".join(faults))
    found.sort(key=lambda moment: (moment[0], moment[1]))
    return [(at_s, event) for at_s, _, event, _ in found], [
        PlayedMoment(at_s, says) for at_s, _, _, says in found
    ]


def _pressing(
    case: Case,
    site: Site,
    one: Happening,
    order: int,
    key: str,
    dark: list[tuple[float, float]],
    lost: list[tuple[float, float]],
    last_end: dict[tuple[str, str, bool], float],
) -> Iterator[tuple[float, int, str, str]]:
    cut_off = next(
        (
            case.equipment.fobs[name].sheet.cut_off_s
            for name, group in case.job.groups.items()
            if (name == one.who or one.who in group.people) and name in case.equipment.fobs
        ),
        None,
    )
    end = one.at_s + (one.for_s if cut_off is None else min(one.for_s, cut_off))
    who = f"somebody else of {one.who}" if one.is_another else one.who
    says = (
        f"{who}: {listed(one.functions)}"
        f" {'held' if one.for_s > 1 else 'pressed'}{' long' if one.length == 'long' else ''}"
    )
    receivers = [
        case.equipment.receivers.get(path.rpartition("/")[0])
        for name in one.functions
        for path in case.job.functions[name].paths
    ]
    dropouts = [
        part.sheet.dropout_s for part in receivers if part is not None and part.sheet.dropout_s is not None
    ]
    dropout = max(dropouts, default=0.0)
    held, fob = key in site.held, (key, one.who, one.is_another)
    pieces = _without(one.at_s, end, [*lost, *dark])
    for index, (start, stop) in enumerate(pieces):
        came_back = any(start == until for _, until in dark)
        text = (
            says
            if index == 0 and start == one.at_s
            else f"{who}: heard again"
            + (", seen as a new press" if start - last_end.get(fob, -1e9) >= dropout else "")
        )
        if held:
            yield start, order, f"{key}_press", text
            yield (
                stop,
                order + 1000,
                f"{key}_release",
                f"{who}: {listed(one.functions)} {'let go' if stop == end else 'no longer heard'}",
            )
        elif came_back or start - last_end.get(fob, -1e9) >= dropout:
            yield start, order, f"{key}_press", text
        else:
            yield (
                start,
                order,
                "",
                f"{text}, less than the drop-out time after the last one: seen as the same press",
            )
        last_end[fob] = stop
    if not pieces:
        yield one.at_s, order, "", f"{says}, not heard"


def _stretches(happenings: list[Happening], begins: str, ends: str) -> list[tuple[float, float]]:
    found = []
    since = None
    for one in happenings:
        if one.kind == begins and since is None:
            since = one.at_s
        elif one.kind == ends and since is not None:
            found.append((since, one.at_s))
            since = None
    return [*found, (since, float("inf"))] if since is not None else found


def _without(start: float, stop: float, gaps: list[tuple[float, float]]) -> list[tuple[float, float]]:
    pieces = [(start, stop)]
    for begins, ends in gaps:
        pieces = [
            piece
            for a, b in pieces
            for piece in ((a, min(b, begins)), (max(a, ends), b))
            if piece[1] > piece[0]
        ]
    return sorted(pieces)


def _watched(case: Case, site: Site) -> list[tuple[str, str, str, str]]:
    """Name, what it is, state and condition of everything drawn."""
    found = [("power", "supply", "off", "not power")]
    for at in site.outputs:
        if f"{output_id(at)}_start" in site.starts:
            found.append(
                (
                    at.path,
                    f"{at.output.kind} on {listed(at.works)}" if at.works else at.output.kind,
                    "on",
                    f"{output_id(at)}_on",
                )
            )
    for path, thing in site.things.items():
        found += [(path, _kind(thing), state, condition) for state, condition in states_of(thing)]
    for path in site.things:
        acknowledging = _acknowledgers(case, site, path) if site.things[path].kind == "panel" else []
        for _, asking in acknowledging[:1]:
            sheet = case.equipment.receivers[asking[0].receiver_path].sheet
            counts = sheet.acknowledge_pulses or tuple(ACKNOWLEDGED.values())
            found += [
                (
                    f"{path} acknowledged",
                    "pulses",
                    f"{count} pulse{'s' if count > 1 else ''}",
                    f"{thing_id(path)}_code == {code}",
                )
                for code, count in enumerate(counts, 1)
            ]
    return found


def _kind(thing: ModelledThing) -> str:
    return thing.one.kind or ("panel" if thing.kind == "panel" else thing.kind)


def states_of(thing: ModelledThing) -> Iterator[tuple[str, str]]:
    """The states of a device or panel that are not rest, each with its condition in the model."""
    d = thing_id(thing.path)
    if thing.kind == "leaf":
        yield MODES[1], f"{d}_mode == 1"
        yield "open", f"{d}_mode == 2 and {d}_pos == {d}_N"
        yield "still, partly open", f"{d}_mode == 2 and {d}_pos > 0 and {d}_pos < {d}_N"
        yield "still, partly closed", f"{d}_mode == 0 and {d}_pos > 0"
        yield MODES[3], f"{d}_mode == 3"
    elif thing.kind == "motor":
        yield "up", f"{d}_m == 1"
        yield "down", f"{d}_m == 2"
        yield "both directions at once", f"{d}_m == 3"
    elif thing.kind == "panel":
        yield "set", f"{d}_st and not {d}_al and not {d}_entering"
        yield "entry time", f"{d}_entering"
        yield "alarm", f"{d}_st and {d}_al"
        yield "exit time", f"{d}_going and not {d}_st"
    elif thing.one.traits.is_lock and thing.one.sheet.fails is not None:
        yield ("locked" if thing.one.sheet.fails == "unlocked" else "released"), thing.active
    else:
        yield "on", thing.active


def _acknowledgers(case: Case, site: Site, path: str) -> list[tuple[float, tuple[OutputAt, ...]]]:
    found = []
    for receiver in dict.fromkeys(at.receiver_path for at in site.outputs):
        part = case.equipment.receivers.get(receiver)
        own = tuple(
            at
            for at in site.outputs
            if at.receiver_path == receiver and f"{output_id(at)}_start" in site.starts
        )
        reads = any(
            one.reads.partition(".")[0] == path.partition("/")[2] and one.reads.endswith(".set")
            for one in (own[0].box.inputs.values() if own else ())
        )
        asking = tuple(
            at for at in own if any(f"{at.premises}/{works.partition('.')[0]}" == path for works in at.works)
        )
        if reads and asking and part is not None and part.sheet.acknowledge_within_s is not None:
            found.append((part.sheet.acknowledge_within_s, asking))
    return found


def _acknowledging(case: Case, site: Site) -> Iterator[StateModel]:
    for path, thing in site.things.items():
        if thing.kind == "panel":
            for window, asking in _acknowledgers(case, site, path)[:1]:
                yield acknowledgement(
                    thing_id(path), signals_of(site, asking), window_ms=round(window * 1000)
                )


def _tracks(
    watched: list[tuple[str, str, str, str]], history: list[tuple[int, int]], tick_s: float, ends_s: float
) -> Iterator[Track]:
    names = dict.fromkeys((name, says) for name, says, _, _ in watched)
    for name, says in names:
        spans: list[Span] = []
        for bit, (other, _, state, _) in enumerate(watched):
            if other == name:
                spans += _spans(history, bit, state, tick_s, ends_s)
        yield Track(name, says, tuple(sorted(spans, key=lambda span: span.from_s)))


def _spans(
    history: list[tuple[int, int]], bit: int, state: str, tick_s: float, ends_s: float
) -> Iterator[Span]:
    since: float | None = None
    for ticks, bits in history:
        on = bits >> bit & 1
        if on and since is None:
            since = round(ticks * tick_s, 6)
        elif not on and since is not None:
            yield Span(since, round(ticks * tick_s, 6), state)
            since = None
    if since is not None:
        yield Span(since, ends_s, state)


def _broken(
    case: Case,
    site: Site,
    moments: tuple[tuple[float, str], ...],
    ends_s: float,
    progress: Callable[[str], None] | None,
) -> Iterator[Broken]:
    from farpress.rehearsal.rules import StoryStep

    steps = tuple(StoryStep(at_s, event, "") for at_s, event in moments if event)
    inside = {at.path for at in site.outputs}
    checks: list[tuple[int | None, str, SearchedCheck]] = []
    for place, rule in enumerate(case.job.rules, 1):
        if not settled_elsewhere(rule) and not rule_fault(case, rule):
            checks += [
                (place, rule.never, check) for check in checks_of(case, rule, outputs_named(case, rule))
            ]
    checks += [(None, check.never, check) for check in checks_always(case)]
    seen = set()
    for number, never, check in checks:
        if (never, check.about) in seen or not {at.path for at in check.seeds} <= inside:
            continue
        seen.add((never, check.about))
        if progress is not None:
            progress(f"{never}: {check.about}")
        if replay(check, site, Story(steps, ends_s, check.forbids, 0.0, replayed=False), strict=False):
            yield Broken(number, never, check.about, check.forbids)
