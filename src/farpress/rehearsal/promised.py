"""Every press tried: from rest, and from each state that people and power cuts leave things in.

A rule says what must never be; a press is also there to do something. Every state in which nothing runs and
nobody holds a button is looked for first; in each of them each button is pressed, up to three times, and what
it works is watched. Nothing here judges.
"""

from __future__ import annotations

import contextlib
from collections import deque
from collections.abc import Iterator, Set
from dataclasses import dataclass
from functools import partial
from typing import Final, NamedTuple

from farpress.case.areas import state_paths
from farpress.case.case import Case, OutputAt
from farpress.case.driven import Driven, driven_of
from farpress.core.rehearsal.driven import MODES
from farpress.core.rehearsal.model import StateModel, join
from farpress.core.rehearsal.ready import Network, make_ready
from farpress.core.rehearsal.running import Runner, State
from farpress.core.rehearsal.wording import ModelError
from farpress.rehearsal.building import build_site
from farpress.rehearsal.presses import Presser
from farpress.rehearsal.site import ModelledThing, Site, neighbour_paths, output_id, thing_id
from farpress.rehearsal.things import too_short

__all__ = ["LeftForGood", "NotPlayed", "PressTried", "presses_tried"]

_STANDS: Final = frozenset({(0, 0), (2, 2), (0, 1), (2, 1)})
"""Mode and position of a leaf that stands: closed, open, stopped on its way."""

STATES: Final = 3_000
"""States looked through for those that things are left in; our choice, some hundredths of a second. Where
there are more, those first found are tried."""

PRESSES: Final = 3
"""So often a button is pressed until it has done what it is for; our choice, nobody presses more."""

WAITED_TICKS: Final = 400
"""Ticks waited after a press; our choice, the times that matter here are short and the tick divides them."""


@dataclass(frozen=True)
class PressTried:
    """One button pressed in one state, for one of the outputs that it works.

    Attributes:
        functions: of the button.
        output: path of the output.
        works: what the output works, as "gate.open"; empty where nothing.
        left: the state it was pressed in, in words; empty at rest.
        presses: how many it took; 0 where none of three did anything that was wanted.
        does_opposite: the first press did the contrary.
        after_s: time from the press that did it [s].
        is_promised: somebody was promised one of the functions.
    """

    functions: tuple[str, ...]
    output: str
    works: str
    left: str
    presses: int
    does_opposite: bool
    after_s: float
    is_promised: bool


@dataclass(frozen=True)
class LeftForGood:
    """Something that presses bring into a state out of which nothing in the job brings it again.

    Attributes:
        path: of the device, panel or output.
        outputs: paths of the outputs that work it.
        left: the state, in words.
    """

    path: str
    outputs: tuple[str, ...]
    left: str


@dataclass(frozen=True)
class NotPlayed:
    """Something that moves, and of which a fact is missing without which no press is played.

    Attributes:
        path: of the device.
        outputs: paths of the outputs that work it.
        lacks: what is missing, as a question.
    """

    path: str
    outputs: tuple[str, ...]
    lacks: str


class _Goal(NamedTuple):
    """What a press is for: a condition that must come, or one that must change, and its contrary; where it
    is so already, the press must not bring the contrary.
    """

    wanted: str
    opposite: str = "0"
    changes: bool = False


def presses_tried(case: Case) -> Iterator[PressTried | LeftForGood | NotPlayed]:
    """Every button that works an output, tried in every state that things are left in; and what is left so
    for good.
    """
    groups = dict.fromkeys(neighbour_paths(case, (seed.path,)) for seed in case.outputs())
    for paths in groups:
        yield from case.kept(("presses tried", paths), partial(_tried_at, case, paths))


def _tried_at(case: Case, paths: tuple[str, ...]) -> tuple[PressTried | LeftForGood | NotPlayed, ...]:
    """Every button of some outputs that touch each other."""
    outputs = tuple(output for output in case.outputs() if output.path in paths)
    promised = {promise.function for promise in case.job.promises}
    site = build_site(case, outputs, lengths=False, exact=False, leaves="any time")
    tried: list[PressTried | LeftForGood | NotPlayed] = list(_not_played(case, outputs))
    with contextlib.suppress(ModelError):  # what contradicts itself is told by the search of the rules
        tried.extend(_tried(case, site, promised))
    return tuple(tried)


