"""What a pulse leaves on once its contact has let go: a leaf that stands open, a valve that latches."""

from __future__ import annotations

from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.driven import Driven, driven_of
from farpress.domain.job import Rule

__all__ = ["SHUTTING", "is_latching", "left_on_by_pulse"]

SHUTTING: Final = frozenset({"close", "stop", "safety", "set", "unset"})
"""What a command does that leaves nothing on or open."""


def left_on_by_pulse(case: Case, rule: Rule, output: OutputAt) -> Driven | None:
    """What an output works that stays as a pulse told it; None where it is on with the contact alone, or
    where the rule names the output itself and not what a press does.
    """
    if output.path in rule.of:
        return None
    return next((driven for driven in driven_of(case, output) if _keeps_what_it_was_told(driven)), None)


def _keeps_what_it_was_told(driven: Driven) -> bool:
    """Whether a pulse leaves it open or running; a load is on with its contact, a call ends by itself."""
    if driven.device is None or driven.wants != "pulse":
        return False
    if driven.logic in SHUTTING or driven.logic == driven.traits.shutting_way:
        return False
    if is_latching(driven):
        return True
    if driven.traits.moves or driven.sheet.reverses is not None:
        return True
    inputs = driven.sheet.inputs or {}
    return any(entry.logic in ("close", "stop") for entry in inputs.values())


def is_latching(driven: Driven) -> bool | None:
    """Whether a pulse opens it or switches it on for good: a valve that latches, an impulse relay.

    Told by its input, which wants a pulse. What sounds ends by itself; a lock holds again once it was used.
    None for a load with an input that only opens, of which nobody says whether it is held.
    """
    traits = driven.traits
    is_another = (
        traits.makes_sound or traits.calls_help or traits.is_lock or traits.lets_in or traits.is_unsaid
    )
    if driven.device is None or driven.input is None or not traits.is_load or is_another:
        return False
    if driven.logic in SHUTTING:
        return False
    if driven.input.wants is None:
        return None if driven.logic == "open only" else False
    return bool(driven.input.wants == "pulse")
