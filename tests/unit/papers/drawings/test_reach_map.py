"""The drawing of a map: colours that read in grey and to colour-blind eyes, a whole SVG, a picture that
opens.
"""

from __future__ import annotations

import io
import xml.etree.ElementTree as Tree

import numpy as np
from PIL import Image

from farpress.core.reach.field import ReachMap
from farpress.papers.drawings.location import LocationPlan, Mounted, label_spots, location_drawing
from farpress.papers.drawings.reach_map import map_png, map_svg, png_bytes, reach_colours
from farpress.papers.drawings.svg import text_width


def sample() -> ReachMap:
    """A made-up map: the chance falls from west to east."""
    x, y = np.linspace(0.5, 19.5, 20), np.linspace(0.5, 9.5, 10)
    chance = np.tile(np.linspace(1.0, 0.0, 20), (10, 1))
    stands = np.ones((10, 20), dtype=np.bool_)
    stands[0, 0] = False
    walls = ((((2.0, 2.0), (8.0, 2.0), (8.0, 8.0)), False), (((12.0, 1.0), (12.0, 9.0)), True))
    return ReachMap(
        "larkfen",
        "R1",
        "family & friends",
        "ground",
        "in hand",
        x,
        y,
        chance,
        30.0 * chance,
        np.full((10, 20), 8.0),
        stands,
        stands,
        walls,
        (("kitchen <new>", 5.0, 5.0),),
        (3.0, 3.0, 2.0),
    )


def linear(colours: np.ndarray) -> np.ndarray:  # type: ignore[type-arg]
    """From coded to linear light."""
    coded = colours / 255.0
    return np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)


def test_lightness_rises_in_even_steps() -> None:
    """CIE lightness of sRGB (luminance weights of IEC 61966-2-1, from memory): always up, no step twice the
    mean.
    """
    luminance = linear(reach_colours().astype(float)) @ np.array([0.2126, 0.7152, 0.0722])
    lightness = 116.0 * np.cbrt(luminance) - 16.0
    steps = np.diff(lightness[::8])

    assert lightness[0] < 35.0
    assert lightness[-1] > 88.0
    assert (steps > 0.0).all()
    assert steps.max() < 2.0 * steps.mean()


def test_steps_stay_apart_without_the_red_or_green_cones() -> None:
    """Seen through the dichromat matrices of Vienot, Brettel, Mollon 1999 (from memory) neighbouring tenths
    still differ.
    """
    seen = linear(reach_colours()[::25].astype(float))
    for matrix in (
        [[0.11238, 0.88762, 0.0], [0.11238, 0.88762, 0.0], [0.00401, -0.00401, 1.0]],
        [[0.29275, 0.70725, 0.0], [0.29275, 0.70725, 0.0], [-0.02234, 0.02234, 1.0]],
    ):
        dimmed = np.clip(seen @ np.array(matrix).T, 0.0, 1.0)
        lightness = 116.0 * np.cbrt(dimmed @ np.array([0.2126, 0.7152, 0.0722])) - 16.0
        assert (np.diff(lightness) > 2.0).all()


def test_the_svg_is_whole_and_says_it_in_words() -> None:
    """Well-formed, names escaped, contours with words, the same text again."""
    text = map_svg(sample())
    root = Tree.fromstring(text)

    assert root.tag.endswith("svg")
    words = " ".join("".join(one.itertext()) for one in root.iter() if one.tag.endswith("text"))
    assert "9 of 10 presses" in words
    assert "kitchen <new>" in words
    assert "family & friends" in words
    assert "never a safety function" in words
    assert text == map_svg(sample())


def test_the_picture_opens_and_is_not_blank() -> None:
    """PNG by the typesetter; our own small PNG opens too, with the pixels we gave."""
    picture = Image.open(io.BytesIO(map_png(sample())))
    own = Image.open(io.BytesIO(png_bytes(reach_colours()[:, None, :])))

    assert picture.size[0] > 500
    assert len(picture.convert("RGB").getcolors(1 << 22) or []) > 50
    assert own.size == (1, 256)
    assert np.asarray(own.convert("RGB"))[:, 0].tolist() == reach_colours().tolist()


def test_names_on_a_plan_do_not_lie_on_one_another() -> None:
    """Three marks within a few letters of each other: their names find sides of their own, inside the
    drawing.
    """
    named = [("wicket outside", (100.0, 50.0)), ("gate foot", (100.0, 60.0)), ("gate car", (90.0, 66.0))]
    boxes = []
    for (name, _), (x, y, anchor) in zip(named, label_spots(named, 12.0, (0.0, 300.0)), strict=True):
        left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * text_width(name, 12.0)
        boxes.append((left, y - 9.6, left + text_width(name, 12.0), y + 3.0))

    assert all(box[0] >= 0.0 for box in boxes)
    for number, one in enumerate(boxes):
        assert all(
            one[2] < other[0] or one[0] > other[2] or one[3] < other[1] or one[1] > other[3]
            for other in boxes[number + 1 :]
        )


def test_a_location_drawing_names_everything_and_every_wall() -> None:
    """Marks by kind, names in words for those who cannot see it, thick lines for steel."""
    plan = LocationPlan(
        "here",
        ((((0.0, 0.0), (10.0, 0.0)), False), (((0.0, 0.0), (0.0, 6.0)), True)),
        (
            Mounted("receiver", "R1", 2.0, 3.0),
            Mounted("aerial", "aerial R1", 9.0, 5.0),
            Mounted("panel", "panel", 2.5, 3.0),
        ),
    )
    svg = location_drawing(plan)

    assert all(f">{one.name}<" in svg for one in plan.mounted)
    assert "Receiver R1 at 2 m east, 3 m north." in svg
    assert 'stroke-width="2.8"' in svg
