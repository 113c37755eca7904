"""What the job draws itself as pieces of a circuit: cores, links, taps of branches, contacts."""

from __future__ import annotations

from collections.abc import Sequence

from farpress.case.case import OutputAt
from farpress.case.circuit.parts import OneWay
from farpress.case.circuit.workshop import Workshop, contact_of, rest_contact_of
from farpress.case.drawn_wires import drawn_cores, drawn_diodes, drawn_ends, drawn_links, run_of
from farpress.domain.terminals import Terminal

__all__ = ["add_drawn"]


def add_drawn(shop: Workshop, outputs: Sequence[OutputAt]) -> None:
    """Every core as a conductor from its near end to its far one, everything else that is drawn as joints."""
    case, premises = shop.case, shop.premises
    for core in drawn_cores(case, premises):
        ends = [shop.moved.get(node, node) for node in (_node(shop, end) for end in core.ends)]
        if len(ends) < 2 or core.laid.broken:
            continue
        shop.conduct(
            f"{core.label} {core.name}",
            ends[0],
            ends[1],
            run_of(core.cable, core.label),
            ("premises", premises, "cables", core.label),
            core.cable.length_m,
            core.name,
            found_ohm=core.laid.found_ohm,
            metal=core.laid.metal,
        )
        for further in ends[2:]:
            shop.join(ends[1], further)
    for link in drawn_links(case, premises):
        for end in link[1:]:
            shop.join(_node(shop, link[0]), _node(shop, end))
    for name, anode, cathode in drawn_diodes(case, premises):
        left_v = case.job.premises[premises].diodes[name].left_v
        shop.diodes.append(OneWay(f"diode {name}", _node(shop, anode), _node(shop, cathode), left_v))
    there = drawn_ends(case, premises)
    for output in outputs:
        place = f"{output.number}."
        if any(end.thing == output.receiver and end.name.startswith(place) for end in there):
            contact_of(shop, output, of_relay=False)
            sides = {Terminal(output.receiver, f"{place}{side}") for side in ("make", "break")}
            if sides <= there and output.output.contact == "normally open":
                rest_contact_of(shop, output)
    for end in there:
        if end.thing in case.job.premises[premises].supplies and end.name.startswith("branch "):
            shop.tap(end.thing, end.name.rpartition(".")[0].removeprefix("branch "))


def _node(shop: Workshop, end: Terminal) -> str:
    """The node of a terminal: what takes either current has its poles by the name of the supply's."""
    house = shop.case.job.premises[shop.premises]
    for kind, room in (("receiver", house.receivers), ("device", house.devices), ("panel", house.panels)):
        if end.thing in room:
            thing = shop.thing(end.thing, kind)
            other = {"+": "~1", "0": "~2"}.get(end.name)
            if other is not None and _current(shop, end.thing) in ("dc or ac", None):
                shop.join(f"{thing}.{end.name}", f"{thing}.{other}")
            return f"{thing}.{end.name}"
    return str(end)


def _current(shop: Workshop, thing: str) -> str | None:
    path = f"{shop.premises}/{thing}"
    part = shop.case.equipment.receivers.get(path) or shop.case.equipment.devices.get(path)
    return part.sheet.supply if part is not None else "dc"
