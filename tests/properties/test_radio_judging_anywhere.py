"""Wherever somebody stands and wherever the receiver hangs, the judging says something sound."""

from __future__ import annotations

import math

from hypothesis import given, settings
from hypothesis import strategies as st

from farpress.domain.finding import Verdict
from farpress.judging.air import promises as air
from helpers.radio_case import larkfen

plan = st.one_of(
    st.sampled_from([8.0, 9.5, 17.5, 19.5, 22.0, 31.4]), st.floats(-60.0, 60.0).map(lambda x: round(x, 2))
)
heights = st.floats(0.0, 8.0).map(lambda z: round(z, 2))


@settings(max_examples=60, deadline=None)
@given(
    at=st.tuples(plan, plan, heights),
    box=st.tuples(plan, plan, heights),
    level=st.sampled_from([None, "ground", "upper"]),
    box_level=st.sampled_from([None, "ground", "upper"]),
    pressed=st.sampled_from(["in hand", "in pocket", "in car"]),
    presses=st.integers(1, 4),
    level_dbm=st.one_of(st.none(), st.integers(-130, -20)),
)
def test_a_number_or_a_question_everywhere(
    at: tuple[float, ...],
    box: tuple[float, ...],
    level: str | None,
    box_level: str | None,
    pressed: str,
    presses: int,
    level_dbm: int | None,
) -> None:
    """On walls, in corners, under floors, on the same spot: shares from 0 to 100 %, remedies better than the
    chance itself.
    """
    place = {"at": list(at), "pressed": pressed} | ({"level": level} if level else {})
    readings = (
        [{"receiver": "R1", "place": "there", "level": f"{level_dbm} dBm"}] if level_dbm is not None else []
    )
    case = larkfen(
        premises={"places": {"there": place}},
        box={"at": list(box), "level": box_level},
        readings=readings,
        promises=[{"to": "family", "function": "open gate", "from": "there", "within": f"{presses} presses"}],
    )
    found = next(finding for finding in air.judge(case) if finding.code == "AIR-01")

    if found.value is None:  # a hand or an aerial in the ground, of which nobody drew what is round it
        assert found.verdict is Verdict.UNKNOWN
        assert found.asks
        return
    assert math.isfinite(found.value)
    assert 0.0 <= found.value <= 100.0
    assert found.doubt is not None
    assert found.doubt >= -1e-9
    is_asked = found.verdict is Verdict.UNKNOWN and bool(found.asks)  # what is short only by our own guess
    assert (found.verdict is Verdict.FAILS or is_asked) == (found.value < 95.0)
    offered = () if is_asked else found.remedies  # an open question has its own first
    assert all(" instead of " in remedy.effect for remedy in offered)
