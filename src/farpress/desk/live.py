"""News for open pages: a job changed, a record grew. One line per event, as server-sent events."""

from __future__ import annotations

import asyncio
import json
import threading
from collections.abc import AsyncIterator
from typing import Any, Final

__all__ = ["Hub"]

QUIET_S: Final = 15.0
"""A line of nothing this often keeps phones and proxies from giving up: our choice."""

MOST_LISTENERS: Final = 200
"""Our choice; the figure asked for is twenty people at once."""


class Hub:
    """Hands news to every page that listens. May be told from any thread."""

    def __init__(self) -> None:
        """Begin with nobody listening."""
        self._listeners: dict[str, set[tuple[asyncio.AbstractEventLoop, asyncio.Queue[str]]]] = {}
        self._lock = threading.Lock()

    def tell(self, job: str, kind: str, **values: Any) -> None:
        """Tell every page of a job; never waits, never fails."""
        line = f"event: {kind}\ndata: {json.dumps(values, ensure_ascii=False)}\n\n"
        with self._lock:
            for loop, queue in self._listeners.get(job, set()):
                if not loop.is_closed():
                    loop.call_soon_threadsafe(_put, queue, line)

    def close(self) -> None:
        """End every open page's news, so that the desk can close at once."""
        with self._lock:
            for loop, queue in [entry for entries in self._listeners.values() for entry in entries]:
                if not loop.is_closed():
                    loop.call_soon_threadsafe(_put, queue, "")

    async def listen(self, job: str) -> AsyncIterator[str]:
        """The news of a job, until the page goes."""
        queue: asyncio.Queue[str] = asyncio.Queue(maxsize=100)
        entry = (asyncio.get_running_loop(), queue)
        with self._lock:
            if sum(map(len, self._listeners.values())) >= MOST_LISTENERS:
                return
            self._listeners.setdefault(job, set()).add(entry)
        try:
            yield "retry: 2000\n\n"
            while True:
                try:
                    line = await asyncio.wait_for(queue.get(), QUIET_S)
                    if not line:
                        return
                    yield line
                except TimeoutError:
                    yield ": still here\n\n"
        finally:
            with self._lock:
                self._listeners.get(job, set()).discard(entry)


def _put(queue: asyncio.Queue[str], line: str) -> None:
    if queue.full():
        queue.get_nowait()
    queue.put_nowait(line)
