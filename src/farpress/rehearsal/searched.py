"""One thing to search for, and how each kind of rule becomes one."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from farpress.case.access import unsets_and_opens
from farpress.case.behaviour import PRESENCE, PULSE_LONGEST_S, after_power_return, leaves_worked
from farpress.case.case import Case, OutputAt
from farpress.case.driven import Driven, driven_of, promises_of, seconds, switching
from farpress.case.found_on_site import working_safeguards
from farpress.core.rehearsal import watches
from farpress.core.rehearsal.model import StateModel, join
from farpress.phrases import listed
from farpress.rehearsal.panels import BAD, Watch, pressed_text
from farpress.rehearsal.presses import pressers
from farpress.rehearsal.site import Site, input_id, not_closed, output_id, signals_of, thing_id, unseen_event
from farpress.rehearsal.watched import (
    active,
    after_each_supply,
    closed,
    does_something,
    is_on,
    longer_than,
    missing,
    occupied,
    turned,
)

__all__ = [
    "SearchedCheck",
    "both_on",
    "closes_on_somebody",
    "held_too_long",
    "toggles",
    "unset_and_open",
    "works_after_power",
    "works_unseen",
]


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
        softens: why a story found does not mean that the work is wrong; else empty.
        unknown: what a story rests on and is not known, as a sentence; else empty.
        unproved: what a proof rests on and is not known, as a sentence; else empty.
        functions: of the press it is about, where it is about one press.
        just_after: it is broken from just after the last moment of a story on.
        taken: what it takes for granted, as clauses.
        matters: what has to be possible for the rule to mean anything: in words, and as an expression.
        at_hours: it speaks of the time of day, which a story has to tell.
        surroundings: what moves by itself round the things it is about, and what notices it.
    """

    about: str
    forbids: str
    seeds: tuple[OutputAt, ...]
    watch: Watch
    lengths: bool
    code: str
    never: str
    softens: str = ""
    unknown: Callable[[Site], str] = lambda site: ""
    unproved: Callable[[Site], str] = lambda site: ""
    just_after: bool = False
    functions: tuple[str, ...] = ()
    taken: tuple[str, ...] = ()
    matters: Callable[[Site], tuple[tuple[str, str], ...]] = lambda site: ()
    at_hours: bool = False
    surroundings: Callable[[Site], StateModel] = lambda site: StateModel()

    def watched(self, site: Site) -> StateModel | str:
        """The model with what happens round it and the condition; or why nothing can be watched."""
        watch = self.watch(site)
        return watch if isinstance(watch, str) else join([self.surroundings(site), site.model, watch])


def both_on(case: Case, first: OutputAt, second: OutputAt, code: str) -> SearchedCheck:
    """Two outputs that must never be on together; where a pulse of each begins the movement of a leaf, two
    leaves that must never be open together, on their way or standing.
    """
    leaves = leaves_worked(case, first, second)
    names = [path.partition("/")[2] for path in leaves or ()]

    def open_together(site: Site) -> StateModel | str:
        absent = [path for path in leaves or () if path not in site.things]
        if absent:
            return f"{absent[0]} is not in the model"
        return watches.both(BAD, *(not_closed(path) for path in leaves or ()))

    def watch(site: Site) -> StateModel | str:
        shared = [
            thing
            for thing in site.thing_of(first)
            if thing in site.thing_of(second) and thing.kind == "motor"
        ]
        if shared:
            return watches.both(BAD, f"{thing_id(shared[0].path)}_m == 3", "1")
        return (
            missing(site, first) or missing(site, second) or watches.both(BAD, closed(first), closed(second))
        )

    return SearchedCheck(
        f"{first.path} and {second.path}",
        f"{listed(names)} both stand open or move" if leaves else "both are on together",
        (first, second),
        open_together if leaves else watch,
        not leaves,
        code,
        "both on",
        matters=lambda site: (
            tuple((f"{name} opens", not_closed(path)) for name, path in zip(names, leaves, strict=True))
            if leaves
            else tuple((f"{output.path} is on", closed(output)) for output in (first, second))
        ),
    )


def works_after_power(case: Case, output: OutputAt, code: str) -> SearchedCheck:
    """An output that must never work by itself after a power cut."""

    def watch(site: Site) -> StateModel | str:
        if missing(site, output):
            return missing(site, output)
        if site.feeds is not None:
            return after_each_supply(case, site, output)
        return watches.after_power(BAD, active(site, output), site.starts, held=site.held)

    def unknown(site: Site) -> str:
        return (
            f"How {output.path} stands after the power returns is not known; switch the supply off three"
            " times while it is on, and write 'after_power_return'."
            if state == "unknown"
            else ""
        )

    state = after_power_return(case, output)
    return SearchedCheck(
        output.path,
        f"{output.path} works by itself after the power returns",
        (output,),
        watch,
        True,
        code,
        "works after power return",
        unknown=unknown,
        matters=lambda site: ((f"{output.path} works", active(site, output)),),
    )


def toggles(case: Case, output: OutputAt, code: str) -> SearchedCheck:
    """An output whose press must never end what a press began."""
    return SearchedCheck(
        output.path,
        f"a press of {output.path} ends or turns what a press began",
        (output,),
        turned(case, output),
        True,
        code,
        "toggles",
        matters=does_something(output),
    )


