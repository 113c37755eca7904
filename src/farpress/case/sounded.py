"""What else sounds the horn that a function sounds: other functions, and signals of the receivers."""

from __future__ import annotations

from farpress.case.case import Case
from farpress.case.driven import driven_at
from farpress.case.signals import signals_of
from farpress.case.wished import undrawn

__all__ = ["also_sounded_by", "sounded_where"]


def also_sounded_by(case: Case, function: str) -> tuple[str, ...]:
    """Names of what works the same sounder for another purpose, in the order of the job."""
    mine = _sounders(case, function)
    others = [
        f"'{name}'"
        for name, other in case.job.functions.items()
        if name != function and other.kind != "stop" and mine & _sounders(case, name)
    ]
    own = [
        f"the signal '{signal.name}' of {signal.receiver}"
        for signal in signals_of(case)
        if signal.given is not None and f"{signal.premises}/{signal.given.works.split('.')[0]}" in mine
    ]
    return tuple(dict.fromkeys([*others, *own]))


def sounded_where(case: Case, function: str) -> tuple[str, ...]:
    """Premises of the sounders that a function works, or is wished to work."""
    return tuple(dict.fromkeys(path.split("/")[0] for path in sorted(_sounders(case, function))))


def _sounders(case: Case, function: str) -> set[str]:
    """Paths of the sounders that a function works, or is wished to work."""
    worked = [(output.premises, works) for output in case.outputs_of(function) for works in output.works]
    found = (driven_at(case, premises, works) for premises, works in (*worked, *undrawn(case, function)))
    return {driven.path for driven in found if driven.traits.makes_sound and driven.logic not in ("stop",)}
