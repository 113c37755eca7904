"""The wiring drawn so that it can be edited: a core's end is led elsewhere, by pointer or by keyboard."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from farpress.case.case import Case
from farpress.case.circuit.electrics import electrics_of
from farpress.case.terminals_there import terminals_at
from farpress.desk.access import DeskRole
from farpress.desk.board_layout import BoxToLay, Strand, laid
from farpress.desk.frame import JobRequest, sheet_of
from farpress.desk.pages.changing import body_of, saved, table_in
from farpress.desk.pages.wiring import LINKS
from farpress.domain.finding import Change
from farpress.domain.premises import Premises
from farpress.errors import InputError
from farpress.judging.device.mains_terminals import why_no_wire
from farpress.units import read_quantity
from farpress.wiring.board import Board, BoardBox, BoardCore, board_of
from farpress.wiring.leading import (
    cable_cut,
    core_freed,
    core_laid,
    core_led,
    core_shared,
    drawn_out,
    terminals_joined,
)
from farpress.wiring.line_ends import LINE_PLACES, line_end, line_ends_at
from farpress.wiring.metering import METER_LEVELS

__all__ = ["ROUTES"]

ON_THE_LEFT: Final = ("a supply", "a receiver", "an alarm panel")
"""Things whose boxes stand on the left; devices and junctions stand on the right."""

WIRES: Final = "\u2013"
"""Wires in housings are laid together, as one cable that no cable can be called."""


def _page(request: Request) -> Response:
    sheet = sheet_of(request)
    assessment, judging = sheet.judged()
    case, premises = sheet.state.case, _premises(sheet.state.case, request.query_params)
    moments = [moment.name for moment in electrics_of(case, premises).moments]
    moment = request.query_params.get("moment") or moments[0]
    level = request.query_params.get("level") or next(iter(METER_LEVELS))
    findings = [finding for finding in assessment.findings if finding.link in LINKS]
    board = board_of(case, premises, moment=moment, level=level, findings=findings)
    only = request.query_params.get("only") or ""
    return sheet.page(
        "board.html",
        here="wiring",
        judging=judging,
        premises=premises,
        every=list(case.job.premises),
        moments=moments,
        moment=moment,
        levels=list(METER_LEVELS),
        level=level,
        only=only if only in {box.thing for box in board.boxes} else "",
        board=board,
        **_placed(board, only),
    )


def _placed(board: Board, only: str) -> dict[str, Any]:
    """The drawing: boxes, cores and wires in their places; with `only`, what hangs on one thing."""
    things = {box.thing: box for box in board.boxes}
    owner = {terminal: box.thing for box in board.boxes for terminal in box.terminals}
    near = set(things)
    if only in things:
        near = {only}
        for ends in [core.ends for core in board.cores] + [wire.ends for wire in board.wires]:
            owners = {owner[end] for end in ends if end in owner}
            near |= owners if only in owners else set()
    boxes = [box for box in board.boxes if box.thing in near]
    shown = {terminal for box in boxes for terminal in box.terminals}
    cores = [core for core in board.cores if len([end for end in core.ends if end in shown]) > 1]
    if only in things:
        cores = [core for core in cores if any(owner.get(end) == only for end in core.ends)]
    wires = [wire for wire in board.wires if len([end for end in wire.ends if end in shown]) > 1]
    drawing = laid(
        [BoxToLay(box.thing, box.terminals, box.what in ON_THE_LEFT) for box in boxes],
        [
            *((core.label, core.ends) for core in cores),
            *((f"{WIRES} {number}", wire.ends) for number, wire in enumerate(wires)),
        ],
    )
    places = {box.thing: box for box in drawing.boxes}
    badges: dict[str, list[str]] = {}
    for part in board.parts:
        for end in part.ends:
            badges.setdefault(end, []).append(part.says)
    return {
        "drawing_of": drawing,
        "boxes": [(box, places[box.thing], _spans(box, places[box.thing])) for box in boxes],
        "cores": list(zip(cores, drawing.strands[: len(cores)], strict=True)),
        "wires": list(zip(wires, drawing.strands[len(cores) :], strict=True)),
        "badges": badges,
        "labels": _labels(cores, drawing.strands[: len(cores)]),
    }


def _spans(box: BoardBox, place: Any) -> list[tuple[float, float, bool]]:
    """Contacts within a box: from which height to which, and whether closed."""
    rows = {row.terminal: row.middle for row in place.rows}
    return [(rows[contact.a], rows[contact.b], contact.is_closed) for contact in box.contacts]


def _labels(cores: list[BoardCore], strands: list[Strand | None]) -> list[tuple[BoardCore, float, float]]:
    """The name of each cable where its first core goes up or down."""
    seen: dict[str, tuple[BoardCore, float, float]] = {}
    for core, strand in zip(cores, strands, strict=True):
        if strand is not None and core.label not in seen:
            seen[core.label] = (core, strand.lane_x, min(end.y for end in strand.ends))
    return list(seen.values())


def _premises(case: Case, query: Mapping[str, Any]) -> str:
    every = list(case.job.premises)
    premises = str(query.get("premises") or every[0])
    if premises not in every:
        raise InputError(f"There are no premises '{premises[:60]}'; there are {', '.join(every)}.")
    return premises


def _terminal_names(case: Case, premises: str, at_mains: frozenset[str]) -> dict[str, list[str]]:
    """Thing → its terminals, for lists to choose from; none at mains, where no wire is led to."""
    things = terminals_at(case, premises).things
    found = {thing.thing: [str(end) for end in thing] for thing in things}
    for body in electrics_of(case, premises).circuit.node_of:
        thing = body.partition(".")[0]
        if thing in found and body not in found[thing] and _is_there(case, premises, body):
            found[thing].append(body)
    free = {thing: [end for end in ends if end not in at_mains] for thing, ends in found.items()}
    return {thing: ends for thing, ends in free.items() if ends}


def _is_there(case: Case, premises: str, terminal: str) -> bool:
    try:
        terminals_at(case, premises).find(terminal)
    except InputError:
        return False
    return True


def _core(request: Request) -> Response:
    """What can be done with one core."""
    sheet = sheet_of(request)
    case, query = sheet.state.case, request.query_params
    premises = _premises(case, query)
    board = _board_now(sheet, premises, query)
    label, name = query.get("label", ""), query.get("core", "")
    core = next((core for core in board.cores if (core.label, core.core) == (label, name)), None)
    if core is None:
        raise InputError(f"There is no core {name[:40]} of {label[:40]} (any more). Load the page again.")
    why_not = ""
    if not core.is_drawn:
        try:
            drawn_out(case, premises, label)
        except InputError as error:
            why_not = str(error)
    return sheet.part(
        "board_core.html",
        core=core,
        premises=premises,
        volts=board.volts,
        terminals=_terminal_names(case, premises, board.at_mains),
        why_not=why_not,
        cable_path=["premises", premises, "cables", label],
        taken=[body.label for body in board.cores],
    )


def _terminal(request: Request) -> Response:
    """What can be done at one terminal."""
    sheet = sheet_of(request)
    case, query = sheet.state.case, request.query_params
    premises, terminal = _premises(case, query), query.get("terminal", "")
    why_not = why_no_wire(case, premises, terminals_at(case, premises).find(terminal))
    board = _board_now(sheet, premises, query)
    box = next(box for box in board.boxes if terminal in box.terminals)
    labels = list(dict.fromkeys(core.label for core in board.cores if core.part))
    return sheet.part(
        "board_terminal.html",
        terminal=terminal,
        box=box,
        premises=premises,
        volts=board.volts.get(terminal),
        why_not=why_not,
        cores=[core for core in board.cores if terminal in core.ends],
        wires=[wire for wire in board.wires if terminal in wire.ends],
        terminals=_terminal_names(case, premises, board.at_mains),
        labels=labels,
        parts=_cable_parts(sheet),
        free=_free_label(case.job.premises[premises], labels),
        ends=[row for row in line_ends_at(case, premises) if row.terminal == terminal],
        places=LINE_PLACES,
        query=query,
    )


def _board_now(sheet: JobRequest, premises: str, query: Mapping[str, str]) -> Board:
    moments = electrics_of(sheet.state.case, premises).moments
    assessment, _ = sheet.judged()
    return board_of(
        sheet.state.case,
        premises,
        moment=query.get("moment") or moments[0].name,
        level=query.get("level") or next(iter(METER_LEVELS)),
        findings=[finding for finding in assessment.findings if finding.link in LINKS],
    )


def _cable_parts(sheet: JobRequest) -> list[str]:
    return sorted(sheet.bench.known["cable"]) + sorted(
        name for name, part in sheet.state.case.job.parts.items() if part.kind == "cable"
    )


def _free_label(house: Premises, labels: list[str]) -> str:
    used = {*labels, *house.cables}
    return next(f"W{number}" for number in range(1, 10_000) if f"W{number}" not in used)


# -- what is done ----------------------------------------------------------------------------------


def _word(given: Mapping[str, Any], key: str) -> str:
    value = given.get(key)
    return " ".join(value.split())[:120] if isinstance(value, str) else ""


def _lead(case: Case, premises: str, given: Mapping[str, Any]) -> tuple[list[Change], str]:
    label, core, end, to = (_word(given, key) for key in ("label", "core", "end", "to"))
    return core_led(
        case, premises, label, core, end=end, to=to
    ), f"core {core} of {label} led from {end} to {to}"


def _share(case: Case, premises: str, given: Mapping[str, Any]) -> tuple[list[Change], str]:
    label, core, to = (_word(given, key) for key in ("label", "core", "to"))
    return core_shared(case, premises, label, core, to=to), f"core {core} of {label} feeds {to} too"


def _free(case: Case, premises: str, given: Mapping[str, Any]) -> tuple[list[Change], str]:
    label, core, end = (_word(given, key) for key in ("label", "core", "end"))
    says = f"core {core} of {label} taken off {end}" if end else f"core {core} of {label} left spare"
    return core_freed(case, premises, label, core, end=end or None), says


def _lay(case: Case, premises: str, given: Mapping[str, Any]) -> tuple[list[Change], str]:
    label, core, a, b, part = (_word(given, key) for key in ("label", "core", "a", "b", "part"))
    new, length = _word(given, "new"), _word(given, "length")
    label = label or new
    if not label:
        raise InputError("Say in which cable the core lies: choose one, or give a new one a label.")
    changes = core_laid(
        case,
        premises,
        a,
        b,
        label=label,
        core=core,
        part=part,
        length_m=read_quantity(length, "length") if length else None,
    )
    return changes, f"core laid in {label} from {a} to {b}"


def _join(case: Case, premises: str, given: Mapping[str, Any]) -> tuple[list[Change], str]:
    a, b = _word(given, "a"), _word(given, "b")
    return terminals_joined(case, premises, a, b), f"wire in the housing between {a} and {b}"


def _cut(case: Case, premises: str, given: Mapping[str, Any]) -> tuple[list[Change], str]:
    label, junction, further = (_word(given, key) for key in ("label", "junction", "further"))
    near_m = read_quantity(_word(given, "near"), "length")
    changes = cable_cut(case, premises, label, junction=junction, near_m=near_m, further=further)
    return changes, f"junction {junction} put into {label}"


def _line_end(case: Case, premises: str, given: Mapping[str, Any]) -> tuple[list[Change], str]:
    terminal, place, ohms = (_word(given, key) for key in ("terminal", "place", "ohms"))
    changes = line_end(
        case, premises, terminal, place=place, ohm=read_quantity(ohms, "resistance") if ohms else None
    )
    return changes, f"resistor of {terminal} at {place}"


ACTS: Final[dict[str, Callable[[Case, str, Mapping[str, Any]], tuple[list[Change], str]]]] = {
    "lead": _lead,
    "share": _share,
    "free": _free,
    "lay": _lay,
    "join": _join,
    "cut": _cut,
    "resistor": _line_end,
}
"""Ends of addresses → what they do to the wiring."""


async def _act(request: Request) -> Response:
    body = await body_of(request)

    def work() -> Response:
        sheet = sheet_of(request, role=DeskRole.INSTALLER)
        act = ACTS.get(request.path_params["act"])
        if act is None:
            raise InputError(f"Wires are changed by {', '.join(ACTS)}.")
        given = table_in(body, "values") or body
        changes, says = act(sheet.state.case, _premises(sheet.state.case, given), given)
        base = sheet.state.fingerprint
        return saved(sheet, changes, says=says, base=base)

    return await run_in_threadpool(work)


ROUTES: Final = [
    Route("/j/{job}/wiring/drawn", _page),
    Route("/j/{job}/wiring/drawn/core", _core),
    Route("/j/{job}/wiring/drawn/terminal", _terminal),
    Route("/j/{job}/wiring/drawn/{act}", _act, methods=["POST"]),
]
