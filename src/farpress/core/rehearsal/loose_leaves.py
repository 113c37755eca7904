"""Leaves that may do more than a real one, so that what they never do, no leaf does.

One may take any time for its movements; the other keeps the time of a whole travel from end to end and of a
timed closing, and only a movement that begins in between may end at any instant up to that. Neither
keeps a position on the way, so that odd times make few states.
"""

from __future__ import annotations

from collections.abc import Mapping

from farpress.core.rehearsal.driven import COMMANDS
from farpress.core.rehearsal.model import EventAct, ModelEvent, StateModel, Timer, Variable
from farpress.sources import Mark, cites

__all__ = ["leaf_of_whole_travels", "leaf_without_times"]

_RULE = "semantics of this program"


@cites(_RULE, place="leaf whose movements may take any time", mark=Mark.CHOICE)
def leaf_without_times(
    d: str,
    inputs: Mapping[str, str],
    *,
    timed_closing: bool,
    presence: bool,
    waits_after_power: bool = True,
    says: str = "",
) -> StateModel:
    """The same leaf when it may arrive, stop at its partial opening and begin timed closing at any instant.

    It does everything that `leaf` does with any times, and more; so what it never does,
    `leaf` never does. Its position is 0 closed, 1 between, 2 open.

    Args:
        d, inputs, presence, waits_after_power, says: as for `leaf`.
        timed_closing: it has one.
    """
    name = says or d
    half = "partial open" in inputs.values()
    settle = [f"{d}_before = {d}_mode"]
    if timed_closing:
        settle.append(f"if {' or '.join(f'{i}_rise' for i in inputs) or '0'}:\n    {d}_idle = 0")
    for i, logic in inputs.items():
        command = COMMANDS[logic].format(i=i, d=d)
        # below the partial opening is not known between the ends: `low` may be either
        settle.append(
            command.replace(f"{d}_pos < {d}_half", f"({d}_pos == 0 or ({d}_pos == 1 and {d}_low))").replace(
                f"{d}_N", "2"
            )
        )
    arrive = (
        f"if {d}_mode == 1 and {d}_pos == 2:\n    {d}_mode = 2\nif {d}_mode == 3 and {d}_pos == 0:\n   "
        f" {d}_mode = 0"
    )
    settle.append(arrive)
    if presence:
        settle.append(f"if {d}_occ and {d}_mode == 3:\n    {d}_mode = 1\n    {d}_to = 1\n{arrive}")
    stopped = f"{d}_mode = 2 if {d}_mode == 1 else 0 if {d}_mode == 3 else {d}_mode"
    variables = [
        Variable(f"{d}_mode", 3),
        Variable(f"{d}_pos", 2),
        Variable(f"{d}_to", start=1),
        Variable(f"{d}_occ"),
        Variable(f"{d}_w"),
        Variable(f"{d}_before", 3, passing=True),
    ]
    events = [
        ModelEvent(
            f"{d}_goes_on",
            f"{d}_pos = {d}_pos + 1 if {d}_mode == 1 else {d}_pos - 1",
            f"({d}_mode == 1 and {d}_pos < 2) or ({d}_mode == 3 and {d}_pos > 0)",
            f"{name} goes on",
            inner=True,
        ),
        ModelEvent(
            f"{d}_enter",
            f"{d}_occ = 1",
            f"not {d}_occ and {d}_pos > 0",
            f"somebody goes or drives under {name}",
            EventAct("under", name),
        ),
        ModelEvent(
            f"{d}_leave", f"{d}_occ = 0", f"{d}_occ", f"{name} is clear again", EventAct("clear", name)
        ),
    ]
    if half:
        variables.append(Variable(f"{d}_low"))
        events.append(
            ModelEvent(
                f"{d}_half_way",
                f"{d}_low = 1 - {d}_low",
                f"{d}_pos == 1",
                f"{name} passes its partial opening",
                inner=True,
            )
        )
        # a partial command stops there, or at once if it is there already
        events.append(
            ModelEvent(
                f"{d}_half_open",
                f"{d}_mode = 2",
                f"{d}_mode == 1 and not {d}_to and {d}_pos > 0",
                f"{name} is partly open",
                inner=True,
            )
        )
    if timed_closing:
        variables.append(Variable(f"{d}_idle"))
        may = f"{d}_mode == 2 and {d}_pos > 0 and power and not {d}_idle" + (
            f" and not {d}_occ" if presence else ""
        )
        events.append(
            ModelEvent(
                f"{d}_time_is_over", f"{d}_mode = 3", may, f"{name} begins to close by itself", inner=True
            )
        )
        if waits_after_power:
            stopped += f"\n{d}_idle = 1"
    events.append(ModelEvent("power_off", stopped, "power", "the power fails"))
    return StateModel(tuple(variables), tuple(events), (), tuple(settle))


