"""The drawing of a time line keeps every word: long titles and names are folded, short states named below."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from farpress.papers.drawings.timeline import Bar, Row, timeline_drawing

STORY = "Old Harbour: " + "; ".join(f"{10 * i} s: berth holders press barrier {i}" for i in range(40))


def _texts(svg: str) -> list[tuple[float, float, str]]:
    return [
        (float(one.get("y", "0")), float(one.get("font-size", "0")), "".join(one.itertext()))
        for one in ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}text")
    ]


@pytest.mark.parametrize("title", ["Old Harbour: 0 s: wait", STORY, "x" * 300])
def test_a_long_title_is_folded_and_nothing_of_it_is_lost(title: str) -> None:
    """All of its words stand above the first row, no line wider than the drawing, no number apart from its
    unit.
    """
    svg = timeline_drawing(
        title, [Row("quay/barrier", "barrier", (Bar(0.0, 5.0, "opening"),))], [(0.0, "pressed")], 10.0
    )

    lines = [text for _, size, text in _texts(svg) if size == 17]
    assert "".join(lines).replace(" ", "") == title.replace(" ", "")
    assert max(len(line) for line in lines) <= 110
    assert not any(line[-1].isdigit() for line in lines[:-1])
    assert max(y for y, size, _ in _texts(svg) if size == 17) < min(
        y for y, size, text in _texts(svg) if text == "quay/barrier"
    )
    assert max(y for y, _, _ in _texts(svg)) < float(ElementTree.fromstring(svg).get("height"))


def test_long_names_are_folded_and_rows_do_not_meet() -> None:
    """Three lines of a name, then the row below."""
    name = "marina and boatyard of the old harbour/pontoon gate of the visitors' berths"
    rows = [
        Row(name, "a magnetic lock that is fed through the lamp of the harbour office", ()),
        Row("next", "lamp", ()),
    ]
    texts = _texts(timeline_drawing("t", rows, [], 10.0))

    spoken = [(y, text) for y, size, text in texts if size in (13, 10)]
    assert name.replace(" ", "") in "".join(text for _, text in spoken).replace(" ", "")
    assert [y for y, _ in spoken] == sorted(y for y, _ in spoken)
    assert all(len(text) <= 42 for _, text in spoken)


def test_a_state_too_short_for_its_word_is_named_below() -> None:
    """An acknowledgement of an instant has its number of pulses in print too."""
    svg = timeline_drawing(
        "t",
        [Row("panel acknowledged", "pulses", (Bar(5.0, 5.0, "2 pulses"), Bar(50.0, 50.0, "4 pulses")))],
        [],
        60.0,
    )

    assert any(text == "panel acknowledged: 5 s 2 pulses, 50 s 4 pulses" for _, _, text in _texts(svg))