def _not_played(case: Case, outputs: tuple[OutputAt, ...]) -> Iterator[NotPlayed]:
    """What moves by power and lacks its travel, or of a held output the time after which it lets go."""
    lacking: dict[tuple[str, str], list[str]] = {}
    for output in outputs:
        receiver = case.equipment.receivers.get(output.receiver_path)
        for load in driven_of(case, output):
            if load.device is None or not load.traits.moves or not output.functions:
                continue
            name = load.path.partition("/")[2]
            if load.traits.is_leaf and load.sheet.travel_s is None:
                lacking.setdefault((load.path, f"Time how long {name} travels."), []).append(output.path)
            if output.output.traits.while_held and (receiver is None or receiver.sheet.dropout_s is None):
                asked = f"Time how long {output.receiver_path} stays on after a button is let go."
                lacking.setdefault((load.path, asked), []).append(output.path)
    for (path, asked), paths in lacking.items():
        yield NotPlayed(path, tuple(dict.fromkeys(paths)), asked)


def _tried(case: Case, site: Site, promised: set[str]) -> Iterator[PressTried | LeftForGood]:
    yield from _one_way(case, site)
    yield from _in_vain(case, site, promised)
    goals: dict[str, tuple[Presser, OutputAt, Driven | None, _Goal]] = {}
    for presser in site.pressers:
        for output in site.outputs:
            if output.path not in presser.paths or f"{output_id(output)}_start" not in site.starts:
                continue
            uses = driven_of(case, output) or (None,)
            for load in uses:
                for path in state_paths(case, load) if load is not None else ("",):
                    goal = _goal(case, site.things.get(path), presser, output, load)
                    if goal is not None:
                        goals[f"goal{len(goals)}"] = (presser, output, load, goal)
    if not goals:
        return
    conditions = {name: goal.wanted for name, (_, _, _, goal) in goals.items()}
    conditions |= {f"{name}_not": goal.opposite for name, (_, _, _, goal) in goals.items()}
    homes = list(_homes(site))
    conditions |= {f"home{path}": home for path, _, home in homes}
    model = join([site.model, StateModel(bad=conditions)])
    longest_ms = max((*model.times_ms.values(), 1000))
    loose = make_ready(
        model, slicing=False, closed=True, loose_below_ms=longest_ms + 1, moments_ms=(longest_ms,)
    )
    network = make_ready(model, slicing=False)
    runner = Runner(network)
    bits = {name: 1 << place for place, name in enumerate(network.bad)}
    left_states, follows, bits_of = _left_states(loose)
    for path, outputs, name in ((path, outputs, f"home{path}") for path, outputs, _ in homes):
        home = {state for state, found in bits_of.items() if found & bits[name]}
        lost = next((state for state in left_states if not _reaches(state, follows, home)), None)
        if lost is not None:
            yield LeftForGood(path, outputs, _in_words(site, network, lost))
    for state in left_states:
        left = _in_words(site, network, state)
        for name, (presser, output, load, goal) in goals.items():
            met = _pressed(runner, site, presser, state, goal, bits[name], bits[f"{name}_not"])
            if met is not None:
                yield PressTried(
                    presser.functions,
                    output.path,
                    load.works if load is not None else "",
                    left,
                    met[0],
                    met[1],
                    met[2] * network.tick_ms / 1000,
                    bool(promised & set(presser.functions)),
                )


def _in_vain(case: Case, site: Site, promised: set[str]) -> Iterator[PressTried]:
    """Presses whose pulse is too short for what they work, where nothing else works it: nothing happens."""
    for presser in site.pressers:
        for output in site.outputs:
            for load in driven_of(case, output) if output.path in presser.paths else ():
                if too_short(output, load) and not any(
                    path in site.things for path in state_paths(case, load)
                ):
                    promises = bool(promised & set(presser.functions))
                    yield PressTried(presser.functions, output.path, load.works, "", 0, False, 0.0, promises)


