"""What hides a place and is not drawn: judged with all of it there, read with what was there."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Verdict
from farpress.judging.air import counted
from farpress.reach.ask import promised_links
from farpress.reach.gaps import GapKind
from farpress.reach.radio_budget import RadioLink
from farpress.reach.radio_link import radio_of
from helpers.radio_case import larkfen

LEAVES = {"leaves": {"loss": "12 dB", "loss_sd": "5 dB", "when": "June to October"}}
BOX = {"cold store": {"build": "steel sheet"}}
KITCHEN: dict[str, Any] = {"at": [10, 27], "level": "ground"}


def _case(hidden: dict[str, Any], **more: Any) -> Case:
    promise = {"to": "family", "function": "open gate", "from": "kitchen"}
    places = {"kitchen": {**KITCHEN, "hidden_by": hidden}}
    return larkfen(premises={"places": places}, promises=[promise], **more)


def _link(case: Case) -> RadioLink:
    return promised_links(case, "larkfen", "R1", place="kitchen")[0].link


@pytest.mark.parametrize(
    ("hidden", "loss_db", "sd_db"),
    [
        (LEAVES, 12.0, 5.0),
        (BOX, 25.0, 6.0),
        ({"stock": {"loss": "8 dB"}}, 8.0, 4.0),
        ({"stock": {"build": "steel sheet", "loss": "8 dB", "loss_sd": "1 dB"}}, 8.0, 1.0),
        (LEAVES | BOX, 37.0, (25.0 + 36.0) ** 0.5),
    ],
)
def test_what_hides_a_place_costs_level_and_certainty(
    hidden: dict[str, Any], loss_db: float, sd_db: float
) -> None:
    """By hand: losses add, their spreads add as squares; half the loss where nobody gives a spread."""
    bare, behind = _link(_case({})), _link(_case(hidden))

    assert bare.level_dbm is not None
    assert behind.level_dbm == pytest.approx(bare.level_dbm - loss_db)
    assert behind.place_sd_db**2 == pytest.approx(bare.place_sd_db**2 + sd_db**2)


def test_a_loss_that_nobody_knows_is_asked() -> None:
    """Neither build nor loss: no level is made up."""
    link = _link(_case({"stock": {}}))

    assert link.level_dbm is None
    assert GapKind.WALL_LOSS in {gap.kind for gap in link.gaps}


def _read(level: str, **more: Any) -> list[dict[str, Any]]:
    return [{"receiver": "larkfen/R1", "place": "kitchen", "level": level, **more}]


def test_a_reading_in_winter_says_nothing_of_the_leaves() -> None:
    """The same level read is good news in summer and ordinary news in winter; not said counts as winter."""
    winter = _link(_case(LEAVES, readings=_read("-70 dBm")))
    summer = _link(_case(LEAVES, readings=_read("-70 dBm", there=["leaves"])))

    assert winter.level_dbm is not None
    assert summer.level_dbm is not None
    assert winter.level_dbm < summer.level_dbm - 5.0


def test_without_leaves_only_what_is_always_there_hides_it() -> None:
    """Where it must not reach, leaves are no help: they fall."""
    case = _case(LEAVES | BOX)
    place = case.job.premises["larkfen"].places["kitchen"]
    fields: dict[str, Any] = {"group": "family", "premises": "larkfen", "receiver": "R1", "place": place}
    most, least = (
        radio_of(case).link(**fields, place_path="larkfen/kitchen", there=there) for there in (None, ())
    )

    assert most.level_dbm is not None
    assert least.level_dbm == pytest.approx(most.level_dbm + 12.0)


@pytest.mark.parametrize(
    ("there", "heard", "verdict"),
    [([], 20, Verdict.UNKNOWN), (["leaves"], 20, Verdict.HOLDS), ([], 10, Verdict.FAILS)],
)
def test_presses_counted_in_winter_do_not_prove_the_summer(
    there: list[str], heard: int, verdict: Verdict
) -> None:
    """Good without the leaves is not known with them; bad without them is bad."""
    readings = [{"receiver": "larkfen/R1", "place": "kitchen", "heard": heard, "of": 20, "there": there}]
    (found,) = counted.judge(_case(LEAVES, readings=readings))

    assert found.verdict is verdict
    assert ("Counted without leaves (June to October)" in found.says) is (not there)