@cites(_RULE, place="leaf that keeps the time of whole travels", mark=Mark.CHOICE)
def leaf_of_whole_travels(
    d: str,
    inputs: Mapping[str, str],
    *,
    opening_ms: int,
    closing_ms: int,
    closes_after_ms: int | None,
    presence: bool,
    partial_ms: int | None = None,
    waits_after_power: bool = True,
    says: str = "",
) -> StateModel:
    """The same leaf with its true times from end to end and for a timed closing, and no position in between.

    A movement from one end takes its time; one that begins in between ends at any instant from at once to
    the time of the whole travel. All its times are clocks that run and are set anew, none is stopped or
    turned round, so that whole ticks lose nothing. Two commands come a moment after each other, be it
    never so short: once it has begun to open it is no longer closed. The names are those of `leaf`; the
    position is 0 closed, 1 between, 2 open.

    Args:
        d, inputs, opening_ms, closing_ms, closes_after_ms, presence, partial_ms, waits_after_power, says: as
            for `leaf`.
    """
    name = says or d
    half = "partial open" in inputs.values()
    timed = closes_after_ms is not None and closes_after_ms > 0
    partial = max(opening_ms // 2, 1) if partial_ms is None else partial_ms
    x, up, down, part = f"{d}_x", f"{d}_open_T", f"{d}_close_T", f"{d}_half_T"
    settle = [f"{d}_before = {d}_mode"]
    if timed:
        settle.append(f"if {' or '.join(f'{i}_rise' for i in inputs) or '0'}:\n    {d}_idle = 0")
    settle += [
        COMMANDS[logic]
        .format(i=i, d=d)
        .replace(f"{d}_pos < {d}_half", f"({d}_pos == 0 or ({d}_pos == 1 and {d}_low))")
        .replace(f"{d}_N", "2")
        for i, logic in inputs.items()
    ]
    arrive = (
        f"if {d}_mode == 1 and {d}_pos == 2:\n    {d}_mode = 2\nif {d}_mode == 3 and {d}_pos == 0:\n   "
        f" {d}_mode = 0"
    )
    settle.append(arrive)
    if presence:
        settle.append(f"if {d}_occ and {d}_mode == 3:\n    {d}_mode = 1\n    {d}_to = 1\n{arrive}")
    settle.append(f"""
if {d}_mode == 1 and ({d}_before != 1 or {x} == 0):
    {d}_loose = {d}_pos
    {d}_pos = 1
    {x} = {f"{up} if {d}_to else {part}" if half else up}
elif {d}_mode == 3 and ({d}_before != 3 or {x} == 0):
    {d}_loose = 1 if {d}_pos == 1 else 0
    {x} = {down}
elif {d}_mode == 0 or {d}_mode == 2:
    {d}_loose = 0
    {x} = 0
""")
    opened = f"2 if {d}_to else {2 if partial >= opening_ms else 1}" if half else "2"
    arrives = (
        f"if {d}_mode == 1:\n    {d}_pos = {opened}\n    {d}_mode = 2\n"
        f"elif {d}_mode == 3:\n    {d}_pos = 0\n    {d}_mode = 0"
    )
    variables = [
        Variable(f"{d}_mode", 3),
        Variable(f"{d}_pos", 2),
        Variable(f"{d}_to", start=1),
        Variable(f"{d}_occ"),
        Variable(f"{d}_loose"),
        Variable(f"{d}_before", 3, passing=True),
    ]
    times = {up: opening_ms, down: closing_ms, f"{d}_most_T": max(opening_ms, closing_ms)}
    begins = [up, down]
    if half:
        times[part] = partial
        begins.append(part)
        variables.append(Variable(f"{d}_low"))
    timers = [Timer(x, f"{d}_most_T", arrives, begins=tuple(begins))]
    stopped = f"{d}_mode = 2 if {d}_mode == 1 else 0 if {d}_mode == 3 else {d}_mode"
    if timed:
        assert closes_after_ms is not None
        times[f"{d}_A"] = closes_after_ms
        variables.append(Variable(f"{d}_idle"))
        may = f"{d}_mode == 2 and {d}_pos > 0 and power and not {d}_idle" + (
            f" and not {d}_occ" if presence else ""
        )
        settle.append(f"if not ({may}):\n    {d}_w = 0\nelif {d}_w == 0:\n    {d}_w = {d}_A")
        timers.append(Timer(f"{d}_w", f"{d}_A", f"{d}_mode = 3"))
        if waits_after_power:
            stopped += f"\n{d}_idle = 1"
    else:
        variables.append(Variable(f"{d}_w"))
    events = [
        ModelEvent("power_off", stopped, "power", "the power fails"),
        ModelEvent(
            f"{d}_enter",
            f"{d}_occ = 1",
            f"not {d}_occ and {d}_pos == 2",
            f"somebody goes or drives under {name}",
            EventAct("under", name),
        ),
        ModelEvent(
            f"{d}_leave", f"{d}_occ = 0", f"{d}_occ", f"{name} is clear again", EventAct("clear", name)
        ),
        ModelEvent(
            f"{d}_arrives",
            f"{x} = 0\n{arrives}",
            f"{x} > 0 and {d}_loose",
            f"{name} ends its movement",
            inner=True,
        ),
    ]
    if half:
        events.append(
            ModelEvent(
                f"{d}_half_way",
                f"{d}_low = 1 - {d}_low",
                f"{d}_pos == 1",
                f"{name} passes its partial opening",
                inner=True,
            )
        )
    tick = f"if {d}_mode == 3 and {d}_pos == 2:\n    {d}_pos = 1"
    return StateModel(tuple(variables), tuple(events), (tick,), tuple(settle), times, timers=tuple(timers))
