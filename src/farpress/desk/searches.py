"""What pages with a search in it share: the best so far taken as enough, wishes as typed."""

from __future__ import annotations

import re
import secrets
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final, Generic, TypeVar

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from farpress.desk.frame import JobRequest, answer, sheet_of
from farpress.desk.pages.changing import body_of
from farpress.errors import InputError

__all__ = ["LastFound", "enough", "going_on", "in_desk_words", "words_in"]

_Found = TypeVar("_Found")

_going: dict[str, Path] = {}
"""Searches going on: what their page calls them → the file that says the best found is enough."""

_WORDS: Final = {
    "--keep ": "Leave as it is: ",
    "--forbid ": "Do not use: ",
    "--fix ": "Fixed: ",
    "--anew ": "Draw anew: ",
    "have what stands drawn anew with --anew": "tick below what is to be drawn anew",
    "a --fix allows": "what is fixed allows",
    "one --fix": "one fixed choice",
}


class LastFound(Generic[_Found]):
    """What a page found last for each job, until the desk is closed or it is looked for again."""

    def __init__(self) -> None:
        self._found: dict[tuple[Path, str], _Found] = {}

    def of(self, sheet: JobRequest) -> _Found | None:
        """What was found for the job of a request; None where nothing was yet."""
        return self._found.get((sheet.desk.shelf.home, sheet.name))

    def keep(self, sheet: JobRequest, found: _Found) -> None:
        """Keep it in place of what was found before."""
        self._found[sheet.desk.shelf.home, sheet.name] = found


@contextmanager
def going_on(body: dict[str, Any]) -> Iterator[tuple[str, Path]]:
    """What a page calls its search, and the file that says that the best found is enough."""
    mark = str(body.get("mark") or secrets.token_hex(8))[:40]
    with tempfile.TemporaryDirectory(prefix="farpress-search-") as folder:
        _going[mark] = Path(folder) / "enough"
        try:
            yield mark, _going[mark]
        finally:
            _going.pop(mark, None)


async def enough(request: Request) -> Response:
    """The best found until now is enough."""
    body = await body_of(request)

    def work() -> Response:
        sheet_of(request)
        found = _going.get(str(body.get("mark")))
        if found is None:
            return answer("This search has ended already.")
        found.touch()
        return answer("The best found until now is shown as soon as the copy at hand is judged.")

    return await run_in_threadpool(work)


def words_in(body: dict[str, Any], name: str, *, between: str = r"[;,\n]") -> tuple[str, ...]:
    """Words of a field, as they were typed one after the other.

    Raises:
        InputError: the field is not there, or is no text.
    """
    given = body.get(name)
    if not isinstance(given, str):
        raise InputError("The request was not understood; load the page again.")
    return tuple(word.strip() for word in re.split(between, given) if word.strip())


def in_desk_words(text: str) -> str:
    """A refusal of the command line in the words of the pages."""
    for ours, theirs in _WORDS.items():
        text = text.replace(ours, theirs)
    return text
