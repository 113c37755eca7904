"""The judgement of a job that is being worked on: kept while its state stays, made beside while people go on.

Several changes in a row are judged together; whoever asked is told when it is done. Findings come first; what
would mend them is tried after that, bit by bit, and given up where a newer change comes. What is judged, and
how, is for `assess`.
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

__all__ = ["Judge", "JudgedBeside", "Seen", "State"]

REST_S: Final = 0.1
"""Between two judgements made beside: our choice, so that what many people change in a moment is judged
together, and nobody notices."""

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


@dataclass(frozen=True)
class Judge:
    """Who judges a job in two steps: findings at once, and then what would mend them, tried on copies.

    Attributes:
        findings: the job judged, without looking for remedies.
        tries: tries some of the remedies; the whole assessment once all are tried, None before. What was
            tried is kept from one call to the next.
    """

    findings: Callable[[Case], Assessment]
    tries: Callable[[Case], Assessment | None]


@dataclass(frozen=True)
class Seen:
    """What there is to be shown of a job.

    Attributes:
        assessment: the newest; None where none was ever made.
        is_current: it is of the present state.
        is_tried: its remedies were tried; while they are not, it has none of them.
    """

    assessment: Assessment | None
    is_current: bool
    is_tried: bool


_Key = tuple[object, ...]


class JudgedBeside(ABC):
    """Something with a state that is judged; the base of the workbench."""

    def __init__(self, judge: Judge | None = None) -> None:
        """Begin without a judgement.

        Args:
            judge: who judges a case, as in a process beside; this very thread if None.
        """
        self._judge = judge or _HERE
        self._judging = threading.Lock()
        self._untried: dict[_Key, Assessment] = {}
        self._assessments: dict[_Key, Assessment] = {}
        self._failed: tuple[_Key, Exception] | None = None
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
        """Whether the present state is judged, and what would mend it tried."""
        return self.judged_on() in self._assessments

    def has_findings(self) -> bool:
        """Whether the present state is judged, its remedies tried or not."""
        return self._seen_now().is_current

    def assessment(self) -> Assessment:
        """The present state judged and its remedies tried; kept until the job or its record changes."""
        while True:
            found = self._assessments.get(self.judged_on())
            if found is not None:
                return found
            self._go_on()

    def findings_now(self) -> Seen:
        """The present state judged, its remedies tried or not yet."""
        while True:
            key = self.judged_on()
            tried, untried = self._assessments.get(key), self._untried.get(key)
            if tried is not None or untried is not None:
                return Seen(tried or untried, is_current=True, is_tried=tried is not None)
            self._go_on()

    def untried(self) -> Assessment | None:
        """The present state as it was judged before any remedy was tried; None where it was not kept."""
        return self._untried.get(self.judged_on())

    def assessment_soon(self, *, wait_s: float, first_s: float) -> Seen:
        """The newest assessment there is.

        Where the present state is not judged within `wait_s` seconds (`first_s` where none ever was),
        its judging goes on beside, and those who asked with `watch_judged` are told.
        """
        seen = self._seen_now()
        if seen.is_tried and seen.is_current:
            return seen
        self.judge_beside()
        if not seen.is_current:
            with self._judged:
                self._judged.wait_for(
                    lambda: self._seen_now().is_current or not self._judging_now,
                    timeout=wait_s if seen.assessment is not None else first_s,
                )
            seen = self._seen_now()
        if not seen.is_current and self._failed is not None and self._failed[0] == self.judged_on():
            raise self._failed[1]
        return seen

    def _seen_now(self) -> Seen:
        key = self.judged_on()
        for kept, is_tried in ((self._assessments, True), (self._untried, False)):
            found = kept.get(key)
            if found is not None:
                return Seen(found, is_current=True, is_tried=is_tried)
        last = list(self._assessments.values()) or list(self._untried.values())
        return Seen(last[-1] if last else None, is_current=False, is_tried=False)

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
                if self.judged_on() not in self._untried:
                    time.sleep(
                        max(0.0, self._rest_until - time.monotonic())
                    )  # where many change at once, several changes are judged together
                made = self._go_on()
                self._rest_until = time.monotonic() + REST_S
                if made is None:
                    continue
                with self._judged:
                    self._judged.notify_all()
                for tell in list(self._told_judged):
                    tell(made)
        finally:
            with self._judged:
                self._judging_now = False
                self._judged.notify_all()

    def _go_on(self) -> Assessment | None:
        """One step further with the present state: its findings, or some of its remedies tried; what a newer
        state has overtaken is left as it is.

        Returns:
            An assessment where one was made.
        """
        with self._judging:
            key, case = self.judged_on(), self.state().case
            if key in self._assessments or case.fingerprint != key[0]:
                return self._assessments.get(key)  # another made it, or it changed between the two looks
            try:
                if key not in self._untried:
                    return _keep(self._untried, key, self._judge.findings(case))
                made = self._judge.tries(case)
            except Exception as error:
                self._failed = (key, error)
                raise
            return _keep(self._assessments, key, made) if made is not None else None

    def watch_judged(self, tell: Callable[[Assessment], None]) -> None:
        """Be told of every assessment that was made beside."""
        self._told_judged.append(tell)


def _keep(kept: dict[_Key, Assessment], key: _Key, made: Assessment) -> Assessment:
    kept[key] = made
    while len(kept) > KEPT_ASSESSMENTS:
        del kept[next(iter(kept))]
    return made


def _findings_here(case: Case) -> Assessment:
    from farpress.judging.assess import assess
    from farpress.judging.check import without_remedies

    with without_remedies():
        return assess(case)


def _tried_here(case: Case) -> Assessment:
    from farpress.judging.assess import assess
    from farpress.judging.remedies.shown import with_shown_remedies

    return with_shown_remedies(case, case.once(assess))


_HERE: Final = Judge(_findings_here, _tried_here)
