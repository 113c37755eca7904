"""What devices need: each planted fault is caught, and its sound twin is left alone."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Finding, Verdict
from farpress.judging.device import moves as device
from farpress.judging.registry import all_checks
from helpers.findings import codes_of, finding_of
from helpers.logic_case import GATE, SHUTTER, STRIKE, a_case

PULSE: dict[str, Any] = {"kind": "pulse", "for_s": 0.5}


def _found(case: Case) -> list[Finding]:
    found = list(device.judge(case))
    assert {one.code for one in found} <= set(all_checks())
    return found


@pytest.mark.parametrize(
    ("for_s", "verdict"), [(30.0, Verdict.HOLDS), (22.5, Verdict.THIN), (21.0, Verdict.FAILS)]
)
def test_a_timed_run_covers_the_worst_travel(for_s: float, verdict: Verdict) -> None:
    """22 s at its worst."""
    assert (
        finding_of(
            _found(a_case({"1": {"kind": "pulse", "for_s": for_s, "works": "shutter.up"}})), "DEV-01"
        ).verdict
        is verdict
    )


@pytest.mark.parametrize(
    ("speed", "stop", "verdict"),
    [
        (0.25, 0.1, Verdict.FAILS),
        (0.2, 0.1, Verdict.THIN),
        (0.1, 0.1, Verdict.HOLDS),
        (0.3, None, Verdict.FAILS),
        (0.1, None, Verdict.UNKNOWN),
        (None, 0.1, Verdict.UNKNOWN),
    ],
)
def test_overtravel_stays_within_a_hands_width(
    speed: float | None, stop: float | None, verdict: Verdict
) -> None:
    """Drop-out 0.4 s: 0.25 m/s for 0.5 s is 125 mm, 0.2 is 100 mm; what the drop-out alone exceeds needs no
    stopping time.
    """
    leaf = {
        "grille": {
            "device": "grille",
            "speed_m_per_s": speed,
            "stops_after_s": stop,
            "inputs": {"down": {"logic": "down", "wants": "maintained"}},
        }
    }

    assert (
        finding_of(
            _found(a_case({"1": {"kind": "follow", "works": "grille.down"}}, devices=leaf)), "DEV-02"
        ).verdict
        is verdict
    )


def test_a_pulse_has_no_overtravel_to_judge() -> None:
    """The drive ends the movement."""
    assert "DEV-02" not in {one.code for one in _found(a_case({"1": {**PULSE, "works": "gate.start"}}))}


@pytest.mark.parametrize(
    ("safeguards", "tested", "verdict"),
    [
        (("beams", "edge"), True, Verdict.HOLDS),
        (("beams", "edge"), None, Verdict.UNKNOWN),
        (("beams", "edge"), False, Verdict.FAILS),
        (("beams",), True, Verdict.FAILS),
        ((), None, Verdict.FAILS),
        (None, None, Verdict.UNKNOWN),
        (("presence",), True, Verdict.HOLDS),
    ],
)
def test_closing_by_itself_needs_tested_safeguards(
    safeguards: tuple[str, ...] | None, tested: bool | None, verdict: Verdict
) -> None:
    """Limited force with presence detection, or presence detection that keeps all contact away."""
    gate = {"gate": {**GATE, "safeguards": safeguards, "safeguards_tested": tested}}

    assert (
        finding_of(_found(a_case({"1": {**PULSE, "works": "gate.open"}}, devices=gate)), "DEV-03").verdict
        is verdict
    )


def test_a_barrier_with_a_tested_loop_is_sound() -> None:
    """What notices the vehicle decides."""
    barrier = {
        "arm": {
            "device": "barrier",
            "closes_after_s": 3.0,
            "safeguards": ("loop",),
            "safeguards_tested": True,
            "people_pass": False,
            "inputs": {"open": {"logic": "open only"}},
        }
    }

    assert (
        finding_of(_found(a_case({"1": {**PULSE, "works": "arm.open"}}, devices=barrier)), "DEV-03").verdict
        is Verdict.HOLDS
    )


def test_closing_out_of_sight_needs_more_than_closing_in_sight() -> None:
    """A limited force alone holds in sight and is thin out of it."""
    door = {
        "garage": {
            "device": "garage door",
            "safeguards": ("force limit",),
            "safeguards_tested": True,
            "inputs": {"start": {"logic": "start"}},
        }
    }
    promise = ({"to": "pair", "function": "f1", "from_": "here"},)
    seen, unseen = (
        finding_of(
            _found(
                a_case({"1": {**PULSE, "works": "garage.start"}}, devices=door, promises=promise, sees=sees)
            ),
            "DEV-03",
        ).verdict
        for sees in (("garage",), ())
    )

    assert (seen, unseen) == (Verdict.HOLDS, Verdict.THIN)


def test_what_only_opens_needs_no_safeguard_for_closing() -> None:
    """An open-only input of a gate that does not close by itself."""
    gate = {"gate": {**GATE, "closes_after_s": None, "safeguards": None}}

    found = _found(a_case({"1": {**PULSE, "works": "gate.open"}}, devices=gate))

    assert not [finding for finding in found if finding.code == "DEV-03"]


@pytest.mark.parametrize(
    ("changed", "verdict"),
    [
        ({"escape_route": True}, Verdict.FAILS),
        ({"escape_route": True, "opens_by_hand": True}, Verdict.HOLDS),
        ({"escape_route": True, "fails": "unlocked"}, Verdict.UNKNOWN),
        ({"escape_route": None, "fails": "unlocked", "opens_by_hand": False}, Verdict.UNKNOWN),
        ({"escape_route": True, "fails": None}, Verdict.UNKNOWN),
        ({"escape_route": True, "fails": "unlocked", "opens_by_hand": False}, Verdict.FAILS),
        ({"escape_route": None}, Verdict.UNKNOWN),
        ({"escape_route": False}, Verdict.UNKNOWN),
        ({"escape_route": False, "opens_by_hand": False}, Verdict.FAILS),
        ({"escape_route": False, "opens_by_hand": False, "fails": "unlocked"}, Verdict.FAILS),
        ({"escape_route": False, "opens_by_hand": True}, Verdict.HOLDS),
    ],
)
def test_locks_on_escape_routes(changed: dict[str, Any], verdict: Verdict) -> None:
    """Locked without power fails unless it opens by hand; who might leave there is asked, and nobody is shut
    in, on an escape route or not.
    """
    found = _found(
        a_case(
            {"1": {"kind": "pulse", "for_s": 4.0, "works": "strike.release"}},
            devices={"strike": {**STRIKE, **changed}},
        )
    )

    assert finding_of(found, "DEV-04").verdict is verdict


def test_a_lane_has_a_capacity() -> None:
    """2.2 s up, 3.5 s, 2.5 s down: 110 in a quarter of an hour, and 180 come."""
    barrier = {
        "arm": {
            "device": "barrier",
            "travel_s": 2.2,
            "travel_back_s": 2.5,
            "safeguards": ("loop",),
            "safeguards_tested": True,
            "inputs": {"open": {"logic": "open only"}},
        }
    }
    traffic = (
        {
            "place": "here",
            "function": "f1",
            "arrivals": {"07:25-07:40": 110, "07:40-07:55": 180},
            "passage_s": 3.5,
        },
    )
    finding = finding_of(
        _found(a_case({"1": {**PULSE, "works": "arm.open"}}, devices=barrier, traffic=traffic)), "DEV-05"
    )

    assert finding.verdict is Verdict.FAILS
    assert finding.margin == pytest.approx(900 / 8.2 - 180)
    assert "439 an hour" in finding.says


def test_a_sound_house_is_not_flagged() -> None:
    """Gate, lock off the escape route, shutter with safeguards."""
    found = _found(
        a_case(
            {
                "1": {**PULSE, "works": "gate.open"},
                "2": {"kind": "pulse", "for_s": 4.0, "works": "strike.release"},
                "3": {"kind": "follow", "works": "shutter.down"},
            },
            devices={"shutter": SHUTTER},
        )
    )

    assert codes_of(found, "fails", "thin", "unknown") == set()
