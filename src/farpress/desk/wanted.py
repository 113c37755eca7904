"""Long work goes on only while somebody waits for it: a closed tab or a cancelled request ends it."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable
from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from farpress.desk.frame import JobRequest
from farpress.desk.workers import GivenUp

__all__ = ["tells", "while_wanted"]

LOOK_S: Final = 0.2
"""How often it is looked whether the browser is still there: our choice."""

NOBODY: Final = 499
"""Status that nobody reads any more; not in the standard, as the other end closed the connection."""


async def while_wanted(request: Request, work: Callable[[Callable[[], bool]], Response]) -> Response:
    """Do some work beside the loop that serves, and have it given up when the browser goes.

    Args:
        request: its body has been read already.
        work: called in a thread with a question that is true once nobody waits any more.
    """
    gone = threading.Event()

    async def look() -> None:
        while not await request.is_disconnected():
            await asyncio.sleep(LOOK_S)
        gone.set()

    looking = asyncio.create_task(look())
    try:
        return await run_in_threadpool(work, gone.is_set)
    except GivenUp:
        return Response(status_code=NOBODY)
    finally:
        looking.cancel()


def tells(sheet: JobRequest, mark: object) -> Callable[..., None]:
    """Tells the one page that asked how far its work is: words, or steps done, of how many, and what comes
    now.

    Args:
        sheet: its job.
        mark: what that page called the work; nothing is told where it gave none.
    """

    def tell(*words: object) -> None:
        if not isinstance(mark, str) or not mark:
            return
        says = str(words[-1])
        if len(words) == 3 and words[1]:
            says = f"{words[0]} of {words[1]}: {says}"
        sheet.desk.hub.tell(sheet.name, "far", mark=mark[:40], says=says)

    return tell
