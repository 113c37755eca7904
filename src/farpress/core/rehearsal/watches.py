"""What must never be, as conditions on a model; each adds what it has to remember.

A watch looks at a model, it changes nothing in it. All times in milliseconds; "longer
than" counts whole ticks above the limit.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from farpress.core.rehearsal.model import ModelEvent, StateModel, Variable
from farpress.sources import Mark, cites

__all__ = [
    "after_power",
    "after_supply",
    "alarm_despite_unsetting",
    "both",
    "falls_out_of_step",
    "longer_than",
    "on_somebody",
    "one_press_does_both",
    "reversed_too_soon",
    "second_press",
    "turned_back",
    "unseen",
]

_RULE = "semantics of this program"


@cites(_RULE, place="both at once", mark=Mark.CHOICE)
def both(bad: str, first: str, second: str) -> StateModel:
    """Condition `bad`: the expressions `first` and `second` are true together."""
    return StateModel(bad={bad: f"({first}) and ({second})"})


@cites(_RULE, place="works after power return", mark=Mark.CHOICE)
def after_power(bad: str, active: str, starts: Iterable[str], *, held: Iterable[str] = ()) -> StateModel:
    """Something active after the power has come back, before anybody pressed anything.

    Args:
        bad: name of the condition.
        active: expression.
        starts: signals that are a person's act.
        held: thumbs that are still on a button: their owner's act, not the power's.
    """
    fresh = f"{bad}_fresh"
    acts = " or ".join([*starts, *(f"{button}_sends" for button in held)])
    settle = f"if power_came:\n    {fresh} = 1\n" + (f"if {acts}:\n    {fresh} = 0\n" if acts else "")
    return StateModel(
        (Variable(fresh),),
        (ModelEvent("power_off", f"{fresh} = 0", "power", "the power fails"),),
        (),
        (settle,),
        bad={bad: f"{fresh} and power and ({active})"},
    )


@cites(_RULE, place="works after a supply returns", mark=Mark.CHOICE)
def after_supply(
    bad: str,
    active: str,
    starts: Iterable[str],
    *,
    receivers: Iterable[str],
    own: str,
    running: str,
    asked: str = "1",
) -> StateModel:
    """The same where supplies fail one by one: something that stood still begins by itself as one returns.

    Args:
        bad: name of the condition.
        active: expression.
        starts: what is a person's act: signals, and thumbs that are still on a button.
        receivers: signals that the supply of a receiver returns.
        own: signal that its own supply returns; "0" where it has none.
        running: a press that is still running feeds it; it only goes on as its own supply returns.
        asked: a receiver begins it in this event, and not its own control.
    """
    fresh, by_it, was, now = f"{bad}_fresh", f"{bad}_woken", f"{bad}_stood", f"{bad}_now"
    acts = " or ".join(starts)
    pressed = f"if {acts}:\n    {fresh} = 0\n    {by_it} = 0" if acts else ""
    settle = f"""
if not {was} and {own} and not ({running}):
    {fresh} = 1
if not {was} and ({" or ".join(receivers)}):
    {by_it} = 1
{pressed}
{was} = 1 if {active} else 0
{now} = {was} and ({fresh} or ({by_it} and ({asked})))
"""
    variables = (Variable(fresh), Variable(by_it), Variable(was), Variable(now, passing=True))
    return StateModel(variables, (), (), (settle,), bad={bad: now})


@cites(_RULE, place="on longer than", mark=Mark.CHOICE)
def longer_than(bad: str, active: str, *, limit_ms: int) -> StateModel:
    """Condition `bad`: something is `active` without a break for longer than `limit_ms`."""
    count, was, limit, above = f"{bad}_c", f"{bad}_was", f"{bad}_LIM", f"{bad}_LIM1"
    tick = f"if {was} and {count} <= {limit}:\n    {count} = {count} + 1"
    settle = f"{was} = 1 if {active} else 0\nif not {was} and {count} <= {limit}:\n    {count} = 0"
    variables = (Variable(count, above), Variable(was))
    return StateModel(
        variables,
        (),
        (tick,),
        (settle,),
        {limit: limit_ms},
        {above: lambda t: t[limit] + 1},
        {bad: f"{count} > {limit}"},
    )


@cites(_RULE, place="second press that counts", mark=Mark.CHOICE)
def second_press(bad: str, d: str, rises: Iterable[str], *, within_ms: int) -> StateModel:
    """Condition `bad`: one of the `rises` stops or closes leaf `d`, which another one opened within
    `within_ms` before.
    """
    clock, limit, above = f"{bad}_s", f"{bad}_T", f"{bad}_T1"
    pressed = " or ".join(rises)
    tick = f"if {clock} > 0 and {clock} < {above}:\n    {clock} = {clock} + 1"
    # 0: nobody opened it; 1 and more: ticks since, plus one
    turned = f"({d}_before == 1 and {d}_mode != 1) or ({d}_mode == 3 and {d}_before != 3)"
    settle = f"""
{bad}_now = 0
if {pressed}:
    if {d}_mode == 1 and {d}_before != 1:
        {clock} = 1
    elif ({turned}) and {clock} > 0 and {clock} < {above}:
        {bad}_now = 1
