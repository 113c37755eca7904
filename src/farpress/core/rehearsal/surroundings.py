"""What happens round a device, as parts of a model: people in an area, at work on something, vehicles between
two gates, the clock on the wall.

Each moves by itself, at any instant; what notices it is a signal that stands for one event and is worked out
before outputs and devices look at it. A part changes nothing else.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Final

from farpress.core.rehearsal.model import EventAct, ModelEvent, StateModel, Variable
from farpress.sources import Mark, cites

__all__ = ["MINUTES_A_DAY", "clock_of_day", "people_in", "vehicles_between", "worker_at"]

_RULE = "semantics of this program"

MINUTES_A_DAY: Final = 1440


@cites(_RULE, place="people inside an area", mark=Mark.CHOICE)
def people_in(a: str, p: str, *, says: str, notices: bool = False) -> StateModel:
    """Somebody goes into an area and everybody leaves it, at any instant; `a_in`: somebody is inside.

    Nobody goes in while the panel is set: that begins the entry time, and is another story.

    Args:
        a: the area.
        p: its panel.
        says: its name in a story.
        notices: something keeps the panel from being set while somebody is inside: `p_refused`.
    """
    signals = (Variable(f"{p}_refused", passing=True),) if notices else ()
    return StateModel(
        (Variable(f"{a}_in"), *signals),
        (
            ModelEvent(
                f"{a}_comes",
                f"{a}_in = 1",
                f"not {a}_in and not {p}_st",
                f"somebody goes into {says}",
                EventAct("goes in", says),
            ),
            ModelEvent(
                f"{a}_goes", f"{a}_in = 0", f"{a}_in", f"{says} is empty again", EventAct("goes out", says)
            ),
        ),
        (),
        (f"if {a}_in:\n    {p}_refused = 1",) if notices else (),
    )


@cites(_RULE, place="somebody works on a device; its isolator", mark=Mark.CHOICE)
def worker_at(d: str, *, says: str, isolates: bool, stays_off: bool) -> StateModel:
    """Somebody begins to work on a device and ends it; `d_worker` and `d_isolated` say how it stands.

    Args:
        d: the device.
        says: its name in a story.
        isolates: it has an isolator, which whoever works on it switches off first.
        stays_off: the isolator is locked, so that nobody else switches it on again.
    """
    worker, off = f"{d}_worker", f"{d}_isolated"
    events = [
        ModelEvent(
            f"{d}_work",
            f"{worker} = 1\n{off} = {int(isolates)}",
            f"not {worker}",
            f"somebody begins to work on {says}",
            EventAct("works on", says),
        ),
        ModelEvent(
            f"{d}_work_over",
            f"{worker} = 0\n{off} = 0",
            worker,
            f"the work on {says} is over",
            EventAct("work over", says),
        ),
    ]
    if isolates and not stays_off:
        events.append(
            ModelEvent(
                f"{d}_isolator_on",
                f"{off} = 0",
                off,
                f"somebody else switches the isolator of {says} on again",
                EventAct("isolator on", says),
            )
        )
    return StateModel((Variable(worker), Variable(off)), tuple(events))


@cites(_RULE, place="vehicles between two gates", mark=Mark.CHOICE)
def vehicles_between(
    k: str,
    enter_by: Mapping[str, str],
    leave_by: Mapping[str, str],
    *,
    says: str,
    notices: bool,
    one_an_opening: bool,
) -> StateModel:
    """Vehicles drive in and out through gates that do not stand closed; `k_n` is their number, 2 for more.

    Args:
        k: the space between the gates.
        enter_by, leave_by: gate → its name in a story.
        says: name of the space.
        notices: while somebody is inside, gates to enter by do not open: `d_barred`.
        one_an_opening: a gate lets one vehicle in and closes behind it before another one follows.
    """
    count = f"{k}_n"
    variables = [Variable(count, 2)]
    settle: list[str] = []
    events: list[ModelEvent] = []
    for d, name in enter_by.items():
        gone, when, does = f"{k}_{d}_gone", f"{d}_pos > 0 and {count} < 2", f"{count} = {count} + 1"
        if one_an_opening:
            variables.append(Variable(gone))
            when, does = f"{when} and not {gone}", f"{does}\n{gone} = 1"
            settle.append(f"if {d}_pos == 0:\n    {gone} = 0")
        if notices:
            variables.append(Variable(f"{d}_barred", passing=True))
            settle.append(f"if {count} > 0:\n    {d}_barred = 1")
        act = EventAct("drives in", says, name)
        events.append(ModelEvent(f"{k}_in_{d}", does, when, f"a vehicle drives into {says} by {name}", act))
    for d, name in leave_by.items():
        act = EventAct("drives out", says, name)
        out = f"{count} = {count} - 1"
        when = f"{d}_pos > 0 and {count} > 0"
        events.append(ModelEvent(f"{k}_out_{d}", out, when, f"a vehicle drives out of {says} by {name}", act))
    return StateModel(tuple(variables), tuple(events), (), tuple(settle))


@cites(_RULE, place="hours: the clock on the wall moves on at any instant", mark=Mark.CHOICE)
def clock_of_day(
    moments_min: Iterable[int], outside: Mapping[str, tuple[tuple[int, int], ...]]
) -> StateModel:
    """The clock on the wall, as far as hours need it: it comes to any of some moments, at any instant.

    A story is far shorter than a day, so nothing is lost by letting the hours end whenever they like.

    Args:
        moments_min: moments of the day at which hours begin or end [min after midnight].
        outside: signal → stretches of the day [min], each from its beginning up to its end, outside all of
            which the signal stands.
    """
    moments = sorted({moment % MINUTES_A_DAY for moment in moments_min})
    last = len(moments) - 1
    start = last if moments[0] > 0 else 0  # the story begins at midnight
    events = tuple(
        ModelEvent(
            f"clock_{moment // 60:02d}{moment % 60:02d}",
            f"clock = {place}",
            f"clock != {place}",
            f"it becomes {moment // 60:02d}:{moment % 60:02d}",
            EventAct("clock", f"{moment // 60:02d}:{moment % 60:02d}"),
        )
        for place, moment in enumerate(moments)
    )
    settle = []
    for signal, stretches in outside.items():
        off = [
            f"clock == {place}"
            for place, moment in enumerate(moments)
            if not any(
                (moment - begin) % MINUTES_A_DAY < (end - begin) % MINUTES_A_DAY for begin, end in stretches
            )
        ]
        settle.append(f"{signal} = 1 if {' or '.join(off) or '0'} else 0")
    variables = (
        Variable("clock", max(last, 1), start),
        *(Variable(signal, passing=True) for signal in outside),
    )
    return StateModel(variables, events, (), tuple(settle))
