"""One receiver with all its terminals: supply, aerial, inputs and tamper on the left, outputs with what they
work on the right.

Takes plain values and gives SVG text; what they are is decided elsewhere. Contacts are drawn
at rest. Of mains nothing is drawn beyond a dashed frame: that is for a licensed electrician.
"""

from __future__ import annotations

from typing import Final

from farpress.papers.drawings import symbols
from farpress.papers.drawings.svg import DrawingSheet, text_width, wrapped
from farpress.papers.drawings.terminal_plan import Feed, Lane, Side, TerminalPlan

__all__ = ["terminal_drawing"]


_BOX_LEFT, _BOX_RIGHT, _DIVIDE = 270.0, 500.0, 84.0
_LOAD_X, _WIDTH = 910.0, 1140.0
_SMALL: Final = 11.6  # 7 points on the smaller of the sheets set across
_LANE, _STEP, _HEAD = 104.0, 27.0, 74.0
_SIDE: Final = 58.0
_HATCH: Final = 26


def terminal_drawing(plan: TerminalPlan) -> str:
    """The drawing as a whole SVG document.

    Args:
        plan: the receiver; any number of outputs and inputs.
    """
    sides = 120 + _SIDE * (len(plan.sides) + 1) if plan.feed is not None or plan.sides else 0.0
    below = 56 if sides else 28
    height = max(_HEAD + _LANE * max(len(plan.lanes), 1), sides + 20) + below
    # without anything at its left a receiver is drawn narrow, so that letters stay large enough
    box_left = _BOX_LEFT if sides else _BOX_LEFT + _DIVIDE
    left = 0.0 if sides else box_left - 14
    sheet = DrawingSheet(
        _WIDTH, height, title=f"Terminals of receiver {plan.name}", describes=_in_words(plan), left=left
    )
    sheet.box(box_left, 30, _BOX_RIGHT - box_left, height - below - 24, weight=2.4, round_by=6)
    sheet.words(box_left + 14, 54, plan.name, size=18, bold=True, room=_BOX_RIGHT - box_left - 40)
    sheet.lines(box_left + 14, 69, plan.says, size=_SMALL, room=_BOX_RIGHT - box_left - 28, step=1.06)
    symbols.aerial(sheet, _BOX_RIGHT - 22, 56)
    if plan.aerial:
        sheet.words(_BOX_RIGHT + 8, 40, plan.aerial, size=_SMALL, room=420)
    if plan.feed is not None or plan.sides:
        sheet.line((_BOX_LEFT + _DIVIDE, _HEAD + 12), (_BOX_LEFT + _DIVIDE, height - 62), weight=0.7)
    if plan.feed is not None:
        _feed(sheet, plan.feed, 112)
    for number, side in enumerate(plan.sides):
        _side(sheet, side, 112 + _SIDE * (number + 1) + 24)
    for number, lane in enumerate(plan.lanes):
        top = _HEAD + 12 + _LANE * number
        if number:
            sheet.line((_BOX_LEFT + _DIVIDE + 10, top - 6), (_BOX_RIGHT - 14, top - 6), weight=0.7)
        _lane(sheet, lane, top)
    if not plan.lanes:
        sheet.words(_BOX_RIGHT + 20, _HEAD + 30, "No output is wired yet.", size=_SMALL, slanted=True)
    if not sides:
        return sheet.svg()
    foot = (
        "Contacts drawn at rest. Terminal numbers after EN 50005 and EN 50011; check them against the"
        " receiver's own."
    )
    if any(lane.is_mains for lane in plan.lanes):
        foot += " Dashed: mains, by a licensed electrician only."
    sheet.words(left + 20, height - 18, foot, size=_SMALL, slanted=True, room=_WIDTH - left - 40)
    return sheet.svg()


def _bar(sheet: DrawingSheet, why: str, top: float) -> None:
    """Hatching in place of wires that must not be laid, and the reason in a box."""
    first, last, low, high = _BOX_RIGHT + 52, _WIDTH - 8, top + _LANE - 12, top + 2
    for step in range(int((last - first) / _HATCH)):
        x = first + step * _HATCH
        if x + low - high <= last:
            sheet.line((x, low), (x + low - high, high), weight=0.5)
    x, wide = first + 44, last - first - 88
    lines = wrapped(f"DO NOT WIRE: {why}", 13, wide - 24, 3)
    sheet.box(x, top + 6, wide, 18 * len(lines) + 16, weight=2.4)
    for number, text in enumerate(lines):
        sheet.words(x + 12, top + 25 + 18 * number, text, size=13, bold=True)


