"""How much work something takes, in calls of functions: the same on any machine, however busy it is."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from cProfile import Profile
from dataclasses import dataclass

__all__ = ["Work", "counted_work"]


@dataclass
class Work:
    """Calls of functions, those of builtins among them; known when the block has ended."""

    calls: int = 0


@contextmanager
def counted_work() -> Iterator[Work]:
    """Count what the block does, also where it ends with an error."""
    work, profile = Work(), Profile()
    profile.enable()
    try:
        yield work
    finally:
        profile.disable()
        work.calls = sum(entry.callcount for entry in profile.getstats())
