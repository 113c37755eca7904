"""How an aerial stands, in which directions it hears, and on which seat of a car somebody presses."""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np
import pytest

from farpress.case.case import Case
from farpress.core.reach.aerial import ROD_NULL_DB, rod_pattern_db
from farpress.errors import OutOfRange
from farpress.judging.air import promises as air
from farpress.reach.ask import MapRequest, budget_at, reach_map
from farpress.reach.gaps import GapKind
from farpress.reach.radio_budget import REAR_SEAT_DB, RadioLink
from farpress.reach.radio_link import radio_of
from helpers.radio_case import larkfen

PROMISE = {
    "to": "family",
    "function": "open gate",
    "from": "street",
    "at_least": "10 %",
    "within": "2 presses",
}
COAX = {"part": "rg58", "length": "9 m"}


def with_aerial(**aerial: Any) -> Case:
    """The house with a whip under the eaves."""
    antenna = {"part": "whip", "at": [17.0, 22.0, 4.0], "coax": COAX, **aerial}
    return larkfen(box={"antenna": antenna}, promises=[PROMISE])


def street(case: Case, **more: Any) -> RadioLink:
    """The link from the street."""
    place = case.job.premises["larkfen"].places["street"]
    return radio_of(case).link(
        group="family",
        premises="larkfen",
        receiver="R1",
        place=place.model_copy(update=more),
        place_path="larkfen/street",
    )


def test_an_upright_rod_is_whole_at_the_horizon_and_almost_nothing_overhead() -> None:
    """0 dB sideways, the floor along its axis, and never above 0 dB, whatever comes by echoes."""
    assert rod_pattern_db(polar_deg=90.0, tilt_deg=0.0).item() == pytest.approx(0.0, abs=1e-9)
    assert rod_pattern_db(polar_deg=[0.0, 180.0], tilt_deg=0.0) == pytest.approx([ROD_NULL_DB] * 2)
    angles, tilts = np.meshgrid(np.linspace(0.0, 180.0, 61), np.linspace(0.0, 90.0, 19))
    for share in (0.0, 0.4, 1.0):
        found = [
            rod_pattern_db(polar_deg=row, tilt_deg=float(tilt), strongest_share=share)
            for row, tilt in zip(angles, tilts[:, 0])
        ]
        assert np.max(found) <= 1e-9
        assert np.min(found) >= ROD_NULL_DB - 1e-9


def test_to_the_horizon_more_leaning_is_never_heard_better() -> None:
    """From upright to lying the worst side only falls."""
    taken = [rod_pattern_db(polar_deg=90.0, tilt_deg=float(tilt)).item() for tilt in range(91)]

    assert all(later <= earlier + 1e-12 for earlier, later in itertools.pairwise(taken))
    with pytest.raises(OutOfRange, match="tilt_deg"):
        rod_pattern_db(polar_deg=90.0, tilt_deg=91.0)


def test_a_leaning_aerial_is_heard_worse_and_says_so() -> None:
    """60 degrees: a line of the budget, and as much less level; lines still add up."""
    upright, leaning = (street(with_aerial(tilt=tilt)) for tilt in ("0 deg", "60 deg"))
    (line,) = (line for line in leaning.lines if "leaning 60 degrees" in line.says)

    assert upright.level_dbm is not None
    assert leaning.level_dbm is not None
    assert line.adds_db < -2.0
    assert leaning.level_dbm == pytest.approx(upright.level_dbm + line.adds_db, abs=0.1)
    assert leaning.level_dbm == pytest.approx(sum(line.adds_db for line in leaning.lines))


@pytest.mark.parametrize("tilt", [None, "0 deg", "30 deg", "60 deg", "90 deg"])
def test_an_aerial_of_which_nobody_says_how_it_stands_is_asked(tilt: str | None) -> None:
    """Absent, the promise is no better than with any tilt: unknown, or it fails."""
    case = with_aerial(**({"tilt": tilt} if tilt else {}))
    (found,) = (one for one in air.judge(case) if one.code == "AIR-01")
    kinds = [gap.kind for gap in street(case).gaps]

    assert (GapKind.AERIAL_TILT in kinds) is (tilt is None)
    assert any("tilt" in ask.says for ask in found.asks) is (tilt is None)
    assert str(found.verdict) in ({"unknown", "fails"} if tilt is None else {"holds", "thin", "fails"})


@pytest.mark.parametrize("tilt", ["0 deg", "50 deg"])
def test_a_map_has_the_pattern_of_every_cell(tilt: str) -> None:
    """Each cell of a map is the budget from its point."""
    case = with_aerial(tilt=tilt)
    drawn = reach_map(
        case,
        "larkfen",
        "R1",
        level=None,
        cells=(3, 2),
        request=MapRequest(area=(10.0, -20.0, 26.0, -4.0), compile_it=False),
    )
    for row, y in enumerate(drawn.y_m):
        for column, x in enumerate(drawn.x_m):
            link = budget_at(case, "larkfen", "R1", (float(x), float(y)))
            assert link.margin_db is not None
            assert drawn.margin_db[row, column] == pytest.approx(link.margin_db, abs=0.2)


@pytest.mark.parametrize(("seat", "taken"), [("front", 0.0), ("rear", REAR_SEAT_DB), (None, REAR_SEAT_DB)])
def test_the_rear_seat_costs_more_and_is_taken_where_nobody_says(seat: str | None, taken: float) -> None:
    """Front: what the sheet says of a car; rear, or no seat: as much less."""
    case = larkfen()
    front, here = street(case, seat="front"), street(case, seat=seat)

    assert front.level_dbm is not None
    assert here.level_dbm is not None
    assert front.level_dbm - here.level_dbm == pytest.approx(taken)
    assert here.place_sd_db >= front.place_sd_db
    assert street(case, seat=seat, pressed="in hand").level_dbm == pytest.approx(
        street(case, seat="front", pressed="in hand").level_dbm or 0.0
    )


def test_a_reading_from_a_seat_nobody_named_lifts_no_other_link() -> None:
    """Beside a reading the best seat is taken: left out, the seat makes no prediction stronger."""

    def kitchen(**seat: str) -> float:
        places = {
            "street": {"at": [14, -25], "pressed": "in car", **seat},
            "kitchen": {"at": [10, 27], "level": "ground"},
        }
        readings = [{"receiver": "larkfen/R1", "place": "street", "level": "-100 dBm"}]
        case = larkfen(premises={"places": places}, readings=readings)
        link = radio_of(case).link(
            group="family",
            premises="larkfen",
            receiver="R1",
            place=case.job.premises["larkfen"].places["kitchen"],
            place_path="larkfen/kitchen",
        )
        assert link.level_dbm is not None
        return link.level_dbm

    assert kitchen() <= min(kitchen(seat="front"), kitchen(seat="rear")) + 1e-9