def _feed(sheet: DrawingSheet, feed: Feed, y: float) -> None:
    low = y + 34
    sheet.box(12, y - 20, 120, 74, weight=1.8)
    sheet.words(20, y - 2, feed.name, size=13, bold=True, room=106)
    sheet.words(20, y + 14, feed.says, size=_SMALL, room=108)
    for height, label, core in (
        (y, feed.terminals[0], feed.cores[0]),
        (low, feed.terminals[1], feed.cores[1]),
    ):
        sheet.line((132, height), (_BOX_LEFT - 3, height))
        symbols.terminal(sheet, 132, height, "", label_left=True)
        symbols.terminal(sheet, _BOX_LEFT, height, label, label_left=False)
        sheet.words(_BOX_LEFT - 10, height - 5, core, size=_SMALL, anchor="end", room=80)
    if feed.fuse:
        symbols.fuse(sheet, 140, y, label=feed.fuse)
    sheet.words(138, low + 15, feed.cable, size=_SMALL, room=128)


def _side(sheet: DrawingSheet, side: Side, y: float) -> None:
    low = y + 24
    sheet.words(20, y + 4, side.leads_to, size=_SMALL, bold=True, room=132)
    sheet.words(20, y + 19, side.cable, size=_SMALL, room=134)
    for height, label, core in (
        (y, side.terminals[0], side.cores[0]),
        (low, side.terminals[1], side.cores[1]),
    ):
        sheet.line((160, height), (_BOX_LEFT - 3, height))
        symbols.terminal(sheet, _BOX_LEFT, height, label, label_left=False)
        sheet.words(_BOX_LEFT - 10, height - 4, core, size=_SMALL, anchor="end", room=94)
    sheet.line((160, y - 5), (160, low + 5), weight=0.9)
    if side.is_tamper:
        x = _BOX_LEFT + 38
        sheet.line((_BOX_LEFT + 28, y), (x, y))
        symbols.normally_closed_pair(sheet, x, y)
        sheet.line((x + 34, y), (x + 40, y), (x + 40, low), (_BOX_LEFT + 28, low))


def _lane(sheet: DrawingSheet, lane: Lane, top: float) -> None:
    rest, common, made = top + 20, top + 20 + _STEP, top + 20 + 2 * _STEP
    sheet.words(_BOX_LEFT + _DIVIDE + 14, common + 6, lane.number, size=20, bold=True)
    room = _BOX_RIGHT - _BOX_LEFT - _DIVIDE - 22
    first, _, rest_of_it = (
        lane.behaviour.partition(", ")
        if text_width(lane.behaviour, _SMALL) > room
        else (lane.behaviour, "", "")
    )
    for line, words in (
        enumerate(words for words in (f"{first},", rest_of_it) if rest_of_it) if rest_of_it else ((1, first),)
    ):
        sheet.words(_BOX_LEFT + _DIVIDE + 14, made + 2 + 13.5 * line, words, size=_SMALL, room=room)
    symbols.changeover(sheet, _BOX_RIGHT - 65, common, form=lane.form, step=_STEP)
    for height, label in ((common, lane.terminals[0]), (rest, lane.terminals[1]), (made, lane.terminals[2])):
        if label:
            symbols.terminal(sheet, _BOX_RIGHT, height, "")
            sheet.words(_BOX_RIGHT + 7, height - 5, label, size=_SMALL, bold=True)
    used, other = (rest, made) if lane.closes_at_rest else (made, rest)
    if lane.barred:
        _bar(sheet, f"{lane.load}: {lane.barred}", top)
    elif lane.turns:
        _turned(sheet, lane, rest, common, made)
    elif lane.relay is not None:
        _over_relay(sheet, lane, used, other, common)
    elif lane.supply is not None:
        _power(sheet, lane, used, other, common)
    else:
        _free(sheet, lane, used, common)


