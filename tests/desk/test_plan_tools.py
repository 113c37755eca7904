"""Every tool of the plan in a real browser: level, slab, opening, cable, pictures and PDF pages with a scale,
variants.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from PIL import Image, ImageDraw
from playwright.sync_api import Page, expect

from helpers.desk import Served, copy_of, served
from helpers.watched import Watched, wait_until_said


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The family house, served once for all tools; its maps come from a worker of their own."""
    with served(copy_of("larkfen-house", tmp_path_factory.mktemp("plan")), apart=True) as desk:
        yield desk


def _premises(desk: Served) -> Any:
    return yaml.load((desk.folder / "job.yaml").read_text(encoding="utf-8"), yaml.BaseLoader)["premises"][
        "larkfen"
    ]


def _plan(watched: Watched, desk: Served) -> tuple[Page, dict[str, float]]:
    page = watched.page()
    page.goto(f"{desk.address}/j/{desk.folder.name}/plan")
    expect(page.locator("#board")).to_have_attribute("data-maps", re.compile("[1-9]"))
    box = page.locator("#plan").bounding_box()
    assert box is not None
    return page, box  # type: ignore[return-value]


def _click(page: Page, box: dict[str, float], *spots: tuple[float, float]) -> None:
    for x, y in spots:
        page.mouse.click(box["x"] + box["width"] * x, box["y"] + box["height"] * y)


def _tool(page: Page, name: str) -> None:
    page.get_by_role("toolbar").get_by_role("button", name=name, exact=True).click()


