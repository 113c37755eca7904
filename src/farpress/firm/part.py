"""A part turned out worse than its data sheet: which jobs use it, and whose promises change.

Nothing is changed on the shelf. Values that a job gives in place (measured there) win over
the part's, as always.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from farpress.domain.acts import PartDoubted
from farpress.errors import InputError
from farpress.firm.judging import Question
from farpress.firm.run import FirmRun, RunProgress, run_jobs
from farpress.firm.shelf import Firm

__all__ = ["Changed", "Doubt", "doubt_part"]


@dataclass(frozen=True)
class Changed:
    """One promise that turns out otherwise.

    Attributes:
        job, promise: which; `says` in words.
        before, after: its verdict; both the same where it failed anyway and another link got worse.
        links: those that got worse or better.
        because: what the first of these links says with the doubted values.
    """

    job: str
    promise: str
    says: str
    before: str
    after: str
    links: tuple[str, ...]
    because: str


@dataclass(frozen=True)
class Doubt:
    """What follows from a part's worse values.

    Attributes:
        jobs: every job that uses the part.
        changed: promises with a link that turns out otherwise, the worst first.
        broken: job → why it could not be judged.
        stopped: the run was cancelled; what is missing is not in `changed`.
    """

    jobs: tuple[str, ...]
    changed: tuple[Changed, ...]
    broken: dict[str, list[str]]
    stopped: bool


def doubt_part(
    firm: Firm,
    part: str,
    values: Mapping[str, str],
    *,
    workers: int = 1,
    scheduler: str = "",
    progress: Callable[[RunProgress], None] | None = None,
    stop: Callable[[], bool] = lambda: False,
) -> Doubt:
    """Judge every open job that uses a part, as it stands and with the part's worse values.

    Args:
        firm: whose shelf.
        part: name as in the job files or the catalogue.
        values: key → value with unit, as {"sensitivity": "-97 dBm"}.
        workers, scheduler, progress, stop: as for `firm_run.run_jobs`.

    Raises:
        InputError: no job uses such a part, no value is given, or one does not fit the part.
    """
    firm.may("design")
    if not values:
        raise InputError("Say which value is worse, as: sensitivity='-97 dBm'.")
    jobs = tuple(entry.job for entry in firm.shelf.entries(named=("part", part)))
    if not jobs:
        from farpress.phrases import closest

        raise InputError(f"No open job uses a part '{part}'{closest(part, firm.shelf.names('part'))}.")
    question = Question(part, dict(values))
    _check(firm, jobs[0], question)
    before = run_jobs(firm, jobs, workers=workers, scheduler=scheduler, progress=progress, stop=stop)
    after = (
        FirmRun(firm, (), question, 0, True)
        if before.stopped
        else run_jobs(
            firm, jobs, question=question, workers=workers, scheduler=scheduler, progress=progress, stop=stop
        )
    )
    changed = [change for job in jobs for change in _changed(job, before, after)]
    broken = {job: result["broken"] for run in (before, after) for job, result in run.broken.items()}
    stopped = before.stopped or after.stopped
    if not stopped:
        doubted = PartDoubted(part=part, values=dict(values), jobs=len(jobs), changed=len(changed))
        firm.shelf.record.append(doubted, job="", by=firm.who.mark)
    return Doubt(jobs, tuple(sorted(changed, key=_worst_first)), broken, stopped)


def _check(firm: Firm, job: str, question: Question) -> None:
    """Refuse values that do not fit before a thousand jobs are judged with them."""
    from farpress.errors import JobFileError
    from farpress.firm.judging import case_of_text

    try:
        case_of_text(firm.shelf.version(job).text, (), question)
    except JobFileError:
        return  # that job is reported as broken


def _changed(job: str, before: FirmRun, after: FirmRun) -> list[Changed]:
    old, new = before.results.get(job, {}).get("promises", {}), after.results.get(job, {}).get("promises", {})
    found = []
    for promise, judged in new.items():
        was = old.get(promise, {"links": {}})["links"]
        links = tuple(
            link for link, (verdict, _) in judged["links"].items() if link in was and was[link][0] != verdict
        )
        if links:
            found.append(
                Changed(
                    job,
                    promise,
                    judged["says"],
                    old[promise]["verdict"],
                    judged["verdict"],
                    links,
                    judged["links"][links[0]][1],
                )
            )
    return found


def _worst_first(change: Changed) -> tuple[int, int, str]:
    from farpress.domain.finding import Verdict

    return (int(change.before == change.after), -Verdict(change.after).rank, f"{change.job} {change.promise}")
