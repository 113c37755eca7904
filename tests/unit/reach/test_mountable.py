"""Where a box can be mounted, and where it cannot."""

from __future__ import annotations

import pytest

from farpress.domain.premises import Premises
from farpress.reach.mountable import mount_near

YARD = Premises.model_validate(
    {
        "levels": {"ground": {"floor": "0 m", "clear": "2.5 m"}},
        "walls": [{"level": "ground", "build": "brick 240 mm", "along": [[0, 0], [10, 0]]}],
        "mounts": {"lamp post": {"at": [30, -20]}, "gable": {"at": [5, 1, 6.5]}},
        "devices": {"gate": {"device": "sliding gate", "at": [40, 0]}},
    }
)


@pytest.mark.parametrize(
    ("x", "y", "within", "found"),
    [
        (4.0, -3.0, 5.0, ((4.0, -0.15, 2.0), "outside on the wall")),
        (12.0, 0.0, 5.0, ((9.85, 0.0, 2.0), "outside on the wall")),
        (29.0, -18.0, 5.0, ((30.0, -20.0, 2.0), "on lamp post")),
        (41.0, 1.0, 5.0, ((40.0, 0.0, 2.0), "at gate")),
        (5.0, 1.1, 0.5, ((5.0, 1.0, 6.5), "on gable")),
        (22.0, -12.0, 5.0, None),
    ],
)
def test_the_nearest_thing_to_mount_on_is_found_or_none(
    x: float, y: float, within: float, found: tuple[tuple[float, float, float], str] | None
) -> None:
    """A wall on the side one stands, a post, a pillar, a gable at its own height; in the middle of the
    yard nothing.
    """
    mount = mount_near(YARD, x, y, within_m=within)

    if found is None:
        assert mount is None
        return
    assert mount is not None
    assert mount.at[2] == found[0][2]
    assert mount.at[:2] == pytest.approx(found[0][:2], abs=0.16)
    assert mount.says == found[1]
