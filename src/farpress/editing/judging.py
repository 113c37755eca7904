"""The judgement of a job that is being worked on: kept while its state stays, made beside while people go on.

Several changes in a row are judged together; whoever asked is told when it is done. What is
judged, and how, is for `assess`.
"""

from __future__ import annotations

import contextlib
import threading
import time
from abc import ABC, abstractmethod
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from farpress.case.case import Case
from farpress.domain.finding import Assessment
from farpress.errors import Fault

__all__ = ["JudgedBeside", "State"]

REST_S: Final = 0.5
"""Between two judgements made beside: our choice, so that what many people change in a moment is judged
together."""

KEPT_ASSESSMENTS: Final = 8
"""Our choice: today's, and a few that people go back to by undo."""


@dataclass(frozen=True)
class State:
    """A job file as it is now.

    Attributes:
        version: number of its version in this folder.
        fingerprint: of the file.
        case: the job with its equipment; where the file has faults, that of the last good state.
        faults: of the file as it lies there now; nothing can be changed until they are mended.
    """

    version: int
    fingerprint: str
    case: Case
    faults: tuple[Fault, ...] = ()


class JudgedBeside(ABC):
    """Something with a state that is judged; the base of the workbench."""

    def __init__(self, judge: Callable[[Case], Assessment] | None = None) -> None:
        """Begin without a judgement.

        Args:
            judge: who judges a case, as in a process beside; this very thread if None.
        """
        self._judge = judge
        self._judging = threading.Lock()
        self._assessments: dict[tuple[object, ...], Assessment] = {}
        self._failed: tuple[tuple[object, ...], Exception] | None = None
        self._judged = threading.Condition()
        self._judging_now = False
        self._rest_until = 0.0
        self._told_judged: list[Callable[[Assessment], None]] = []

    @abstractmethod
    def state(self) -> State:
        """The job as it is now."""

    @abstractmethod
    def judged_on(self) -> tuple[object, ...]:
        """What a judgement rests on: the state of the job file and of the record beside it."""

    def is_judged(self) -> bool:
        """Whether the present state is judged."""
        return self.judged_on() in self._assessments

    def assessment(self) -> Assessment:
        """The present state judged; kept until the job or its record changes."""
        with self._judging:
            while True:
                key, case = self.judged_on(), self.state().case
                found = self._assessments.get(key)
                if found is not None:
                    return found
                if case.fingerprint != key[0]:
                    continue  # it changed between the two looks
                try:
                    made = self._judge(case) if self._judge is not None else _judged_here(case)
                except Exception as error:
                    self._failed = (key, error)
                    raise
                self._assessments[key] = made
                while len(self._assessments) > KEPT_ASSESSMENTS:
                    del self._assessments[next(iter(self._assessments))]
                return made

    def assessment_soon(self, *, wait_s: float, first_s: float) -> tuple[Assessment | None, bool]:
        """The newest assessment there is, and whether it is of the present state.

        Where the present state is not judged within `wait_s` seconds (`first_s` where none ever was),
        its judging goes on beside, and those who asked with `watch_judged` are told.
        """
        found = self._assessments.get(self.judged_on())
        if found is not None:
            return found, True
        self.judge_beside()
        with self._judged:
            self._judged.wait_for(
                lambda: self.judged_on() in self._assessments or not self._judging_now,
                timeout=wait_s if self._assessments else first_s,
            )
        key = self.judged_on()
        found = self._assessments.get(key)
        if found is not None:
            return found, True
        if self._failed is not None and self._failed[0] == key:
            raise self._failed[1]
        last = list(self._assessments.values())
        return (last[-1] if last else None), False

    def judge_beside(self) -> None:
        """Judge the present state in a thread of its own; states that came and went meanwhile are left
        out.
        """
        with self._judged:
            if self._judging_now:
                return
            self._judging_now = True
        threading.Thread(target=self._judge_until_current, daemon=True).start()

    def _judge_until_current(self) -> None:
        with contextlib.suppress(Exception):  # whoever asks for the judgement is told
            self._judge_on()

    def _judge_on(self) -> None:
        try:
            while self.judged_on() not in self._assessments:
                time.sleep(
                    max(0.0, self._rest_until - time.monotonic())
                )  # where many change at once, several changes are judged together
                made = self.assessment()
                self._rest_until = time.monotonic() + REST_S
                with self._judged:
                    self._judged.notify_all()
                for tell in list(self._told_judged):
                    tell(made)
        finally:
            with self._judged:
                self._judging_now = False
                self._judged.notify_all()

    def watch_judged(self, tell: Callable[[Assessment], None]) -> None:
        """Be told of every assessment that was made beside."""
        self._told_judged.append(tell)


def _judged_here(case: Case) -> Assessment:
    from farpress.judging.assess import assess

    return assess(case)