def _free(sheet: DrawingSheet, lane: Lane, used: float, common: float) -> None:
    """A contact free of potential on an input, with the resistors of a loop where there are any."""
    start = _BOX_RIGHT + 3
    upper, lower = min(used, common), max(used, common)
    end = _LOAD_X - 40
    dashed = lane.is_mains
    if lane.resistors and not dashed:
        _loop(sheet, lane, used, common, end)
    else:
        for height in (used, common):
            sheet.line((start, height), (end, height), dashed=dashed)
    _cable(sheet, lane, used, common)
    _block(sheet, lane, end, upper, lower, dashed=dashed)


def _loop(sheet: DrawingSheet, lane: Lane, used: float, common: float, end: float) -> None:
    """Resistors at the receiver's terminals, the true end of the line."""
    start, middle = _BOX_RIGHT + 3, min(used, common)
    x = _BOX_RIGHT + 34
    if lane.scheme in ("double end-of-line", "masked") and len(lane.resistors) > 1:
        sheet.line((start, common), (end, common))
        sheet.line((start, used), (x + 34, used))
        symbols.resistor(sheet, x, middle, label=lane.resistors[1], upright=True, length=_STEP)
        symbols.node(sheet, x, used)
        symbols.node(sheet, x, common)
        symbols.resistor(sheet, x + 50, used, label=lane.resistors[0], length=40)
        sheet.line((x + 34, used), (x + 50, used))
        if len(lane.resistors) > 2:
            mask = x + 104
            sheet.line((x + 90, used), (mask, used))
            symbols.masking_contact(
                sheet, mask, used, label=f"{lane.resistors[2]}, mask contact", above=used < common
            )
            sheet.line((mask + 64, used), (end, used))
        else:
            sheet.line((x + 90, used), (end, used))
    elif lane.scheme == "two-resistor" and len(lane.resistors) > 1:
        symbols.resistor(sheet, start + 14, used, label=lane.resistors[1], length=40)
        sheet.line((start, used), (start + 14, used))
        sheet.line((start + 54, used), (end, used))
        sheet.line((start, common), (end, common))
        symbols.resistor(sheet, x + 76, middle, label=lane.resistors[0], upright=True, length=_STEP)
        symbols.node(sheet, x + 76, used)
        symbols.node(sheet, x + 76, common)
    elif lane.closes_at_rest:
        sheet.line((start, common), (end, common))
        symbols.resistor(sheet, start + 14, used, label=lane.resistors[0], length=40)
        sheet.line((start, used), (start + 14, used))
        sheet.line((start + 54, used), (end, used))
    else:
        for height in (used, common):
            sheet.line((start, height), (end, height))
        symbols.resistor(sheet, x, middle, label=lane.resistors[0], upright=True, length=_STEP)
        symbols.node(sheet, x, used)
        symbols.node(sheet, x, common)


def _power(sheet: DrawingSheet, lane: Lane, used: float, other: float, common: float) -> None:
    """A load fed over the contact: live side to the common terminal, the way back straight to the supply."""
    start, end = _BOX_RIGHT + 3, _LOAD_X - 40
    _flag(sheet, start, common, f"{lane.supply_terminals[0]} {lane.supply}", lane.fuse)
    sheet.line((start, used), (end, used))
    back = _BOX_RIGHT + 132
    sheet.line((back, other), (end, other))
    symbols.zero_volt(sheet, back, other)
    sheet.words(
        back - 6, other + 3.5, f"{lane.supply_terminals[1]} {lane.supply}", size=_SMALL, anchor="end", room=96
    )
    _cable(sheet, lane, used, other)
    _consumer(sheet, lane, end, used, other)


