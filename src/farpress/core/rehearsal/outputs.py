"""Thumbs, receiver outputs, interlocks and the power, as parts of a model.

Names: an output `o` gives `o_start` (the receiver sees a new press), `o_req` (it wants
its relay on), `o_on` (relay on), `o_rise` (just came on). All times in milliseconds.

Not here: telegrams one by one. A thumb may press and let go at any instant, so what lost
telegrams do to a receiver (the press ends, a new one begins) is among the stories; where
one single press must stay one, see `telegrams`.
"""

from __future__ import annotations

from collections.abc import Iterable

from farpress.core.rehearsal.model import EventAct, ModelEvent, StateModel, Timer, Variable
from farpress.errors import InputError
from farpress.sources import Mark, cites

__all__ = [
    "delayed",
    "ends_the_other",
    "follow_output",
    "interlock",
    "latch_output",
    "late_pulse_output",
    "momentary_output",
    "power",
    "press",
    "pulse_output",
    "relay",
    "telegrams",
    "thumb",
    "toggle_output",
    "wired_interlock",
]

_RULE = "semantics of this program"


def _positive(name: str, value_ms: int) -> None:
    if value_ms <= 0:
        raise InputError(
            f"{name} is {value_ms} ms, but must be longer than 0 (a pulse of no length is none). Read the"
            " length from the data sheet."
        )


@cites(_RULE, place="power", mark=Mark.CHOICE)
def power(*, lost: bool = True, forgetful: Iterable[str] = ()) -> StateModel:
    """The supply of all receivers: a shared input that may fail and return.

    Args:
        lost: it may fail at all.
        forgetful: variables that may or may not survive; both are tried.
    """
    names = (Variable("power", start=1), Variable("power_came", passing=True))
    if not lost:
        return StateModel(names[:1])
    events = [
        ModelEvent("power_off", "power = 0", "power", "the power fails", EventAct("power off")),
        ModelEvent(
            "power_on", "power = 1\npower_came = 1", "not power", "the power returns", EventAct("power on")
        ),
    ]
    cleared = "\n".join(f"{name} = 0" for name in forgetful)
    if cleared:
        events.append(
            ModelEvent(
                "power_on_forgotten",
                f"power = 1\npower_came = 1\n{cleared}",
                "not power",
                "the power returns, states forgotten",
            )
        )
    return StateModel(names, tuple(events))


@cites(_RULE, place="a press seen at once", mark=Mark.CHOICE)
def press(
    name: str, outputs: Iterable[str], *, says: str, also: str = "", act: EventAct | None = None
) -> StateModel:
    """Somebody presses a button for a moment; all its outputs see it together.

    Args:
        name: of the event.
        outputs: the outputs it works.
        says: in the words of a story.
        also: further statements, as a signal that this presser does not see it.
        act: the press as values.
    """
    starts = "\n".join(f"{o}_start = 1" for o in outputs)
    return StateModel((), (ModelEvent(name, f"{starts}\n{also}", "power", says, act),))


@cites(_RULE, place="press, let go, fob's cut-off", mark=Mark.CHOICE)
def thumb(
    name: str,
    *,
    says_press: str,
    says_release: str,
    cut_off_ms: int | None = None,
    also: str = "",
    acts: tuple[EventAct | None, EventAct | None] = (None, None),
) -> StateModel:
    """A thumb that stays on a button; `name_sends` says whether telegrams come.

    Args:
        name: of the thumb; `name_h` is whether it is down.
        says_press, says_release: in the words of a story.
        cut_off_ms: the fob stops by itself after this time; None lets a press last for ever.
        also: further statements of the press.
        acts: press and release as values.
    """
    down, sends, held = f"{name}_h", f"{name}_sends", f"{name}_n"
    variables = [Variable(down), Variable(sends, passing=True)]
    if cut_off_ms is None:
        events = (
            ModelEvent(f"{name}_press", f"{down} = 1\n{also}", f"not {down}", says_press, acts[0]),
            ModelEvent(f"{name}_release", f"{down} = 0", down, says_release, acts[1]),
        )
        return StateModel(tuple(variables), events, (), (f"{sends} = {down}",))
    _positive(f"cut-off of {name}", cut_off_ms)
    limit, was = f"{name}_C", f"{name}_was"
    variables.append(Variable(was))
    events = (
        ModelEvent(f"{name}_press", f"{down} = 1\n{also}", f"not {down}", says_press, acts[0]),
        ModelEvent(f"{name}_release", f"{down} = 0", down, says_release, acts[1]),
    )
    settle = f"""
if not {down}:
    {held} = 0
elif not {was}:
    {held} = {limit}
{was} = {down}
{sends} = 1 if {held} > 0 else 0
"""
    return StateModel(
        tuple(variables), events, (), (settle,), {limit: cut_off_ms}, timers=(Timer(held, limit),)
    )