if {d}_mode == 0:
    {clock} = 0
"""
    constants = {above: lambda t: t[limit] + 2}
    return StateModel(
        (Variable(clock, above), Variable(f"{bad}_now", passing=True)),
        (),
        (tick,),
        (settle,),
        {limit: within_ms},
        constants,
        {bad: f"{bad}_now"},
    )


@cites(_RULE, place="turned off or round by a press", mark=Mark.CHOICE)
def turned_back(bad: str, active: str, acts: Iterable[str], *, pending: Iterable[str] = ()) -> StateModel:
    """Condition `bad`: one of the `acts` ends what is `active`: it toggles; at once, or while one of the
    timers `pending` runs, as that of an input which has not believed it yet.
    """
    was, own, now = f"{bad}_on", f"{bad}_own", f"{bad}_now"
    acted, waits = " or ".join(acts), tuple(pending)
    variables = [Variable(was), Variable(now, passing=True)]
    settle = f"{now} = 1 if {was} and not ({active}) and ({acted}) else 0"
    if waits:
        variables.append(Variable(own))
        runs = " or ".join(f"{timer} > 0" for timer in waits)
        settle = (
            f"if {acted}:\n    {own} = 1\n{now} = 1 if {was} and not ({active}) and {own} and power else 0\n"
            f"if not power or not ({runs}):\n    {own} = 0"
        )
    settle += f"\n{was} = 1 if {active} else 0"
    return StateModel(tuple(variables), (), (), (settle,), bad={bad: now})


@cites(_RULE, place="one press does two things", mark=Mark.CHOICE)
def one_press_does_both(
    bad: str, presses: Iterable[str], first: str, second: str, *, pending: Iterable[str]
) -> StateModel:
    """Condition `bad`: `first` and `second` come of one press, each at once or after the response time of an
    input.

    Args:
        bad: name of the condition.
        presses: signals of the press.
        first, second: expressions, each true in the event in which it happens.
        pending: timers of the inputs that have not believed a change yet.
    """
    own, did, also, now = f"{bad}_own", f"{bad}_did", f"{bad}_also", f"{bad}_now"
    settle = f"""
if {" or ".join(presses)}:
    {own} = 1
    {did} = 0
    {also} = 0
if {own} and ({first}):
    {did} = 1
if {own} and ({second}):
    {also} = 1
{now} = {own} and {did} and {also}
if {now} or not ({" or ".join(f"{timer} > 0" for timer in pending) or "0"}):
    {own} = 0
    {did} = 0
    {also} = 0
