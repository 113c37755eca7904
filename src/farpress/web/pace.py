"""How often somebody may do a thing: requests, wrong codes, wrong keys. The one limiter of the program."""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable
from typing import Final

__all__ = ["REMEMBERED", "Pace"]

REMEMBERED: Final = 4096
"""Addresses kept before those that did nothing of late are forgotten: our choice."""


class Pace:
    """So many within so many seconds, counted for each address by itself; safe from any thread."""

    def __init__(self, most: int, within_s: float, *, clock: Callable[[], float] = time.monotonic) -> None:
        """Nobody has done anything yet.

        Args:
            most: allowed within the time.
            within_s: the time [s]; it moves along, there is no round minute at which all begins anew.
            clock: seconds that never run backwards.
        """
        self._most, self._within_s, self._clock = most, within_s, clock
        self._counted: dict[str, deque[float]] = {}
        self._lock = threading.Lock()

    def wait_s(self, address: str) -> float:
        """How long an address has to wait [s]; 0 if it may go on.

        Example:
            >>> pace = Pace(1, 60.0, clock=lambda: 5.0)
            >>> pace.wait_s("10.0.0.9")
            0.0
            >>> pace.count("10.0.0.9")
            >>> pace.wait_s("10.0.0.9")
            60.0
        """
        with self._lock:
            return self._wait_s(address, self._clock())

    def count(self, address: str) -> None:
        """It did the thing once more."""
        with self._lock:
            self._count(address, self._clock())

    def admits(self, address: str) -> bool:
        """Whether it may go on; if so, this is counted."""
        with self._lock:
            now = self._clock()
            if self._wait_s(address, now) > 0:
                return False
            self._count(address, now)
            return True

    def _wait_s(self, address: str, now: float) -> float:
        times = self._counted.get(address)
        if times is None:
            return 0.0
        while times and now - times[0] > self._within_s:
            times.popleft()
        return self._within_s - (now - times[0]) if len(times) >= self._most else 0.0

    def _count(self, address: str, now: float) -> None:
        self._counted.setdefault(address, deque()).append(now)
        if len(self._counted) > REMEMBERED:
            self._counted = {
                known: times
                for known, times in self._counted.items()
                if times and now - times[-1] <= self._within_s
            }
