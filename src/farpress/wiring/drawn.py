"""Rows of the schedule for what the job draws itself: cables core by core, junctions, wires in housings."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from farpress.case.cable_bodies import CableBody, CoreBody
from farpress.case.cables import links_of
from farpress.case.case import Case
from farpress.case.cores import CONTACT_OHM, core_of
from farpress.case.drawn_wires import drawn_diodes
from farpress.case.wire_nets import nets_of, supply_poles
from farpress.core.wiring.conductors import loop_resistance_ohm
from farpress.domain.terminals import Terminal
from farpress.judging.supply.cables_found import HIGHEST_SHARE, LOWEST_SHARE
from farpress.phrases import listed
from farpress.units import write_quantity
from farpress.wiring.rows import OUTSIDE, CoreRow, LoopRow

__all__ = ["drawn_cores", "drawn_readings", "fuse_before", "link_cores"]


def drawn_cores(case: Case, body: CableBody) -> Iterator[CoreRow]:
    """Every core of a drawn cable, once for each thing it feeds; spare cores too. None of short forms."""
    for core in body.cores:
        if core.laid is None:
            continue
        near = core.near[0] if core.near else None
        for number, far in enumerate(core.far or (None,)):
            yield _row(case, body, core, near, far, is_further=number > 0)


def _row(
    case: Case,
    body: CableBody,
    core: CoreBody,
    near: Terminal | None,
    far: Terminal | None,
    *,
    is_further: bool,
) -> CoreRow:
    ohm = _core_ohm(case, body)
    return CoreRow(
        body.premises,
        body.label,
        near.thing if near is not None else body.near,
        near.name if near is not None else "",
        far.thing if far is not None else body.far,
        far.name if far is not None else "",
        core.name,
        True,
        body.part,
        body.length_m,
        ohm,
        None,
        None,
        None,
        _fuse_of(case, body.premises, core),
        _note(case, body.premises, core, is_further=is_further),
    )


def _note(case: Case, premises: str, core: CoreBody, *, is_further: bool) -> str:
    notes = ["the same core, on from there"] if is_further else []
    laid = core.laid
    if not core.is_used:
        notes.append("spare")
    if laid is not None and laid.found_ohm is not None:
        notes.append(f"{write_quantity(laid.found_ohm, 'resistance')} found")
    if laid is not None and laid.broken:
        notes.append("broken")
    if laid is not None and laid.metal is not None:
        notes.append(laid.metal)
    if laid is not None and laid.says:
        notes.append(laid.says)
    junctions = case.job.premises[premises].junctions
    boxes = dict.fromkeys(end.thing for end in (*core.near, *core.far) if end.thing in junctions)
    notes += [f"{box}: {junctions[box].says}" for box in boxes if junctions[box].says]
    return ", ".join([*notes, *core.wrong])


def _core_ohm(case: Case, body: CableBody) -> float | None:
    """Of one core at 20 degC, at most [ohm]."""
    part = body.sheet(case)
    core = core_of(part) if part is not None else None
    return None if core is None or body.length_m is None else core.cold_ohm_per_km * body.length_m / 1000


def _fuse_of(case: Case, premises: str, core: CoreBody) -> float | None:
    """Of the supply or branch whose live side comes to a core by wires alone."""
    nets = nets_of(case, premises)
    there = nets.joined(core.near[0]) if core.near else frozenset()
    poles = supply_poles(case.job.premises[premises])
    pole = next((pole for pole in poles if pole.is_live and pole.terminal in there), None)
    return fuse_before(case, premises, pole.terminal) if pole is not None else None


def fuse_before(case: Case, premises: str, terminal: Terminal) -> float | None:
    """The fuse before a terminal of a supply: that of its branch, else the supply's own [A]."""
    supply = case.job.premises[premises].supplies.get(terminal.thing)
    if supply is None:
        return None
    head, _, _ = terminal.name.rpartition(".")
    if head.startswith("branch "):
        return supply.branches[head.removeprefix("branch ")].fuse_a
    fuse: float | None = case.equipment.supplies[f"{premises}/{terminal.thing}"].sheet.fuse_a
    return fuse


def drawn_readings(case: Case, body: CableBody) -> Iterator[LoopRow]:
    """What a meter shows on a drawn cable, core against core; of a core that was measured what was found."""
    ohm = _core_ohm(case, body)
    cores = [core for core in body.cores if core.laid is not None]
    if ohm is None or body.length_m is None or len(cores) < 2:
        return
    loop = loop_resistance_ohm(
        length_m=body.length_m, core_ohm_per_km=1000 * ohm / body.length_m, terminals_ohm=CONTACT_OHM
    )
    found = [
        f"{first.name} with {second.name}: {write_quantity(first_ohm + second_ohm, 'resistance')} found"
        for first, second in combinations(cores, 2)
        if (first_ohm := _found(first)) is not None and (second_ohm := _found(second)) is not None
    ]
    yield LoopRow(
        body.premises,
        body.label,
        body.near,
        body.far,
        "far end joined",
        f"unplug both ends, join two cores of {listed(core.name for core in cores)} at the far end",
        LOWEST_SHARE * loop,
        loop,
        HIGHEST_SHARE * loop,
        "; ".join([OUTSIDE, *found[:3]]),
    )


def _found(core: CoreBody) -> float | None:
    return core.laid.found_ohm if core.laid is not None else None


def link_cores(case: Case, premises: str) -> Iterator[CoreRow]:
    """The wires and diodes in housings that the job lists, one after the other."""
    for link in links_of(case, premises):
        if not link.path:
            continue
        for near, far in zip(link.terminals, link.terminals[1:], strict=False):
            yield CoreRow(
                premises,
                "",
                near.thing,
                near.name,
                far.thing,
                far.name,
                "link",
                False,
                "",
                None,
                None,
                None,
                None,
                None,
                None,
                "a wire in the housing",
            )
    for name, anode, cathode in drawn_diodes(case, premises):
        yield CoreRow(
            premises,
            "",
            anode.thing,
            anode.name,
            cathode.thing,
            cathode.name,
            f"diode {name}",
            True,
            "",
            None,
            None,
            None,
            None,
            None,
            None,
            "a diode in the housing, its ring towards the second terminal",
        )
