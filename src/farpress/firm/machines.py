"""Several machines for a run over the whole shelf; the only module that knows dask (extra `firm`)."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import ExitStack
from typing import Any, Final

from farpress.errors import InputError
from farpress.version import __version__

__all__ = ["on_machines"]

CONNECT_WAIT: Final = "10s"
"""For a scheduler to answer; our choice."""


def on_machines(stack: ExitStack, scheduler: str) -> tuple[int, Callable[..., Any]]:
    """How many workers there are, and what gives them a function with its arguments.

    Args:
        stack: ends the connection.
        scheduler: address of a dask scheduler.

    Raises:
        InputError: dask is not installed, no scheduler answers, it has no workers, or they have another
            version.
    """
    try:
        from distributed import Client
    except ImportError as error:
        raise InputError("Several machines need dask.distributed: install 'farpress[firm]'.") from error
    try:
        client = stack.enter_context(Client(scheduler, timeout=CONNECT_WAIT, set_as_default=False))  # type: ignore[no-untyped-call]
        versions = client.run(_version)
    except (OSError, TimeoutError, ValueError) as error:
        raise InputError(
            f"The scheduler {scheduler} cannot be used: {error or 'no answer in time'}."
        ) from error
    if not versions:
        raise InputError(f"The scheduler {scheduler} has no workers. Start some: dask worker {scheduler}")
    other = {place: version for place, version in versions.items() if version != __version__}
    if other:
        named = ", ".join(f"{place} {version}" for place, version in sorted(other.items()))
        raise InputError(f"These workers have another version of Farpress than {__version__}: {named}.")
    return len(versions), lambda function, *given: client.submit(function, *given, pure=False)


def _version() -> str:
    return __version__