def held_too_long(output: OutputAt, load: Driven, code: str) -> Iterator[SearchedCheck]:
    """An input that must never stay closed for longer than it bears; none where it bears that."""
    if load.wants == "pulse" and load.panel is None:
        longest = (load.input.max_pulse_s if load.input is not None else None) or PULSE_LONGEST_S
        yield SearchedCheck(
            f"{output.path}: {load.works}",
            f"{load.works} is closed for longer than {seconds(longest)}",
            (output,),
            longer_than(output, longest),
            True,
            code,
            "held on a start input",
            just_after=True,
            matters=is_on(output),
        )


def closes_on_somebody(path: str, outputs: tuple[OutputAt, ...], code: str) -> SearchedCheck:
    """A leaf that must never close while somebody is under it."""
    name = path.partition("/")[2]

    def unknown(site: Site) -> str:
        sheet = site.things[path].load.sheet
        if sheet.safeguards is None:
            return (
                f"Whether anything notices somebody under {name} is not recorded; look for beams, a loop or"
                " presence detection."
            )
        return (
            f"Whether the safeguards of {name} were tested is not recorded; have them tested."
            if set(working_safeguards(sheet) or ()) & PRESENCE and sheet.safeguards_tested is None
            else ""
        )

    return SearchedCheck(
        path,
        f"{name} closes while somebody is under it",
        outputs,
        occupied(path),
        False,
        code,
        "closes while occupied",
        unknown=unknown,
        unproved=unknown,
        matters=lambda site: ((f"{name} closes", f"{thing_id(path)}_mode == 3"),),
    )


def works_unseen(case: Case, output: OutputAt, load: Driven) -> SearchedCheck:
    """A leaf or motor that must never move by a press from where it is not seen."""
    name = load.path.partition("/")[2]
    blind = [
        promise
        for promise in promises_of(case, output.functions)
        if (where := case.place(promise.from_, output.premises)) is None
        or not {name, load.path} & set(case.job.premises[where[0]].places[where[1]].sees)
    ]

    def watch(site: Site) -> StateModel | str:
        thing = site.things.get(load.path)
        if thing is None or missing(site, output):
            return missing(site, output) or f"{load.path} is not in the model"
        start = f"{output_id(output)}_start"
        if output.output.traits.while_held:
            keys = [
                key
                for key in site.held
                if any(presser.key == key and output.path in presser.paths for presser in site.pressers)
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
        pressed = output.functions[0] if output.functions else output.path
        says = (
            f"{pressed} pressed by {blind[0].to} from {blind[0].from_}, where {name} is not seen"
            if blind
            else f"{pressed} pressed from where {name} is not seen"
        )
        events = [unseen_event(f"{output_id(output)}_press_unseen", (start,), says)]
        if output.output.traits.has_two_buttons:
            switching_off = pressed_text(output, switching(case, output, "off"))
            off = f"{switching_off} pressed from where {name} is not seen"
            events.append(
                unseen_event(f"{output_id(output)}_reset_unseen", (f"{output_id(output)}_reset",), off)
            )
        return join([watches.unseen(BAD, thing.active), StateModel((), tuple(events))])

    return SearchedCheck(
        f"{output.path}: {load.works}",
        f"{name} moves by a press from where it is not seen",
        (output,),
        watch,
        False,
        "RULE-03",
        "works without sight",
        matters=lambda site: ((f"{name} moves", site.things[load.path].active),),
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


def unset_and_open(case: Case, named: set[str], code: str) -> Iterator[SearchedCheck]:
    """Presses that must never both unset an alarm and open."""
    every = tuple(case.outputs())
    for presser in pressers(case, every):
        if unsets_and_opens(case, presser.functions) is None or not named & set(presser.paths):
            continue
        own = tuple(output for output in every if output.path in presser.paths)

        def both_happen(site: Site, own: tuple[OutputAt, ...] = own) -> tuple[tuple[str, str], ...]:
            worked = [thing for output in own for thing in site.thing_of(output)]
            panels = [f"{thing_id(thing.path)}_tounset" for thing in worked if thing.kind == "panel"]
            others = [f"({thing.active})" for thing in worked if thing.kind != "panel"]
            return (("the alarm is unset", " or ".join(panels)), ("anything opens", " or ".join(others)))

        def watch(site: Site, own: tuple[OutputAt, ...] = own) -> StateModel | str:
            things = {thing.path: thing for output in own for thing in site.thing_of(output)}
            unset = [f"{thing_id(path)}_tounset" for path, thing in things.items() if thing.kind == "panel"]
            opens = [
                f"({thing_id(path)}_mode == 1 and {thing_id(path)}_before != 1)"
                for path, thing in things.items()
                if thing.kind == "leaf"
            ]
            # a lock held by a break contact is released as the contact opens
            opens += [
                input_id(output.premises, load.works)
                + ("_fall" if output.output.contact == "normally closed" else "_rise")
                for output in own
                for load in driven_of(case, output)
                if load.path in things and things[load.path].kind == "load"
            ]
            if not unset or not opens:
                return "one of the two is not in the model"
            unsets = f"({' or '.join(unset)}) and power"
            pending = [timer for thing in things.values() for timer in thing.delays]
            if not pending:
                return watches.both(BAD, unsets, " or ".join(opens))
            pressed = signals_of(site, own)
            return watches.one_press_does_both(BAD, pressed, unsets, " or ".join(opens), pending=pending)

        yield SearchedCheck(
            f"{listed(presser.functions)} of {presser.by}",
            "one press has unset the alarm and opened",
            own,
            watch,
            False,
            code,
            "unset and open by one press",
            functions=presser.functions,
            matters=both_happen,
        )
