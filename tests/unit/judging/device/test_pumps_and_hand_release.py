"""Pumps that stop by themselves, and leaves that a hand lets go."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Verdict
from farpress.judging.device.hand_release import judge_hand_release
from farpress.judging.device.pumps import judge_pumps
from helpers.findings import finding_of
from helpers.logic_case import GATE, a_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
WORKED: dict[str, Any] = {"kind": "pulse", "for_s": 60.0, "works": "it.on"}


@pytest.mark.parametrize("thing", [{"device": "pump"}, {"device": "contactor", "feeds": "pump"}])
@pytest.mark.parametrize(
    ("dry", "shut", "verdict"),
    [
        (None, None, UNKNOWN),
        ("stops", None, UNKNOWN),
        ("stops", "stops", HOLDS),
        ("cannot be", "stops", HOLDS),
        ("runs on", "stops", FAILS),
        (None, "runs on", FAILS),
    ],
)
def test_dev_55_a_pump_stops_by_itself(
    thing: dict[str, Any], dry: str | None, shut: str | None, verdict: Verdict
) -> None:
    """Dry and dead-headed, each on its own: what is left out is asked, what runs on fails."""
    case = a_case({"1": WORKED}, devices={"it": {**thing, "when_dry": dry, "when_shut": shut}})

    assert finding_of(judge_pumps(case), "DEV-55").verdict is verdict


def test_dev_55_is_asked_of_a_contactor_that_is_called_a_pump() -> None:
    """A name makes somebody ask, and no more than that; lamps behind a contactor are left alone."""
    called = a_case(
        {"1": {**WORKED, "works": "bore pump.on"}}, devices={"bore pump": {"device": "contactor"}}
    )
    lamps = a_case({"1": WORKED}, devices={"it": {"device": "contactor", "feeds": "lamp"}})

    assert finding_of(judge_pumps(called), "DEV-55").verdict is UNKNOWN
    assert not list(judge_pumps(lamps))


FULL = {"how": "lever", "key_with": "the caretaker", "reached_from": "both sides", "tried": True}


@pytest.mark.parametrize(
    ("change", "verdict"),
    [
        ({}, HOLDS),
        ({"how": None}, UNKNOWN),
        ({"key_with": None}, UNKNOWN),
        ({"reached_from": None}, UNKNOWN),
        ({"tried": None}, UNKNOWN),
        ({"how": "none"}, FAILS),
        ({"key_with": "nobody"}, FAILS),
        ({"key_with": "no key"}, HOLDS),
        ({"tried": False}, FAILS),
        ({"reached_from": "inside"}, THIN),
    ],
)
def test_dev_57_a_hand_lets_it_go_without_power(change: dict[str, Any], verdict: Verdict) -> None:
    """How, with whose key, from which side, and tried: each left out is asked."""
    devices = {"gate": {**GATE, "hand_release": {**FULL, **change}}}
    case = a_case({"1": {"kind": "pulse", "works": "gate.open"}}, devices=devices)

    assert finding_of(judge_hand_release(case), "DEV-57").verdict is verdict
