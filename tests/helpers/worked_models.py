"""Six small behaviours worked out by hand, each with its counts and shortest story.

The models and their counts were made once with a separate explicit search and with spin
6.5.2, which agree; they stand here as numbers to be met exactly. "Steps" counts every
event, ticks included; "ticks" only the ticks.
"""

from __future__ import annotations

from dataclasses import dataclass

from farpress.core.rehearsal.model import ModelEvent, StateModel, Variable


@dataclass(frozen=True)
class Worked:
    """One worked case: the model and what a search of it gives."""

    name: str
    model: StateModel
    states: int
    transitions: int
    steps: int | None
    ticks: int | None


def _toggle(k: int, n: int) -> StateModel:
    def step(held: int, heard: int) -> str:
        return f"""
if {held}:
    if not held:
        held = 1
        n = 0
        flips = 0
    if n < {n}:
        n = n + 1
        sent = 1
else:
    held = 0
    n = 0
    flips = 0
if sent and {heard}:
    gap = 0
    if not active:
        active = 1
        lamp = 1 - lamp
        flips = flips + 1 if flips < 2 else 2
elif active:
    gap = gap + 1
    if gap == {k}:
        active = 0
        gap = 0
"""

    names = [
        Variable("held"),
        Variable("n", n),
        Variable("active"),
        Variable("gap", k),
        Variable("lamp"),
        Variable("flips", 2),
        Variable("sent", passing=True),
    ]
    events = (
        ModelEvent("tick_idle", step(0, 0)),
        ModelEvent("tick_heard", step(1, 1)),
        ModelEvent("tick_lost", step(1, 0)),
    )
    return StateModel(tuple(names), events, bad={"flipped twice": "flips == 2"})


def _shutter(run_on: int, pause: int, needed: int, *, interlock: bool) -> StateModel:
    # u: up, d: down; c: thumb on it, t: run-on
    settle = "au = 1 if cu or tu > 0 else 0\nad = 1 if cd or td > 0 else 0\n"
    if interlock:
        settle += f"""
rq = 1 if au and not ad else 2 if ad and not au else 0
if m and m != rq:
    last = m
    s = 0
    p = {pause}
    m = 0
if m == 0 and rq and p == 0:
    m = rq
"""
        bad = f"m and last and m != last and s < {needed}"
    else:
        settle += "m = 3 if au and ad else 1 if au else 2 if ad else 0\n"
        bad = "m == 3"
    tick = f"""
if last and not m:
    s = s + 1 if s < {needed} else {needed}
if tu:
    tu = tu - 1
if td:
    td = td - 1
if p:
    p = p - 1
"""
    thumb = "if c{0}:\n    c{0} = 0\n    t{0} = {1}\nelse:\n    c{0} = 1\n    t{0} = 0\n"
    names = (
        Variable("cu"),
        Variable("cd"),
        Variable("tu", run_on),
        Variable("td", run_on),
        Variable("m", 3),
        Variable("p", max(pause, 1)),
        Variable("last", 2),
        Variable("s", max(needed, 1)),
        Variable("au", passing=True),
        Variable("ad", passing=True),
        Variable("rq", 2, passing=True),
    )
    return StateModel(
        names,
        (ModelEvent("up", thumb.format("u", run_on)), ModelEvent("down", thumb.format("d", run_on))),
        (tick,),
        (settle,),
        bad={"broken": bad},
    )


def _acknowledge(window: int, exit_: int, bad: int) -> StateModel:
    change = """
code = 0
b = 0
if ch:
    if wn > 0:
        code = 1 if ns == 1 else 3 if al else 2
    b = 1 if sr == 1 and code == 0 else 2 if sr == 2 and code > 0 else 0
    st = ns
    if ns == 0:
        al = 0
    ex = 0
    src = 0
"""
    ask = """
if st:
    ch = 1
    ns = 0
elif ex:
    ex = 0
    src = 0
    al = 0
elif {exit} == 0:
    ch = 1
    ns = 1
else:
    ex = {exit}
    src = sr
    al = 0
"""
    fob = f"sr = 1\nwn = {window + 1}\n{ask.format(exit=exit_)}{change}\nw = wn"
    keypad = f"sr = 2\nwn = w\n{ask.format(exit=exit_)}{change}\nw = wn"
    tick = f"""
wn = w - 1 if w > 0 else 0
if ex == 1:
    ch = 1
    ns = 1
    sr = src
elif ex:
    ex = ex - 1
{change}
w = wn
"""
    names = (
        Variable("st"),
        Variable("ex", max(exit_, 1)),
        Variable("src", 2),
        Variable("w", window + 1),
        Variable("al"),
        Variable("code", 3),
        Variable("b", 2),
        Variable("wn", window + 1, passing=True),
        Variable("ch", passing=True),
        Variable("ns", passing=True),
        Variable("sr", 2, passing=True),
    )
    events = (
        ModelEvent("fob", fob),
        ModelEvent("keypad", keypad),
        ModelEvent("alarm", "al = 1\ncode = 0\nb = 0", "st and not al"),
    )
    return StateModel(names, events, (tick,), bad={"broken": f"b == {bad}"})