def _turned(sheet: DrawingSheet, lane: Lane, rest: float, common: float, made: float) -> None:
    """One core of a motor on the common of a changeover contact: plus on its make side, 0 V on its break
    side.
    """
    start, end = _BOX_RIGHT + 3, _LOAD_X - 40
    _flag(sheet, start, made, f"{lane.supply_terminals[0]} {lane.supply}", lane.fuse)
    back = _BOX_RIGHT + 132
    sheet.line((start, rest), (back, rest))
    symbols.zero_volt(sheet, back, rest)
    sheet.words(back + 12, rest + 3.5, f"{lane.supply_terminals[1]} {lane.supply}", size=_SMALL, room=96)
    sheet.line((start, common), (end, common))
    x = _LOAD_X - 56
    sheet.words(x, common - 5, lane.cores[0], size=_SMALL, anchor="end", room=110)
    sheet.words(x, common + 14, lane.cable, size=_SMALL, anchor="end", room=190)
    sheet.box(end, rest, _WIDTH - end - 16, made - rest, weight=1.8)
    symbols.terminal(sheet, end, common, "")
    sheet.words(end + 8, common + 4, lane.load_terminals[0], size=_SMALL, room=76)
    _says(sheet, lane, end + 90, rest + 14, _WIDTH - end - 106)


def _over_relay(sheet: DrawingSheet, lane: Lane, used: float, other: float, common: float) -> None:
    """The receiver's contact works a coil; the relay's contact works the load."""
    start, x = _BOX_RIGHT + 3, _BOX_RIGHT + 204
    upper, lower = min(used, other), max(used, other)
    _flag(sheet, start, common, f"{lane.supply_terminals[0]} {lane.supply or 'own supply'}", lane.fuse)
    sheet.line((start, used), (x, used))
    back = _BOX_RIGHT + 132
    sheet.line((back, other), (x, other))
    symbols.zero_volt(sheet, back, other)
    sheet.words(back - 6, other + 3.5, lane.supply_terminals[1], size=_SMALL, anchor="end", room=96)
    symbols.coil(sheet, x, upper, height=lower - upper)
    if lane.suppression in ("diode", "zener"):
        symbols.diode(
            sheet,
            x - 34,
            upper,
            height=lower - upper,
            zener=lane.suppression == "zener",
            plus_above=used == upper,
        )
    elif lane.suppression in ("rc", "varistor"):
        symbols.varistor(sheet, x - 34, upper, height=lower - upper, rc=lane.suppression == "rc")
    sheet.words(x + 5, upper + 9, "A1" if used == upper else "A2", size=_SMALL)
    sheet.words(x + 5, lower - 3, "A2" if used == upper else "A1", size=_SMALL)
    named = wrapped(lane.relay or "", _SMALL, 106)
    for number, words in enumerate(named):
        sheet.words(x + 20, common + 1 - 12.5 * (len(named) - 1 - number), words, size=_SMALL, bold=True)
    sheet.line((x + 15, common + 6), (x + 126, common + 6), weight=0.8, dashed=True)
    end = _LOAD_X - 40
    dashed = lane.is_mains
    sheet.line((x + 104, upper), (x + 116, upper), dashed=dashed)
    sheet.line((x + 116, upper), (x + 136, upper - 9), weight=1.8)
    sheet.line((x + 137, upper), (end, upper), dashed=dashed)
    sheet.words(x + 100, upper + 3.5, "mains" if dashed else "13", size=_SMALL, anchor="end")
    sheet.words(x + 141, upper - 5, "" if dashed else "14", size=_SMALL)
    sheet.line((x + 116, lower), (end, lower), dashed=dashed)
    if dashed:
        sheet.words(x + 112, lower + 3.5, "mains", size=_SMALL, anchor="end")
    else:
        symbols.zero_volt(sheet, x + 116, lower)
    _block(sheet, lane, end, upper, lower, dashed=dashed)


def _flag(sheet: DrawingSheet, x: float, y: float, text: str, fuse: str) -> None:
    """A wire that comes from a supply's live side."""
    length = 66.0 if fuse else 40.0
    if fuse:
        symbols.fuse(sheet, x + 20, y, label="")
        sheet.line((x, y), (x + 20, y))
    else:
        sheet.line((x, y), (x + length, y))
    tip = x + length
    sheet.shape((tip, y - 4), (tip, y + 4), (tip - 7, y), filled=True, weight=0.8)
    sheet.words(tip + 5, y + 3.5, f"{text}, {fuse}" if fuse else text, size=_SMALL, room=124)


