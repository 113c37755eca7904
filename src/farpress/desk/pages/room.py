"""The findings of one room, for a page whose own task is not there."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from starlette.requests import Request
from starlette.responses import Response

from farpress.desk.frame import PAGES, sheet_of
from farpress.desk.pages.promises import place_of_subject
from farpress.domain.finding import Link

__all__ = ["room_page"]

LINKS: Final = {
    "plan": (Link.AIR, Link.RECEIVER),
    "wiring": (Link.OUTPUT, Link.CONTACT, Link.SUPPLY, Link.DEVICE, Link.PANEL), "rehearsal": (Link.RULE, Link.OUTPUT), "keys": (Link.REGISTER,),
    "proving": (Link.AIR,), "papers": (Link.SAFETY, Link.RULE), "upkeep": (Link.FOB,), "faults": tuple(Link),
}


def room_page(name: str) -> Callable[[Request], Response]:
    """A page with the findings of a room."""
    title, says = next((title, says) for here, title, says in PAGES if here == name)

    def page(request: Request) -> Response:
        sheet = sheet_of(request)
        findings = sorted((one for one in sheet.bench.assessment().findings if one.link in LINKS[name]), key=lambda one: (-one.verdict.rank, one.code, one.about))
        return sheet.page("room.html", here=name, heading=title, says=says, findings=findings, subject=place_of_subject)

    return page
