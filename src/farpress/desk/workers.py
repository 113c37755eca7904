"""Work in processes of their own, so that serving pages never waits for a calculation.

A worker is started once, stays warm, and does one thing after the other. It ends by itself
when the desk goes, whatever way that happens. One that dies is started again once. Who asked may
be told how far it is, and may give up: then the process is ended with what it was at.
"""

from __future__ import annotations

import contextlib
import gc
import multiprocessing
import os
import pickle
import signal
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from multiprocessing.connection import Connection, wait
from typing import Any, Final, TypeVar

from farpress.errors import FarpressError

__all__ = ["GivenUp", "Worker"]

Result = TypeVar("Result")
Tell = Callable[..., None]
Stop = Callable[[], bool]

CLOSING: Final = "The desk is being closed."

LOOK_S: Final = 0.2
"""How often it is looked whether somebody gave up: our choice."""

NEWS_S: Final = 0.1
"""Words about how far it is come no faster than this: our choice."""

PATIENT: Final = 10
"""How far work that others need not wait for gives way to what they do, as a step of `nice`: our choice."""


SELDOM: Final = (50_000, 20, 100)
"""Circles of things nobody needs are looked for so seldom: our choice; what a worker keeps of jobs stays, and
looking through all of it takes longer than judging an edit."""


class GivenUp(FarpressError):
    """Whoever asked does not want it any more."""


class Worker:
    """One process beside the desk.

    Attributes:
        apart: in a process of its own; else the work is done by whoever asks.
    """

    def __init__(self, name: str, *, apart: bool, patient: bool = False, most: int | None = None) -> None:
        """Nothing is started before something is asked.

        Args:
            name: for lists of processes.
            apart: see above.
            patient: it gives way to everything else on the machine.
            most: so many may ask at once, the others are refused; any number if None.
        """
        self.apart = apart
        self._name, self._patience, self._most = name, PATIENT if patient else 0, most
        self._lock = threading.Lock()
        self._asking = 0
        self._process: Any = None
        self._pipe: Connection | None = None
        self._ended = False

    def ask(
        self,
        does: Callable[..., Result],
        *given: object,
        within_s: float | None = None,
        tell: Tell | None = None,
        stop: Stop | None = None,
    ) -> Result:
        """Have a function of a module done there, and wait for what it gives.

        Args:
            does: found by its name on the other side.
            given: plain values.
            within_s: a worker that takes longer is ended; however long it takes if None.
            tell: told how far it is; the function then takes a `tell` of its own.
            stop: asked now and then; true once nobody wants the result any more.

        Raises:
            FarpressError: the worker ended twice while it did this, it took too long, too many wait for
                it, or the desk is being closed.
            GivenUp: `stop` was true; the process was ended with what it was at.
        """
        with self._turn(tell, stop):
            if self._ended:
                raise FarpressError(CLOSING)
            if not self.apart:
                return does(*given) if tell is None else does(*given, tell=_checked(tell, stop))
            for _ in range(2):
                try:
                    done, result = self._answer(
                        self._running(), (does, given, tell is not None), within_s, tell, stop
                    )
                except (EOFError, OSError):
                    self._drop()
                    continue
                except BaseException:  # what it is at is not wanted any more
                    self._drop()
                    raise
                if not done:
                    raise result
                return result  # type: ignore[no-any-return]
        raise FarpressError(
            "The calculation ended without a result; is there enough memory? Everything saved is kept. Try"
            " again."
        )

    @contextmanager
    def _turn(self, tell: Tell | None, stop: Stop | None) -> Iterator[None]:
        """One after the other; who waits may still give up."""
        if self._most is not None and self._asking >= self._most:
            raise FarpressError(f"{self._asking} people wait for this already. Try again in a minute.")
        self._asking += 1
        try:
            if tell is not None and self._lock.locked():
                tell("waiting until another's is done")
            while not self._lock.acquire(timeout=LOOK_S if stop is not None else -1):
                if stop is not None and stop():
                    raise GivenUp("Given up.")
            try:
                yield
            finally:
                self._lock.release()
        finally:
            self._asking -= 1

    def _answer(
        self,
        pipe: Connection,
        asked: tuple[object, ...],
        within_s: float | None,
        tell: Tell | None,
        stop: Stop | None,
    ) -> tuple[bool, Any]:
        pipe.send(asked)
        until = None if within_s is None else time.monotonic() + within_s
        while True:
            if pipe.poll(_wait_s(until, looks=stop is not None)):
                kind, result = pipe.recv()
                if kind is not None:
                    return kind, result
                if tell is not None:
                    tell(*result)
            if stop is not None and stop():
                raise GivenUp("Given up.")
            if until is not None and time.monotonic() >= until:
                raise FarpressError(
                    f"This took longer than {within_s:.0f} seconds and was given up; nothing was written. A"
                    " smaller file may do."
                )

    def close(self) -> None:
        """End the process, whatever it is at."""
        self._ended = True
        process = self._process
        if process is not None:
            process.kill()
            process.join(5)

    def _running(self) -> Connection:
        if self._ended:
            raise FarpressError(CLOSING)
        if self._pipe is None or self._process is None or not self._process.is_alive():
            self._drop()
            start = multiprocessing.get_context("spawn")  # a copy of a program with threads would not be safe
            here, there = start.Pipe()
            process = start.Process(
                target=_serve, args=(there, self._patience), name=f"farpress {self._name}", daemon=True
            )
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


def _checked(tell: Tell, stop: Stop | None) -> Tell:
    """The same, for work done by whoever asks."""

    def told(*words: object) -> None:
        if stop is not None and stop():
            raise GivenUp("Given up.")
        tell(*words)

    return told


def _serve(pipe: Connection, patience: int) -> None:
    """The life of a worker: until the other end of its pipe is gone, or the desk, also while it is at
    something.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl+C is for the desk, which then closes the pipe
    gc.set_threshold(*SELDOM)
    if patience and hasattr(os, "nice"):
        os.nice(patience)
    threading.Thread(target=_end_with_the_desk, daemon=True).start()
    with contextlib.suppress(EOFError, OSError):
        while True:
            does, given, wants_news = pipe.recv()
            try:
                answer: tuple[bool, object] = (
                    True,
                    does(*given, tell=_news(pipe)) if wants_news else does(*given),
                )
            except Exception as error:  # it is raised again by whoever asked
                answer = (False, _portable(error))
            pipe.send(answer)


def _news(pipe: Connection) -> Tell:
    told_at = 0.0

    def tell(*words: object) -> None:
        nonlocal told_at
        if time.monotonic() - told_at >= NEWS_S:
            pipe.send((None, words))
            told_at = time.monotonic()

    return tell


def _end_with_the_desk() -> None:
    """The pipe is looked at between two questions only; a desk that is killed ends this at once."""
    desk = multiprocessing.parent_process()
    if desk is not None:
        wait([desk.sentinel])
        os._exit(0)


def _portable(error: Exception) -> Exception:
    """The error itself where it survives the way, else its text."""
    try:
        pickle.loads(pickle.dumps(error))
    except Exception:  # errors with arguments of their own may not
        return (
            FarpressError(str(error))
            if isinstance(error, FarpressError)
            else RuntimeError(f"{type(error).__name__}: {error}")
        )
    return error


def _wait_s(until: float | None, *, looks: bool) -> float | None:
    """How long to wait for an answer before looking again; None for ever."""
    limits = [LOOK_S] if looks else []
    if until is not None:
        limits.append(max(0.0, until - time.monotonic()))
    return min(limits, default=None)