def _cable(sheet: DrawingSheet, lane: Lane, switched: float, back: float) -> None:
    x = _LOAD_X - 56
    lower = max(switched, back)
    for height, core in ((switched, lane.cores[0]), (back, lane.cores[1])):
        sheet.words(x, height - 5, core, size=_SMALL, anchor="end", room=110)
    sheet.words(x, lower + 14, lane.cable, size=_SMALL, anchor="end", room=190)


def _consumer(sheet: DrawingSheet, lane: Lane, x: float, used: float, other: float) -> None:
    upper, lower = min(used, other), max(used, other)
    right = _LOAD_X + 26
    for height, label in ((used, lane.load_terminals[0]), (other, lane.load_terminals[1])):
        symbols.terminal(sheet, x, height, "")
        sheet.line((x + 3, height), (right, height))
        sheet.words(x + 7, height - 5, label, size=_SMALL)
    if lane.suppression in ("diode", "zener"):
        symbols.diode(
            sheet,
            x + 26,
            upper,
            height=lower - upper,
            zener=lane.suppression == "zener",
            plus_above=used == upper,
        )
    elif lane.suppression in ("rc", "varistor"):
        symbols.varistor(sheet, x + 26, upper, height=lower - upper, rc=lane.suppression == "rc")
    draw = {
        "coil": symbols.coil,
        "lamp": symbols.lamp,
        "motor": symbols.motor,
        "sounder": symbols.sounder,
    }.get(lane.mark)
    if draw is not None:
        draw(sheet, right, upper, height=lower - upper)
    else:
        symbols.load(sheet, right, upper, height=lower - upper)
    _says(sheet, lane, right + 30, upper, _WIDTH - right - 44)


def _block(sheet: DrawingSheet, lane: Lane, x: float, upper: float, lower: float, *, dashed: bool) -> None:
    sheet.box(x, upper - 14, _WIDTH - x - 16, max(lower - upper, _STEP) + 28, weight=1.8, dashed=dashed)
    if not dashed:
        for height, label in (
            ((lower, lane.load_terminals[0]), (upper, lane.load_terminals[1])) if lane.relay is None else ()
        ):
            symbols.terminal(sheet, x, height, "")
            sheet.words(x + 8, height + 4, label, size=_SMALL, room=76)
    _says(
        sheet,
        lane,
        x + (90 if lane.relay is None and not dashed else 14),
        upper,
        _WIDTH - x - (106 if lane.relay is None and not dashed else 30),
    )


def _says(sheet: DrawingSheet, lane: Lane, x: float, upper: float, room: float) -> None:
    """Name, what it is (each on two lines where it is long), volts and amperes."""
    below = (
        upper
        + 1
        + 14.5 * (sheet.lines(x, upper + 1, lane.load, size=13.5, bold=True, room=room / 1.06, step=1.07) - 1)
    )
    for number, words in enumerate(
        words for words in (*wrapped(lane.load_says, _SMALL, room), lane.note) if words
    ):
        sheet.words(x, below + 13.5 + 12.8 * number, words, size=_SMALL, room=room)


def _in_words(plan: TerminalPlan) -> str:
    """The drawing for those who cannot see it."""
    sentences = [f"Receiver {plan.name}, {plan.says}."]
    if plan.feed is not None:
        sentences.append(
            f"Fed from {plan.feed.name} ({plan.feed.says}) over {plan.feed.cable or 'a cable not described'}."
        )
    for lane in plan.lanes:
        contact = f"{lane.terminals[0]} and {lane.terminals[1] if lane.closes_at_rest else lane.terminals[2]}"
        how = f"fed from {lane.supply}" if lane.supply else "free of potential"
        if lane.turns:
            contact = f"{', '.join(lane.terminals)} (core, 0 V, plus)"
            how = f"one core of two that are changed over, from {lane.supply}"
        if lane.relay:
            how = f"through relay {lane.relay}"
        sentences.append(
            f"Output {lane.number} ({lane.behaviour}), terminals {contact}, works {lane.load}, {how},"
            f" {lane.cable or 'cable not described'}. {lane.note}".strip()
            + (f" Do not wire: {lane.barred}." if lane.barred else "")
        )
    sentences += [
        f"Terminals {side.terminals[0]} and {side.terminals[1]} lead to {side.leads_to}."
        for side in plan.sides
    ]
    return " ".join(sentences)
