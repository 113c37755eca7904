"""What things that take turns draw at the most."""

from __future__ import annotations

from farpress.case.case import Case
from farpress.case.supply_ends import device_current_a
from farpress.domain.premises import Together

__all__ = ["together_a"]


def together_a(case: Case, premises: str, turns: Together) -> float | None:
    """Largest current of a group that takes turns, with what follows it [A]; None where one is unknown.

    As many as may be on at their steady current, as many as may be pulling in at theirs, and those that
    are on as long as one of them is. Which of them does not matter: the largest are taken.
    """
    steady = {
        name: device_current_a(case.equipment.devices[f"{premises}/{name}"].sheet)
        for name in (*turns.of, *turns.with_)
    }
    known = {name: amperes for name, amperes in steady.items() if amperes is not None}
    if len(known) < len(steady):
        return None
    starting = {name: max(known[name], _pull_in_a(case, premises, name)) for name in turns.of}
    ordered = sorted(turns.of, key=lambda name: starting[name] - known[name], reverse=True)
    first, others = ordered[: turns.pulling_in], ordered[turns.pulling_in :]
    held = sorted((known[name] for name in others), reverse=True)[: turns.at_most]
    return sum(starting[name] for name in first) + sum(held) + sum(known[name] for name in turns.with_)


def _pull_in_a(case: Case, premises: str, name: str) -> float:
    """Of all pieces of a device; 0 where it is not known, so that the steady current counts."""
    sheet = case.equipment.devices[f"{premises}/{name}"].sheet
    return (sheet.pull_in_a or 0.0) * (sheet.pieces or 1)