def _signals(o: str) -> tuple[Variable, ...]:
    return (Variable(f"{o}_start", passing=True), Variable(f"{o}_req", passing=True))


@cites(_RULE, place="contact that matters only as it closes", mark=Mark.CHOICE)
def momentary_output(o: str) -> StateModel:
    """A pulse whose length does not matter: on in the event of the press only."""
    return StateModel(_signals(o), (), (), (f"{o}_req = 1 if {o}_start and power else 0",))


@cites(_RULE, place="pulse", mark=Mark.CHOICE)
def pulse_output(o: str, *, for_ms: int, retrigger: bool, resumes: bool = False) -> StateModel:
    """A pulse of fixed length from the start of the press.

    Args:
        o: the output.
        for_ms: its length.
        retrigger: a further press starts the time anew; else it does nothing.
        resumes: the rest of the time runs on after a power failure; else it is lost.
    """
    _positive(f"the pulse of {o}", for_ms)
    t, length = f"{o}_t", f"{o}_L"
    accept = f"{o}_start and power" if retrigger else f"{o}_start and power and {t} == 0"
    settle = f"if {accept}:\n    {t} = {length}\n{o}_req = 1 if power and {t} > 0 else 0"
    events = () if resumes else (ModelEvent("power_off", f"{t} = 0", "power", "the power fails"),)
    return StateModel(
        _signals(o), events, (), (settle,), {length: for_ms}, timers=(Timer(t, length, runs_while="power"),)
    )


@cites(_RULE, place="pulse that begins later", mark=Mark.CHOICE)
def late_pulse_output(
    o: str, *, delay_ms: int, for_ms: int, retrigger: bool, resumes: bool = False
) -> StateModel:
    """A pulse of fixed length that begins some time after the press.

    Args:
        o: the output.
        delay_ms: from the press until it begins.
        for_ms: its length.
        retrigger: a further press starts the delay anew, and the pulse at its end; else it does nothing.
        resumes: the rest of both times runs on after a power failure; else it is lost.
    """
    _positive(f"the pulse of {o}", for_ms)
    _positive(f"the delay of {o}", delay_ms)
    t, length, d, delay = f"{o}_t", f"{o}_L", f"{o}_d", f"{o}_A"
    accept = f"{o}_start and power"
    if not retrigger:
        accept += f" and {t} == 0 and {d} == 0"
    settle = f"if {accept}:\n    {d} = {delay}\n{o}_req = 1 if power and {t} > 0 else 0"
    lost = f"{t} = 0\n{d} = 0"
    events = () if resumes else (ModelEvent("power_off", lost, "power", "the power fails"),)
    return StateModel(
        _signals(o),
        events,
        (),
        (settle,),
        {length: for_ms, delay: delay_ms},
        timers=(
            Timer(t, length, runs_while="power"),
            Timer(d, delay, ends=f"{t} = {length}", runs_while="power"),
        ),
    )


@cites(_RULE, place="on later, off later", mark=Mark.CHOICE)
def delayed(o: str, *, on_ms: int = 0, off_ms: int = 0) -> StateModel:
    """A time relay behind an output that is held, toggled or latched; stands after the output itself.

    Args:
        o: the output.
        on_ms: it must be wanted for so long before it comes on; 0: at once.
        off_ms: it stays on for so long after it is wanted no more, if it was on; 0: not at all.
    """
    raw, d, f = f"{o}_raw", f"{o}_d", f"{o}_f"
    on, off = f"{o}_A", f"{o}_Z"
    settle = f"""
if {o}_req and not {raw}:
    {d} = {on}
    {f} = 0
if {raw} and not {o}_req:
    if {d} == 0:
        {f} = {off}
    {d} = 0
{raw} = {o}_req
{o}_req = 1 if power and (({raw} and {d} == 0) or {f} > 0) else 0
"""
    return StateModel(
        (Variable(raw), Variable(f"{o}_req", passing=True)),
        (ModelEvent("power_off", f"{raw} = 0\n{d} = 0\n{f} = 0", "power", "the power fails"),),
        (),
        (settle,),
        {on: on_ms, off: off_ms},
        timers=(Timer(d, on, runs_while="power"), Timer(f, off, runs_while="power")),
    )


