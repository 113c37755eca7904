"""The alarm panel and the receiver's acknowledgement output, as parts of a model.

A panel `p` has `p_st` (set), `p_al` (alarm), `p_ex` and `p_en` (exit and entry time running, in
ticks left). What changes it is remembered for the acknowledgement: the fob or the keypad. All
times in milliseconds.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from farpress.core.rehearsal.model import EventAct, ModelEvent, StateModel, Timer, Variable
from farpress.errors import InputError
from farpress.sources import Mark, cites

__all__ = ["ACKNOWLEDGED", "acknowledgement", "panel"]

_RULE = "semantics of this program"

ACKNOWLEDGED: Final = MappingProxyType({"set": 1, "unset": 2, "unset, alarm cleared": 4})
"""Pulses of an acknowledgement; counts are a parameter, these are common practice without a source."""

_READS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "toggling pulse": "if {i}_rise:\n    {p}_flip = 1\n    {p}_by = {by}",
        "set pulse": "if {i}_rise:\n    {p}_doset = 1\n    {p}_by = {by}",
        "part set pulse": "if {i}_rise:\n    {p}_doset = 1\n    {p}_by = {by}",
        "clear pulse": "if {i}_rise:\n    {p}_al = 0",
        "entry pulse": "if {i}_rise and {p}_st and not {p}_al and {p}_en == 0:\n    {p}_en = {p}_E",
        "unset pulse": "if {i}_rise:\n    {p}_dounset = 1\n    {p}_by = {by}",
        "level": (
            "if {i}_rise:\n    {p}_doset = 1\n    {p}_by = {by}\nif {i}_fall:\n    {p}_dounset = 1\n   "
            " {p}_by ="
            " {by}"
        ),
    }
)


_REFUSED: Final = """
if {p}_refused and not {p}_st:
    {p}_doset = 0
    {p}_toset = 0
    if not ({running}):
        {p}_flip = 0"""
"""A panel that something keeps from being set: it does not begin, and does not end in being set."""


@cites(_RULE, place="panel: toggling, separate, level; keypad; exit and entry time; alarm", mark=Mark.CHOICE)
def panel(
    p: str,
    inputs: Mapping[str, str],
    *,
    exit_ms: int,
    keypad: bool,
    entry_ms: int | None = None,
    others: bool = True,
    by: Mapping[str, int] | None = None,
    refuses: bool = False,
    says: str = "",
) -> StateModel:
    """A panel that is set and unset by inputs and by its keypad.

    A toggling pulse unsets a set panel, ends a running exit time, or begins one. Setting
    while set, and unsetting while unset, do nothing. Opening the way in while set begins the
    entry time: unset before it is over, no alarm; else an alarm as it ends. Unset at the very
    moment it ends may come before or after it. A clearing pulse takes an alarm back and leaves it
    set; a pulse that begins the entry time does what opening the way in does, where there is one. A
    part set is taken for a set.

    Args:
        p: the panel.
        inputs: input name → how it is read.
        exit_ms: time between being told and being set.
        keypad: it has one that people use.
        entry_ms: from opening the way in to the alarm; 0: there is no way in that waits; None: nobody
            comes in.
        others: detectors off the way in too: an alarm at once, at any instant while set. Only with an
            entry time or 0.
        by: input name → who asks through it: 1, or 3 and more; 2 is the keypad. 1 if absent.
        refuses: while the signal `p_refused` stands it is not set, by no input and at no keypad.
        says: its name in a story.

    Raises:
        InputError: an input read in a way that sets nothing.
    """
    unknown = [f"{i}: {reads}" for i, reads in inputs.items() if reads not in _READS]
    if unknown:
        raise InputError(
            f"A panel is not set by an input of the kind {', '.join(unknown)}; it knows {', '.join(_READS)}."
        )
    name = says or "the panel"
    timed = exit_ms > 0
    running = f"{p}_ex > 0" if timed else "0"
    begin = f"{p}_ex = {p}_X\n        {p}_src = {p}_by" if timed else f"{p}_toset = 1"
    stop = f"{p}_ex = 0\n        {p}_src = 0" if timed else "pass"
    enters = entry_ms is not None and entry_ms > 0
    left, entering = (f"\n    {p}_en = 0", f"1 if {p}_en > 0 else 0") if enters else ("", "0")
    kept = {i: reads for i, reads in inputs.items() if enters or reads != "entry pulse"}
    asking = dict(by or {})
    most = max([2, *asking.values()])
    settle = (
        "\n".join(_READS[reads].format(i=i, p=p, by=asking.get(i, 1)) for i, reads in kept.items())
        + (_REFUSED.format(p=p, running=running) if refuses else "")
        + f"""
