"""Where a press turns what it works round and its state must be known: a pulse in place of the toggle.

What is let go by itself at the end of the pulse is in one state whoever pressed before. An alarm that is set
and unset by one toggle is mended elsewhere (`set_and_unset`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.driven import Driven, driven_of
from farpress.case.left_alone import bears, must_run
from farpress.domain.device_sheets import PanelInput
from farpress.domain.finding import Change, Finding, Link
from farpress.mending.candidates import Candidate
from farpress.mending.structural.failing import failing_outputs
from farpress.units import write_quantity

__all__ = ["pulses"]

_CODES: Final = frozenset({"OUT-02", "RULE-06", "RULE-09", "RULE-10", "RULE-11"})

_RELEASE_S: Final = 5.0
"""A door that a pulse frees; time to push it open. Our choice."""

_COMMAND_S: Final = 1.0
"""A command to an input, where nothing says how long; our choice."""

_OFF_SHARE: Final = 0.5
"""What must run is taken off for so much of the time that it may be off; our choice."""

_MINUTES: Final = 10
"""Kind and time set at the receiver, and shown to those who press; our choice."""


def pulses(case: Case, findings: Iterable[Finding]) -> Iterator[Candidate]:
    """A pulse for each output that toggles where a finding fails, but for those that set and unset."""
    for path in failing_outputs(findings, _CODES):
        output = case.output(path)
        if output is None or not output.output.traits.turns_round:
            continue
        if any(case.job.functions[name].kind == "set and unset" for name in output.functions):
            continue
        kept_on = [driven for driven in driven_of(case, output) if must_run(driven)]
        if kept_on:  # a pulse on its make contact would leave it off for good
            yield from _taken_off(case, output, kept_on)
            continue
        length_s = _length_s(case, output)
        if length_s is None:
            continue
        length = write_quantity(length_s, "time")
        root = ("premises", output.premises, "receivers", output.receiver, "outputs", output.number)
        yield Candidate(
            f"A pulse of {length} at output {output.number} of {output.receiver} instead of a toggle: what it"
            " works goes back by itself",
            (Change((*root, "kind"), "pulse"), Change((*root, "for"), length)),
            Link.OUTPUT,
            _MINUTES,
        )


def _taken_off(case: Case, output: OutputAt, kept_on: list[Driven]) -> Iterator[Candidate]:
    """A pulse over the break contact, half as long as it may be off; none where nobody says how long."""
    borne = [bears(driven).seconds for driven in kept_on]
    known = [seconds for seconds in borne if seconds is not None]
    if len(known) < len(borne):
        return
    most = case.equipment.receivers[output.receiver_path].sheet.pulse_max_s
    length_s = min([*(_OFF_SHARE * seconds for seconds in known), *([] if most is None else [most])])
    length = write_quantity(60.0 * (length_s // 60.0) if length_s >= 60.0 else length_s, "time")
    root = ("premises", output.premises, "receivers", output.receiver, "outputs", output.number)
    yield Candidate(
        f"A pulse of {length} over the break contact of output {output.number} of {output.receiver}"
        " instead of a toggle: what it works runs without the receiver, and comes back by itself",
        (
            Change((*root, "kind"), "pulse"),
            Change((*root, "for"), length),
            Change((*root, "contact"), "normally closed"),
        ),
        Link.OUTPUT,
        _MINUTES,
    )


def _length_s(case: Case, output: OutputAt) -> float | None:
    """Long enough for every input; a release as long as somebody takes to push; what is to stay on as long as
    the customer wants it, and None where he says nothing: a pump of one second is no cure [s].
    """
    if any(case.job.functions[name].kind == "unlock" for name in output.functions):
        return _RELEASE_S
    loads = driven_of(case, output)
    if any(load.traits.is_load and not load.traits.is_lock and load.wants == "maintained" for load in loads):
        return (
            max((case.job.functions[name].lasts_s or 0.0 for name in output.functions), default=0.0) or None
        )
    entries = [load.input for load in loads if load.input is not None]
    needs = [
        max(entry.min_pulse_s or 0.0, (entry.response_s or 0.0) if isinstance(entry, PanelInput) else 0.0)
        for entry in entries
    ]
    return max((_COMMAND_S, *(2.0 * seconds for seconds in needs)))