@cites(_RULE, place="toggle", mark=Mark.CHOICE)
def toggle_output(o: str, *, keeps: bool) -> StateModel:
    """An output that each seen press flips.

    Args:
        o: the output.
        keeps: its state survives a power failure (as before); else it is off.
    """
    events = () if keeps else (ModelEvent("power_off", f"{o}_s = 0", "power", "the power fails"),)
    settle = f"if {o}_start and power:\n    {o}_s = 1 - {o}_s\n{o}_req = 1 if power and {o}_s else 0"
    return StateModel((*_signals(o), Variable(f"{o}_s")), events, (), (settle,))


@cites(_RULE, place="two-button latch", mark=Mark.CHOICE)
def latch_output(o: str, *, keeps: bool) -> StateModel:
    """An output that one button sets (`o_start`) and another resets (`o_reset`); both at once: reset wins.

    Args:
        o: the output.
        keeps: its state survives a power failure (as before); else it is off.
    """
    events = () if keeps else (ModelEvent("power_off", f"{o}_s = 0", "power", "the power fails"),)
    settle = (
        f"if {o}_start and power:\n    {o}_s = 1\nif {o}_reset and power:\n    {o}_s = 0\n{o}_req = 1 if"
        f" power and {o}_s else 0"
    )
    return StateModel(
        (*_signals(o), Variable(f"{o}_reset", passing=True), Variable(f"{o}_s")), events, (), (settle,)
    )


@cites(_RULE, place="follow", mark=Mark.CHOICE)
def follow_output(o: str, thumbs: Iterable[str], *, dropout_ms: int) -> StateModel:
    """Active while telegrams of any thumb come, and for the drop-out time after the last.

    Args:
        o: the output.
        thumbs: names of the thumbs that work it.
        dropout_ms: time without a telegram until the press counts as ended.
    """
    _positive(f"the drop-out time of {o}", dropout_ms)
    u, limit, sent = f"{o}_u", f"{o}_D", " or ".join(f"{name}_sends" for name in thumbs)
    was, comes = f"{o}_sent", f"{o}_comes"
    settle = (
        f"{comes} = 1 if power and ({sent}) else 0\nif {comes}:\n    if {u} == 0:\n        {o}_start = 1\n   "
        f" {u} = {limit}\n{was} = {comes}\n{o}_req = 1 if power and {u} > 0 else 0"
    )
    variables = (*_signals(o), Variable(was), Variable(comes, passing=True))
    return StateModel(
        variables,
        (ModelEvent("power_off", f"{u} = 0", "power", "the power fails"),),
        (),
        (settle,),
        {limit: dropout_ms},
        timers=(Timer(u, limit, runs_while=f"not {was}"),),
    )


@cites(_RULE, place="relay", mark=Mark.CHOICE)
def relay(o: str) -> StateModel:
    """The relay of an output that nothing holds back: on as wanted."""
    return StateModel((Variable(f"{o}_on", passing=True),), (), (), (f"{o}_on = {o}_req",))


@cites(_RULE, place="interlock of two outputs", mark=Mark.CHOICE)
def interlock(a: str, b: str, *, pause_ms: int) -> StateModel:
    """Two relays that are never on together: off first, then `pause_ms` from relay off.

    Wanted both at once, both stay off; see `ends_the_other` for pulses and toggles.
    """
    m, p, limit, wanted = f"{a}_{b}_m", f"{a}_{b}_p", f"{a}_{b}_R", f"{a}_{b}_w"
    settle = f"""
{wanted} = 1 if {a}_req and not {b}_req else 2 if {b}_req and not {a}_req else 0
if {m} and {m} != {wanted}:
    {m} = 0
    {p} = {limit}
if {m} == 0 and {wanted} and {p} == 0:
    {m} = {wanted}
{a}_on = 1 if {m} == 1 else 0
{b}_on = 1 if {m} == 2 else 0
"""
    variables = (
        Variable(m, 2),
        Variable(wanted, 2, passing=True),
        Variable(f"{a}_on", passing=True),
        Variable(f"{b}_on", passing=True),
    )
    return StateModel(variables, (), (), (settle,), {limit: max(pause_ms, 0)}, timers=(Timer(p, limit),))