"""
    variables = (Variable(own), Variable(did), Variable(also), Variable(now, passing=True))
    return StateModel(variables, (), (), (settle,), bad={bad: now})


@cites(_RULE, place="closes while occupied", mark=Mark.CHOICE)
def on_somebody(bad: str, d: str) -> StateModel:
    """Condition `bad`: leaf `d` closes while somebody or a vehicle is under it."""
    return StateModel(bad={bad: f"{d}_mode == 3 and {d}_occ"})


@cites(_RULE, place="works without sight", mark=Mark.CHOICE)
def unseen(bad: str, begins: str, *, signal: str = "unseen") -> StateModel:
    """Condition `bad`: the movement `begins` in the event of a press that carries the `signal` of not seeing
    it.
    """
    settle = (
        f"{bad}_now = 1 if ({begins}) and not {bad}_was and {signal} else 0\n{bad}_was = 1 if {begins} else 0"
    )
    variables = (Variable(signal, passing=True), Variable(f"{bad}_was"), Variable(f"{bad}_now", passing=True))
    return StateModel(variables, (), (), (settle,), bad={bad: f"{bad}_now"})


@cites(_RULE, place="reversal pause", mark=Mark.CHOICE)
def reversed_too_soon(bad: str, direction: str, *, pause_ms: int) -> StateModel:
    """A motor runs the other way before it stood still for its pause.

    Args:
        bad: name of the condition.
        direction: expression: 0 off, 1 or 2 a direction.
        pause_ms: pause the motor needs.
    """
    last, still, limit, ran = f"{bad}_last", f"{bad}_still", f"{bad}_P", f"{bad}_ran"
    tick = f"if {last} and not {ran} and {still} < {limit}:\n    {still} = {still} + 1"
    settle = f"""
{bad}_dir = {direction}
{bad}_now = 1 if {bad}_dir and {last} and {bad}_dir != {last} and ({still} < {limit} or {ran}) else 0
if {bad}_dir:
    {last} = {bad}_dir
    {still} = 0
{ran} = 1 if {bad}_dir else 0
"""
    variables = (
        Variable(last, 3),
        Variable(still, limit),
        Variable(ran),
        Variable(f"{bad}_dir", 3, passing=True),
        Variable(f"{bad}_now", passing=True),
    )
    return StateModel(variables, (), (tick,), (settle,), {limit: pause_ms}, bad={bad: f"{bad}_now"})


@cites(_RULE, place="state out of step", mark=Mark.CHOICE)
def falls_out_of_step(
    bad: str,
    p: str,
    toggling: Mapping[str, str],
    setting: Mapping[str, str],
    unsetting: Mapping[str, str],
    *,
    pending: Iterable[str] = (),
) -> StateModel:
    """After a heard press the panel does not do what the person who pressed believes.

    The panel is looked at once its inputs have had their response time, while the power is there and
    nothing else was pressed meanwhile. The belief is the state that was last asked for with a fob,
    whether the press was heard or not; a keypad changes the panel and tells no holder of a fob.

    Args:
        bad: name of the condition.
        p: the panel.
        toggling, setting, unsetting: signals of presses that ask it to change, set, unset → what is
            pressed, for a story.
        pending: timers of the panel's inputs that have not believed a change yet.
    """
    belief, before, goes, wrong = f"{bad}_belief", f"{bad}_before", f"{bad}_goes", f"{bad}_now"
    waits = tuple(pending)
    toggles, sets, unsets = tuple(toggling), tuple(setting), tuple(unsetting)
    every = (*toggles, *sets, *unsets)
    pieces = [
        f"if {rise} or {rise}_missed:\n    {belief} = {value}"
        for group, value in ((toggles, f"1 - {belief}"), (sets, "1"), (unsets, "0"))
        for rise in group
    ]
    heard = " or ".join(every)
    asks, turns = (f"({heard}) and power", f"({' or '.join(toggles)}) and power")
    if waits:
        asked, turned, over, waited = (f"{bad}_{key}" for key in ("asked", "turned", "over", "waited"))
        unheard = " or ".join(f"{rise}_missed" for rise in every)
        runs = " or ".join(f"{timer} > 0" for timer in waits)
        pieces.append(f"""
if {heard}:
    {asked} = 1
if {" or ".join(toggles) or "0"}:
    {turned} = 1
if ({unheard}) or (({heard}) and {waited}):
    {asked} = 0
    {turned} = 0
{over} = 0 if {runs} else 1
{waited} = 0 if {over} else 1
""")
        asks, turns = f"{asked} and {over} and power", f"{turned} and {over} and power"
    pieces.append(f"{goes} = {p}_going\n{wrong} = 1 if {asks} and {goes} != {belief} else 0")
    if toggles:  # somebody who knows how the panel stands presses to change it, and it does not change
        pieces.append(f"if {turns} and {goes} == {before}:\n    {wrong} = 1")
    pieces.append(f"{before} = {goes}")
    if waits:
        pieces.append(f"if {over} or not power:\n    {asked} = 0\n    {turned} = 0")
    variables = (
        *(
            (Variable(asked), Variable(turned), Variable(waited), Variable(over, passing=True))
            if waits
            else ()
        ),
        Variable(belief),
        Variable(before),
        Variable(wrong, passing=True),
        Variable(goes, passing=True),
        *(Variable(f"{rise}_missed", passing=True) for rise in every),
    )
    events = tuple(
        ModelEvent(f"{rise}_miss", f"{rise}_missed = 1", "1", f"{says} pressed and not heard")
        for group in (toggling, setting, unsetting)
        for rise, says in group.items()
    )
    return StateModel(variables, events, (), ("\n".join(pieces),), bad={bad: wrong})


@cites(_RULE, place="alarm despite unsetting", mark=Mark.CHOICE)
def alarm_despite_unsetting(bad: str, p: str, asking: Iterable[str], *, late_ms: int = 0) -> StateModel:
    """The entry time runs out into an alarm although a press to unset was heard in it: it did nothing.

    Args:
        bad: name of the condition.
        p: the panel.
        asking: signals of presses that, while it is set, ask it to be unset.
        late_ms: a press heard in the last moments of this length comes too late, and nobody expects more.
    """
    asked, wrong, late = f"{bad}_asked", f"{bad}_now", f"{bad}_L"
    in_time = f"{p}_en > {late} + {p}_en_due" if late_ms > 0 else f"{p}_entering"
    settle = f"""
if ({" or ".join(asking)}) and power and {in_time}:
    {asked} = 1
{wrong} = 1 if {asked} and {p}_late else 0
if not {p}_entering:
    {asked} = 0
"""
    times = {late: late_ms} if late_ms > 0 else {}
    # a power cut before the input has believed the press excuses it
    cut = (ModelEvent("power_off", f"{asked} = 0", "power", "the power fails"),)
    variables = (Variable(asked), Variable(wrong, passing=True))
    return StateModel(variables, cut, (), (settle,), times, bad={bad: wrong})
