"""Wires led otherwise: the changes of the job for a core that is led elsewhere, shared, laid or taken out.

A cable that the job has as a run of a thing is drawn core by core first. That is only done where the circuit
stays the same to the last contact: it is tried on a copy.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final, Literal

from farpress.case.cable_bodies import CableBody, CoreBody
from farpress.case.cables import cables_of, links_of, path_of_run
from farpress.case.case import Case
from farpress.case.changed import tried_with
from farpress.case.circuit.electrics import electrics_of
from farpress.case.circuit.parts import Circuit, Terminal
from farpress.case.terminals_there import terminals_at
from farpress.domain.finding import Change
from farpress.errors import InputError, JobFileError
from farpress.judging.device.mains_cables import carries_mains
from farpress.judging.device.mains_terminals import refuse_mains
from farpress.phrases import closest
from farpress.units import write_quantity

__all__ = [
    "End",
    "body_called",
    "cable_cut",
    "core_freed",
    "core_laid",
    "core_led",
    "core_shared",
    "drawn_out",
    "terminals_joined",
]

End = Literal["near", "far"]
"""Which end of a core."""

SAME: Final = 1e-9
"""Two lengths or resistances that differ by a smaller share are one: rounding only."""


def body_called(case: Case, premises: str, label: str) -> CableBody:
    """One cable of a premises.

    Raises:
        InputError: there is none of this label.
    """
    bodies = {body.label: body for body in cables_of(case, premises)}
    if label not in bodies:
        raise InputError(f"There is no cable '{label[:60]}' at {premises}{closest(label, bodies)}.")
    return bodies[label]


def core_led(
    case: Case, premises: str, label: str, core: str, *, end: Terminal, to: Terminal
) -> list[Change]:
    """Lead one end of a core to another terminal.

    Args:
        case: the job.
        premises, label, core: which.
        end: the terminal where it ends now.
        to: the one it is to end at.

    Raises:
        InputError: there is no such cable, core or terminal, the terminal stands at mains, or the cable
            cannot be drawn core by core.
    """
    changes, ends = _core(case, premises, label, core)
    _free_to_wire(case, premises, to)
    if end not in ends:
        raise InputError(f"Core {core} of {label} does not end at {end[:60]}; it ends at {_listed(ends)}.")
    if to in ends:
        raise InputError(f"Core {core} of {label} ends at {to} already.")
    return [*changes, _ends(case, premises, label, core, [to if known == end else known for known in ends])]


def core_shared(case: Case, premises: str, label: str, core: str, *, to: Terminal) -> list[Change]:
    """Let a core feed one more terminal at its far end, as a return that two things share.

    The arguments are those of `core_led`.
    """
    changes, ends = _core(case, premises, label, core)
    _free_to_wire(case, premises, to)
    if to in ends:
        raise InputError(f"Core {core} of {label} ends at {to} already.")
    return [*changes, _ends(case, premises, label, core, [*ends, to])]


def core_freed(
    case: Case, premises: str, label: str, core: str, *, end: Terminal | None = None
) -> list[Change]:
    """Take one end of a core off its terminal, or let the core be spare.

    Args:
        case: the job.
        premises, label, core: which.
        end: the terminal it is taken off; None: off all.
    """
    changes, ends = _core(case, premises, label, core)
    if end is not None and end not in ends:
        raise InputError(f"Core {core} of {label} does not end at {end[:60]}; it ends at {_listed(ends)}.")
    left = [known for known in ends if end is not None and known != end]
    # a core with one end feeds nothing: it is spare
    return [*changes, _ends(case, premises, label, core, left if len(left) > 1 else [])]


def core_laid(
    case: Case,
    premises: str,
    a: Terminal,
    b: Terminal,
    *,
    label: str,
    core: str = "",
    part: str = "",
    length_m: float | None = None,
) -> list[Change]:
    """Lay a core between two terminals: a spare one of a cable that is there, or in a new cable.

    Args:
        case: the job.
        premises: where.
        a, b: the near end and the far one.
        label: of the cable; one that is not there yet wants part and length.
        core: its colour or number; empty: the next number that is free.
        part: of the catalogue or the job, for a new cable.
        length_m: of a new cable [m].

    Raises:
        InputError: a terminal is not there or stands at mains, both are one, the cable has no free core, or
            a new one is not described.
    """
    for terminal in (a, b):
        _free_to_wire(case, premises, terminal)
    if a == b:
        raise InputError(f"Both ends are {a}. A core lies between two terminals; choose another for one end.")
    house = ("premises", premises)
    known = {body.label: body for body in cables_of(case, premises)}
    if label not in known:
        if not part or length_m is None:
            raise InputError(
                f"There is no cable '{label[:60]}' yet: say which cable it is and how long its way is."
            )
        entry = {"part": part, "length": write_quantity(length_m, "length"), "cores": {core or "1": [a, b]}}
        there = case.job.premises[premises].cables
        return [
            Change((*house, "cables", label), entry) if there else Change((*house, "cables"), {label: entry})
        ]
    body = known[label]
    sheet = body.sheet(case)
    count = sheet.sheet.cores if sheet is not None else None
    used = [other.name for other in body.conductors]
    if core in used:
        raise InputError(f"Core {core} of {label} is in use. Lead its end elsewhere, or choose another core.")
    if count is not None and len(used) >= count:
        raise InputError(
            f"Every core of {label} is in use: {body.part} has {count}. Lay another cable, or let two things"
            " share a core."
        )
    spare = [other.name for other in body.cores if not other.is_used]
    name = core or next(iter(spare), "") or next(str(n) for n in range(1, 1000) if str(n) not in used)
    path = (*house, "cables", label, "cores")
    changes = list(drawn_out(case, premises, label))
    if not changes and not case.job.premises[premises].cables[label].cores:
        return [Change(path, {name: [a, b]})]
    return [*changes, Change((*path, name), [a, b])]


def terminals_joined(case: Case, premises: str, a: Terminal, b: Terminal) -> list[Change]:
    """A wire inside a housing between two terminals of it; taken out where the job has it already.

    Raises:
        InputError: a terminal is not there or stands at mains, or both are one.
    """
    path = ("premises", premises, "links")
    links = [list(link) for link in case.job.premises[premises].links]
    if [a, b] in links or [b, a] in links:  # what mains was joined to by mistake comes out too
        left = [link for link in links if link not in ([a, b], [b, a])]
        return [Change(path, left or None)]
    for terminal in (a, b):
        _free_to_wire(case, premises, terminal)
    if a == b:
        raise InputError(f"Both ends are {a}. A wire joins two terminals; choose another for one end.")
    return [Change(path, [*links, [a, b]])]


def cable_cut(
    case: Case, premises: str, label: str, *, junction: str, near_m: float, further: str
) -> list[Change]:
    """Put a junction box into a cable: its cores end there, and go on in a second cable of the same part.

    Args:
        case: the job.
        premises, label: which cable.
        junction: name of the new box; its terminals are numbered in the order of the cores.
        near_m: way from the near end to the box [m].
        further: label of the second cable.

    Raises:
        InputError: the names are taken, or the box would not lie on the way.
    """
    body = body_called(case, premises, label)
    house = case.job.premises[premises]
    taken = {*house.supplies, *house.receivers, *house.devices, *house.panels, *house.junctions}
    if junction in taken:
        raise InputError(f"There is a '{junction}' already; give the junction another name.")
    if further in {other.label for other in cables_of(case, premises)}:
        raise InputError(f"There is a cable '{further}' already; give the second one another label.")
    if body.length_m is None or not 0 < near_m < body.length_m:
        raise InputError(
            f"{label} is {body.length_m or 0:g} m long; the junction lies more than 0 m and less than that"
            " from its near end."
        )
    changes = list(drawn_out(case, premises, label))
    first: dict[str, Any] = {}
    second: dict[str, Any] = {}
    for number, core in enumerate(body.conductors, 1):
        near, far = _sides(core)
        first[core.name] = [*near, f"{junction}.{number}"]
        second[core.name] = [f"{junction}.{number}", *far]
    path = ("premises", premises)
    boxes: dict[str, Any] = {}
    return [
        *changes,
        *(
            [Change((*path, "junctions", junction), boxes)]
            if house.junctions
            else [Change((*path, "junctions"), {junction: boxes})]
        ),
        Change((*path, "cables", label, "length"), write_quantity(near_m, "length")),
        *(Change((*path, "cables", label, "cores", name), ends) for name, ends in first.items()),
        Change(
            (*path, "cables", further),
            {"part": body.part, "length": write_quantity(body.length_m - near_m, "length"), "cores": second},
        ),
    ]


def drawn_out(case: Case, premises: str, label: str) -> tuple[Change, ...]:
    """What makes a cable that the job has as runs of things one that is drawn core by core.

    Nothing where it is drawn already.

    Raises:
        InputError: the circuit would not stay the same; it says what stands in the way.
    """
    body = body_called(case, premises, label)
    if carries_mains(case, body):
        raise InputError(
            f"{label} carries mains, which only a licensed person may lead otherwise. Enter what they did"
            " under Job."
        )
    if body.is_drawn and not body.runs:
        return ()
    if not body.part or body.length_m is None:
        raise InputError(
            f"{label} is not described yet: say under Job which cable it is and how long, then its cores can"
            " be led elsewhere."
        )
    removed = [Change(_taken_out(case, path), None) for path in _paths(case, body)]
    laid = [*removed, *_entry(case, premises, body)]
    right = electrics_of(case, premises).circuit
    try:
        bare = tried_with(case, laid)
        links = _implied_gone(case, bare, premises)
        linked = [*laid, *_linked(case, premises, links)]
        drawn = electrics_of(tried_with(case, linked), premises).circuit
        further = _missing_joints(case, premises, right, drawn)
        if further:
            links += further
            linked = [*laid, *_linked(case, premises, links)]
            drawn = electrics_of(tried_with(case, linked), premises).circuit
    except JobFileError as error:
        raise InputError(f"{label} cannot be drawn core by core as it is: {error.faults[0].says}") from error
    differs = _difference(right, drawn)
    if differs:
        raise InputError(
            f"{label} cannot be drawn core by core as it is: {differs}. Draw it under Job, Cables, with the"
            " terminals of each core, and take it out where it stands now."
        )
    return tuple(linked)


def _paths(case: Case, body: CableBody) -> list[tuple[str | int, ...]]:
    return list(dict.fromkeys(path_of_run(case, run) for run in body.runs if run.run is not None))


def _taken_out(case: Case, path: tuple[str | int, ...]) -> tuple[str | int, ...]:
    """What goes when a run is drawn instead: of what is fed the whole of `fed`, else its cable alone."""
    if path[-2] != "fed":
        return path
    house = getattr(case.job.premises[str(path[1])], str(path[2]))
    fed = house[path[3]].fed
    if fed is not None and fed.only:
        raise InputError(
            f"{path[3]} is fed {fed.only} alone, which drawn wires do not say. Draw it from the output of the"
            " panel that does so."
        )
    return path[:-1]


def _entry(case: Case, premises: str, body: CableBody) -> list[Change]:
    """The cable with its cores, as the file has it."""
    cores: dict[str, Any] = {}
    for core in body.cores:
        near, far = _sides(core)
        cores[core.name] = [
            *near[:1],
            *far,
        ]  # what else it has at its near end is joined there in the housing
    path = ("premises", premises, "cables")
    if body.is_drawn:
        return [Change((*path, body.label, "cores", name), ends) for name, ends in cores.items()]
    entry: dict[str, Any] = {
        "part": body.part,
        "from": body.near,
        "to": body.far,
        "length": write_quantity(body.length_m or 0.0, "length"),
        "cores": cores,
    }
    if body.way:
        entry["way"] = body.way
    if body.warmest_degc is not None:
        entry["warmest"] = write_quantity(body.warmest_degc, "temperature")
    if case.job.premises[premises].cables:
        return [Change((*path, body.label), entry)]
    return [Change(path, {body.label: entry})]


def _sides(core: CoreBody) -> tuple[list[Terminal], list[Terminal]]:
    return [str(end) for end in core.near], [str(end) for end in core.far]


def _core(case: Case, premises: str, label: str, core: str) -> tuple[list[Change], list[Terminal]]:
    """Changes that draw its cable where that is to be done first, and where the core ends."""
    body = body_called(case, premises, label)
    known = {other.name: other for other in body.cores}
    if core not in known:
        raise InputError(f"{label} has no core '{core[:60]}'{closest(core, known)}.")
    near, far = _sides(known[core])
    return list(drawn_out(case, premises, label)), [*near, *far]


def _ends(case: Case, premises: str, label: str, core: str, ends: Sequence[Terminal]) -> Change:
    """Of a core with a remark or a reading only its ends change."""
    path = ("premises", premises, "cables", label, "cores", core)
    cable = case.job.premises[premises].cables.get(label)
    written = cable.cores.get(core) if cable is not None else None
    is_long = written is not None and not isinstance(written, tuple)
    return Change((*path, "ends") if is_long else path, list(ends))


def _free_to_wire(case: Case, premises: str, terminal: str) -> None:
    """Refuse a terminal that is not there, or that stands at mains."""
    refuse_mains(case, premises, terminals_at(case, premises).find(terminal))


def _listed(ends: Sequence[Terminal]) -> str:
    return ", ".join(ends) if ends else "nothing"


def _implied_gone(case: Case, bare: Case, premises: str) -> list[list[Terminal]]:
    """Wires inside housings that followed from runs which are not there any more."""
    left = {wire.terminals for wire in links_of(bare, premises)}
    gone = [wire for wire in links_of(case, premises) if not wire.path and wire.terminals not in left]
    return [[str(end) for end in wire.terminals] for wire in gone if len(set(wire.terminals)) > 1]


def _linked(case: Case, premises: str, links: list[list[Terminal]]) -> list[Change]:
    there = [list(link) for link in case.job.premises[premises].links]
    return [Change(("premises", premises, "links"), [*there, *links])] if links else []


def _missing_joints(case: Case, premises: str, right: Circuit, bare: Circuit) -> list[list[Terminal]]:
    """Terminals that are one point in the circuit and are not in the other: wires inside housings."""
    real = {str(terminal) for thing in terminals_at(case, premises).things for terminal in thing}
    links = []
    for terminals in right.joined.values():
        heads: dict[str, Terminal] = {}
        for terminal in terminals:
            if terminal in real:
                heads.setdefault(bare.node_of.get(terminal, terminal), terminal)
        links += [[first, other] for first, *others in [list(heads.values()) or [""]] for other in others]
    return links


def _difference(right: Circuit, drawn: Circuit) -> str:
    """In what two circuits differ; empty where they are one and the same."""
    for says, before, after in (
        ("a contact would lie elsewhere", _contacts(right), _contacts(drawn)),
        ("a load would hang elsewhere", _loads(right), _loads(drawn)),
        ("a core would lie elsewhere", _conductors(right), _conductors(drawn)),
        ("a resistor would sit elsewhere", _resistors(right), _resistors(drawn)),
    ):
        if before != after:
            which = sorted(set(before) ^ set(after), key=repr)
            return f"{says} ({which[0][0]})" if which else says
    return ""


def _node(circuit: Circuit, terminal: Terminal) -> frozenset[Terminal]:
    return frozenset(circuit.joined[circuit.node_of[terminal]])


def _contacts(circuit: Circuit) -> list[tuple[object, ...]]:
    return sorted(((worker.name, repr(worker)) for worker in circuit.workers), key=repr)


def _loads(circuit: Circuit) -> list[tuple[object, ...]]:
    return sorted(
        ((draw.name, draw.a, draw.b, draw.supplies, draw.behind, draw.worked_by) for draw in circuit.draws),
        key=repr,
    )


def _conductors(circuit: Circuit) -> list[tuple[object, ...]]:
    """Each by what hangs together at its ends, whichever is written first, and its resistance."""
    found = []
    for core in circuit.conductors:
        ends = sorted(min(_node(circuit, end)) for end in (core.a, core.b))
        found.append((*ends, round(core.cold_ohm_per_km * core.length_m, 6), round(core.hot_degc, 6)))
    return sorted(found, key=repr)


def _resistors(circuit: Circuit) -> list[tuple[object, ...]]:
    found: list[tuple[object, ...]] = [
        (
            resistor.name,
            resistor.ohm,
            *sorted((min(_node(circuit, resistor.a)), min(_node(circuit, resistor.b)))),
        )
        for resistor in circuit.resistors
    ]
    return sorted(found, key=repr)