def _leaf(travel: int, enter: int, dwell: int, *, step: bool, loop: bool) -> StateModel:
    settle = f"""
if mode == 1 and pos == {travel}:
    mode = 2
    dw = 0
if mode == 3 and pos == 0:
    mode = 0
    dw = 0
"""
    if loop:
        settle += (
            f"if car and mode == 3:\n    mode = 1\n    dw = 0\nif mode == 1 and pos == {travel}:\n    mode ="
            " 2\n    dw = 0\n"
        )
    if step:
        press = ModelEvent("press", "mode = 0 if mode == 3 else mode + 1\ndw = 0")
    else:
        press = ModelEvent(
            "press", "if mode == 0 or mode == 3:\n    mode = 1\n    dw = 0\nelif mode == 2:\n    dw = 0"
        )
    held = (
        "if car:\n        dw = 0\n    elif dw + 1 == {0}:\n        mode = 3\n        dw = 0\n    else:\n     "
        "   dw = dw + 1"
        if loop
        else "if dw + 1 == {0}:\n        mode = 3\n        dw = 0\n    else:\n        dw = dw + 1"
    )
    tick = f"""
if mode == 1:
    pos = pos + 1
    dw = 0
elif mode == 3:
    pos = pos - 1
    dw = 0
elif mode == 2 and {dwell} > 0 and pos == {travel}:
    {held.format(dwell)}
"""
    names = (Variable("pos", travel), Variable("mode", 3), Variable("dw", max(dwell, 1)), Variable("car"))
    events = (
        press,
        ModelEvent("car_in", "car = 1", f"not car and pos >= {enter}"),
        ModelEvent("car_out", "car = 0", "car"),
    )
    return StateModel(names, events, (tick,), (settle,), bad={"closes on a car": "mode == 3 and car"})


def _valve(
    length: int, limit: int, longest: int, *, retrigger: bool, resume: bool, reopened: bool = False
) -> StateModel:
    tick = f"""
if pw:
    op = 1 if t > 0 and not ({longest} > 0 and mx >= {longest}) else 0
    if op:
        c = c + 1 if c <= {limit} else {limit + 1}
        if {longest} > 0:
            mx = mx + 1 if mx < {longest} else {longest}
    else:
        c = 0
    t = t - 1 if t > 0 else 0
    if t == 0:
        mx = 0
        r = 0
        if c <= {limit}:
            c = 0
"""
    events = (
        ModelEvent("press", f"t = {length}\nr = 0", f"pw and (t == 0 or {int(retrigger)})"),
        ModelEvent("power_off", "pw = 0\nc = 0\nmx = 0\nr = 0" + ("" if resume else "\nt = 0"), "pw"),
        ModelEvent("power_on", "pw = 1\nr = 1 if t > 0 else 0", "not pw"),
    )
    names = (
        Variable("t", length),
        Variable("c", limit + 1),
        Variable("mx", max(longest, 1)),
        Variable("r"),
        Variable("pw", start=1),
        Variable("op", passing=True),
    )
    # a tick puts the counter back when it is below the limit, so the condition is looked at after events of
    # all kinds
    return StateModel(names, events, (tick,), bad={"broken": "r and t > 0" if reopened else f"c > {limit}"})


WORKED = (
    Worked("P1 lossy toggle", _toggle(3, 20), 426, 1278, 5, 5),
    Worked("P2a shutter without interlock", _shutter(4, 0, 0, interlock=False), 36, 108, 2, 0),
    Worked("P2b shutter, pause 3 of 5", _shutter(4, 3, 5, interlock=True), 359, 1077, 7, 4),
    Worked("P2c shutter, pause 5 of 5", _shutter(4, 5, 5, interlock=True), 359, 1077, None, None),
    Worked("P3a acknowledgement, exit 30", _acknowledge(5, 30, 1), 93, 281, 31, 30),
    Worked("P3b acknowledgement, keypad", _acknowledge(5, 0, 2), 40, 133, 2, 0),
    Worked("P3c acknowledgement, exit 0", _acknowledge(5, 0, 1), 40, 133, None, None),
    Worked("P4 step by step", _leaf(6, 6, 0, step=True, loop=False), 52, 133, 9, 6),
    Worked("P5a timed closing, no loop", _leaf(6, 6, 10, step=False, loop=False), 46, 126, 18, 16),
    Worked("P5b timed closing, loop", _leaf(6, 3, 10, step=False, loop=True), 36, 102, None, None),
    Worked(
        "P6a valve, retriggerable, resumes", _valve(20, 45, 0, retrigger=True, resume=True), 983, 2928, 49, 46
    ),
    Worked(
        "P6b valve reopened by power",
        _valve(20, 45, 0, retrigger=True, resume=True, reopened=True),
        983,
        2928,
        3,
        0,
    ),
    Worked(
        "P6c valve, longest run 45", _valve(20, 45, 45, retrigger=True, resume=False), 752, 2255, None, None
    ),
    Worked(
        "P6d valve, not retriggerable", _valve(20, 45, 0, retrigger=False, resume=False), 22, 45, None, None
    ),
)