def _left_states(network: Network) -> tuple[list[State], dict[State, list[State]], dict[State, int]]:
    """States in which nothing runs, nobody is under anything and nobody holds a button, rest first; what
    follows each state of all, the power left alone; and the conditions met in each.
    """
    resting = [
        place
        for place, name in enumerate(network.variables)
        if name in network.due or name.endswith(("_h", "_occ", "_sent"))
    ]
    leaves = [
        (network.variables.index(name), network.variables.index(f"{name.removesuffix('_mode')}_pos"))
        for name in network.variables
        if name.endswith("_mode")
    ]
    power = network.variables.index("power")
    every_step = Runner(network).every_step()
    known, ahead, found = {network.starts}, deque([network.starts]), []
    follows: dict[State, list[State]] = {}
    bits_of = {network.starts: -1}
    while ahead:
        state = ahead.popleft()
        if (
            state[power]
            and all(state[place] == 0 for place in resting)
            and all((state[mode], state[way]) in _STANDS for mode, way in leaves)
        ):
            found.append(state)
        after_of = every_step(state)
        follows[state] = [after for event, after, _ in after_of if not event.startswith("power_")]
        for _, after, bits in after_of:
            bits_of[after] = bits
            if after not in known and len(known) < STATES:
                known.add(after)
                ahead.append(after)
    return found, follows, bits_of


def _one_way(case: Case, site: Site) -> Iterator[LeftForGood]:
    """Motors of which only one direction is worked, and that do not come back by themselves."""
    for path, thing in site.things.items():
        if thing.kind != "motor" or thing.load.sheet.closes_after_s:
            continue
        uses = [
            (output.path, load.logic)
            for output in site.outputs
            for load in driven_of(case, output)
            if load.path == path and load.logic in ("up", "down")
        ]
        ways = {str(way) for _, way in uses}
        if len(ways) == 1:
            outputs = tuple(dict.fromkeys(output for output, _ in uses))
            yield LeftForGood(path, outputs, f"{path.partition('/')[2]} {ways.pop()}")


def _homes(site: Site) -> Iterator[tuple[str, tuple[str, ...], str]]:
    """Things that presses change, the outputs that work them, and the condition of being as they were."""
    for path, thing in site.things.items():
        outputs = tuple(output.path for output in site.outputs if thing in site.thing_of(output))
        if thing.kind == "leaf":
            yield path, outputs, f"{thing_id(path)}_pos == 0"
        elif thing.kind == "panel":
            yield path, outputs, f"not {thing_id(path)}_going"


def _reaches(state: State, follows: dict[State, list[State]], wanted: set[State]) -> bool:
    """Whether a state is wanted or such a one follows; what was not looked through may lead anywhere."""
    known, ahead = {state}, [state]
    while ahead:
        now = ahead.pop()
        if now in wanted or now not in follows:
            return True
        for after in follows[now]:
            if after not in known:
                known.add(after)
                ahead.append(after)
    return False


def _pressed(
    runner: Runner, site: Site, presser: Presser, state: State, goal: _Goal, wanted: int, opposite: int
) -> tuple[int, bool, int] | None:
    """Presses needed (0: more than three), whether the first did the contrary, ticks from the last press;
    None where it is so already, and the press leaves it so.
    """
    press = f"{presser.key}_press"
    if press not in runner.events:
        return None
    stood = runner.probe(state, {"so": goal.wanted, "contrary": goal.opposite})
    before = stood["so"]
    if before and not goal.changes:
        return (0, True, 0) if _undoes(runner, press, state, opposite) else None
    if stood["contrary"]:
        opposite = 0  # as it stood before the press
    is_held, turned = presser.key in site.held, False
    for count in range(1, PRESSES + 1):
        taken = runner.step(state, press)
        if taken is None:
            return None
        ticks = 0
        while True:
            state, bits = taken
            if bool(bits & wanted) != bool(before) if goal.changes else bits & wanted:
                return count, turned, ticks
            turned = turned or (count == 1 and bool(bits & opposite))
            later = runner.tick(state)
            if later[0] == state or ticks >= WAITED_TICKS:
                break
            taken, ticks = later, ticks + 1
        if is_held:
            state = (runner.step(state, f"{presser.key}_release") or (state, 0))[0]
            for _ in range(WAITED_TICKS):
                state, past = runner.tick(state)[0], state
                if state == past:
                    break
    return 0, turned, 0


