"""Assess many jobs: on one core, on several, or on several machines, with the same results to the byte.

A job that cannot be read or judged is reported and does not stop the rest. Every result is
kept as soon as it is there, so that a run that was stopped goes on where it was.
"""

from __future__ import annotations

import hashlib
import json
import time
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any, Final

from farpress.case.evidence import EVIDENCE_KINDS
from farpress.domain.event import Event
from farpress.errors import InputError
from farpress.firm.judging import Question, evidence_mark, judge_text
from farpress.firm.machines import on_machines
from farpress.firm.shelf import Firm
from farpress.version import __version__

if TYPE_CHECKING:
    from concurrent.futures import Future

__all__ = ["FirmRun", "RunProgress", "results_of", "run_jobs"]

AHEAD: Final = 3
"""Jobs handed out for each worker before the first comes back: enough to keep it busy, few enough to keep
memory flat. Our choice."""

KEEP_EVERY: Final = 20
KEEP_WITHIN_S: Final = 2.0
"""Results are written so many, or so often, at a time: a crash costs at most these. Our choice."""

FORM: Final = 3
"""Of a kept result; counted up whenever `firm_judge.judge_text` says something else or otherwise."""

TRIES: Final = 2
"""A job whose worker died so often is reported as broken; our choice."""


@dataclass(frozen=True)
class RunProgress:
    """How far a run is: jobs done of all, and the one that came last."""

    done: int
    all: int
    job: str


@dataclass(frozen=True)
class FirmRun:
    """A run over many jobs. Its results lie on the shelf and are read when they are asked for, so that a long
    run needs no more memory than a short one.

    Attributes:
        firm, jobs, question: what was run.
        kept: how many were there from an earlier run.
        stopped: the run was cancelled before its end; what is done is kept.
    """

    firm: Firm
    jobs: tuple[str, ...]
    question: Question
    kept: int
    stopped: bool

    @cached_property
    def results(self) -> dict[str, dict[str, Any]]:
        """Job → its result, in the order of names, as it was when first asked for; see
        `firm_judge.judge_text`.
        """
        return dict(results_of(self.firm, self.jobs, self.question))

    @property
    def broken(self) -> dict[str, dict[str, Any]]:
        """The jobs that could not be judged."""
        return {job: result for job, result in self.results.items() if "broken" in result}

    @property
    def text(self) -> str:
        """All results as one text: the same for every way of running."""
        return "".join(self.lines())

    def lines(self) -> Iterator[str]:
        """The same, a line a job, without keeping all of them."""
        for job, result in results_of(self.firm, self.jobs, self.question):
            yield json.dumps({"job": job} | result, ensure_ascii=False, sort_keys=True) + "\n"


def run_jobs(
    firm: Firm,
    jobs: Iterable[str],
    *,
    question: Question | None = None,
    workers: int = 1,
    scheduler: str = "",
    afresh: bool = False,
    progress: Callable[[RunProgress], None] | None = None,
    stop: Callable[[], bool] = lambda: False,
) -> FirmRun:
    """Assess the newest version of each job.

    Args:
        firm: whose shelf.
        jobs: names.
        question: what is asked otherwise than as the job stands; None for the job as it is.
        workers: processes on this machine; 1 works in this one.
        scheduler: address of a dask scheduler; its workers need the same version of Farpress.
        afresh: do not use results of an earlier run.
        progress: told after each job.
        stop: asked before each job; True ends the run, and what is done is kept.

    Raises:
        InputError: no right to look, or the scheduler cannot be used.
        RecordError: the shelf cannot be read, or a result not be kept.
    """
    firm.may("look")
    question = question or Question()
    names = tuple(sorted(set(jobs)))
    known = set() if afresh else {job for job, _ in results_of(firm, names, question)}
    waiting = (name for name in names if name not in known)
    done = len(known)
    unkept: list[tuple[str, dict[str, Any]]] = []
    with ExitStack() as stack:
        pool = _pool(stack, workers, scheduler)
        stack.callback(lambda: _keep(firm, question, unkept))  # whatever ends the run, what is done is kept
        since = time.monotonic()
        for name, result in pool.run(firm, waiting, question, stop):
            done += 1
            unkept.append((name, result))
            if len(unkept) >= KEEP_EVERY or time.monotonic() - since > KEEP_WITHIN_S:
                _keep(firm, question, unkept)
                since = time.monotonic()
            if progress is not None:
                progress(RunProgress(done, len(names), name))
    return FirmRun(firm, names, question, len(known), done < len(names))


def results_of(firm: Firm, jobs: Iterable[str], question: Question) -> Iterator[tuple[str, dict[str, Any]]]:
    """Job and result, in the order of names, where one is kept for the job's newest version and this version
    of the program.
    """
    from sqlalchemy import select

    from farpress.record.shelf_tables import JOB, JOB_VERSION, RESULT

    query = (
        select(RESULT.c.job, RESULT.c.body)
        .join(JOB, JOB.c.job == RESULT.c.job)
        .join(JOB_VERSION, (JOB_VERSION.c.job == JOB.c.job) & (JOB_VERSION.c.number == JOB.c.head))
        .where(RESULT.c.question == _key(question), RESULT.c.fingerprint == JOB_VERSION.c.fingerprint)
        .order_by(JOB.c.job)
    )
    wanted = set(jobs)
    evidence: dict[str, list[Event]] = {}
    for event in firm.shelf.record.events(kinds=EVIDENCE_KINDS):
        evidence.setdefault(event.job, []).append(event)
    with firm.shelf.reading() as connection:
        for job, body in connection.execution_options(yield_per=100).execute(query):
            if job not in wanted:
                continue
            result = json.loads(body)
            if result["evidence"] == evidence_mark(evidence.get(job, ())):
                yield job, result


