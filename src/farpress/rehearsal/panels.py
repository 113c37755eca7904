"""What is watched at an alarm panel: out of step, alarms that a press should have kept away,
acknowledgement.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Final

from farpress.case.areas import detectors_of, state_paths
from farpress.case.case import Case, OutputAt
from farpress.case.driven import driven_of, switching
from farpress.core.rehearsal import watches
from farpress.core.rehearsal.model import ModelEvent, StateModel, Variable, join
from farpress.core.rehearsal.panels import acknowledgement
from farpress.rehearsal.site import Site, milliseconds, output_id, receiver_number, signals_of, thing_id

__all__ = [
    "BAD",
    "Watch",
    "acknowledged",
    "alarm_despite_unsetting",
    "asks_unsetting",
    "late_s",
    "out_of_step",
    "pressed_text",
    "slow_perhaps",
]

BAD = "broken"
"""Name of the condition in every model."""

UNNOTICED_S: Final = 1.0
"""A response time that nobody who presses in time would notice; our choice."""

Watch = Callable[[Site], "StateModel | str"]
"""Given a site: the watch as a part of the model, or why nothing can be watched."""


def out_of_step(case: Case, path: str) -> Watch:
    """Watch: after a heard press the panel does not stand as its presser believes."""

    def watch(site: Site) -> StateModel | str:
        thing = site.things.get(path)
        if thing is None:
            return f"{path} is not in the model"
        toggling: dict[str, str] = {}
        setting: dict[str, str] = {}
        unsetting: dict[str, str] = {}
        for output, load in ((fed, load) for fed in site.outputs for load in driven_of(case, fed)):
            if path not in state_paths(case, load) or f"{output_id(output)}_start" not in site.starts:
                continue
            o = output_id(output)
            if load.reads == "level" and output.output.traits.has_two_buttons:
                setting[f"{o}_start"] = pressed_text(output, switching(case, output, "on"))
                unsetting[f"{o}_reset"] = pressed_text(output, switching(case, output, "off"))
            elif load.reads in (
                "toggling pulse",
                "level",
            ):  # a pulse on a level input changes the panel twice: a press cannot leave it as wished
                toggling[f"{o}_start"] = pressed_text(output, output.functions)
            elif load.reading.is_pulse and load.reading.changes_state:
                (setting if load.reading.sets else unsetting)[f"{o}_start"] = pressed_text(
                    output, output.functions
                )
        return watches.falls_out_of_step(
            BAD, thing_id(path), toggling, setting, unsetting, pending=thing.delays
        )

    return watch


def asks_unsetting(case: Case, output: OutputAt, path: str) -> tuple[str, ...]:
    """Signals of an output whose press, while the panel is set, asks it to be unset; none for a set input."""
    o = output_id(output)
    reads = [load.reading for load in driven_of(case, output) if path in state_paths(case, load)]
    if output.output.traits.has_two_buttons and any(kind.unsets and not kind.is_pulse for kind in reads):
        return (f"{o}_reset",)
    return (f"{o}_start",) if any(kind.unsets for kind in reads) else ()


def alarm_despite_unsetting(case: Case, path: str) -> Watch:
    """Watch: an alarm comes although a press to unset was heard in the entry time."""

    def watch(site: Site) -> StateModel | str:
        thing = site.things.get(path)
        if thing is None:
            return f"{path} is not in the model"
        sheet = thing.load.panel.sheet if thing.load.panel is not None else None
        if sheet is None or sheet.entry_s is None:
            return f"the entry time of {path} is not known; read it from the panel, and write 'entry'"
        if sheet.entry_s <= 0 or detectors_of(case, path) == "no entry route":
            return f"{path} has no entry time in which anybody could unset it"
        asking = tuple(
            signal
            for output in site.outputs
            if f"{output_id(output)}_start" in site.starts
            for signal in asks_unsetting(case, output, path)
        )
        return (
            watches.alarm_despite_unsetting(
                BAD, thing_id(path), asking, late_ms=milliseconds(late_s(case, site.outputs, path))
            )
            if asking
            else f"nothing that unsets {path} is in the model"
        )

    return watch


def slow_perhaps(case: Case, outputs: Iterable[OutputAt], path: str) -> Callable[[Site], str]:
    """The question for the first input that unsets a panel and of which nobody says how soon; else empty."""
    loads = [
        load for output in outputs for load in driven_of(case, output) if path in state_paths(case, load)
    ]

    def asked(site: Site) -> str:
        del site
        for load in loads:
            given = (getattr(load.input, name, None) for name in ("response_s", "min_pulse_s"))
            if load.reading.unsets and all(time is None for time in given):
                return f"Read in the manual how soon {load.works} takes effect, and write 'response'."
        return ""

    return asked


def late_s(case: Case, outputs: Iterable[OutputAt], path: str) -> float:
    """How long before the end of an entry time a press may come too late without being wrong [s]: the longest
    response time of the inputs that unset, where people do not notice it; else 0, and every heard press
    counts.
    """
    longest = max(
        (
            getattr(load.input, "response_s", None) or 0.0
            for output in outputs
            for load in driven_of(case, output)
            if path in state_paths(case, load) and load.reading.unsets
        ),
        default=0.0,
    )
    return longest if longest <= UNNOTICED_S else 0.0


def acknowledged(asking: tuple[OutputAt, ...], path: str, window_s: float, *, foreign: bool) -> Watch:
    """Watch: a state asked for is not acknowledged; or, `foreign`, one changed at the keypad is."""

    def watch(site: Site) -> StateModel | str:
        if path not in site.things:
            return f"{path} is not in the model"
        p = thing_id(path)
        heard = signals_of(site, asking)
        window = acknowledgement(p, heard, window_ms=round(window_s * 1000))
        changed = f"({p}_toset or {p}_tounset)"
        own = receiver_number(asking[0])
        bad = (
            f"{changed} and {p}_by == 2 and {p}_told"
            if foreign
            else f"{changed} and {p}_by == {own} and not {p}_told"
        )
        # a power failure after the press excuses the silence: pending pulses are lost
        cut, own_press = f"{BAD}_cut", " or ".join(heard)
        steady = StateModel(
            (Variable(cut),),
            (ModelEvent("power_off", f"{cut} = 1", "power", "the power fails"),),
            (),
            (f"if {own_press}:\n    {cut} = 0",),
        )
        return join([window, steady, StateModel(bad={BAD: f"{bad} and not {cut}"})])

    return watch


def pressed_text(output: OutputAt, functions: tuple[str, ...]) -> str:
    """What is pressed to work an output: functions, or the output itself."""
    return " or ".join(functions) or output.path
