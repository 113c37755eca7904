"""The block diagram of one premises: supplies, receivers, and what they work, with a line for every cable.

Takes plain values and gives SVG text. Solid lines are commands and supplies, dashed ones
come back to a receiver.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from farpress.papers.drawings import symbols
from farpress.papers.drawings.svg import DrawingSheet, stacked, text_width, wrapped

__all__ = ["Block", "BlockPlan", "BlockReceiver", "Wire", "block_drawing", "block_drawings"]

_SUPPLY_X, _SUPPLY_W = 12.0, 150.0
_RECEIVER_W: Final = (220.0, 330.0)  # narrowest and widest: as its words need
_THING_W: Final = (230.0, 340.0)
_SMALL: Final = 11.6  # 7 points on the smaller of the sheets set across
_ROW: Final = 22.0
_GAP: Final = 26.0
_CHANNEL: Final = 12.0


@dataclass(frozen=True)
class Block:
    """A supply, device or panel: its name and one line about it."""

    name: str
    says: str


@dataclass(frozen=True)
class BlockReceiver:
    """A receiver: its outputs and inputs in words, and the supply that feeds it."""

    name: str
    says: str
    fed_from: str | None
    ports: tuple[str, ...]


@dataclass(frozen=True)
class Wire:
    """A cable between a port of a receiver and a thing; `comes_back` for a status line.

    Attributes:
        receiver, port: where it starts; the port's text.
        thing: where it ends.
        label: what it reaches there, as "open".
        comes_back: it runs from the thing to the receiver.
    """

    receiver: str
    port: str
    thing: str
    label: str
    comes_back: bool = False


@dataclass(frozen=True)
class BlockPlan:
    """One premises."""

    name: str
    supplies: tuple[Block, ...]
    receivers: tuple[BlockReceiver, ...]
    things: tuple[Block, ...]
    wires: tuple[Wire, ...]


def block_drawings(plan: BlockPlan, *, highest: float = 590.0, most_wires: int = 13) -> tuple[str, ...]:
    """The diagram in as many drawings as it takes for their words to stay readable on a sheet set across.

    Args:
        plan: the premises.
        highest: of one drawing, in its own units; a receiver that needs more stands alone.
        most_wires: of one drawing, so that it does not grow too wide.
    """
    parts: list[list[BlockReceiver]] = []
    for receiver in plan.receivers:
        wider = [*parts[-1], receiver] if parts else []
        part = _part(plan, wider) if wider else None
        if part is not None and _height(part) <= highest and len(part.wires) <= most_wires:
            parts[-1] = wider
        else:
            parts.append([receiver])
    if len(parts) < 2:
        return (block_drawing(plan),)
    return tuple(
        block_drawing(replace(_part(plan, part), name=f"{plan.name}, {number} of {len(parts)}"))
        for number, part in enumerate(parts, 1)
    )


def _part(plan: BlockPlan, receivers: list[BlockReceiver]) -> BlockPlan:
    """Some receivers with the supplies and things that they reach."""
    names = {receiver.name for receiver in receivers}
    wires = tuple(wire for wire in plan.wires if wire.receiver in names)
    things, fed = {wire.thing for wire in wires}, {receiver.fed_from for receiver in receivers}
    return BlockPlan(
        plan.name,
        tuple(supply for supply in plan.supplies if supply.name in fed),
        tuple(receivers),
        tuple(block for block in plan.things if block.name in things),
        wires,
    )


def _height(plan: BlockPlan) -> float:
    receiver_w, _, thing_w = _widths(plan)
    needs = (
        _receiver_needs(plan, receiver_w),
        _needs(plan, thing_w),
        [("", _supply_height(supply)) for supply in plan.supplies],
    )
    return max(_stacked(need, 64)[1] for need in needs) + 40


def _widths(plan: BlockPlan) -> tuple[float, float, float]:
    """Of the receivers, of the labels of the wires, of the things: as wide as their longest words, within
    bounds.
    """
    receivers = max(
        (
            max(
                text_width(receiver.says, _SMALL) + 64,
                *(text_width(port, _SMALL) + 26 for port in (*receiver.ports, "")),
            )
            for receiver in plan.receivers
        ),
        default=0.0,
    )
    labels = max((min(text_width(wire.label, _SMALL), 100.0) for wire in plan.wires), default=0.0) + 34
    things = max(
        (
            max(text_width(block.says, _SMALL), text_width(block.name, 13.5) * 1.06) + labels + 14
            for block in plan.things
        ),
        default=0.0,
    )
    return (
        min(max(receivers, _RECEIVER_W[0]), _RECEIVER_W[1]),
        labels,
        min(max(things, _THING_W[0]), _THING_W[1]),
    )


def _port_lines(port: str, width: float) -> int:
    return len(wrapped(port, _SMALL, width - 24))


def _head(receiver: BlockReceiver, width: float) -> float:
    return 33 + 13 * len(wrapped(receiver.says, _SMALL, width - 64))


def _receiver_needs(plan: BlockPlan, width: float) -> list[tuple[str, float]]:
    return [
        (
            receiver.name,
            _head(receiver, width)
            + _ROW * max(len(receiver.ports), 1)
            + 13 * sum(_port_lines(port, width) - 1 for port in receiver.ports),
        )
        for receiver in plan.receivers
    ]


def _needs(plan: BlockPlan, width: float) -> list[tuple[str, float]]:
    _, labels, _ = _widths(plan)
    return [
        (
            receiver.name,
            max(
                40 + _ROW * max(sum(wire.thing == receiver.name for wire in plan.wires), 1),
                20
                + 15 * len(wrapped(receiver.name, 13.5, width - labels - 12))
                + 13 * len(wrapped(receiver.says, _SMALL, width - labels - 12)),
            ),
        )
        for receiver in _in_order(plan)
    ]


def _supply_height(supply: Block) -> float:
    return (
        21
        + 15 * len(wrapped(supply.name, 13, _SUPPLY_W - 24))
        + 13 * len(wrapped(supply.says, _SMALL, _SUPPLY_W - 24, 3))
    )


def block_drawing(*plans: BlockPlan) -> str:
    """The diagram of one premises, or of several one below the other, as a whole SVG document.

    Args:
        plans: one for each premises; any number of boxes.
    """
    sheets = [_sheet(plan) for plan in plans]
    return sheets[0].svg() if len(sheets) == 1 else stacked(sheets)


def _sheet(plan: BlockPlan) -> DrawingSheet:
    receiver_x = _SUPPLY_X + _SUPPLY_W + 44 + 16 * len(plan.supplies)
    receiver_w, label_w, thing_w = _widths(plan)
    thing_x = receiver_x + receiver_w + 54 + _CHANNEL * max(len(plan.wires), 3)
    receivers_y, _ = _stacked(_receiver_needs(plan, receiver_w), 64)
    things_y, _ = _stacked(_needs(plan, thing_w), 64)
    sheet = DrawingSheet(
        thing_x + thing_w + 20,
        _height(plan),
        title=f"Block diagram of {plan.name}",
        describes=_in_words(plan),
    )
    sheet.words(_SUPPLY_X, 34, plan.name, size=18, bold=True)
    for x, text in ((_SUPPLY_X, "supplies"), (receiver_x, "receivers"), (thing_x, "what they work")):
        sheet.words(x, 54, text, size=_SMALL, slanted=True)
    ports = _receivers(sheet, plan, (receiver_x, receiver_w), receivers_y)
    _supplies(sheet, plan, receiver_x, receivers_y)
    ends = _things(sheet, plan, (thing_x, thing_w, label_w), things_y)
    _wires(sheet, plan, receiver_x + receiver_w, thing_x, ports, ends)
    sheet.words(
        _SUPPLY_X,
        sheet.height - 14,
        "Solid: commands and supplies. Dashed: what comes back to a receiver. Every cable stands core by core"
        " in the schedule.",
        size=_SMALL,
        slanted=True,
    )
    return sheet


def _stacked(boxes: list[tuple[str, float]], top: float) -> tuple[dict[str, float], float]:
    places, y = {}, top
    for name, height in boxes:
        places[name] = y
        y += height + _GAP
    return places, y


def _in_order(plan: BlockPlan) -> list[Block]:
    """Things in the order in which the receivers' ports reach them, so that lines cross little."""
    order = {
        (receiver.name, port): number
        for number, (receiver, port) in enumerate(
            (receiver, port) for receiver in plan.receivers for port in receiver.ports
        )
    }
    first = {
        thing.name: min(
            (
                order.get((wire.receiver, wire.port), 10_000)
                for wire in plan.wires
                if wire.thing == thing.name
            ),
            default=10_001,
        )
        for thing in plan.things
    }
    return sorted(plan.things, key=lambda thing: first[thing.name])


