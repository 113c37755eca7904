"""Which test runs through which lines of judging; used by `mutate_judging`."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType

import pytest
from _pytest.runner import runtestprotocol

__all__ = ["Lines", "TestsByLine", "seen"]


class Lines:
    """Lines run in functions below a folder while this is entered: file → numbers."""

    def __init__(self, below: Path) -> None:
        self.below = str(below)
        self.seen: dict[str, set[int]] = {}

    def __enter__(self) -> Lines:
        sys.settrace(self._on_call)
        return self

    def __exit__(self, *why: object) -> None:
        sys.settrace(None)

    def _on_call(self, frame: FrameType, event: str, arg: object) -> Callable[..., object] | None:
        file = frame.f_code.co_filename
        if not file.startswith(self.below) or frame.f_code.co_name == "<module>":
            return None
        lines = self.seen.setdefault(file, set())
        lines.add(frame.f_lineno)

        def on_line(frame: FrameType, event: str, arg: object) -> Callable[..., object]:
            lines.add(frame.f_lineno)
            return on_line

        return on_line


@dataclass
class TestsByLine:
    """What was seen.

    Attributes:
        lines: file → line → tests that run it, by their node id.
        takes_s: test → processor time; the order in which they are asked.
        failed: tests that fail although nothing is changed.
    """

    __test__ = False

    lines: dict[str, dict[int, set[str]]] = field(default_factory=dict)
    takes_s: dict[str, float] = field(default_factory=dict)
    failed: list[str] = field(default_factory=list)

    def of(self, file: Path, first: int, last: int) -> set[str]:
        """Tests that run one of these lines of a file, both ends included."""
        known = self.lines.get(str(file), {})
        return {test for line in range(first, last + 1) for test in known.get(line, ())}

    def of_file(self, file: Path) -> set[str]:
        """Tests that run anything in a function of it."""
        return set().union(*self.lines.get(str(file), {}).values())


def seen(items: Sequence[pytest.Item], below: Path) -> TestsByLine:
    """Run the tests and note which of them runs what below a folder."""
    known = TestsByLine()
    for item in items:
        began = time.process_time()
        with Lines(below) as lines:
            reports = runtestprotocol(item, log=False, nextitem=None)
        known.takes_s[item.nodeid] = time.process_time() - began
        if not all(report.passed for report in reports):
            known.failed.append(item.nodeid)
        for file, numbers in lines.seen.items():
            for line in numbers:
                known.lines.setdefault(file, {}).setdefault(line, set()).add(item.nodeid)
    return known