def test_a_level_a_slab_an_opening_and_a_cable_are_drawn(house: Served, watched: Watched) -> None:
    """Each is in the file as it was drawn, and the last is taken back."""
    page, box = _plan(watched, house)
    _tool(page, "Level")
    page.get_by_label("Name of the level").fill("loft")
    page.get_by_label("Its floor over the plan's zero, m").fill("5,60")
    page.get_by_label("Clear height, m").fill("2.1")
    page.get_by_role("button", name="Add the level").click()
    expect(page.locator("#level")).to_have_value("loft")
    assert _premises(house)["levels"]["loft"] == {"floor": "5.6 m", "clear": "2.1 m"}

    _tool(page, "Slab")
    _click(page, box, (0.3, 0.5), (0.6, 0.5), (0.6, 0.7), (0.3, 0.7))
    page.keyboard.press("Enter")
    wait_until_said(page, "slab outline of loft")
    outline = _premises(house)["levels"]["loft"]["outline"]
    assert len(outline) == 4
    assert outline[0][1] == outline[1][1]

    _tool(page, "Wall")
    _click(page, box, (0.3, 0.5), (0.6, 0.5))
    page.keyboard.press("Enter")
    wait_until_said(page, "a wall drawn")
    _tool(page, "Opening")
    _click(page, box, (0.45, 0.5))
    wait_until_said(page, "an opening drawn")
    page.get_by_label("Width, m").fill("1,8")
    page.get_by_label("Width, m").press("Tab")
    wait_until_said(page, "opening: width")
    wall = _premises(house)["walls"][-1]
    assert wall["level"] == "loft"
    assert wall["openings"][0]["width"] == "1.8 m"
    long = abs(float(wall["along"][1][0]) - float(wall["along"][0][0]))
    assert abs(float(wall["openings"][0]["from"].removesuffix(" m")) + 0.45 - long / 2) < 0.3, (
        "it lies where it was clicked, in the middle of the wall"
    )

    before = _premises(house)["receivers"]["R1"]["outputs"]["1"]["cable"]
    _tool(page, "Cable")
    _click(page, box, (0.3, 0.6), (0.5, 0.6), (0.5, 0.8))
    page.keyboard.press("Enter")
    page.get_by_label("It belongs to").select_option(label="R1, output 1")
    page.get_by_label("Added for ups, downs and ends, m").fill("3")
    page.get_by_role("button", name="Take it").click()
    wait_until_said(page, "cable of R1, output 1 drawn")
    cable = _premises(house)["receivers"]["R1"]["outputs"]["1"]["cable"]
    points = [[float(one) for one in point] for point in cable["along"]]
    run = sum(((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2) ** 0.5 for a, b in itertools.pairwise(points))
    assert 0 <= float(cable["length"].removesuffix(" m")) - run - 3 <= 0.5, (
        "the drawn way and the ends, rounded up to half a metre"
    )
    assert cable["part"] == before["part"]
    page.locator("#undo").click()
    wait_until_said(page, "taken back")
    assert _premises(house)["receivers"]["R1"]["outputs"]["1"]["cable"] == before


@pytest.mark.parametrize("kind", ["png", "pdf"])
def test_a_picture_or_a_page_gets_its_scale_from_two_points(
    kind: str, house: Served, watched: Watched, tmp_path: Path
) -> None:
    """It lies under the plan; two points and their distance make it as large as it is."""
    sheet = Image.new("RGB", (400, 300), "white")
    ImageDraw.Draw(sheet).rectangle((40, 40, 360, 260), outline="black", width=4)
    file = tmp_path / f"sketch.{kind}"
    sheet.save(file, **({"save_all": True, "append_images": [sheet]} if kind == "pdf" else {}))
    page, _ = _plan(watched, house)
    _tool(page, "Import")
    page.locator("#file").set_input_files(file)
    if kind == "pdf":
        page.get_by_label("Page of a PDF").fill("2")
    page.get_by_role("button", name="Take it").click()
    expect(page.locator("#hint")).to_contain_text("Click two points of the picture")
    before = _premises(house)["underlays"][-1]
    box = page.locator("#plan").bounding_box()
    assert box is not None
    _click(page, box, (0.4, 0.5), (0.6, 0.5))  # type: ignore[arg-type]
    apart = float((page.locator("#hint").text_content() or "").split(" m")[0])
    page.get_by_label("These two points are how far apart, m").fill(f"{apart * 1.5:.3f}".replace(".", ","))
    page.get_by_role("button", name="Set the scale").click()
    wait_until_said(page, "scale of the picture set")

    after = _premises(house)["underlays"][-1]
    assert float(after["width"].removesuffix(" m")) == pytest.approx(
        1.5 * float(before["width"].removesuffix(" m")), rel=0.002
    )
    page.get_by_role("button", name=re.compile("Remove picture")).click()
    wait_until_said(page, "picture removed")


def test_two_variants_are_compared(house: Served, watched: Watched) -> None:
    """One is kept, the aerial goes to its other place; the difference map and the table show both; two
    presses reach farther than one.
    """
    page, _ = _plan(watched, house)
    fine = re.compile("^fine")
    expect(page.locator("#board")).to_have_attribute("data-map", fine)
    page.get_by_role("button", name="Keep as variant A").click()
    columns = page.locator("#places thead th")
    expect(columns).to_have_text(["Place", "A", "Heard", "Promised"])
    street = page.locator("#places tbody tr", has_text="street").first
    assert street.locator("td").nth(1).text_content() == (
        street.locator("td").nth(2).text_content() or ""
    ).removesuffix(" too little")
    page.get_by_text("Everything on the plan").click()
    page.get_by_role("button", name="aerial R1: other place 1").click()
    page.get_by_role("button", name="Let the aerial stand here").click()
    wait_until_said(page, "aerial of R1 at its other place 1")
    expect(street.locator("td").nth(2)).not_to_have_text(street.locator("td").nth(1).text_content() or "")
    page.locator("#compare").select_option("difference")
    page.mouse.move(
        *(
            page.locator("#plan").evaluate(
                "one => { const box = one.getBoundingClientRect(); return [box.x + box.width / 2, box.y +"
                " box.height / 2]; }"
            )
        )
    )
    expect(page.locator("#pointer")).to_contain_text("% against A")

    page.locator("#presses").select_option("2")
    expect(page.locator("#compare-box")).to_be_hidden()
    expect(page.locator("#pointer")).to_be_visible()
    one, two = (
        house.ask(
            f"/j/larkfen-house/plan/map?receiver=R1&left=0&right=20&low=-30&high=0&columns=8&rows=8&presses={count}"
        ).json["shares"]
        for count in (1, 2)
    )
    assert all(
        b >= a for row_a, row_b in zip(one, two, strict=True) for a, b in zip(row_a, row_b, strict=True)
    )
    assert sum(map(sum, two)) > sum(map(sum, one))
