"""Links of a job: what a correction rests on, what is missing by kind, and that a job keeps its own links."""

from __future__ import annotations

from dataclasses import replace

import pytest

from farpress.case.case import Case
from farpress.reach.ask import budget_at, promised_links
from farpress.reach.gaps import GapKind, gaps_text
from farpress.reach.radio_budget import BudgetPart, RadioLink
from farpress.reach.radio_link import radio_of
from helpers.radio_case import larkfen


def presses(place: str, *, heard: int, of: int, **how: object) -> dict[str, object]:
    """Counted presses as they stand in a job."""
    return {"receiver": "R1", "place": place, "heard": heard, "of": of, "held": "in hand", **how}


def street(case: Case) -> RadioLink:
    """The link of the first promise from the street."""
    return promised_links(case, "larkfen", "R1", place="street")[0].link


def test_single_presses_of_a_job_correct_like_their_sum_and_are_counted_as_presses() -> None:
    """Twelve taps and one count of twelve, beside a level: the same link, and the same words."""
    level = {"receiver": "R1", "place": "kitchen", "level": "-73 dBm", "held": "in hand"}
    taps = [presses("street", heard=int(number < 9), of=1) for number in range(12)]
    single = larkfen(readings=[level, *taps])
    summed = larkfen(readings=[level, presses("street", heard=9, of=12)])

    assert street(single).level_dbm == pytest.approx(street(summed).level_dbm, rel=1e-12)
    assert street(single).spread_db == pytest.approx(street(summed).spread_db, rel=1e-12)
    assert len(radio_of(single).updated("larkfen", "R1").spots) == 2
    for case in (single, summed):
        corrections = [line for line in street(case).lines if line.part is BudgetPart.READINGS]
        assert [line.says for line in corrections] == ["correction from 1 reading and 12 presses at R1"]


@pytest.mark.parametrize(
    "apart",
    [{"pad_db": 10.0}, {"held": "in pocket"}, {"aerial_at": [17.0, 22.0]}, {"place": "kitchen"}],
    ids=["pad", "held", "aerial", "place"],
)
def test_presses_under_other_conditions_are_a_count_of_their_own(apart: dict[str, object]) -> None:
    """Another pad, grip, aerial or place: two counts; the same conditions twice: one."""
    places = [
        {"part": "whip", "at": [17.0, 22.0, 4.0], "tilt": "0 deg", "coax": {"part": "rg58", "length": "5 m"}}
    ]
    box = {"antenna_places": places}
    first = presses("street", heard=9, of=12)
    alike = larkfen(box=box, readings=[first, first])
    other = larkfen(box=box, readings=[first, {**first, **apart}])

    assert len(radio_of(alike).updated("larkfen", "R1").spots) == 1
    assert len(radio_of(other).updated("larkfen", "R1").spots) == 2


def test_an_undrawn_building_is_asked_about_and_computed_all_the_same() -> None:
    """No wall: a published statistic stands in, and the level is there."""
    link = street(larkfen(premises={"walls": []}))

    assert [gap.kind for gap in link.gaps] == [GapKind.WALLS_UNDRAWN]
    assert link.level_dbm is not None
    stood_in = [kind for kind in GapKind if kind.has_stand_in]
    assert stood_in == [GapKind.AERIAL_TILT, GapKind.WALLS_UNDRAWN, GapKind.SENDERS, GapKind.NOISE]


def test_a_wall_of_unknown_loss_stops_the_computing() -> None:
    """A build nobody knows: no level, and the wall is asked for."""
    walls = [{"build": "unheard of", "along": [[0, 0], [10, 0]], "base": "0 m", "top": "3 m"}]
    link = street(larkfen(premises={"walls": walls}))

    assert GapKind.WALL_LOSS in [gap.kind for gap in link.gaps]
    assert link.level_dbm is None
    assert "unheard of" in gaps_text(link.gaps)


def test_an_aerial_at_a_place_of_ones_own_needs_no_drawn_height() -> None:
    """Its height is then given; everything else that was missing stays missing."""
    case = larkfen(box={"at": [17.5, 23.0], "level": None})
    drawn = street(case)
    moved = promised_links(case, "larkfen", "R1", place="street", aerial_at=[17.5, 23.0, 2.6])[0].link

    assert [gap.kind for gap in drawn.gaps] == [GapKind.AERIAL_HEIGHT]
    assert drawn.level_dbm is None
    assert moved.gaps == ()
    assert moved.level_dbm is not None


def test_the_coax_belongs_to_the_receiving_end_and_never_to_the_walls() -> None:
    """The parts of a budget add up to its level; the coax is in the receiving part."""
    aerial = {
        "part": "whip",
        "at": [17.0, 22.0, 4.0],
        "tilt": "0 deg",
        "coax": {"part": "rg58", "length": "8 m"},
    }
    link = street(larkfen(box={"antenna": aerial}))
    coax = next(line for line in link.lines if "connector pair" in line.says)

    assert coax.part is BudgetPart.RECEIVING
    assert coax.adds_db < -1.0
    assert sum(line.adds_db for line in link.lines) == pytest.approx(link.level_dbm)
    assert link.lines[0].part is BudgetPart.FOB


def test_a_changed_job_keeps_links_of_its_own() -> None:
    """The links are kept with the job: asked twice they are the same, and a changed job has others."""
    case = larkfen()
    changed = replace(case, job=larkfen(readings=[presses("street", heard=0, of=40)]).job)

    assert radio_of(case) is radio_of(case)
    assert radio_of(changed) is not radio_of(case)
    assert (street(changed).share(1) or 0.0) < (street(case).share(1) or 0.0)
    point = case.job.premises["larkfen"].places["street"].at
    assert budget_at(case, "larkfen", "R1", point).level_dbm is not None
