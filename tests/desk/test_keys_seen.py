"""What a receiver holds and what it heard, brought into the record from the Keys page."""

from __future__ import annotations

from pathlib import Path

import axe_core_python
from playwright.sync_api import expect

from farpress.desk.access import Access, DeskRole
from farpress.record.store import open_record
from helpers.desk import Served, copy_of, served
from helpers.watched import Watched, wait_until_said

KEYS = "/j/larkfen-house/keys"
SERIOUS = (
    "async () => (await axe.run(document, {resultTypes: ['violations']})).violations"
    ".filter((one) => ['serious', 'critical'].includes(one.impact))"
    ".map((one) => one.id + one.nodes[0].html.slice(0, 120))"
)
"""axe-core by Deque Systems, all its rules; see the test of every page."""


def _kinds(desk: Served) -> list[str]:
    with open_record(desk.folder) as record:
        return [event.kind for event in record.events(kinds=["memory read", "fob heard"])]


def _receiver(desk: Served) -> str:
    data = desk.ask("/j/larkfen-house/plan/data").json
    return f"{data['premises']}/{data['receivers'][0]['name']}"


def test_a_list_that_was_read_out_is_looked_at_and_then_entered(house: Served, watched: Watched) -> None:
    """A list with a fault is told row by row; a right one says what differs before it is written, and the
    page keeps it.
    """
    receiver = _receiver(house)
    for label in ("F-001", "F-002"):
        assert house.ask(f"{KEYS}/receive", {"values": {"label": label}}).status == 200
    group = (
        house.ask("/j/larkfen-house/rehearsal", headers={"Accept": "text/html"})
        .text.split('data-groups="[{&#34;name&#34;: &#34;')[1]
        .split("&#34;")[0]
    )
    for change in (
        {"button": "issue", "values": {"pool": "cupboard", "group": group}},
        {"button": "learn", "values": {"receiver": receiver, "slot": "1"}},
    ):
        answer = house.ask(f"{KEYS}/fob/F-001", change)
        assert answer.status == 200, answer.text
    page = watched.page(bypass_csp=True)
    page.goto(f"{house.address}{KEYS}")
    page.evaluate((Path(axe_core_python.__file__).parent / "axe.min.js").read_text(encoding="utf-8"))
    page.get_by_role("button", name="Read out a receiver").click()
    page.get_by_label("or paste it").fill("label;slot\nF-001;1\nF-001;1")
    page.get_by_role("button", name="Look at it").click()
    expect(page.locator("#memoryresult")).to_contain_text("It stands in row 2 already")
    page.get_by_label("or paste it").fill("label;slot\nF-001;1\nF-002;2")
    expect(page.locator("#memoryresult")).to_be_empty()
    page.get_by_role("button", name="Look at it").click()
    expect(page.locator("#memoryresult")).to_contain_text(
        "holds 2 records. Nothing is written yet; 1 thing will have to be attended to"
    )
    expect(page.locator("#memoryresult li")).to_contain_text("F-002")
    assert page.evaluate(SERIOUS) == []
    assert _kinds(house) == []
    page.get_by_role("button", name="Enter it in the record").click()
    expect(page.locator("#seen summary")).to_contain_text("Receivers read out: 1 of")
    assert _kinds(house) == ["memory read"]

    page.get_by_role("button", name="Heard just now").click()
    page.get_by_label("Labels, one a line").fill("F-001\nF-002\nF-999")
    page.get_by_role("button", name="Look at it").click()
    expect(page.locator("#heardresult")).to_contain_text("F-002 is learned nowhere")
    expect(page.locator("#heardresult")).to_contain_text("no fob 'F-999'")
    assert page.evaluate(SERIOUS) == []
    watched.expected = ("422",)
    page.get_by_label("Labels, one a line").fill("f 001")
    page.get_by_role("button", name="Look at it").click()
    expect(page.locator("#heardresult")).to_contain_text("F-001. Nothing is written yet.")
    page.get_by_role("button", name="Enter it in the record").click()
    wait_until_said(page, "F-001 was heard at")
    assert _kinds(house) == ["memory read", "fob heard"]


def test_a_reader_enters_nothing(tmp_path: Path) -> None:
    """Roles as on the rest of the page."""
    access = Access.for_network()
    with served(copy_of("larkfen-house", tmp_path), access=access) as desk:
        code = access.codes[DeskRole.READER]
        desk.ask(
            "/pair",
            data=f"name=Ada&code={code}".encode(),
            headers={"Content-Type": "application/x-www-form-urlencoded"},
        )
        for path, body in (
            ("memory/enter", {"list": "x", "receiver": "y"}),
            ("heard", {"receiver": "y", "fobs": "F-001"}),
        ):
            assert desk.ask(f"{KEYS}/{path}", body).status == 403
        assert _kinds(desk) == []
