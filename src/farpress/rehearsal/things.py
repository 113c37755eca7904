"""The devices and panels of a model, each with the inputs that outputs close."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Literal

from farpress.case.areas import detectors_of, own_areas, state_paths
from farpress.case.behaviour import PRESENCE, hours_kept, prevents_setting, runs_only_with, waits_for
from farpress.case.case import Case, OutputAt
from farpress.case.driven import Driven, driven_of
from farpress.case.found_on_site import working_safeguards
from farpress.core.rehearsal import driven as parts
from farpress.core.rehearsal import loose_leaves, panels
from farpress.core.rehearsal.contacts import contact, edge
from farpress.core.rehearsal.model import StateModel, Variable
from farpress.domain.parts import DeviceSheet
from farpress.errors import InputError
from farpress.phrases import listed
from farpress.rehearsal.site import (
    ModelledThing,
    Site,
    input_id,
    milliseconds,
    not_closed,
    off_hours,
    receiver_number,
    thing_id,
)

__all__ = ["EDGES", "Leaves", "things_of", "too_short"]

Leaves = Literal["any time", "whole travels", "positions"]
"""How leaves are modelled: the first two do more than a real one, see `core.rehearsal.loose_leaves`."""

EDGES = frozenset({"start", "open only", "partial open", "close", "stop"})
"""What inputs do that only look at the closing of their contact."""


def things_of(
    case: Case,
    outputs: list[OutputAt],
    made: dict[str, str],
    ids: dict[str, str],
    site: Site,
    *,
    lengths: bool,
    resumes: bool | None,
    leaves: Leaves,
) -> Iterator[StateModel]:
    """The parts of the model for all that outputs work; what cannot be modelled is asked about in `site`."""
    uses: dict[str, list[tuple[OutputAt, Driven]]] = {}
    for output in outputs:
        for load in driven_of(case, output):
            paths = state_paths(case, load)
            site.states[f"{output.premises}/{load.works}"] = paths
            for path in paths:
                uses.setdefault(path, []).append((output, load))
            if len(paths) > 1 and not _is_named(case, load):
                site.asks += _which_area(load) if _which_area(load)[0] not in site.asks else []
    believed: set[str] = set()
    leaves_there = {path for path, worked in uses.items() if _is_leaf(worked)}
    for path, worked in uses.items():
        load = worked[0][1]
        inputs: dict[str, tuple[str, Driven]] = {}
        for output, use in worked:
            i = input_id(output.premises, use.works)
            on = f"{ids[output.path]}_on"
            if hours_kept(case, output):
                yield StateModel((Variable(off_hours(output), passing=True),))
                on = f"({on} and {off_hours(output)} == 0)"
            closed = on
            if output.output.contact == "normally closed" and use.panel is None:
                closed = f"not {on}{_current_with(output, use, site)}"
            if site.is_fed(path):  # a contact that is closed as the drive wakes is a command
                closed = f"({closed}) and {site.is_fed(path)}"
            if use.panel is not None:
                site.by.setdefault(i, receiver_number(output))
            inputs[i] = (f"{inputs[i][0]} or {closed}" if i in inputs else closed, use)
        momentary = {
            i
            for i, (closed, use) in inputs.items()
            if all(made[output.path] == "momentary" for output, other in worked if other.works == use.works)
        }
        site.asks += [
            f"{use.works} is said to take a pulse of at least {use.input.min_pulse_s:g} s and of at most"
            f" {use.input.max_pulse_s:g} s, which no pulse is; read both from its description."
            for _, use in inputs.values()
            if use.input is not None
            and use.input.min_pulse_s is not None
            and use.input.max_pulse_s is not None
            and use.input.min_pulse_s > use.input.max_pulse_s
        ]
        if path in waits_for(case, path):
            site.asks.append(
                f"{path.partition('/')[2]} is said to wait until it stands closed itself, so it never opens;"
                " name the other one under 'waits_for'."
            )
        short = [output.path for output, use in worked if too_short(output, use)]
        if short:
            many = len(short) > 1
            site.taken.append(
                f"the pulse{'s' if many else ''} of {listed(short)} {'are' if many else 'is'} too short for"
                f" {'their inputs and do' if many else 'its input and does'} nothing there"
            )
        try:
            for part in _thing(
                case,
                path,
                load,
                {
                    i: pair
                    for i, pair in inputs.items()
                    if not all(too_short(output, use) for output, use in worked if use.works == pair[1].works)
                },
                momentary,
                site,
                resumes,
                leaves,
                believed,
                tuple(other for other in waits_for(case, path) if other in leaves_there),
            ):
                yield site.hung(path, part)
        except InputError as error:
            site.asks.append(f"{path}: {error}")
    for path, thing in [*site.things.items()]:
        if thing.kind in ("load", "motor"):
            site.things[path] = replace(thing, active=_active(case, site, path, ()))


def _active(case: Case, site: Site, path: str, before: tuple[str, ...]) -> str:
    """Condition under which a thing works: its own, and that of one of those it runs only with; one of them
    that no output of the model works may be on at any time.
    """
    thing = site.things[path]
    own = not_closed(path) if thing.kind == "leaf" else thing.active
    others = runs_only_with(case, path)
    if path in before:
        return "0"  # a circle: none of them begins
    if not others or not all(other in site.things for other in others):
        return own
    with_one = " or ".join(f"({_active(case, site, other, (*before, path))})" for other in others)
    return f"({own}) and ({with_one})"


def _current_with(output: OutputAt, load: Driven, site: Site) -> str:
    """What a break contact needs besides to carry current: the supply that it shares with its receiver; and
    the power of the premises, which takes every supply of the job, where no supply fails alone.
    """
    if site.feeds is not None:
        return f" and up_{site.feeds.outputs[output.path]}" if _shares_supply(output) else ""
    device = output.house.devices.get(load.path.partition("/")[2])
    is_named = output.output.load_from is not None or (device is not None and device.fed is not None)
    return " and power" if (is_named and load.logic not in EDGES) or _shares_supply(output) else ""


def _shares_supply(output: OutputAt) -> bool:
    """Whether what an output feeds through its contact loses its current with the receiver."""
    return (
        output.output.load_from is not None
        and output.box.fed is not None
        and output.output.load_from == output.box.fed.from_
    )


def too_short(output: OutputAt, load: Driven) -> bool:
    """Whether a pulse ends before its input has taken it, so that it does nothing there."""
    least = (
        max(load.input.min_pulse_s or 0.0, getattr(load.input, "response_s", None) or 0.0)
        if load.input is not None
        else 0.0
    )
    return (
        output.output.traits.wants_length and output.output.for_s is not None and output.output.for_s < least
    )


def _thing(
    case: Case,
    path: str,
    load: Driven,
    inputs: dict[str, tuple[str, Driven]],
    momentary: set[str],
    site: Site,
    resumes: bool | None,
    leaves: Leaves,
    believed: set[str],
    others: tuple[str, ...],
) -> Iterator[StateModel]:
    d, sheet, name = thing_id(path), load.sheet, path.partition("/")[2]
    if not inputs:
        return  # every pulse is too short for it, which 'taken' says
    contacts = [
        (
            edge(i, closed, lockout_ms=_lockout_ms(use), response_ms=_response_ms(use))
            if i in momentary
            else contact(
                i,
                closed,
                at_rest="not " in closed,
                lockout_ms=_lockout_ms(use),
                response_ms=_response_ms(use),
                opens_at_once=use.panel is not None and use.reading.is_pulse,
            )
        )
        for i, (closed, use) in inputs.items()
        if i not in believed
    ]
    believed |= set(inputs)  # one contact stands in the model once, whatever it works
    rises = tuple(f"{i}_rise" for i in inputs)
    if load.panel is not None:
        reads = {i: use.reads for i, (_, use) in inputs.items() if use.reading.is_pulse or use.reading.sets}
        if not reads:
            return
        panel_sheet = load.panel.sheet
        if panel_sheet.exit_s is None:
            site.asks.append(f"The exit time of {path} is not known; read it from the panel.")
        if panel_sheet.keypad is None:
            site.taken.append(f"a keypad at {name}, because the sheet does not say")
        exit_ms = milliseconds(panel_sheet.exit_s or 0.0)
        yield from contacts
        entry_ms = None if panel_sheet.entry_s is None else milliseconds(panel_sheet.entry_s)
        detectors = detectors_of(case, path)
        if entry_ms is not None and detectors == "no entry route":
            entry_ms = 0
        yield panels.panel(
            d,
            {i: str(kind) for i, kind in reads.items()},
            by=site.by,
            exit_ms=exit_ms,
            keypad=panel_sheet.keypad is not False,
            entry_ms=entry_ms,
            others=detectors != "entry route only" or entry_ms == 0,
            refuses=bool(prevents_setting(case, path)),
            says=name,
        )
        site.things[path] = ModelledThing(
            path,
            "panel",
            f"{d}_st",
            rises,
            load,
            tuple(f"{i}_rp" for i, (_, use) in inputs.items() if _response_ms(use) > 0),
        )
        return
    logics = {i: use.logic for i, (_, use) in inputs.items()}
    directions = {logic for logic in logics.values() if logic in ("up", "down")}
    edges = {i: str(logic) for i, logic in logics.items() if logic in EDGES}
    silent_inputs = [use.works for _, use in inputs.values() if use.logic is None]
    if silent_inputs and (directions or edges):
        site.asks.append(_unread(name, silent_inputs))  # a movement that is left out would prove too much
    elif directions:
        yield from contacts
        up, down = (
            " or ".join(f"{i}_c" for i, logic in logics.items() if logic == way) or "0"
            for way in ("up", "down")
        )
        yield parts.motor(
            d,
            up,
            down,
            own_pause_ms=milliseconds(sheet.reversal_pause_s or 0.0) if sheet.interlocked else None,
        )
        site.things[path] = ModelledThing(path, "motor", f"{d}_m", rises, load)
    elif edges:
        if sheet.travel_s is None:
            site.asks.append(f"How long {name} travels is not known; time one opening with a watch.")
            return
        if "start" in edges.values():
            silent = [
                use.works
                for _, use in inputs.values()
                if use.logic == "start" and (use.input is None or use.input.closes_by_second_press is None)
            ]
            site.taken += [
                f"{works} goes open, stop, close, stop, because the sheet does not say" for works in silent
            ]
        presence = (
            bool(set(working_safeguards(sheet) or ()) & PRESENCE) and sheet.safeguards_tested is not False
        )
        waits = not (
            sheet.closes_after_power_return if sheet.closes_after_power_return is not None else bool(resumes)
        )
        if sheet.closes_after_s and sheet.closes_after_power_return is None:
            site.taken.append(
                f"{name} {'waits for a command' if waits else 'goes on with timed closing'} once the power is"
                " back"
            )
        yield from contacts
        barred = _is_barred(case, path)
        if others or barred:
            yield _held_back(d, edges, others, barred=barred)
        if (
            "partial open" in edges.values()
            and sheet.partial_opening_share is None
            and sheet.partial_travel_s is None
        ):
            site.taken.append(
                f"half of the travel for the partial opening of {name}, because the sheet does not say"
            )
        if leaves == "any time":
            yield loose_leaves.leaf_without_times(
                d,
                edges,
                timed_closing=bool(sheet.closes_after_s),
                presence=presence,
                waits_after_power=waits,
                says=name,
            )
        else:
            keeps = parts.leaf if leaves == "positions" else loose_leaves.leaf_of_whole_travels
            yield keeps(
                d,
                edges,
                opening_ms=milliseconds(sheet.travel_s),
                closing_ms=milliseconds(sheet.travel_back_s or sheet.travel_s),
                presence=presence,
                closes_after_ms=milliseconds(sheet.closes_after_s)
                if sheet.closes_after_s is not None
                else None,
                partial_ms=_partial_ms(sheet) if "partial open" in edges.values() else None,
                waits_after_power=waits,
                says=name,
            )
        site.things[path] = ModelledThing(path, "leaf", f"{d}_mode == 1 or {d}_mode == 3", rises, load)
    elif load.traits.is_load or any(logic in ("on", "release") for logic in logics.values()):
        yield from contacts
        site.things[path] = ModelledThing(path, "load", " or ".join(f"{i}_c" for i in inputs), rises, load)
    elif load.traits.is_leaf or load.kind is None:
        site.asks.append(_unread(name, [use.works for _, use in inputs.values()]))


def _is_named(case: Case, load: Driven) -> bool:
    """Whether every area that an input works says so."""
    pin = load.works.partition(".")[2]
    return any(pin in area.inputs for area in own_areas(case, load.path).values())


def _which_area(load: Driven) -> list[str]:
    return [
        f"Which area {load.works} sets or unsets is not said; ask the alarm company, and write it under the"
        " 'inputs' of its area, or of all that it works."
    ]


def _is_leaf(worked: list[tuple[OutputAt, Driven]]) -> bool:
    """Whether what these outputs work becomes a leaf in the model."""
    return (
        worked[0][1].panel is None
        and worked[0][1].sheet.travel_s is not None
        and all(use.logic in EDGES for _, use in worked)
    )


def _is_barred(case: Case, path: str) -> bool:
    """Whether a leaf does not open while something notices a vehicle behind it, in the lock it leads into."""
    premises, _, name = path.partition("/")
    return any(
        name in lock.enter_by and "loop inside" in (lock.second_kept_out_by or ())
        for lock in case.job.premises[premises].gate_locks.values()
    )


def _held_back(d: str, edges: dict[str, str], waits: tuple[str, ...], *, barred: bool) -> StateModel:
    """Commands that would open a leaf do nothing while another one does not stand closed, or somebody is seen
    in the lock behind it.
    """
    apart = " or ".join((*(not_closed(other) for other in waits), *((f"{d}_barred",) if barred else ())))
    opens = {"start": f"{d}_mode == 0", "open only": f"{d}_mode != 1", "partial open": f"{d}_mode != 1"}
    return StateModel(
        (Variable(f"{d}_barred", passing=True),) if barred else (),
        settling=tuple(
            f"if {i}_rise and {opens[logic]} and ({apart}):\n    {i}_rise = 0"
            for i, logic in edges.items()
            if logic in opens
        ),
    )


def _unread(name: str, works: list[str]) -> str:
    return f"What {name} does when {listed(works)} closes is not known; read the description of its inputs."


def _partial_ms(sheet: DeviceSheet) -> int | None:
    """Time of a partial opening from closed; None: half of the travel; a share to a tenth of a second, so
    that the tick stays long.
    """
    share, travel_s = sheet.partial_opening_share, sheet.travel_s or 0.0
    if share is not None and sheet.partial_travel_s is not None:
        raise InputError(
            f"its partial opening is given as {share:.0%} of the travel and as {sheet.partial_travel_s:g} s;"
            " keep the one that was measured, 'partial_opening' or 'partial_travel'."
        )
    if sheet.partial_travel_s is not None:
        return milliseconds(sheet.partial_travel_s)
    if share is None:
        return None
    return (
        milliseconds(share * travel_s)
        if share in (0.0, 1.0) or travel_s < 1.0
        else min(max(round(share * travel_s * 10.0), 1) * 100, milliseconds(travel_s))
    )


def _response_ms(load: Driven) -> int:
    """Only inputs of panels have a response time of their own."""
    return milliseconds(getattr(load.input, "response_s", None) or 0.0)


def _lockout_ms(load: Driven) -> int:
    return milliseconds(load.input.lockout_s or 0.0) if load.input is not None else 0
