"""Design: what is wished drawn up in variants beside each other; a choice is fixed, one of them is taken."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from farpress.design.fixes import FUNCTION_KEYS, PREMISES_KEYS
from farpress.desk.access import DeskRole
from farpress.desk.designed import DesignWish, DrawnUp, drawn_up
from farpress.desk.frame import answer, sheet_of
from farpress.desk.pages.changing import body_of, told
from farpress.desk.searches import LastFound, enough, going_on, in_desk_words, words_in
from farpress.desk.wanted import tells, while_wanted
from farpress.errors import InputError
from farpress.phrases import plural

__all__ = ["ROUTES"]


@dataclass(frozen=True)
class _Kept:
    wish: DesignWish
    drawn: DrawnUp


_drawn: Final[LastFound[_Kept]] = LastFound()


def _page(request: Request) -> Response:
    sheet = sheet_of(request)
    kept = _drawn.of(sheet)
    job = sheet.state.case.job
    told_ = kept.drawn.told if kept else None
    return sheet.page(
        "design.html",
        here="design",
        wish=kept.wish if kept else DesignWish(),
        told=told_,
        plans=[list(plans) for plans in kept.drawn.plans] if kept else [],
        is_stale=told_ is not None and told_.fingerprint != sheet.state.fingerprint,
        receivers=[f"{place}/{name}" for place, house in job.premises.items() for name in house.receivers],
        about=[
            *((name, "function") for name in job.functions),
            *((name, "premises") for name in job.premises),
        ],
        keys={"function": FUNCTION_KEYS, "premises": PREMISES_KEYS},
    )


async def _find(request: Request) -> Response:
    """Draw the variants; long, with progress, and given up when the browser goes."""
    body = await body_of(request)

    def work(stop: Callable[[], bool]) -> Response:
        sheet = sheet_of(request)
        wish = DesignWish(
            words_in(body, "fix", between=r"\n"),
            words_in(body, "anew"),
            words_in(body, "keep"),
            words_in(body, "forbid"),
        )
        with going_on(body) as (mark, is_enough):
            try:
                drawn = sheet.desk.searching.ask(
                    drawn_up, sheet.bench.folder, wish, is_enough, tell=tells(sheet, mark), stop=stop
                )
            except InputError as error:
                raise InputError(in_desk_words(str(error))) from None
        _drawn.keep(sheet, _Kept(wish, drawn))
        return answer(drawn.told.head)

    return await while_wanted(request, work)


def _plan(request: Request) -> Response:
    """Where everything of a variant hangs."""
    sheet = sheet_of(request)
    kept, number = _drawn.of(sheet), request.path_params["number"]
    plans = kept.drawn.plans if kept else ()
    svg = plans[number - 1].get(request.path_params["premises"]) if 1 <= number <= len(plans) else None
    if svg is None:
        raise InputError("There is no such drawing (any more); load the page again.")
    return Response(svg, media_type="image/svg+xml")


async def _pick(request: Request) -> Response:
    """The job becomes the one with a variant in it, as one version, each choice with its remark."""
    body = await body_of(request)

    def work() -> Response:
        sheet = sheet_of(request, role=DeskRole.INSTALLER)
        kept, number = _drawn.of(sheet), body.get("variant")
        if kept is None:
            raise InputError("Nothing is drawn yet (any more); draw it up first.")
        drawn = kept.drawn
        if type(number) is not int or not 1 <= number <= len(drawn.texts):
            raise InputError(f"There are variants 1 to {len(drawn.texts)}; load the page again.")

        def make(present: str) -> str:
            if present != drawn.before:
                raise InputError("The job has changed since this was drawn; draw it up anew.")
            return drawn.texts[number - 1]

        variant = drawn.told.variants[number - 1]
        says = f"drawn up: {variant.title}, {plural(len(variant.choices), 'choice')}"
        return told(sheet, sheet.bench.rewrite(make, by=sheet.session.name, says=says))

    return await run_in_threadpool(work)


ROUTES: Final = [
    Route("/j/{job}/design", _page),
    Route("/j/{job}/design/find", _find, methods=["POST"]),
    Route("/j/{job}/design/enough", enough, methods=["POST"]),
    Route("/j/{job}/design/plan/{number:int}/{premises:path}", _plan),
    Route("/j/{job}/design/pick", _pick, methods=["POST"]),
]
