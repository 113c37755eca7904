"""Rec. ITU-R P.1411, 4.3.1 (near street level): values of an independent implementation.

github.com/eeveetza/p1411, matlab/reference_p1411.csv, commit 1950eda, rows "lowheight, 1" (suburban)
and corner length 20 m; read on 2026-11-25. The Recommendation itself was not at hand. The file
covers 300 MHz and 900 MHz on either side of ours. It takes the corner as 20 m or 30 m; we keep 20 m.

4.1.2 (street canyon) has no second witness here; its values are in tests/frozen.
"""

from __future__ import annotations

import pytest

from farpress.core.reach.street import street_level_loss_db
from helpers.printed import Printed


@pytest.mark.parametrize(
    ("frequency_hz", "distance_m", "share", "loss"),
    [
        (300e6, 5.0, 0.05, Printed("26.59779998")),
        (300e6, 50.0, 0.25, Printed("51.3907017")),
        (300e6, 50.0, 0.50, Printed("60.22853457")),
        (300e6, 50.0, 0.75, Printed("73.65068489")),
        (300e6, 100.0, 0.50, Printed("80.97045646")),
        (300e6, 100.0, 0.90, Printed("89.94131742")),
        (300e6, 500.0, 0.95, Printed("120.443232")),
        (900e6, 10.0, 0.90, Printed("62.12786311")),
        (900e6, 50.0, 0.50, Printed("73.23008876")),
        (900e6, 100.0, 0.10, Printed("63.67832997")),
        (900e6, 1000.0, 0.75, Printed("147.1623412")),
    ],
)
def test_the_loss_near_street_level(
    frequency_hz: float, distance_m: float, share: float, loss: Printed
) -> None:
    """In sight, round the corner and in between, for lucky and unlucky places."""
    computed = street_level_loss_db(
        distance_m=distance_m, frequency_hz=frequency_hz, share=share, surroundings="suburban"
    )

    assert (
        abs(computed - float(loss.text)) < 1e-6
    )  # looser than print: the last digits hang on the file's own normal deviate
