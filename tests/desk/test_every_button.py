"""Every button and form of every page pressed with empty, wrong and malformed input: answered in words, never
with a fault of ours.

The forms are read out of the pages themselves, so that a new one is pressed without being listed here.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from farpress.desk.frame import PAGES
from helpers.desk import Served, copy_of, served

pytestmark = pytest.mark.long

ROOT = "/j/larkfen-house"
MORE = (
    "wiring/drawn",
    "hunt",
    "proving/walk",
    "faults?words=the+gate+stops",
    *(f"job/{name}" for name in ("receivers", "alarm", "people")),
)
WRONG = ("", "\u00e9\u0000<b> ../[[", "-1e999")
LONG_WORK = ("/papers", "/search", "/map", "/import", "/begin", "/pack", "/mend", "/quote/list", "/stop")
"""Ends of addresses whose work has tests of its own and takes long."""


@dataclass
class _Press:
    """A form or button: where it is sent, and the names of its fields with what stands there."""

    address: str
    fields: dict[str, str] = field(default_factory=dict)
    body: Any = None


class _Forms(HTMLParser):
    """Collects what can be pressed on a page."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[_Press] = []
        self.opened: set[str] = set()
        self._form: _Press | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """A form begins, a field stands in it, or a button sends something by itself."""
        given = {name: value or "" for name, value in attrs}
        if tag == "form":
            address = given.get("data-send") or given.get("data-each") or given.get("data-add") or ""
            self._form = _Press(address, {"@path": given.get("data-path", "")}) if address else None
            self.found += [self._form] if self._form else []
        if tag in ("input", "select", "textarea") and self._form is not None and given.get("name"):
            self._form.fields[given["name"]] = given.get("value", "")
        if given.get("data-post"):
            self.found.append(_Press(given["data-post"], body=json.loads(given.get("data-body") or "{}")))
        if given.get("data-take"):
            self.found.append(_Press(given["data-take"], body={"path": []}))
        if given.get("data-edit"):
            self.found.append(_Press(f"{ROOT}/edit", body={"changes": json.loads(given["data-edit"])}))
        if given.get("data-open"):
            self.opened.add(given["data-open"])

    def handle_endtag(self, tag: str) -> None:
        """A form ends."""
        if tag == "form":
            self._form = None


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The family house, served once; it is spoilt as far as it lets itself be."""
    folder: Path = tmp_path_factory.mktemp("buttons")
    with served(copy_of("larkfen-house", folder)) as desk:
        yield desk


def _read(desk: Served, address: str) -> tuple[int, _Forms]:
    forms = _Forms()
    answer = desk.ask(address, headers={"Accept": "text/html", "X-Part": "main"})
    forms.feed(answer.text)
    return answer.status, forms


def test_every_button_answers_in_words(house: Served) -> None:
    """Each address once for each way of being wrong; dialogues that pages open are pages too."""
    pressed: dict[str, _Press] = {}
    seen: set[str] = set()
    broken: list[str] = []
    for page in (*(name for name, _, _ in PAGES), *MORE):
        status, forms = _read(house, f"{ROOT}/{page}")
        broken += [f"{status} {page}"] if status >= 500 else []
        kinds = {address.split("?")[0]: address for address in sorted(forms.opened)}
        for kind, address in kinds.items():
            if kind in seen:
                continue
            seen.add(kind)
            status, inside = _read(house, address)
            broken += [f"{status} {address}"] if status >= 500 else []
            forms.found += inside.found
            bare = house.ask(
                f"{kind}?path=%5B%5B&key=&number=x&label=%00&terminal=", headers={"Accept": "text/html"}
            )
            broken += [f"{bare.status} {kind} bare"] if bare.status >= 500 else []
        for press in forms.found:
            shape = f"{page.partition('?')[0]} {press.address.partition('?')[0]} {sorted(press.body or ())}"
            pressed.setdefault(shape, press)
    asked = 0
    for press in pressed.values():
        if press.address.endswith(LONG_WORK):
            continue
        bodies: list[Any] = [{}, [], {"values": 5}, {"values": {"@path": '["premises", "x"]'}}]
        if press.body is not None:
            bodies += [dict.fromkeys(press.body, wrong) for wrong in (None, "", 7, [], {"a": [1]})]
        for wrong in WRONG:
            bodies.append(
                {"values": {**dict.fromkeys(press.fields, wrong), "@path": press.fields.get("@path", "")}}
            )
        bodies.append({"values": {key: [None] for key in press.fields}})
        for body in bodies:
            asked += 1
            answer = house.ask(press.address, body)
            if answer.status >= 500:
                broken.append(f"{answer.status} {press.address} {str(body)[:120]}")

    assert broken == []
    assert len(pressed) > 12
    assert asked > 100