def _receivers(
    sheet: DrawingSheet, plan: BlockPlan, across: tuple[float, float], tops: dict[str, float]
) -> dict[tuple[str, str], float]:
    ports: dict[tuple[str, str], float] = {}
    x, width = across
    heights = dict(_receiver_needs(plan, width))
    for receiver in plan.receivers:
        y = tops[receiver.name]
        sheet.box(x, y, width, heights[receiver.name], weight=2.2, round_by=5)
        sheet.words(x + 12, y + 21, receiver.name, size=15, bold=True, room=width - 64)
        sheet.lines(x + 12, y + 36, receiver.says, size=_SMALL, room=width - 64)
        symbols.aerial(sheet, x + width - 20, y + 30)
        place = y + _head(receiver, width) + 6
        for port in receiver.ports:
            ports[receiver.name, port] = place
            sheet.lines(x + width - 12, place + 4, port, size=_SMALL, anchor="end", room=width - 24)
            place += _ROW + 13 * (_port_lines(port, width) - 1)
    return ports


def _supplies(sheet: DrawingSheet, plan: BlockPlan, receiver_x: float, receivers_y: dict[str, float]) -> None:
    y = 64.0
    for number, supply in enumerate(plan.supplies):
        fed = [
            receivers_y[receiver.name] + 24 for receiver in plan.receivers if receiver.fed_from == supply.name
        ]
        sheet.box(_SUPPLY_X, y, _SUPPLY_W, _supply_height(supply), weight=1.6)
        named = sheet.lines(_SUPPLY_X + 12, y + 20, supply.name, size=13, bold=True, room=_SUPPLY_W - 24)
        sheet.lines(
            _SUPPLY_X + 12, y + 21 + 15 * named, supply.says, size=_SMALL, room=_SUPPLY_W - 24, most=3
        )
        trunk, start = _SUPPLY_X + _SUPPLY_W + 30 + 16 * number, y + 24
        if fed:
            sheet.line((_SUPPLY_X + _SUPPLY_W, start), (trunk, start))
            sheet.line((trunk, min(start, *fed)), (trunk, max(start, *fed)))
            for place in fed:
                sheet.line((trunk, place), (receiver_x, place))
                if len(fed) > 1 and place != max(start, *fed) and place != min(start, *fed):
                    symbols.node(sheet, trunk, place)
        y += _supply_height(supply) + _GAP


