"""Drawings: long words take more lines, names stand beside the plan, nothing lies on anything else."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farpress.papers.drawings.blocks import Block, BlockPlan, BlockReceiver, Wire, block_drawing
from farpress.papers.drawings.location import LocationPlan, Mounted, callouts, location_drawing
from farpress.papers.drawings.svg import text_width, wrapped
from farpress.papers.typesetting.paper import Drawing, Head, Paper, Section
from farpress.papers.typesetting.render import paper_pdf
from helpers.layout import layout_faults
from helpers.read_pdf import pages_of

HEAD = Head("Thornwick Clinic", "5f1c0a9be2d477aa0123456789abcdef", "0.1.0", "28 November 2026")
LONG = Block(
    "garden valve of the upper terrace", "valve, fed from the transformer of the garden room over the contact"
)


def _printed(svg: str) -> bytes:
    return paper_pdf(
        Paper(
            "drawing", "Drawing", "For a test.", (Section("One", (Drawing(svg, "a drawing"),)),), is_wide=True
        ),
        HEAD,
    )


@given(
    st.text(st.characters(whitelist_categories=("L", "N"), whitelist_characters=" -/."), max_size=120),
    st.floats(40, 400),
    st.integers(1, 4),
)
def test_wrapped_lines_fit_and_lose_nothing_silently(text: str, room: float, most: int) -> None:
    """Every line has room; together they are the text, or end in dots."""
    lines = wrapped(text, 11.0, room, most)

    assert len(lines) <= most
    assert all(text_width(line, 11.0) <= room or line == "…" for line in lines)
    if not lines[-1].endswith("…"):
        assert re.sub(r"\s", "", "".join(lines)) == re.sub(r"\s", "", text)


@given(st.lists(st.floats(-50, 900), max_size=25).map(sorted))
def test_names_in_a_column_keep_their_distance(wanted: list[float]) -> None:
    """In order, a step apart, within the ends; a name that is in nobody's way stays where it is wanted."""
    places = callouts(wanted, 19.0, (0.0, 600.0))

    assert all(second - first > 18.999 for first, second in pairwise(places))
    assert all(9.499 < one < 590.501 for one in places)
    if len(wanted) == 1 and 10 < wanted[0] < 590:
        assert places == wanted


def test_a_block_tells_long_words_in_full() -> None:
    """Name, supply and behaviour of more than a line stand there whole, in their boxes."""
    receiver = BlockReceiver(
        "R1",
        "older receiver for fixed-code fobs, one changeover relay and an open collector",
        "main",
        ("1 pulse 15 min, starts anew, over a lighting contactor in the cellar", "tamper"),
    )
    plan = BlockPlan(
        "clinic",
        (Block("main", "battery-backed supply, 13.6 V DC, cuts off at 11.5 V"),),
        (receiver,),
        (LONG,),
        (Wire("R1", receiver.ports[0], LONG.name, "release"),),
    )
    text = pages_of(_printed(block_drawing(plan)))[0]

    for words in (
        LONG.name,
        LONG.says,
        receiver.says,
        receiver.ports[0],
        "battery-backed supply, 13.6 V DC, cuts off at 11.5 V",
    ):
        assert words in text
    assert layout_faults(_printed(block_drawing(plan))) == []


@pytest.mark.parametrize("count", [1, 6, 40])
def test_everything_in_one_spot_still_has_its_name(count: int) -> None:
    """Forty things in one cabinet: every name is there, none on another."""
    mounted = tuple(
        Mounted("device", f"strike number {number}", 4.0, 3.0 + 0.001 * number) for number in range(count)
    )
    pdf = _printed(
        location_drawing(
            LocationPlan(
                "cabinet",
                ((((0.0, 0.0), (10.0, 0.0), (10.0, 6.0)), True),),
                (Mounted("receiver", "R1", 4.0, 3.0), *mounted),
            )
        )
    )
    text = " ".join(pages_of(pdf))

    assert all(f"strike number {number}" in text for number in range(count))
    assert layout_faults(pdf, smallest=4.0) == []
