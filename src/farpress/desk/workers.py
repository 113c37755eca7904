"""Work in processes of their own, so that serving pages never waits for a calculation.

A worker is started once, stays warm, and does one thing after the other. It ends by itself
when the desk goes, whatever way that happens. One that dies is started again once.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import pickle
import signal
import threading
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import Any, TypeVar

from farpress.errors import FarpressError

__all__ = ["Worker"]

Result = TypeVar("Result")


class Worker:
    """One process beside the desk.

    Attributes:
        apart: in a process of its own; else the work is done by whoever asks.
    """

    def __init__(self, name: str, *, apart: bool) -> None:
        """Nothing is started before something is asked.

        Args:
            name: for lists of processes.
            apart: see above.
        """
        self.apart = apart
        self._name = name
        self._lock = threading.Lock()
        self._process: Any = None
        self._pipe: Connection | None = None
        self._ended = False

    def ask(self, does: Callable[..., Result], *given: object, within_s: float | None = None) -> Result:
        """Have a function of a module done there, and wait for what it gives.

        Args:
            does: found by its name on the other side.
            given: plain values.
            within_s: a worker that takes longer is ended; however long it takes if None.

        Raises:
            FarpressError: the worker ended twice while it did this, or it took too long.
        """
        with self._lock:
            if not self.apart:
                return does(*given)
            for _ in range(2):
                pipe = self._running()
                try:
                    pipe.send((does, given))
                    if within_s is not None and not pipe.poll(within_s):
                        self._drop()
                        raise FarpressError(f"This took longer than {within_s:.0f} seconds and was given up; nothing was written. A smaller file may do.")
                    done, result = pipe.recv()
                except (EOFError, OSError):
                    self._drop()
                    continue
                if not done:
                    raise result
                return result  # type: ignore[no-any-return]
        raise FarpressError("The calculation ended without a result; is there enough memory? Everything saved is kept. Try again.")

    def close(self) -> None:
        """End the process, whatever it is at."""
        self._ended = True
        process = self._process
        if process is not None:
            process.kill()
            process.join(5)

    def _running(self) -> Connection:
        if self._ended:
            raise FarpressError("The desk is being closed.")
        if self._pipe is None or self._process is None or not self._process.is_alive():
            self._drop()
            start = multiprocessing.get_context("spawn")  # a copy of a program with threads would not be safe
            here, there = start.Pipe()
            process = start.Process(target=_serve, args=(there,), name=f"farpress {self._name}", daemon=True)
            process.start()
            there.close()
            self._process, self._pipe = process, here
        return self._pipe

    def _drop(self) -> None:
        if self._pipe is not None:
            self._pipe.close()
        if self._process is not None:
            self._process.kill()
            self._process.join(5)
        self._pipe = self._process = None


def _serve(pipe: Connection) -> None:
    """The life of a worker: until the other end of its pipe is gone."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl+C is for the desk, which then closes the pipe
    with contextlib.suppress(EOFError, OSError):
        while True:
            does, given = pipe.recv()
            try:
                answer: tuple[bool, object] = (True, does(*given))
            except Exception as error:  # it is raised again by whoever asked
                answer = (False, _portable(error))
            pipe.send(answer)


def _portable(error: Exception) -> Exception:
    """The error itself where it survives the way, else its text."""
    try:
        pickle.loads(pickle.dumps(error))
    except Exception:  # errors with arguments of their own may not
        return FarpressError(str(error)) if isinstance(error, FarpressError) else RuntimeError(f"{type(error).__name__}: {error}")
    return error