def _keep(firm: Firm, question: Question, unkept: list[tuple[str, dict[str, Any]]]) -> None:
    """Write the results that wait, in one transaction, and forget them here."""
    from datetime import UTC, datetime

    from sqlalchemy import delete, insert

    from farpress.record.engine import writing
    from farpress.record.shelf_tables import RESULT

    if not unkept:
        return
    key, moment = _key(question), datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    rows = [
        {
            "job": job,
            "question": key,
            "fingerprint": result["fingerprint"],
            "body": json.dumps(result, ensure_ascii=False, sort_keys=True),
            "at": moment,
        }
        for job, result in unkept
    ]
    with writing(firm.shelf.record._engine) as connection:
        connection.execute(
            delete(RESULT).where(RESULT.c.job.in_([row["job"] for row in rows]), RESULT.c.question == key)
        )
        connection.execute(insert(RESULT), rows)
    unkept.clear()


def _key(question: Question) -> str:
    """Names the question and the version of the program, so that an answer is never used for another one."""
    asked = json.dumps([question.part, dict(question.values)], sort_keys=True, ensure_ascii=False)
    return (
        f"{__version__} form {FORM}"
        f" {hashlib.sha256(asked.encode()).hexdigest()[:16] if question.part else 'as it is'}"
    )


def _pool(stack: ExitStack, workers: int, scheduler: str) -> _Pool:
    if scheduler:
        return _Pool(*on_machines(stack, scheduler))
    if workers < 1:
        raise InputError(f"{workers} workers were asked for; at least one is wanted.")
    return _Pool() if workers == 1 else _Pool(workers, *_processes(stack, workers))


@dataclass
class _Pool:
    """Where jobs are judged: here, or wherever `submit` sends them."""

    workers: int = 1
    submit: Callable[..., Future[dict[str, Any]]] | None = None
    renew: Callable[[], Callable[..., Future[dict[str, Any]]]] | None = None
    deaths: dict[str, int] = field(default_factory=dict)

    def run(
        self, firm: Firm, names: Iterator[str], question: Question, stop: Callable[[], bool]
    ) -> Iterator[tuple[str, dict[str, Any]]]:
        """Name and result, one after the other, in the order of names."""
        if self.submit is None:
            for name in names:
                if stop():
                    return
                text, events = _asked(firm, name)
                yield name, judge_text(text, events, question)
            return
        ahead: deque[tuple[str, _Asked, Future[dict[str, Any]]]] = deque()
        ended = False
        while not ended or ahead:
            while not ended and len(ahead) < self.workers * AHEAD:
                following = None if stop() else next(names, None)
                if following is None:
                    ended = True
                else:
                    asked = _asked(firm, following)
                    ahead.append((following, asked, self._sent(asked, question)))
            if ahead:
                name, asked, future = ahead.popleft()
                if stop():
                    for _, _, other in ahead:
                        other.cancel()
                    return
                yield name, self._result(name, asked, future, question, ahead)

    def _result(
        self,
        name: str,
        asked: _Asked,
        future: Future[dict[str, Any]],
        question: Question,
        ahead: deque[tuple[str, _Asked, Future[dict[str, Any]]]],
    ) -> dict[str, Any]:
        from concurrent.futures import BrokenExecutor

        while True:
            try:
                return future.result()
            except BrokenExecutor:
                assert self.renew is not None
                self.deaths[name] = self.deaths.get(name, 0) + 1
                self.submit = self.renew()
                if self.deaths[name] >= TRIES:
                    future = _given_up(*asked)
                else:  # alone, so that it is known whose fault it is
                    future = self._sent(asked, question)
                    if _dies(future):
                        continue
                for index, (other, other_asked, _) in enumerate(ahead):
                    ahead[index] = (other, other_asked, self._sent(other_asked, question))

    def _sent(self, asked: _Asked, question: Question) -> Future[dict[str, Any]]:
        """A job handed to a worker; one that cannot be handed over, because another has just killed its
        workers, ends as if it had been with them.
        """
        from concurrent.futures import BrokenExecutor, Future

        assert self.submit is not None
        try:
            return self.submit(judge_text, *asked, question)
        except BrokenExecutor as error:
            lost: Future[dict[str, Any]] = Future()
            lost.set_exception(error)
            return lost


_Asked = tuple[str, tuple[Event, ...]]
"""What a worker is handed: the text of a job, and the presses and levels of its record."""


def _asked(firm: Firm, name: str) -> _Asked:
    return firm.shelf.version(name).text, firm.evidence(name)


def _dies(future: Future[dict[str, Any]]) -> bool:
    from concurrent.futures import BrokenExecutor

    return isinstance(future.exception(), BrokenExecutor)


def _given_up(text: str, events: tuple[Event, ...]) -> Future[dict[str, Any]]:
    from concurrent.futures import Future

    from farpress.jobfile.source import fingerprint_of

    made: Future[dict[str, Any]] = Future()
    made.set_result(
        {
            "fingerprint": fingerprint_of(text.encode()),
            "evidence": evidence_mark(events),
            "broken": [f"the worker that judged it died {TRIES} times (memory?)"],
        }
    )
    return made


def _processes(stack: ExitStack, workers: int) -> tuple[Callable[..., Any], Callable[[], Callable[..., Any]]]:
    import multiprocessing
    from concurrent.futures import ProcessPoolExecutor

    def begin() -> Callable[..., Any]:
        pool = ProcessPoolExecutor(workers, mp_context=multiprocessing.get_context("spawn"))
        stack.callback(pool.shutdown, wait=True, cancel_futures=True)
        return pool.submit

    return begin(), begin
