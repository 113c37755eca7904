"""A way of radio is kept by all it is made from: anything else in the scene is another way."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest

from farpress.case.door import open_job
from farpress.core.reach.scene import Barrier, PathEnd, Scene
from farpress.core.reach.terrain import Terrain
from farpress.reach.radio_scene import scene_of
from farpress.reach.ways_kept import HEIGHTS, WAYS, kept_height, kept_way, scene_digest
from helpers.project import EXAMPLES


def _scene() -> Scene:
    case = open_job(EXAMPLES / "larkfen-house")
    return scene_of(case.job.premises["larkfen"], case.equipment, 433.92e6).scene


def test_equal_scenes_have_equal_digests() -> None:
    """Made twice from the same plan."""
    assert scene_digest(_scene()) == scene_digest(_scene())


def test_every_field_of_a_scene_counts() -> None:
    """One digit of one wall, the word for one build, a point of the ground."""
    scene = _scene()
    barrier = next(one for one in scene.panel_barriers if one is not None)
    number = scene.panel_barriers.index(barrier)

    def with_barrier(other: Barrier) -> Scene:
        barriers = list(scene.panel_barriers)
        barriers[number] = other
        return replace(scene, panel_barriers=tuple(barriers))

    moved = {
        field.name: replace(
            scene.panels, **{field.name: np.nextafter(getattr(scene.panels, field.name), 1e9)}
        )
        for field in fields(scene.panels)
        if getattr(scene.panels, field.name).dtype == np.float64
    }
    others = [
        *(replace(scene, panels=panels) for panels in moved.values()),
        replace(scene, panels=replace(scene.panels, hole_in=scene.panels.hole_in + 1)),
        *(
            with_barrier(replace(barrier, **change))
            for change in (
                {"says": "other"},
                {"loss_db": np.nextafter(barrier.loss_db, 99.0)},
                {"sd_db": barrier.sd_db + 1e-9},
                {"layers": ()},
                {"is_steel": not barrier.is_steel},
                {"is_free_standing": not barrier.is_free_standing},
                {"extrapolated": ("brick",)},
                {"sources": ()},
            )
        ),
        replace(scene, slab_heights_m=(9.0,)),
        replace(scene, slab_outlines=()),
        replace(scene, slab_barriers=()),
        replace(scene, boxes=(*scene.boxes, *scene.boxes, scene.boxes[0]) if scene.boxes else ()),
        replace(scene, ground_permittivity=14.0),
        replace(scene, ground_conductivity_s_per_m=0.011),
        replace(scene, terrain=Terrain(((0.0, 0.0, 1.0),))),
        replace(scene, street="urban"),
    ]
    digests = [scene_digest(other) for other in (scene, *others)]

    assert len(set(digests)) >= len(digests) - (not scene.boxes)


def test_both_ends_frequency_and_entry_count() -> None:
    """Which end is which, too."""
    here, there = PathEnd((0.0, 0.0, 1.0), 1.0, True), PathEnd((5.0, 0.0, 1.0), 1.0, False)
    WAYS.forget()
    asked = [
        (here, there, 433e6, False),
        (there, here, 433e6, False),
        (here, there, 434e6, False),
        (here, there, 433e6, True),
        (here._replace(is_outdoors=False), there, 433e6, False),
        (here, there._replace(over_ground_m=1.1), 433e6, False),
    ]
    for fob, aerial, hertz, unwalled in asked * 2:
        kept_way(b"scene", fob, aerial, hertz, unwalled=unwalled, make=lambda: "a way")  # type: ignore[arg-type, return-value]
    kept_way(b"other", here, there, 433e6, unwalled=False, make=lambda: "a way")  # type: ignore[arg-type, return-value]
    made = WAYS.made
    WAYS.forget()

    assert made == len(asked) + 1


def test_what_has_no_digest_is_refused() -> None:
    """A field of a new kind must not be passed over."""
    with pytest.raises(TypeError, match="digest"):
        scene_digest(replace(_scene(), street=object()))  # type: ignore[arg-type]


def test_a_height_is_that_of_its_ground_and_point() -> None:
    """Other ground or another point is another height; the same is made once."""
    corners = ((0.0, 0.0), (20.0, 0.0), (0.0, 20.0), (20.0, 20.0))
    dam = Terrain((*((x, y, 0.0) for x, y in corners), (10.0, 0.0, 2.0), (10.0, 20.0, 2.0)))
    higher = Terrain((*((x, y, 0.0) for x, y in corners), (10.0, 0.0, 4.0), (10.0, 20.0, 4.0)))
    HEIGHTS.forget()
    asked = [(dam, 10.0, 7.0), (dam, 5.0, 7.0), (dam, 7.0, 5.0), (higher, 10.0, 7.0)]
    heights = [kept_height(ground, x, y) for ground, x, y in asked * 2]
    made = HEIGHTS.made
    HEIGHTS.forget()

    assert heights == pytest.approx([2.0, 1.0, 1.4, 4.0] * 2)
    assert made == len(asked)
