"""Changes that no test could notice, each with its reason; `mutate_judging` lists them apart."""

from __future__ import annotations

from typing import Final

from judging_mutants import JUDGING, Mutant

__all__ = ["why_unnoticed"]

_STEP: Final = "step = 0.5 if below is None else min(max(above / (above - below), 0.02), 0.98)"
_ONLY_A_STEP: Final = (
    "where a search goes next: what it tries is taken only if it is enough, and it ends within a millivolt"
)
_DEGC: Final = "degc=20.0 if group.coldest_degc is None else max(group.coldest_degc, -40.0)"

EQUIVALENT: Final[dict[tuple[str, str, str], str]] = {
    ("supply/copper.py", _STEP, _STEP.replace("0.5", "0.65")): _ONLY_A_STEP,
    ("supply/copper.py", _STEP, _STEP.replace("0.02", "0.026000000000000002")): _ONLY_A_STEP,
    ("supply/copper.py", _STEP, _STEP.replace("0.98", "1.274")): _ONLY_A_STEP,
    (
        "supply/copper.py",
        "_STEPS: Final = 14",
        "_STEPS: Final = 18",
    ): "the search has ended within a millivolt before, and what it has is enough at every step",
    ("fob/cell_plan.py", _DEGC, _DEGC.replace("20.0", "26.0")): "a cell gains nothing by more than 20 °C",
}
"""File below judging, the expression as it is, and as it is changed → why nobody can tell."""


def why_unnoticed(mutant: Mutant) -> str:
    """The reason; empty where a test could notice the change."""
    file = mutant.file.relative_to(JUDGING).as_posix()
    return EQUIVALENT.get((file, mutant.was, mutant.now), "")
