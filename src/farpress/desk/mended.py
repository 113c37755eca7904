"""Mending as the desk has it done beside the serving of pages: plans looked for, ticked changes tried.

Plain values in, plain values out; each works on the job and its record as they lie in their folder.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from farpress.domain.finding import Change

if TYPE_CHECKING:
    from farpress.mending.telling import PlanTold

__all__ = ["MendWish", "TriedTogether", "planned", "stops_when", "tried"]


@dataclass(frozen=True)
class MendWish:
    """What a plan must keep to.

    Attributes:
        forbid: words of what must not be used.
        keep: things that stay as they are.
        budget_min: most minutes of work on site; None for any.
    """

    forbid: tuple[str, ...] = ()
    keep: tuple[str, ...] = ()
    budget_min: int | None = None


@dataclass(frozen=True)
class TriedTogether:
    """What some changes do together.

    Attributes:
        before, after: promises that fail; None where the job cannot be read with them.
        promises: there are.
        worse: what would be worse, in words, each once.
        refused: why the job cannot be read with them.
    """

    before: int
    after: int | None
    promises: int
    worse: tuple[str, ...] = ()
    refused: str = ""


def stops_when(enough: Path, tell: Callable[[str, int, int], None]) -> Callable[[str, int, int], None]:
    """Progress of a search that ends with the best found as soon as there is such a file.

    Args:
        enough: the file.
        tell: told what is done, how many of how many.
    """

    def progress(what: str, done: int, of: int) -> None:
        if enough.exists():
            raise KeyboardInterrupt
        tell(what, done, of)

    return progress


def planned(folder: Path, wish: MendWish, enough: Path, tell: Callable[[int, int, str], None]) -> PlanTold:
    """The plan of `farpress mend` for the job in a folder.

    Args:
        folder: of the job.
        wish: what it must keep to.
        enough: as soon as there is such a file the best found until then is taken.
        tell: told (done, of, what is tried); may raise to cancel.

    Raises:
        InputError: something kept or forbidden is unknown.
        JobFileError: the job cannot be used.
    """
    from farpress.case.door import open_job
    from farpress.mending.plan import mend
    from farpress.mending.telling import plan_told
    from farpress.quoting.changed_parts import changed_parts
    from farpress.quoting.firm_lists import firm_lists

    progress = stops_when(enough, lambda what, done, of: tell(done, of, f"trying {what}"))

    tell(0, 0, "judging the job as it is")
    case = open_job(folder)
    plan = mend(case, forbid=wish.forbid, keep=wish.keep, budget_min=wish.budget_min, progress=progress)
    return plan_told(plan, changed_parts(case, plan.changed or case, firm_lists()).told)


def tried(folder: Path, changes: tuple[Change, ...], tell: Callable[[str], None]) -> TriedTogether:
    """Some changes made on a copy of the job in a folder and judged; the job itself stays as it is."""
    from farpress.case.door import open_job
    from farpress.domain.finding import Link, Verdict
    from farpress.judging.assess import assess
    from farpress.mending.candidates import Candidate
    from farpress.mending.trying import ChangeTrials
    from farpress.overview.headlines import headline

    tell("judging the job as it is")
    case = open_job(folder)
    before = assess(case)
    tell("judging a copy with the ticked changes")
    trial = ChangeTrials(case, before).of((Candidate("what is ticked", changes, Link.OUTPUT, 0),))
    failing = sum(chain.verdict is Verdict.FAILS for chain in before.promises)
    if trial.after is None:
        return TriedTogether(failing, None, len(before.promises), refused=trial.refused)
    worse = [f"{headline(fresh.code)}: {fresh.about}" for fresh in trial.fresh]
    worse += [f"promise {name}" for name in trial.worse]
    return TriedTogether(
        failing,
        sum(chain.verdict is Verdict.FAILS for chain in trial.after.promises),
        len(before.promises),
        tuple(dict.fromkeys(worse)),
    )