if {p}_flip:
    if {p}_st:
        {p}_tounset = 1
    elif {running}:
        {stop}
    else:
        {begin}
if {p}_doset:
    if not {p}_st and not ({running}):
        {begin}
if {p}_dounset:
    if {p}_st:
        {p}_tounset = 1
    elif {running}:
        {stop}
if {p}_toset:
    {p}_st = 1
if {p}_tounset:
    {p}_st = 0
    {p}_was_al = {p}_al
    {p}_al = 0{left}
{p}_going = 1 if {p}_st or {running} else 0
{p}_entering = {entering}
"""
    )
    signals = ("flip", "doset", "dounset", "toset", "tounset", "was_al", "going", "entering", "late")
    passing = [Variable(f"{p}_{key}", passing=True) for key in (*signals, *(("refused",) if refuses else ()))]
    variables = [Variable(f"{p}_st"), Variable(f"{p}_al"), Variable(f"{p}_by", most, passing=True), *passing]
    events = (
        [
            ModelEvent(
                f"{p}_alarm",
                f"{p}_al = 1{f'{chr(10)}{p}_en = 0' if enters else ''}",
                f"{p}_st and not {p}_al",
                f"{name} raises an alarm",
                EventAct("alarm", name),
            )
        ]
        if entry_ms is not None and others
        else []
    )
    if enters:
        events.append(
            ModelEvent(
                f"{p}_entry",
                f"{p}_en = {p}_E",
                f"{p}_st and not {p}_al and {p}_en == 0",
                f"somebody opens the way in, {name} waits for its entry time",
                EventAct("entry", name),
            )
        )
    if keypad:
        events.append(
            ModelEvent(
                f"{p}_keypad",
                f"{p}_flip = 1\n{p}_by = 2",
                "1",
                f"somebody uses the keypad of {name}",
                EventAct("keypad", name),
            )
        )
    timers: list[Timer] = []
    times: dict[str, int] = {}
    if timed:
        variables.append(Variable(f"{p}_src", most))
        times[f"{p}_X"] = exit_ms
        timers.append(Timer(f"{p}_ex", f"{p}_X", f"{p}_toset = 1\n{p}_by = {p}_src\n{p}_src = 0"))
    if enters:
        assert entry_ms is not None
        times[f"{p}_E"] = entry_ms
        timers.append(Timer(f"{p}_en", f"{p}_E", f"{p}_al = 1\n{p}_late = 1", counted=True))
    return StateModel(tuple(variables), tuple(events), (), (settle,), times, timers=tuple(timers))


@cites(_RULE, place="acknowledgement pulses inside a window after a heard press", mark=Mark.CHOICE)
def acknowledgement(p: str, presses: tuple[str, ...], *, window_ms: int) -> StateModel:
    """Pulses that a receiver gives when the panel's state changes soon after a heard press.

    A press opens a window that is closed at both ends: a change exactly at its end
    counts. A new heard press begins it again. `p_told` says that pulses are given, `p_code`
    which: 1 set, 2 unset, 3 unset with an alarm cleared, in the event of the change; 0 otherwise.

    Args:
        p: the panel whose state the receiver reads.
        presses: signals of a press seen that ask the panel.
        window_ms: the window.
    """
    heard = " or ".join(presses)
    settle = f"""
if power and ({heard}):
    {p}_win = {p}_W + 1
if ({p}_toset or {p}_tounset) and {p}_win > 0:
    {p}_told = 1
if {p}_toset and {p}_win > 0:
    {p}_code = 1
if {p}_tounset and {p}_win > 0:
    {p}_code = 3 if {p}_was_al else 2
"""
    limit = f"{p}_W1"
    variables = (
        Variable(f"{p}_win", limit),
        Variable(f"{p}_told", passing=True),
        Variable(f"{p}_code", 3, passing=True),
    )
    tick = f"if {p}_win > 0:\n    {p}_win = {p}_win - 1"
    return StateModel(
        variables,
        (ModelEvent("power_off", f"{p}_win = 0", "power", "the power fails"),),
        (tick,),
        (settle,),
        {f"{p}_W": window_ms},
        {limit: lambda t: t[f"{p}_W"] + 1},
    )
