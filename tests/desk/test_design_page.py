"""Design at the desk: variants drawn beside each other, a choice fixed, one taken and taken back."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import expect

from helpers.desk import Served, served
from helpers.watched import Watched
from helpers.wished_jobs import CHURCH

ASK = {"keep": "", "forbid": "", "fix": "", "anew": ""}


@pytest.fixture(scope="module")
def church(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A church of which only the wishes stand."""
    folder = tmp_path_factory.mktemp("design") / "church"
    folder.mkdir()
    (folder / "job.yaml").write_text(CHURCH, encoding="utf-8")
    with served(folder) as desk:
        yield desk


@pytest.mark.long
def test_a_variant_is_drawn_taken_and_taken_back(church: Served) -> None:
    """The job file has every choice with its remark; Undo brings the old text back to the letter."""
    file = church.folder / "job.yaml"
    before = file.read_text(encoding="utf-8")

    assert church.ask("/j/church/design/pick", {"variant": 1}).status == 422  # nothing is drawn yet
    found = church.ask("/j/church/design/find", ASK)
    assert "drawn up from what is wished" in found.json["says"]
    assert file.read_text(encoding="utf-8") == before
    shown = church.ask("/j/church/design").text
    assert all(f'data-pick="{number}"' in shown for number in (1, 2, 3))
    assert "No price list is kept" in shown
    assert church.ask("/j/church/design/plan/1/church").text.startswith("<svg")
    assert church.ask("/j/church/design/pick", {"variant": 4}).status == 422
    taken = church.ask("/j/church/design/pick", {"variant": 1})
    assert taken.json["says"].startswith("Saved: drawn up: cheapest, ")
    after = file.read_text(encoding="utf-8")
    assert after.startswith("# Drawn up, variant cheapest")
    assert "      R1:\n        part: receiver-" in after
    assert church.ask("/j/church/design/pick", {"variant": 2}).status == 422  # the job has changed since
    assert "The job has changed since this was drawn" in church.ask("/j/church/design").text
    church.ask("/j/church/undo", {})

    assert file.read_text(encoding="utf-8") == before


@pytest.mark.long
@pytest.mark.parametrize(
    ("wish", "says"),
    [
        ({"fix": "door.kindd=pulse"}, "Fixed: 'door.kindd=pulse'"),
        ({"fix": "door.kind=pulse\ngate.at=here"}, "'gate' is no function"),
        ({"anew": "R9"}, "Draw anew: R9"),
        ({"forbid": "unobtainium"}, "Do not use: unobtainium"),
        ({"keep": "R77"}, "Leave as it is: R77"),
        ({"fix": None}, "not understood"),
    ],
)
def test_a_wish_that_means_nothing_is_refused(church: Served, wish: dict[str, str], says: str) -> None:
    """In the words of the page, before anything is drawn."""
    answer = church.ask("/j/church/design/find", {**ASK, **wish})

    assert answer.status == 422
    assert says in answer.json["says"]


@pytest.mark.long
def test_by_keyboard_a_choice_is_fixed_and_drawn_again(church: Served, watched: Watched) -> None:
    """On a phone: drawn, a choice written into the field by its button, drawn again with it, nothing wide."""
    page = watched.page(phone=True, color_scheme="light")
    page.goto(f"{church.address}/j/church/design")
    page.get_by_label("Fixed choices").fill("door.at=west wall")
    page.get_by_role("button", name="Draw it up").press("Enter")
    expect(page.get_by_role("region", name="Figures of the variants")).to_be_visible(timeout=60_000)
    expect(page.locator("#design-head")).to_be_focused()
    expect(page.locator(".drawing img").first).to_have_js_property("complete", value=True)
    page.locator("summary", has_text="Choices").first.press("Enter")
    expect(page.get_by_text("Receiver R1").first).to_contain_text("west wall")
    page.locator("button[data-fix]", has_text="Receiver R1").first.press("Enter")
    fixed = page.get_by_label("Fixed choices").input_value()

    assert "door.receiver=receiver-" in fixed
    assert fixed.count("door.at=") == 1
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
