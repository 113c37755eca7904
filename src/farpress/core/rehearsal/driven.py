"""Driven devices as parts of a model: leaves and motors for two directions.

Their inputs are parts of their own, see `contacts`. All times in milliseconds.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import lcm
from types import MappingProxyType
from typing import Final

from farpress.core.rehearsal.model import EventAct, ModelEvent, StateModel, Timer, Variable
from farpress.errors import InputError
from farpress.sources import Mark, cites

__all__ = ["COMMANDS", "MODES", "leaf", "motor"]

_RULE = "semantics of this program"

MODES: Final = ("still, closed or to open next", "opening", "still, to close next", "closing")
"""What the mode of a leaf means."""

COMMANDS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "start": (
            "if {i}_rise:\n    {d}_mode = 0 if {d}_mode == 3 else {d}_mode + 1\n    {d}_w = 0\n    {d}_to = 1"
        ),
        "open only": (
            "if {i}_rise:\n    if {d}_mode == 0 or {d}_mode == 3 or ({d}_mode == 2 and {d}_pos < {d}_N):\n"
            "       "
            " {d}_mode = 1\n    {d}_w = 0\n    {d}_to = 1"
        ),
        "partial open": (
            "if {i}_rise:\n    if {d}_mode != 1 and {d}_pos < {d}_half:\n        {d}_mode = 1\n       "
            " {d}_to ="
            " 0\n    {d}_w = 0"
        ),
        "close": "if {i}_rise and ({d}_pos > 0 or {d}_mode == 1):\n    {d}_mode = 3\n    {d}_w = 0",
        "stop": (
            "if {i}_rise:\n    {d}_mode = 2 if {d}_mode == 1 else 0 if {d}_mode == 3 else {d}_mode\n   "
            " {d}_w = 0"
        ),
    }
)


@cites(
    _RULE,
    place="leaf: step by step, open only, partial, close, stop; timed closing; presence",
    mark=Mark.CHOICE,
)
def leaf(
    d: str,
    inputs: Mapping[str, str],
    *,
    opening_ms: int,
    closing_ms: int,
    closes_after_ms: int | None,
    presence: bool,
    enters_ms: int | None = None,
    partial_ms: int | None = None,
    waits_after_power: bool = True,
    says: str = "",
) -> StateModel:
    """A leaf with its own control: gate, door, barrier, grille, bollard.

    `d_mode` is one of `MODES`, `d_pos` the way in steps, `d_occ` whether somebody or a
    vehicle is under it. A step-by-step start goes open, stop, close, stop; a power
    failure stops the leaf, and it remembers what comes next.

    Args:
        d: the device.
        inputs: input name → logic, of those that an output works.
        opening_ms, closing_ms: time of the whole travel.
        closes_after_ms: timed closing from fully open; None if it has none.
        presence: a loop, beams or presence detection holds it open and turns it round.
        enters_ms: time of opening after which somebody may go under it; None: fully open.
        partial_ms: time of a partial opening from closed; None: half of the travel.
        waits_after_power: timed closing begins again only after a command.
        says: its name in a story.

    Raises:
        InputError: a travel of no time, a partial opening outside it, or an input whose logic has no
            meaning here.
    """
    name = says or d
    if opening_ms <= 0 or closing_ms <= 0:
        raise InputError(
            f"The travel of {name} takes {min(opening_ms, closing_ms)} ms, but must take longer than 0. Time"
            " one opening with a watch."
        )
    unknown = [f"{i}: {logic}" for i, logic in inputs.items() if logic not in COMMANDS]
    if unknown:
        raise InputError(
            f"A leaf has no input of the kind {', '.join(unknown)}; it knows {', '.join(COMMANDS)}."
        )
    partial = max(opening_ms // 2, 1) if partial_ms is None else partial_ms
    if "partial open" in inputs.values() and not 0 < partial <= opening_ms:
        raise InputError(
            f"The partial opening of {name} takes {partial} ms of a travel of {opening_ms} ms, but must take"
            " longer than 0 and at most the whole. Time it with a watch."
        )
    timed = closes_after_ms is not None and closes_after_ms > 0
    timers: tuple[Timer, ...] = ()
    settle = [f"{d}_before = {d}_mode", *(COMMANDS[logic].format(i=i, d=d) for i, logic in inputs.items())]
    # arriving, then whatever notices somebody, then arriving again
    goal = f"({d}_N if {d}_to else {d}_half)" if "partial open" in inputs.values() else f"{d}_N"
    arrive = (
        f"if {d}_mode == 1 and {d}_pos >= {goal}:\n    {d}_mode = 2\n    {d}_w = 0\nif {d}_mode == 3 and"
        f" {d}_pos == 0:\n    {d}_mode = 0\n    {d}_w = 0"
    )
    settle.append(arrive)
    if presence:
        settle.append(
            f"if {d}_occ and {d}_mode == 3:\n    {d}_mode = 1\n    {d}_to = 1\n    {d}_w = 0\n{arrive}"
        )
    tick = (
        f"if {d}_mode == 1:\n    {d}_pos = min({d}_pos + {d}_up, {d}_N)\nelif {d}_mode == 3:\n    {d}_pos ="
        f" max({d}_pos - {d}_dn, 0)\n"
    )
    variables = [
        Variable(f"{d}_mode", 3),
        Variable(f"{d}_pos", f"{d}_N"),
        Variable(f"{d}_to", start=1),
        Variable(f"{d}_occ"),
        Variable(f"{d}_before", 3, passing=True),
    ]
    times = {
        f"{d}_open_T": opening_ms,
        f"{d}_close_T": closing_ms,
        f"{d}_enter_T": opening_ms if enters_ms is None else enters_ms,
    }
    if "partial open" in inputs.values():
        times[f"{d}_half_T"] = partial
    stopped = f"{d}_mode = 2 if {d}_mode == 1 else 0 if {d}_mode == 3 else {d}_mode\n{d}_w = 0"
    if timed:
        assert closes_after_ms is not None
        times[f"{d}_A"] = closes_after_ms
        variables.append(Variable(f"{d}_idle"))
        may = f"{d}_mode == 2 and {d}_pos > 0 and power and not {d}_idle" + (
            f" and not {d}_occ" if presence else ""
        )
        timers = (Timer(f"{d}_w", f"{d}_A", f"{d}_mode = 3"),)
        settle.insert(1, f"if {' or '.join(f'{i}_rise' for i in inputs) or '0'}:\n    {d}_idle = 0")
        settle.append(f"if not ({may}):\n    {d}_w = 0\nelif {d}_w == 0:\n    {d}_w = {d}_A")
        if waits_after_power:
            stopped += f"\n{d}_idle = 1"
    else:
        variables.append(Variable(f"{d}_w"))
    constants = {
        f"{d}_N": lambda t: lcm(t[f"{d}_open_T"], t[f"{d}_close_T"]),
        f"{d}_half": (
            lambda t: t[f"{d}_half_T"] * lcm(t[f"{d}_open_T"], t[f"{d}_close_T"]) // t[f"{d}_open_T"]
        ),
        f"{d}_Q": lambda t: max(
            t[f"{d}_enter_T"] * lcm(t[f"{d}_open_T"], t[f"{d}_close_T"]) // t[f"{d}_open_T"], 1
        ),
        f"{d}_up": lambda t: lcm(t[f"{d}_open_T"], t[f"{d}_close_T"]) // t[f"{d}_open_T"],
        f"{d}_dn": lambda t: lcm(t[f"{d}_open_T"], t[f"{d}_close_T"]) // t[f"{d}_close_T"],
    }
    events = (
        ModelEvent("power_off", stopped, "power", "the power fails"),
        ModelEvent(
            f"{d}_enter",
            f"{d}_occ = 1",
            f"not {d}_occ and {d}_pos >= {d}_Q",
            f"somebody goes or drives under {name}",
            EventAct("under", name),
        ),
        ModelEvent(
            f"{d}_leave", f"{d}_occ = 0", f"{d}_occ", f"{name} is clear again", EventAct("clear", name)
        ),
    )
    return StateModel(tuple(variables), events, (tick,), tuple(settle), times, constants, timers=timers)


@cites(_RULE, place="motor for two directions", mark=Mark.CHOICE)
def motor(d: str, up: str, down: str, *, own_pause_ms: int | None = None) -> StateModel:
    """A motor with a contact for each direction; `d_m` is 0 off, 1 up, 2 down, 3 both at once.

    Args:
        d: the device.
        up, down: expressions that are true while the direction is commanded.
        own_pause_ms: its own control keeps the directions apart with this pause; None if
            it does not.
    """
    if own_pause_ms is None:
        settle = f"{d}_m = 3 if ({up}) and ({down}) else 1 if ({up}) else 2 if ({down}) else 0"
        return StateModel((Variable(f"{d}_m", 3),), (), (), (settle,))
    settle = f"""
{d}_rq = 1 if ({up}) and not ({down}) else 2 if ({down}) and not ({up}) else 0
if {d}_m and {d}_m != {d}_rq:
    {d}_m = 0
    {d}_p = {d}_R
if {d}_m == 0 and {d}_rq and {d}_p == 0:
    {d}_m = {d}_rq
"""
    variables = (Variable(f"{d}_m", 3), Variable(f"{d}_rq", 2, passing=True))
    return StateModel(
        variables, (), (), (settle,), {f"{d}_R": own_pause_ms}, timers=(Timer(f"{d}_p", f"{d}_R"),)
    )
