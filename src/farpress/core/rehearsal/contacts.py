"""Inputs of devices and panels: contacts that outputs close, and how long they take to be believed.

An input `i` has a contact, worked by one or several outputs: `i_c` says whether the input takes it
for closed, `i_rise` and `i_fall` that this has just changed. All times in milliseconds.
"""

from __future__ import annotations

from dataclasses import replace

from farpress.core.rehearsal.model import ModelEvent, StateModel, Timer, Variable
from farpress.sources import Mark, cites

__all__ = ["contact", "edge"]

_RULE = "semantics of this program"


@cites(_RULE, place="contact of an input; response time", mark=Mark.CHOICE)
def contact(
    i: str,
    closed: str,
    *,
    at_rest: bool = False,
    lockout_ms: int = 0,
    response_ms: int = 0,
    opens_at_once: bool = False,
) -> StateModel:
    """The contact at an input.

    Args:
        i: the input.
        closed: expression that is true while it is closed.
        at_rest: it is closed before anything happens, as through a break contact.
        lockout_ms: for this long after a closing that counted no other one counts.
        response_ms: a change counts once it has lasted for this long; a shorter one does nothing, one of
            exactly this length counts.
        opens_at_once: only a closing has to last; a pulse is over when its contact opens.
    """
    variables = [
        Variable(f"{i}_rise", passing=True),
        Variable(f"{i}_fall", passing=True),
        Variable(f"{i}_was", start=int(at_rest)),
    ]
    looks = (
        f"{i}_rise = 1 if {i}_c and not {i}_was else 0\n{i}_fall = 1 if {i}_was and not {i}_c else 0\n{i}_was"
        f" = {i}_c"
    )
    if response_ms <= 0:
        variables.append(Variable(f"{i}_c", passing=True))
        model = StateModel(tuple(variables), (), (), (f"{i}_c = 1 if {closed} else 0\n{looks}",))
        return _locked_out(i, model, lockout_ms)
    left, limit, there = f"{i}_rp", f"{i}_R", f"{i}_k"
    variables += [Variable(f"{i}_c", start=int(at_rest)), Variable(there, passing=True)]
    opens, rises = "", ""
    if opens_at_once:
        opens, rises = f"elif not {there}:\n    {i}_c = 0\n", f"\n{i}_rise = {i}_c"
        looks = (
            f"if {i}_c and not {i}_was:\n    {i}_rise = 1\n{i}_fall = 1 if {i}_was and not {i}_c else"
            f" 0\n{i}_was = {i}_c"
        )
    # what is due has lasted long enough, whatever else happens in that instant
    settle = f"""
{there} = 1 if {closed} else 0
if {there} == {i}_c:
    if {left} > {left}_due:
        {left} = 0
{opens}elif {left} == 0:
    {left} = {limit}
{looks}"""
    model = StateModel(
        tuple(variables),
        (),
        (),
        (settle,),
        {limit: response_ms},
        timers=(Timer(left, limit, f"{i}_c = 1 - {i}_c{rises}"),),
    )
    return _locked_out(i, model, lockout_ms)


@cites(_RULE, place="contact that matters only as it closes; response time", mark=Mark.CHOICE)
def edge(i: str, closes: str, *, lockout_ms: int = 0, response_ms: int = 0) -> StateModel:
    """An input that looks at the closing only, worked by outputs without a length.

    Args:
        i: the input.
        closes: expression that is true as they close; they stay so for longer than the response time unless
            the power fails in it.
        lockout_ms, response_ms: as for `contact`.
    """
    signal = (Variable(f"{i}_rise", passing=True),)
    if response_ms <= 0:
        return _locked_out(i, StateModel(signal, (), (), (f"{i}_rise = 1 if {closes} else 0",)), lockout_ms)
    left, limit = f"{i}_rp", f"{i}_R"
    model = StateModel(
        signal,
        (ModelEvent("power_off", f"{left} = 0", "power", "the power fails"),),
        (),
        (f"if ({closes}) and {left} == 0:\n    {left} = {limit}",),
        {limit: response_ms},
        timers=(Timer(left, limit, f"{i}_rise = 1"),),
    )
    return _locked_out(i, model, lockout_ms)


def _locked_out(i: str, model: StateModel, lockout_ms: int) -> StateModel:
    if lockout_ms <= 0:
        return model
    left, limit = f"{i}_lk", f"{i}_K"
    settle = f"if {i}_rise and {left} > 0:\n    {i}_rise = 0\nif {i}_rise:\n    {left} = {limit}"
    return replace(
        model,
        settling=(*model.settling, settle),
        times_ms={**model.times_ms, limit: lockout_ms},
        timers=(*model.timers, Timer(left, limit)),
    )