def _things(
    sheet: DrawingSheet, plan: BlockPlan, across: tuple[float, float, float], tops: dict[str, float]
) -> dict[int, float]:
    """Boxes of what is worked; place of each wire's end, by its number in the plan."""
    ends: dict[int, float] = {}
    order = {
        (receiver.name, port): number
        for number, (receiver, port) in enumerate(
            (receiver, port) for receiver in plan.receivers for port in receiver.ports
        )
    }
    x, width, labels = across
    heights = dict(_needs(plan, width))
    for thing in _in_order(plan):
        mine = sorted(
            (number for number, wire in enumerate(plan.wires) if wire.thing == thing.name),
            key=lambda number: order.get((plan.wires[number].receiver, plan.wires[number].port), 0),
        )
        y = tops[thing.name]
        sheet.box(x, y, width, heights[thing.name], weight=1.6)
        named = sheet.lines(x + labels, y + 20, thing.name, size=13.5, bold=True, room=width - labels - 12)
        sheet.lines(x + labels, y + 21 + 15 * named, thing.says, size=_SMALL, room=width - labels - 12)
        for place, number in enumerate(mine):
            ends[number] = y + 32 + _ROW * place
            sheet.words(x + 12, ends[number] + 4, plan.wires[number].label, size=_SMALL, room=labels - 18)
    return ends


def _wires(
    sheet: DrawingSheet,
    plan: BlockPlan,
    left: float,
    right: float,
    ports: dict[tuple[str, str], float],
    ends: dict[int, float],
) -> None:
    """Each wire has an upright stretch of its own; those that go down take the later ones first, so they do
    not cross.
    """
    spans = [
        (number, ports[wire.receiver, wire.port], ends[number])
        for number, wire in enumerate(plan.wires)
        if (wire.receiver, wire.port) in ports and number in ends
    ]
    down = sorted((span for span in spans if span[2] >= span[1]), key=lambda span: -span[1])
    up = sorted((span for span in spans if span[2] < span[1]), key=lambda span: span[1])
    for place, (number, start, end) in enumerate([*up, *down]):
        wire = plan.wires[number]
        x = left + 40 + _CHANNEL * place
        sheet.line((left, start), (x, start), (x, end), (right, end), dashed=wire.comes_back)
        if wire.comes_back:
            sheet.shape((left, start), (left + 9, start - 4), (left + 9, start + 4))
        else:
            sheet.shape((right, end), (right - 9, end - 4), (right - 9, end + 4))


def _in_words(plan: BlockPlan) -> str:
    sentences = [
        f"{receiver.name} is fed from {receiver.fed_from or 'nothing that is named'}."
        for receiver in plan.receivers
    ]
    sentences += [
        (
            f"{wire.thing} ({wire.label}) leads to {wire.receiver}, {wire.port}."
            if wire.comes_back
            else f"{wire.receiver}, {wire.port}, works {wire.thing} ({wire.label})."
        )
        for wire in plan.wires
    ]
    return " ".join(sentences)
