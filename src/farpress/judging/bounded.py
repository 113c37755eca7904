"""Judging has a budget: five seconds of processor time, more where many things are promised, and a gigabyte
for each room; what asks for more is given up, told, and unknown.

Whatever a legal file says, one number in it must not hold up whoever waits, nor take the machine's memory. A
room given up says nothing, so that every promise it would have judged is unknown there. One operation on
arrays is not interrupted; it ends before it is told.
"""

from __future__ import annotations

import ctypes
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final, TypeVar

from farpress.case.case import Case, promise_id
from farpress.domain.finding import Finding, Link, Stake, Who
from farpress.domain.refs import PromiseRef, Ref, RuleRef
from farpress.judging.check import Answer, Check

__all__ = ["BUDGET", "TOO_MUCH_WORK", "Budget", "OverBudget", "budgeted", "within"]


@dataclass(frozen=True)
class Budget:
    """What one room may take.

    Attributes:
        seconds: of processor time, for up to `PROMISES` promises; in proportion for more, up to `MOST` times.
        megabytes: more than there were in use when it began.
        look_s: pause between two looks at both.
    """

    seconds: float = 5.0
    megabytes: float = 1000.0
    look_s: float = 0.05

    def seconds_for(self, case: Case) -> float:
        """Processor time of a room that judges a job [s]: many promises are no mistake, and take longer."""
        return self.seconds * min(max(len(case.job.promises) / PROMISES, 1.0), MOST)


PROMISES: Final = 20
"""Promises of a usual job; our choice."""

MOST: Final = 4.0
"""However many there are, nobody waits longer than so many times; our choice."""

BUDGET: Final = Budget()
"""Our choice: the largest job of ours is judged whole in a third of it."""

TOO_MUCH_WORK: Final = Check(
    "GAP-75",
    Link.SAFETY,
    "Work that judging takes, against its budget of processor time and memory.",
    stake=Stake.HARM,
    who=Who.INSTALLER,
    minutes=10.0,
    ask="Look for a number in the job that is far larger than it can be: a time, a count, a long list.",
    mends="That number put right, or the job parted in two.",
)
"""Its link is that of the room that was given up; this one stands for all."""

_T = TypeVar("_T")

_running = threading.local()


class OverBudget(BaseException):
    """A room took more than its budget; no room may catch it, so it is no Exception."""


@contextmanager
def budgeted(budget: Budget | None = None) -> Iterator[None]:
    """Meanwhile `within` watches this thread. Within a watched thread nothing is watched anew: a copy that a
    remedy is tried on counts for the room that offers it.
    """
    if getattr(_running, "watch", None) is not None:
        yield
        return
    watch = _running.watch = _Watch(budget or BUDGET)
    try:
        yield
    finally:
        _running.watch = None
        watch.end()


def within(
    case: Case,
    room: str,
    make: Callable[[], tuple[Finding, ...]],
    otherwise: Callable[[], tuple[Finding, ...]] = tuple,
) -> tuple[Finding, ...]:
    """What a room finds, or that it was given up.

    Args:
        case: the job.
        room: its module, "farpress.judging.air.promises".
        make: judges.
        otherwise: what the room can say without its long work, so that what fails is still told.
    """
    watch: _Watch | None = getattr(_running, "watch", None)
    if watch is None or watch.is_busy:
        return make()
    try:
        return watch.watched(make, watch.budget.seconds_for(case))
    except OverBudget:
        watch.is_busy = False  # it may have been met on the way out
        return (*_given_up(case, room, watch.says), *otherwise())
    except MemoryError:
        return (*_given_up(case, room, "more memory than there is"), *otherwise())


class _Watch:
    """A thread that looks at another one, and stops it where a budget is spent."""

    def __init__(self, budget: Budget) -> None:
        self.budget, self.says, self.is_busy = budget, "", False
        self._lock, self._ended = threading.Lock(), threading.Event()
        self._thread = threading.get_ident()
        self._clock = _clock_of(self._thread)
        self._begun = self._held = self._seconds = 0.0
        self._is_stopped = False
        self._looks: threading.Thread | None = None

    def watched(self, make: Callable[[], _T], seconds: float) -> _T:
        """What is made, within so much time and the budget's memory."""
        if self._looks is None:
            self._looks = threading.Thread(target=self._look, name="budget", daemon=True)
            self._looks.start()
        with self._lock:
            self._begun, self._held, self._is_stopped = self._clock(), _megabytes(), False
            self._seconds = seconds
            self.is_busy = True
        try:
            return make()
        finally:
            with self._lock:
                self.is_busy = False
                if self._is_stopped:  # told, and perhaps not heard yet
                    _stop(self._thread, None)

    def end(self) -> None:
        """Nothing is looked at any more."""
        self._ended.set()
        if self._looks is not None:
            self._looks.join(1.0)

    def _look(self) -> None:
        while not self._ended.wait(self.budget.look_s):
            with self._lock:
                if self.is_busy and not self._is_stopped and (says := self._spent()):
                    self.says, self._is_stopped = says, True
                    _stop(self._thread, OverBudget)

    def _spent(self) -> str:
        if self._clock() - self._begun > self._seconds:
            return f"more than {self._seconds:g} s of processor time"
        if _megabytes() - self._held > self.budget.megabytes:
            return f"more than {self.budget.megabytes:g} MB of memory"
        return ""


def _stop(thread: int, kind: type[BaseException] | None) -> None:
    """Raise in another thread at its next step; None takes back what it has not met yet."""
    what = ctypes.py_object(kind) if kind is not None else None
    ctypes.pythonapi.PyThreadState_SetAsyncExc(ctypes.c_ulong(thread), what)


def _clock_of(thread: int) -> Callable[[], float]:
    """Processor time of one thread; of the whole process where the system tells no other."""
    if not hasattr(time, "pthread_getcpuclockid"):
        return time.process_time
    clock = time.pthread_getcpuclockid(thread)
    return lambda: time.clock_gettime(clock)


_STATM: Final = Path("/proc/self/statm")
_PAGE_MB: Final = 4096 / 1e6


def _megabytes() -> float:
    """Memory in use now; where the system does not say, nothing is ever too much."""
    try:
        return int(_STATM.read_bytes().split()[1]) * _PAGE_MB
    except OSError:
        return 0.0


def _given_up(case: Case, room: str, spent: str) -> tuple[Finding, ...]:
    """That a room was given up, on the link it judges of every promise, or on every rule."""
    name = room.rsplit("judging.", 1)[-1]
    folder = name.partition(".")[0]
    refs: Sequence[Ref] = [PromiseRef(promise_id(promise)) for promise in case.job.promises]
    link = next((link for link in Link if link.value == folder), Link.SAFETY)
    if folder == "rules":
        refs, link = [RuleRef(str(number)) for number, _ in enumerate(case.job.rules, 1)], Link.RULE
    subject = name.replace("_", " ").replace(".", ", ")
    return (
        replace(TOO_MUCH_WORK, link=link).decide(
            about=f"judging: {subject}",
            subjects=tuple(refs),
            answer=Answer.UNKNOWN,
            says=f"Judging this job's {link} ({subject}) takes {spent}; it was given up, and nothing of it is"
            " known.",
            because="A number in the job asks for more work than any installation does.",
            asks=(TOO_MUCH_WORK.ask,),
        ),
    )