def _undoes(runner: Runner, press: str, state: State, opposite: int) -> bool:
    """Whether one press brings the contrary of what is so already."""
    taken = runner.step(state, press)
    for _ in range(WAITED_TICKS):
        if taken is None or taken[1] & opposite:
            break
        later = runner.tick(taken[0])
        if later[0] == taken[0]:
            return False
        taken = later
    return taken is not None and bool(taken[1] & opposite)


def _goal(
    case: Case, thing: ModelledThing | None, presser: Presser, output: OutputAt, load: Driven | None
) -> _Goal | None:
    """What a press of a button at an output is there for; None where that is not known or always so."""
    o = output_id(output)
    kinds = {case.job.functions[name].kind for name in presser.functions if output.path in _paths(case, name)}
    if thing is None:
        if load is not None:  # what is not in the model is asked about elsewhere
            return None
        on = f"{o}_on"
        if output.path in presser.resets:
            return _Goal(f"not {on}")
        return _Goal(on, changes=output.output.traits.turns_round)
    d = thing_id(thing.path)
    assert load is not None
    if thing.kind == "leaf":
        return _goal_of_leaf(d, str(load.logic), kinds)
    if thing.kind == "motor":
        way, other = (1, 2) if load.logic == "up" else (2, 1)
        return _Goal(f"{d}_m == {way}", f"{d}_m == {other}")
    if thing.kind == "panel":
        if load.reading.sets and load.reading.unsets and output.path not in presser.resets:
            if kinds == {"set"} and load.reading.is_pulse:
                return _Goal(f"{d}_going", f"not {d}_going")
            if kinds == {"unset"} and load.reading.is_pulse:
                return _Goal(f"not {d}_going", f"{d}_going")
            return _Goal(f"{d}_going", changes=True)
        if load.reading.sets and output.path not in presser.resets:
            return _Goal(f"{d}_going")
        return _Goal(f"not {d}_going") if load.reading.unsets else None
    return _goal_of_load(thing, presser, output)


def _goal_of_leaf(d: str, logic: str, kinds: Set[str | None]) -> _Goal | None:
    opens, closes = f"{d}_mode == 1", f"{d}_mode == 3"
    if logic == "stop" or kinds == {"stop"}:
        return None  # nothing moves in a state that is left
    if logic == "close" or kinds == {"close"}:
        return _Goal(f"{closes} or {d}_pos == 0", opens)
    if logic == "start" and kinds <= {"start", "other", None}:
        return _Goal(f"{opens} or {closes}")
    part = f"{d}_pos > 0" if logic == "partial open" else f"{d}_pos == 2"
    return _Goal(f"{opens} or {part}", closes)


def _goal_of_load(thing: ModelledThing, presser: Presser, output: OutputAt) -> _Goal:
    fed = f"({thing.active})"
    rests = output.output.contact == "normally closed"
    if output.path in presser.resets:
        return _Goal(fed if rests else f"not {fed}")
    return _Goal(f"not {fed}" if rests else fed, changes=output.output.traits.turns_round)


def _paths(case: Case, function: str) -> tuple[str, ...]:
    return tuple(case.job.functions[function].paths)


def _in_words(site: Site, network: Network, state: State) -> str:
    """A state that things were left in, as "gate stopped while opening and panel set"; empty at rest."""
    values = dict(zip(network.variables, state, strict=True))
    pieces = []
    for path, thing in site.things.items():
        d, name = thing_id(path), path.partition("/")[2]
        if thing.kind == "leaf" and (values[f"{d}_mode"], values[f"{d}_pos"]) != (0, 0):
            is_open = values[f"{d}_pos"] == 2 and values[f"{d}_mode"] == 2
            after = MODES[1] if values[f"{d}_mode"] == 2 else MODES[3]
            pieces.append(f"{name} {'open' if is_open else f'stopped while {after}'}")
        elif thing.kind == "panel" and values[f"{d}_st"]:
            pieces.append(f"{name} {'in alarm' if values[f'{d}_al'] else 'set'}")
    for output in site.outputs:
        if values.get(f"{output_id(output)}_s"):
            pieces.append(f"{output.path} on")
    return " and ".join(pieces)
