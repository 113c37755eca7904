"""The judgement of a job that is being worked on: kept while its state stays, made beside while people go on.

Several changes in a row are judged together; whoever asked is told when it is done. What is
judged, and how, is for `assess`.
"""

from __future__ import annotations

import threading
import time
from abc import ABC, abstractmethod
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from farpress.domain.finding import Assessment
from farpress.errors import Fault
from farpress.tasks.case import Case

__all__ = ["JudgedBeside", "State"]

REST_S: Final = 2.0
"""Between two judgements made beside: our choice, so that twenty people's changes do not keep the machine judging."""

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

    def __init__(self) -> None:
        """Begin without a judgement."""
        self._judging = threading.Lock()
        self._assessments: dict[str, Assessment] = {}
        self._judged = threading.Condition()
        self._judging_now = False
        self._rest_until = 0.0
        self._told_judged: list[Callable[[Assessment], None]] = []

    @abstractmethod
    def state(self) -> State:
        """The job as it is now."""

    def assessment(self, *, progress: Callable[[str], None] | None = None) -> Assessment:
        """The present state judged; kept until the job changes."""
        from farpress.tasks.assess import assess

        state = self.state()
        with self._judging:
            found = self._assessments.get(state.fingerprint)
            if found is None:
                found = assess(state.case, progress=progress)
                self._assessments[state.fingerprint] = found
                while len(self._assessments) > KEPT_ASSESSMENTS:
                    del self._assessments[next(iter(self._assessments))]
            return found

    def assessment_soon(self, *, wait_s: float) -> tuple[Assessment, bool]:
        """The newest assessment there is, and whether it is of the present state.

        Where the present state is not judged within `wait_s` seconds, its judging goes on
        beside, and those who asked with `watch_judged` are told. The first one is always waited for.
        """
        found = self._assessments.get(self.state().fingerprint)
        if found is not None:
            return found, True
        if not self._assessments:
            return self.assessment(), True
        self.judge_beside()
        with self._judged:
            self._judged.wait_for(lambda: self.state().fingerprint in self._assessments, timeout=wait_s)
        found = self._assessments.get(self.state().fingerprint)
        return (found, True) if found is not None else (next(reversed(list(self._assessments.values()))), False)

    def judge_beside(self) -> None:
        """Judge the present state in a thread of its own; states that came and went meanwhile are left out."""
        with self._judged:
            if self._judging_now:
                return
            self._judging_now = True
        threading.Thread(target=self._judge_until_current, daemon=True).start()

    def _judge_until_current(self) -> None:
        try:
            while self.state().fingerprint not in self._assessments:
                time.sleep(max(0.0, self._rest_until - time.monotonic()))  # where many change at once, several changes are judged together
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
