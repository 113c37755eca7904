"""Mend: the cheapest changes found after which all that can be mended holds; tick, try, apply, take back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from farpress.desk.access import DeskRole
from farpress.desk.form_schema import value_at
from farpress.desk.frame import JobRequest, answer, sheet_of
from farpress.desk.mended import MendWish, TriedTogether, planned, tried
from farpress.desk.pages.changing import body_of, saved
from farpress.desk.searches import LastFound, enough, going_on, in_desk_words, words_in
from farpress.desk.wanted import tells, while_wanted
from farpress.domain.finding import Change
from farpress.errors import InputError
from farpress.mending.telling import PlanTold, StepTold
from farpress.phrases import plural

__all__ = ["ROUTES"]

MOST_MINUTES: Final = 100_000
"""Of a budget; our choice: more than a year of work."""


@dataclass(frozen=True)
class _KeptPlan:
    wish: MendWish
    told: PlanTold


_plans: Final[LastFound[_KeptPlan]] = LastFound()


def _page(request: Request) -> Response:
    sheet = sheet_of(request)
    kept = _plans.of(sheet)
    values = sheet.bench.values()
    return sheet.page(
        "mend.html",
        here="mend",
        wish=kept.wish if kept else MendWish(),
        told=kept.told if kept else None,
        is_stale=kept is not None and kept.told.fingerprint != sheet.state.fingerprint,
        made=[_is_made(values, step) for step in kept.told.steps] if kept else [],
    )


def _is_made(values: Any, step: StepTold) -> bool:
    """Whether the job says already all that a step would write."""
    return all(value_at(values, change.path) == change.value for change in step.changes)


async def _find(request: Request) -> Response:
    """Look for a plan; long, with progress, and given up when the browser goes."""
    body = await body_of(request)

    def work(stop: Callable[[], bool]) -> Response:
        sheet = sheet_of(request)
        wish = _wish(body)
        with going_on(body) as (mark, is_enough):
            try:
                told = sheet.desk.searching.ask(
                    planned, sheet.bench.folder, wish, is_enough, tell=tells(sheet, mark), stop=stop
                )
            except InputError as error:
                raise InputError(in_desk_words(str(error))) from None
        _plans.keep(sheet, _KeptPlan(wish, told))
        return answer(told.head)

    return await while_wanted(request, work)


def _wish(body: dict[str, Any]) -> MendWish:
    keep, forbid = words_in(body, "keep"), words_in(body, "forbid")
    text = " ".join(words_in(body, "budget")).removesuffix("min").strip()
    if text and not (text.isascii() and text.isdigit() and int(text) <= MOST_MINUTES):
        raise InputError(
            f"Most minutes on site: '{text[:40]}' is no whole number of minutes from 0 to {MOST_MINUTES}."
            " Leave it empty for as many as it takes."
        )
    return MendWish(forbid, keep, int(text) if text else None)


def _ticked(sheet: JobRequest, body: dict[str, Any]) -> tuple[_KeptPlan, list[int], list[Change]]:
    """The plan, numbers of the ticked steps and their changes.

    Raises:
        InputError: there is no plan, nothing is ticked, or a number is none of its steps.
    """
    kept = _plans.of(sheet)
    if kept is None:
        raise InputError("There is no plan yet (any more); find one first.")
    given = body.get("steps")
    numbers = given if isinstance(given, list) else []
    if not numbers:
        raise InputError("Nothing is ticked. Tick the changes that are meant.")
    steps = kept.told.steps
    if not all(type(number) is int and 1 <= number <= len(steps) for number in numbers):
        raise InputError(f"The plan has changes 1 to {len(steps)}; load the page again.")
    chosen = sorted(set(numbers))
    return kept, chosen, [change for number in chosen for change in steps[number - 1].changes]


async def _try(request: Request) -> Response:
    """What the ticked changes do together, on a copy."""
    body = await body_of(request)

    def work(stop: Callable[[], bool]) -> Response:
        sheet = sheet_of(request)
        _, chosen, changes = _ticked(sheet, body)
        found = sheet.desk.searching.ask(
            tried, sheet.bench.folder, tuple(changes), tell=tells(sheet, body.get("mark")), stop=stop
        )
        return answer(_tried_told(found, len(chosen)))

    return await while_wanted(request, work)


def _tried_told(found: TriedTogether, count: int) -> str:
    what = f"{plural(count, 'change')} made on a copy"
    if found.after is None:
        return f"{what}: the job cannot be read then. {found.refused}"
    says = f"{what}: of {plural(found.promises, 'promise')} {found.before} fail now,"
    says += f" {found.after or 'none'} then."
    if found.worse:
        more = f" and {len(found.worse) - 4} more" if len(found.worse) > 4 else ""
        says += f" Worse would be: {'; '.join(found.worse[:4])}{more}."
    return says


async def _apply(request: Request) -> Response:
    body = await body_of(request)

    def work() -> Response:
        sheet = sheet_of(request, role=DeskRole.INSTALLER)
        kept, chosen, changes = _ticked(sheet, body)
        numbers = ", ".join(map(str, chosen))
        return saved(
            sheet, changes, says=f"mended: {numbers} of {len(kept.told.steps)}", base=kept.told.fingerprint
        )

    return await run_in_threadpool(work)


ROUTES: Final = [
    Route("/j/{job}/mend", _page),
    Route("/j/{job}/mend/find", _find, methods=["POST"]),
    Route("/j/{job}/mend/enough", enough, methods=["POST"]),
    Route("/j/{job}/mend/try", _try, methods=["POST"]),
    Route("/j/{job}/mend/apply", _apply, methods=["POST"]),
]
