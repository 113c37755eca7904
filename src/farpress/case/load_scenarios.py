"""Who can be on together on one supply: at rest, with each function pressed, with everything on.

What stays on by itself (a toggle, a pulse of a minute or more) is taken to be on already when
a button is pressed. That all short pulses meet in the same second is possible, and shown apart.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from farpress.case.cabling import End, exclusion_key, mirror_of
from farpress.case.case import Case, OutputAt
from farpress.domain.refs import DeviceRef, ReceiverRef

__all__ = ["LASTING_S", "Scenario", "heaviest_press", "scenarios"]

LASTING_S: Final = 60.0
"""A pulse of this length or more may well be running when the next button is pressed [s]; our choice."""


@dataclass(frozen=True)
class Scenario:
    """What one moment draws from a supply.

    Attributes:
        name: "at rest", "everything on", or the name of a function.
        amperes: all ends together, without charging and other load; unknown currents count as none [A].
        on: who draws more than at rest.
    """

    name: str
    amperes: float
    on: tuple[str, ...]


def scenarios(case: Case, premises: str, ends: tuple[End, ...]) -> tuple[Scenario, ...]:
    """At rest, then each function that works something on this supply, then everything on.

    Args:
        case: the job.
        premises: its premises.
        ends: of one of its supplies.
    """
    outputs = tuple(output for output in case.outputs() if output.premises == premises)
    lasting = tuple(
        output
        for output in outputs
        if output.output.traits.keeps_state
        or (output.output.traits.wants_length and (output.output.for_s or 0.0) >= LASTING_S)
    )
    touched = {output.path for output in outputs if any(_works(end, output) for end in ends)}
    made = [_scenario("at rest", ends, ())]
    for name, function in case.job.functions.items():
        pressed = tuple(output for output in outputs if output.path in function.paths)
        if any(output.path in touched for output in pressed):
            away = {mirror_of(output) for output in pressed} - {""}
            made.append(
                _scenario(
                    name,
                    ends,
                    (
                        *pressed,
                        *(
                            output
                            for output in lasting
                            if output not in pressed and mirror_of(output) not in away
                        ),
                    ),
                )
            )
    made.append(_scenario("everything on", ends, outputs))
    return tuple(made)


def heaviest_press(found: tuple[Scenario, ...]) -> Scenario | None:
    """Of the functions pressed one at a time the one that draws most; None where none is described."""
    return max(
        (scenario for scenario in found if scenario.name not in ("at rest", "everything on")),
        key=lambda scenario: scenario.amperes,
        default=None,
    )


def _scenario(name: str, ends: tuple[End, ...], on: tuple[OutputAt, ...]) -> Scenario:
    groups: dict[str, tuple[float, str]] = {}
    for number, end in enumerate(ends):
        drawn, is_on = _drawn(end, on)
        key = exclusion_key(end, number)
        if drawn >= groups.get(key, (0.0, ""))[0]:
            groups[key] = (drawn, end.who if is_on else "")
    return Scenario(
        name,
        sum(drawn for drawn, _ in groups.values()),
        tuple(dict.fromkeys(who for _, who in groups.values() if who)),
    )


def _drawn(end: End, on: tuple[OutputAt, ...]) -> tuple[float, bool]:
    """What an end draws with some outputs on, and whether that is more than at rest."""
    if end.is_receiver:
        mine = [output for output in on if ReceiverRef(output.receiver_path) in end.subjects]
        pulled = len({mirror_of(output) or output.path for output in mine})
        if end.rest_a is None or end.relay_a is None:
            return (end.amperes or end.rest_a or 0.0), bool(mine)
        return end.rest_a + pulled * end.relay_a, bool(mine)
    if any(_works(end, output) for output in on):
        # a break contact lets go: what it feeds stops drawing
        full, rest = end.amperes or 0.0, end.rest_a or 0.0
        if end.at is None or end.at.output.contact == "normally open" or end.is_coil:
            return full, True
        return (min(full, rest) if end.rest_a is not None else full), False
    return (end.rest_a if end.rest_a is not None else end.amperes or 0.0), False


def _works(end: End, output: OutputAt) -> bool:
    """Whether an output changes what an end draws."""
    if end.is_receiver:
        return ReceiverRef(output.receiver_path) in end.subjects
    if end.at is not None:
        return end.at.path == output.path
    return any(
        DeviceRef(f"{output.premises}/{works.split('.')[0]}") in end.subjects for works in output.works
    )
