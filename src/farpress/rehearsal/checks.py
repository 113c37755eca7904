"""From a rule to what is watched: which outputs, which condition, in which model.

A rule about who holds what, about data or about escape is settled by looking, not by a
search; `settled_elsewhere` says so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import combinations

from farpress.case.access import unsets_and_opens
from farpress.case.case import Case, OutputAt
from farpress.case.driven import Driven, alarm, driven_of, moves, promises_of, seconds, switching
from farpress.core.rehearsal import watches
from farpress.core.rehearsal.model import StateModel, join
from farpress.domain.job import Rule
from farpress.judging.device.moves import PRESENCE
from farpress.judging.output.suits import PULSE_LONGEST_S, after_power_return
from farpress.phrases import listed
from farpress.rehearsal.panels import (
    BAD,
    Watch,
    acknowledged,
    alarm_despite_unsetting,
    asks_unsetting,
    out_of_step,
)
from farpress.rehearsal.presses import pressers
from farpress.rehearsal.site import ModelledThing, Site, input_id, output_id, thing_id, unseen_event

__all__ = ["BAD", "SearchedCheck", "Watch", "checks_always", "checks_of", "settled_elsewhere"]

_SEARCHED = frozenset(
    {
        "both on",
        "works after power return",
        "works without sight",
        "on longer than",
        "second press within",
        "state out of step",
        "alarm despite unsetting",
        "toggles",
        "held on a start input",
        "closes while occupied",
        "unset and open by one press",
    }
)


@dataclass(frozen=True)
class SearchedCheck:
    """One thing to search for.

    Attributes:
        about: outputs or devices, as in a finding.
        forbids: what must never be, as a clause: "both are on together".
        seeds: outputs it is about.
        watch: makes the condition.
        lengths: the length of pulses matters.
        code: code of the finding.
        never: kind of rule, as in a job file.
        asks_power: the sheet may be silent about timed closing after the power returns.
        softens: why a story found does not mean that the work is wrong; else empty.
        unknown: what the outcome rests on and is not known, as a sentence; else empty.
        functions: of the press it is about, where it is about one press.
        just_after: it is broken from just after the last moment of a story on.
    """

    about: str
    forbids: str
    seeds: tuple[OutputAt, ...]
    watch: Watch
    lengths: bool
    code: str
    never: str
    asks_power: bool = False
    softens: str = ""
    unknown: Callable[[Site], str] = lambda site: ""
    just_after: bool = False
    functions: tuple[str, ...] = ()


def settled_elsewhere(rule: Rule) -> bool:
    """Whether a rule is about things that no story of presses changes."""
    return rule.never not in _SEARCHED


def checks_of(case: Case, rule: Rule, named: tuple[OutputAt, ...]) -> Iterator[SearchedCheck]:
    """The checks that one rule of the job asks for; `named` are the outputs it names."""
    limit = rule.for_s or 0.0
    if rule.never == "both on":
        for first, second in combinations(named, 2):
            names = [{name for name in rule.of if name in (at.path, *at.functions)} for at in (first, second)]
            if not (names[0] == names[1] and len(names[0]) == 1):
                yield _both(case, first, second, "RULE-01")
    elif rule.never == "works after power return":
        for at in named:
            yield _after_power(case, at, "RULE-02")
    elif rule.never == "works without sight":
        for at in named:
            yield from (_unseen(case, at, one) for one in driven_of(case, at) if moves(one))
    elif rule.never == "on longer than":
        for at in named:
            yield SearchedCheck(
                at.path,
                f"{at.path} is on for longer than {seconds(limit)}",
                (at,),
                _longer(at, limit),
                True,
                "RULE-05",
                rule.never,
                just_after=True,
            )
    elif rule.never == "second press within":
        for at, one in _uses(case, named):
            if moves(one):
                yield SearchedCheck(
                    f"{at.path}: {one.works}",
                    f"a second press within {seconds(limit)} stops or closes {one.works.partition('.')[0]}",
                    (at,),
                    _second(at, one, limit),
                    False,
                    "RULE-06",
                    rule.never,
                )
    elif rule.never == "state out of step":
        for path, outputs in _panels(case, named).items():
            yield SearchedCheck(
                path,
                f"after a heard press {path} does not stand as the holder believes",
                outputs,
                out_of_step(case, path),
                False,
                "RULE-08",
                rule.never,
            )
    elif rule.never == "alarm despite unsetting":
        for path, outputs in _panels(case, named).items():
            asking = tuple(at for at in outputs if asks_unsetting(case, at, path))
            if asking:
                yield SearchedCheck(
                    path,
                    f"the entry time of {path} ends in an alarm although a press to unset was heard in it",
                    asking,
                    alarm_despite_unsetting(case, path),
                    True,
                    "RULE-18",
                    rule.never,
                )
    elif rule.never == "toggles":
        for at in named:
            yield _toggling(case, at, "RULE-09")
    elif rule.never == "held on a start input":
        for at, one in _uses(case, named):
            yield from _held(at, one, "RULE-10")
    elif rule.never == "closes while occupied":
        for path, outputs in _leaves(case, named).items():
            yield _closing(path, outputs, "RULE-13")
    elif rule.never == "unset and open by one press":
        yield from _unset_and_open(case, {at.path for at in named}, "RULE-07")


def checks_always(case: Case) -> Iterator[SearchedCheck]:
    """What must never be whether the job says so or not, as far as a search can tell."""
    every = tuple(case.outputs())
    motors: dict[str, list[tuple[OutputAt, Driven]]] = {}
    for at, one in _uses(case, every):
        if one.logic in ("up", "down"):
            motors.setdefault(one.path, []).append((at, one))
    for path, uses in motors.items():
        outputs = tuple({at.path: at for at, _ in uses}.values())
        if len({one.logic for _, one in uses}) == 2:
            name = path.partition("/")[2]
            about = " and ".join(at.path for at in outputs)
            yield SearchedCheck(
                about,
                f"both directions of {name} are on together",
                outputs,
                _direction(path),
                True,
                "RULE-16",
                "both on",
            )
            pause = uses[0][1].sheet.reversal_pause_s
            if pause is not None:
                yield SearchedCheck(
                    f"{about}: pause",
                    f"{name} turns round in less than {seconds(pause)}",
                    outputs,
                    _pause(path, pause),
                    True,
                    "RULE-16",
                    "reversed too soon",
                    unknown=lambda site: " ".join(site.pauses),
                )
    for at in every:
        traits = [one.traits for one in driven_of(case, at)]
        pressed = {case.job.functions[name].kind for name in at.functions}
        if pressed & {"heat", "water", "sound"} or any(kind.starts_unseen for kind in traits):
            yield _after_power(case, at, "RULE-16")
        if (
            pressed & {"heat", "water", "sound"}
            or any(kind.not_toggled for kind in traits)
            or any(alarm(one) for one in driven_of(case, at))
        ):
            yield _toggling(case, at, "RULE-16")
        for one in driven_of(case, at):
            if one.logic in ("start", "open only", "partial open", "close"):
                yield from _held(at, one, "RULE-16")
            longest = one.sheet.longest_run_s
            if longest is not None and not moves(one):  # what moves has end stops
                yield SearchedCheck(
                    at.path,
                    f"{at.path} is on for longer than {seconds(longest)}",
                    (at,),
                    _longer(at, longest),
                    True,
                    "RULE-16",
                    "on longer than",
                    just_after=True,
                )
    for path, outputs in _leaves(case, every).items():
        if outputs and any(
            one.path == path and (one.sheet.closes_after_s is not None or one.logic in ("start", "close"))
            for _, one in _uses(case, outputs)
        ):
            yield _closing(path, outputs, "RULE-16")
    for path, box in (
        (f"{where}/{name}", box)
        for where, house in case.job.premises.items()
        for name, box in house.receivers.items()
    ):
        part = case.equipment.receivers.get(path)
        window = part.sheet.acknowledge_within_s if part is not None else None
        read = {
            one.reads.partition(".")[0] for one in box.inputs.values() if one.reads.partition(".")[2] == "set"
        }
        for name in sorted(read):
            panel = f"{path.partition('/')[0]}/{name}"
            asking = tuple(
                at
                for at in every
                if at.receiver_path == path
                and any(one.path == panel and one.panel is not None for one in driven_of(case, at))
            )
            if asking and window is not None:
                yield SearchedCheck(
                    f"{path}: acknowledgement",
                    f"a state that a fob asked for is not acknowledged within {seconds(window)}",
                    asking,
                    acknowledged(asking, panel, window, foreign=False),
                    False,
                    "RULE-17",
                    "acknowledgement",
                )
                yield SearchedCheck(
                    f"{path}: acknowledgement of others",
                    "a change at the keypad is acknowledged to whoever pressed a fob last",
                    asking,
                    acknowledged(asking, panel, window, foreign=True),
                    False,
                    "RULE-17",
                    "acknowledgement of others",
                    softens=(
                        "A pulse says that the state changed shortly after a press, not that this press did"
                        " it. Tell the users."
                    ),
                )


def _uses(case: Case, outputs: tuple[OutputAt, ...]) -> Iterator[tuple[OutputAt, Driven]]:
    for at in outputs:
        for one in driven_of(case, at):
            yield at, one


def _panels(case: Case, outputs: tuple[OutputAt, ...]) -> dict[str, tuple[OutputAt, ...]]:
    found: dict[str, tuple[OutputAt, ...]] = {}
    for at, one in _uses(case, outputs):
        if one.panel is not None and one.reads in ("toggling pulse", "set pulse", "unset pulse", "level"):
            found[one.path] = (*found.get(one.path, ()), at)
    return found


def _leaves(case: Case, outputs: tuple[OutputAt, ...]) -> dict[str, tuple[OutputAt, ...]]:
    found: dict[str, tuple[OutputAt, ...]] = {}
    for at, one in _uses(case, outputs):
        if moves(one):
            found[one.path] = (*found.get(one.path, ()), at)
    return found


def _active(site: Site, at: OutputAt) -> str:
    """Whether what an output does goes on: its devices if they are in the model, else its contact."""
    things = [thing for thing in site.thing_of(at) if thing.kind in ("leaf", "motor")]
    return " or ".join(f"({thing.active})" for thing in things) if things else _closed(at)


def _closed(at: OutputAt) -> str:
    panel_only = bool(at.works) and all(name.partition(".")[0] in at.house.panels for name in at.works)
    return (
        f"not {output_id(at)}_on"
        if at.output.contact == "normally closed" and not panel_only
        else f"{output_id(at)}_on"
    )


def _missing(site: Site, at: OutputAt) -> str:
    return "" if f"{output_id(at)}_start" in site.starts else f"{at.path} is not in the model"


def _both(case: Case, first: OutputAt, second: OutputAt, code: str) -> SearchedCheck:
    def watch(site: Site) -> StateModel | str:
        shared = [
            thing
            for thing in site.thing_of(first)
            if thing in site.thing_of(second) and thing.kind == "motor"
        ]
        if shared:
            return watches.both(BAD, f"{thing_id(shared[0].path)}_m == 3", "1")
        return (
            _missing(site, first)
            or _missing(site, second)
            or watches.both(BAD, _closed(first), _closed(second))
        )

    return SearchedCheck(
        f"{first.path} and {second.path}",
        "both are on together",
        (first, second),
        watch,
        True,
        code,
        "both on",
    )


def _after_power(case: Case, at: OutputAt, code: str) -> SearchedCheck:
    def watch(site: Site) -> StateModel | str:
        return _missing(site, at) or watches.after_power(BAD, _active(site, at), site.starts, held=site.held)

    def unknown(site: Site) -> str:
        return (
            f"How {at.path} stands after the power returns is not known; switch the supply off three times"
            " while it is on, and write 'after_power_return'."
            if state == "unknown"
            else ""
        )

    state = after_power_return(case, at)
    return SearchedCheck(
        at.path,
        f"{at.path} works by itself after the power returns",
        (at,),
        watch,
        True,
        code,
        "works after power return",
        asks_power=True,
        unknown=unknown,
    )


def _toggling(case: Case, at: OutputAt, code: str) -> SearchedCheck:
    return SearchedCheck(
        at.path,
        f"a press of {at.path} ends or turns what a press began",
        (at,),
        _turned(case, at),
        True,
        code,
        "toggles",
    )


def _held(at: OutputAt, one: Driven, code: str) -> Iterator[SearchedCheck]:
    if one.wants == "pulse" and one.panel is None:
        longest = (one.input.max_pulse_s if one.input is not None else None) or PULSE_LONGEST_S
        yield SearchedCheck(
            f"{at.path}: {one.works}",
            f"{one.works} is closed for longer than {seconds(longest)}",
            (at,),
            _longer(at, longest),
            True,
            code,
            "held on a start input",
            just_after=True,
        )


def _closing(path: str, outputs: tuple[OutputAt, ...], code: str) -> SearchedCheck:
    name = path.partition("/")[2]

    def unknown(site: Site) -> str:
        sheet = site.things[path].one.sheet
        if sheet.safeguards is None:
            return (
                f"Whether anything notices somebody under {name} is not recorded; look for beams, a loop or"
                " presence detection."
            )
        return (
            f"Whether the safeguards of {name} were tested is not recorded; have them tested."
            if set(sheet.safeguards) & PRESENCE and sheet.safeguards_tested is None
            else ""
        )

    return SearchedCheck(
        path,
        f"{name} closes while somebody is under it",
        outputs,
        _occupied(path),
        False,
        code,
        "closes while occupied",
        unknown=unknown,
    )


def _unseen(case: Case, at: OutputAt, one: Driven) -> SearchedCheck:
    name = one.path.partition("/")[2]
    blind = [
        promise
        for promise in promises_of(case, at.functions)
        if (where := case.place(promise.from_, at.premises)) is None
        or not {name, one.path} & set(case.job.premises[where[0]].places[where[1]].sees)
    ]

    def watch(site: Site) -> StateModel | str:
        thing = site.things.get(one.path)
        if thing is None or _missing(site, at):
            return _missing(site, at) or f"{one.path} is not in the model"
        start = f"{output_id(at)}_start"
        if at.output.traits.while_held:
            keys = [
                key
                for key in site.held
                if any(presser.key == key and at.path in presser.paths for presser in site.pressers)
            ]
            begins = " or ".join(f"{key}_h" for key in keys)
            return join(
                [
                    watches.unseen(BAD, f"({thing.active}) and ({begins})"),
                    StateModel(
                        (),
                        tuple(
                            unseen_event(
                                f"{key}_press_unseen",
                                (f"{key}_h",),
                                f"{_first(site, key)} pressed and held from where {name} is not seen",
                            )
                            for key in keys
                        ),
                    ),
                ]
            )
        where = f" from {blind[0].from_}" if blind else ""
        says = (
            f"{at.functions[0] if at.functions else at.path} pressed by"
            f" {blind[0].to if blind else 'somebody'}{where}, where {name} is not seen"
            if blind
            else f"{at.functions[0] if at.functions else at.path} pressed from where {name} is not seen"
        )
        events = [unseen_event(f"{output_id(at)}_press_unseen", (start,), says)]
        if at.output.traits.has_two_buttons:
            off = f"{_pressed(at, switching(case, at, 'off'))} pressed from where {name} is not seen"
            events.append(unseen_event(f"{output_id(at)}_reset_unseen", (f"{output_id(at)}_reset",), off))
        return join([watches.unseen(BAD, thing.active), StateModel((), tuple(events))])

    return SearchedCheck(
        f"{at.path}: {one.works}",
        f"{name} moves by a press from where it is not seen",
        (at,),
        watch,
        False,
        "RULE-03",
        "works without sight",
        softens=(
            ""
            if blind
            else (
                "All places it is promised from see it, or none is promised, but nothing stops a press from"
                " elsewhere: the radio reaches further than anybody sees."
            )
        ),
    )


def _first(site: Site, key: str) -> str:
    return next(presser.functions[0] for presser in site.pressers if presser.key == key)


def _longer(at: OutputAt, limit_s: float) -> Watch:
    def watch(site: Site) -> StateModel | str:
        return _missing(site, at) or watches.longer_than(BAD, _closed(at), limit_ms=round(limit_s * 1000))

    return watch


def _second(at: OutputAt, one: Driven, limit_s: float) -> Watch:
    def watch(site: Site) -> StateModel | str:
        thing = site.things.get(one.path)
        if thing is None or thing.kind != "leaf":
            return f"{one.path} has no movement that a press begins"
        return watches.second_press(
            BAD,
            thing_id(one.path),
            [name for name in thing.rises if name == f"{input_id(at.premises, one.works)}_rise"],
            within_ms=round(limit_s * 1000),
        )

    return watch


def _turned(case: Case, at: OutputAt) -> Watch:
    def watch(site: Site) -> StateModel | str:
        own = f"{output_id(at)}_start"
        leaves: list[ModelledThing] = [thing for thing in site.thing_of(at) if thing.kind == "leaf"]
        panel = [thing for thing in site.thing_of(at) if thing.kind == "panel"]
        if _missing(site, at):
            return _missing(site, at)
        if leaves:
            rises = [name for thing in leaves for name in thing.rises]
            return watches.turned_back(
                BAD, f"{thing_id(leaves[0].path)}_mode == 1 or {thing_id(leaves[0].path)}_mode == 2", rises
            )
        if panel:
            unsets = any(one.reads == "unset pulse" for one in driven_of(case, at))
            return watches.turned_back(
                BAD, f"{'not ' if unsets else ''}{thing_id(panel[0].path)}_going", [own]
            )
        return watches.turned_back(BAD, _closed(at), [own])

    return watch


def _unset_and_open(case: Case, named: set[str], code: str) -> Iterator[SearchedCheck]:
    every = tuple(case.outputs())
    for presser in pressers(case, every):
        if unsets_and_opens(case, presser.functions) is None or not named & set(presser.paths):
            continue
        own = tuple(at for at in every if at.path in presser.paths)

        def watch(site: Site, own: tuple[OutputAt, ...] = own) -> StateModel | str:
            things = {thing.path: thing for at in own for thing in site.thing_of(at)}
            unset = [f"{thing_id(path)}_tounset" for path, thing in things.items() if thing.kind == "panel"]
            opens = [
                f"({thing_id(path)}_mode == 1 and {thing_id(path)}_before != 1)"
                for path, thing in things.items()
                if thing.kind == "leaf"
            ]
            # a lock held by a break contact is released as the contact opens
            opens += [
                f"{input_id(at.premises, one.works)}_{'fall' if at.output.contact == 'normally closed' else 'rise'}"  # noqa: E501
                for at in own
                for one in driven_of(case, at)
                if one.path in things and things[one.path].kind == "load"
            ]
            return (
                watches.both(BAD, f"({' or '.join(unset)}) and power", " or ".join(opens))
                if unset and opens
                else "one of the two is not in the model"
            )

        yield SearchedCheck(
            f"{listed(presser.functions)} of {presser.by}",
            "one press has unset the alarm and opened",
            own,
            watch,
            False,
            code,
            "unset and open by one press",
            functions=presser.functions,
        )


def _occupied(path: str) -> Watch:
    def watch(site: Site) -> StateModel | str:
        thing = site.things.get(path)
        return (
            watches.on_somebody(BAD, thing_id(path))
            if thing is not None and thing.kind == "leaf"
            else f"{path} has no movement that a press begins"
        )

    return watch


def _direction(path: str) -> Watch:
    def watch(site: Site) -> StateModel | str:
        return (
            watches.both(BAD, f"{thing_id(path)}_m == 3", "1")
            if path in site.things
            else f"{path} is not in the model"
        )

    return watch


def _pause(path: str, pause_s: float) -> Watch:
    def watch(site: Site) -> StateModel | str:
        return (
            watches.reversed_too_soon(BAD, f"{thing_id(path)}_m", pause_ms=round(pause_s * 1000))
            if path in site.things
            else f"{path} is not in the model"
        )

    return watch


def _pressed(at: OutputAt, functions: tuple[str, ...]) -> str:
    return " or ".join(functions) or at.path