@cites(_RULE, place="relays interlocked by wiring", mark=Mark.CHOICE)
def wired_interlock(a: str, b: str) -> StateModel:
    """Two relays, each fed through the other's break contact: the first one on keeps the other off; no
    pause.
    """
    m = f"{a}_{b}_m"
    settle = f"""
if ({m} == 1 and not {a}_req) or ({m} == 2 and not {b}_req):
    {m} = 0
if {m} == 0:
    {m} = 1 if {a}_req else 2 if {b}_req else 0
{a}_on = 1 if {m} == 1 else 0
{b}_on = 1 if {m} == 2 else 0
"""
    return StateModel(
        (Variable(m, 2), Variable(f"{a}_on", passing=True), Variable(f"{b}_on", passing=True)),
        (),
        (),
        (settle,),
    )


@cites(_RULE, place="interlock: the second press ends the first", mark=Mark.CHOICE)
def ends_the_other(a: str, other: str) -> StateModel:
    """A new press of output `a` puts a timer or state of the other one to 0; stands before both."""
    return StateModel(
        (Variable(f"{a}_start", passing=True),), (), (), (f"if {a}_start and power:\n    {other} = 0",)
    )


@cites("semantics of this program", place="telegrams one by one", mark=Mark.CHOICE)
def telegrams(
    name: str,
    outputs: Iterable[str],
    *,
    repeat_ms: int,
    cut_off_ms: int,
    losses_to_split: int,
    needed: int = 1,
    says: str = "",
) -> StateModel:
    """One fob held down, each telegram heard or lost: a tick is one telegram period.

    Two events stand for time passing, `tick_heard` and `tick_lost`, so a model with this
    part has no tick of its own. `name_seen` counts the presses seen in one hold, up to 2.

    Args:
        name: of the fob.
        outputs: the outputs its button works.
        repeat_ms, cut_off_ms: pace of the telegrams, and when the fob gives up.
        losses_to_split: lost telegrams in a row that end a press.
        needed: equal telegrams wanted in a row to begin one.
        says: who holds what, for a story.
    """
    _positive("the telegram period", repeat_ms)
    n, held, act, gap, row, seen, most = (
        f"{name}_{key}" for key in ("n", "held", "act", "gap", "row", "seen", "N")
    )
    starts = "".join(f"\n        {o}_start = 1" for o in outputs)
    heard = f"""
{gap} = 0
if not {act}:
    {row} = {row} + 1
    if {row} >= {needed}:
        {act} = 1
        {row} = 0
        {seen} = {seen} + 1 if {seen} < 2 else 2{starts}
"""
    lost = (
        f"{row} = 0\nif {act}:\n    {gap} = {gap} + 1\n    if {gap} >= {max(losses_to_split, 1)}:\n       "
        f" {act} = 0\n        {gap} = 0"
    )
    sent = f"{n} = {n} + 1\n"
    still = f"{n} = 0\n{seen} = 0\n{held} = 0\n"
    events = (
        ModelEvent(
            "hold",
            f"{held} = 1\n{n} = 0\n{seen} = 0",
            f"not {held}",
            says or "the button is pressed and held",
        ),
        ModelEvent("tick_heard", sent + heard, f"{held} and {n} < {most}", "a telegram is heard"),
        ModelEvent("tick_lost", sent + lost, f"{held} and {n} < {most}", "a telegram is lost"),
        ModelEvent("tick_still", still + lost, f"not {held} or {n} >= {most}", "no telegram is sent"),
        ModelEvent("let_go", f"{held} = 0\n{n} = 0\n{seen} = 0", held, "the button is let go"),
    )
    variables = (
        Variable(n, most),
        Variable(held),
        Variable(act),
        Variable(gap, max(losses_to_split, 1)),
        Variable(row, needed),
        Variable(seen, 2),
    )
    return StateModel(variables, events, (), (), {}, {most: max(cut_off_ms // repeat_ms, 1)})
