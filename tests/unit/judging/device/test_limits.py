"""Every check of a driven device at its limit, on both sides of it, and where thin begins."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Stake, Verdict
from farpress.judging.device import moves
from helpers.findings import finding_of
from helpers.logic_case import GATE, STRIKE, a_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
PULSE: dict[str, Any] = {"kind": "pulse", "for_s": 0.5}


def judged(outputs: dict[str, dict[str, Any]], **more: Any) -> list[Finding]:
    """Findings about the devices of a small house."""
    return list(moves.judge(a_case(outputs, **more)))


@pytest.mark.parametrize(("for_s", "verdict"), [(21.99, FAILS), (22.0, THIN), (22.99, THIN), (23.01, HOLDS)])
def test_dev_01_a_second_beyond_the_worst_travel_is_enough(for_s: float, verdict: Verdict) -> None:
    """22 s at the worst; a relay and a clock start late."""
    finding = finding_of(judged({"1": {"kind": "pulse", "for_s": for_s, "works": "shutter.up"}}), "DEV-01")

    assert finding.verdict is verdict
    assert finding.margin == pytest.approx(for_s - 22.0)
    assert [remedy.effect for remedy in finding.remedies] == (
        [] if verdict is HOLDS else ["23 s against 22.0 s needed"]
    )


@pytest.mark.parametrize(("for_s", "verdict"), [(22.99, FAILS), (23.01, THIN), (24.01, HOLDS)])
def test_dev_01_an_ordinary_travel_is_taken_fifteen_per_cent_longer(for_s: float, verdict: Verdict) -> None:
    """20 s: 23 s are needed."""
    shutter = {
        "shutter": {
            "device": "shutter",
            "travel_s": 20.0,
            "inputs": {"up": {"logic": "up", "wants": "maintained"}},
        }
    }
    outputs = {"1": {"kind": "pulse", "for_s": for_s, "works": "shutter.up"}}

    assert finding_of(judged(outputs, devices=shutter), "DEV-01").verdict is verdict


@pytest.mark.parametrize(
    ("speed", "verdict"), [(0.2002, FAILS), (0.2, THIN), (0.1802, THIN), (0.1798, HOLDS)]
)
def test_dev_02_a_leaf_runs_on_by_a_hands_width_at_most(speed: float, verdict: Verdict) -> None:
    """0.4 s of drop-out and 0.1 s to stop: 0.2 m/s makes 100 mm, the limit of guidance on EN 12453."""
    grille = {
        "grille": {
            "device": "grille",
            "speed_m_per_s": speed,
            "stops_after_s": 0.1,
            "inputs": {"down": {"logic": "down", "wants": "maintained"}},
        }
    }
    finding = finding_of(judged({"1": {"kind": "follow", "works": "grille.down"}}, devices=grille), "DEV-02")

    assert (finding.verdict, finding.limit, finding.stake) == (verdict, 0.1, Stake.HARM)


@pytest.mark.parametrize(
    ("safeguards", "bars"), [((), True), (("beams",), False), (("beams", "edge"), False)]
)
def test_dev_03_nobody_may_accept_a_leaf_that_closes_by_itself_without_any_safeguard(
    safeguards: tuple[str, ...], bars: bool
) -> None:
    """What is short of one kind may be accepted by somebody competent."""
    gate = {"gate": {**GATE, "safeguards": safeguards}}
    finding = finding_of(judged({"1": {**PULSE, "works": "gate.open"}}, devices=gate), "DEV-03")

    assert finding.bars is bars
    assert finding.verdict is (HOLDS if len(safeguards) == 2 else FAILS)


def test_dev_03_a_gate_of_which_nothing_is_recorded_waits_until_it_is() -> None:
    """Closing by itself after 20 s at 0.43 m/s: stopped until somebody has looked, and 344 mm are told."""
    gate = {
        "gate": {
            **GATE,
            "safeguards": None,
            "closes_after_s": 20.0,
            "speed_m_per_s": 0.43,
            "stops_after_s": 0.4,
        }
    }
    outputs = {"1": {**PULSE, "works": "gate.open"}}
    finding = finding_of(judged(outputs, devices=gate), "DEV-03")
    tested = {"gate": {**gate["gate"], "safeguards": ("beams", "edge"), "safeguards_tested": None}}
    untested = finding_of(judged(outputs, devices=tested), "DEV-03")

    assert (finding.verdict, finding.halts, finding.bars) == (UNKNOWN, True, False)
    assert "run on by 344 mm" in finding.because
    assert (untested.verdict, untested.halts) == (UNKNOWN, True)


@pytest.mark.parametrize(
    ("kind", "halts"), [({**STRIKE, "fails": None}, True), ({**GATE, "fails": None}, False)]
)
def test_dev_04_a_lock_nobody_tried_waits_and_a_gate_is_asked_about(
    kind: dict[str, Any], halts: bool
) -> None:
    """Whether anybody has to get out by it is open for both; a lock is there to hold."""
    thing = {"thing": {**kind, "escape_route": None}}
    name = next(iter(kind["inputs"]))
    found = judged({"1": {**PULSE, "works": f"thing.{name}"}}, devices=thing)
    finding = finding_of(found, "DEV-04", "thing")

    assert (finding.verdict, finding.halts) == (UNKNOWN, halts)


def test_dev_04_nobody_may_accept_a_lock_that_holds_people_in() -> None:
    """It bars wherever it fails."""
    strike = {"strike": {**STRIKE, "escape_route": True}}
    finding = finding_of(
        judged({"1": {"kind": "pulse", "for_s": 4.0, "works": "strike.release"}}, devices=strike), "DEV-04"
    )

    assert (finding.verdict, finding.bars, finding.stake) == (FAILS, True, Stake.HARM)


@pytest.mark.parametrize(("escape", "verdict"), [(True, FAILS), (None, UNKNOWN)])
def test_dev_04_asks_of_a_gate_too_whether_people_leave_through_it(
    escape: bool | None, verdict: Verdict
) -> None:
    """One that stays locked without power fails on an escape route; silence is no better."""
    gate = {"gate": {**GATE, "fails": "locked", "escape_route": escape}}
    finding = finding_of(
        judged({"1": {"kind": "pulse", "for_s": 0.5, "works": "gate.open"}}, devices=gate), "DEV-04", "gate"
    )

    assert finding.verdict is verdict


@pytest.mark.parametrize(
    ("arrivals", "verdict"), [(91, FAILS), (90, THIN), (73, THIN), (72, HOLDS), (10, HOLDS)]
)
def test_dev_05_a_lane_is_close_to_its_capacity_above_four_fifths(arrivals: int, verdict: Verdict) -> None:
    """2.5 s up, 5 s, 2.5 s down: 90 in a quarter of an hour."""
    arm = {
        "arm": {
            "device": "barrier",
            "travel_s": 2.5,
            "safeguards": ("loop",),
            "safeguards_tested": True,
            "inputs": {"open": {"logic": "open only"}},
        }
    }
    traffic = ({"place": "here", "function": "f1", "arrivals": {"07:00-07:15": arrivals}, "passage_s": 5.0},)
    finding = finding_of(
        judged({"1": {**PULSE, "works": "arm.open"}}, devices=arm, traffic=traffic), "DEV-05"
    )

    assert finding.verdict is verdict
    assert finding.limit == pytest.approx(90.0)


@pytest.mark.parametrize("missing", ["travel", "passage"])
def test_dev_05_what_is_missing_for_a_capacity_is_asked_for(missing: str) -> None:
    """Travel and passage."""
    arm = {"arm": {"device": "barrier", "travel_s": 2.5, "inputs": {"open": {"logic": "open only"}}}}
    if missing == "travel":
        arm["arm"]["travel_s"] = None
    traffic = (
        {
            "place": "here",
            "function": "f1",
            "arrivals": {"07:00-07:15": 10},
            "passage_s": None if missing == "passage" else 5.0,
        },
    )
    finding = finding_of(
        judged({"1": {**PULSE, "works": "arm.open"}}, devices=arm, traffic=traffic), "DEV-05"
    )

    assert finding.verdict is UNKNOWN
    assert ("travel" if missing == "travel" else "pass") in finding.asks[0].says


def test_dev_02_the_remedy_keeps_a_tenth_below_the_limit() -> None:
    """90 mm over 0.5 s: 0.18 m/s."""
    grille = {
        "grille": {
            "device": "grille",
            "speed_m_per_s": 0.25,
            "stops_after_s": 0.1,
            "inputs": {"down": {"logic": "down", "wants": "maintained"}},
        }
    }
    finding = finding_of(judged({"1": {"kind": "follow", "works": "grille.down"}}, devices=grille), "DEV-02")

    assert "runs on by 125 mm; 100 mm is the most" in finding.says
    assert "no faster than 0.18 m/s" in finding.remedies[0].does
    assert finding.remedies[0].effect == "90 mm"


def test_dev_05_says_by_how_much_the_queue_grows() -> None:
    """100 come, 90 pass."""
    arm = {"arm": {"device": "barrier", "travel_s": 2.5, "inputs": {"open": {"logic": "open only"}}}}
    traffic = ({"place": "here", "function": "f1", "arrivals": {"07:00-07:15": 100}, "passage_s": 5.0},)
    finding = finding_of(
        judged({"1": {**PULSE, "works": "arm.open"}}, devices=arm, traffic=traffic), "DEV-05"
    )

    assert "grows by 10 vehicles" in finding.because
    assert finding.remedies[0].effect == "720 an hour while it stays open"


def test_dev_05_the_stretch_in_which_the_queue_grows_quickest_counts() -> None:
    """10 too many in a quarter of an hour are more than 20 in two hours: 40 an hour against 10."""
    arm = {"arm": {"device": "barrier", "travel_s": 2.5, "inputs": {"open": {"logic": "open only"}}}}
    arrivals = {"07:00-07:15": 100, "16:00-18:00": 740}
    traffic = ({"place": "here", "function": "f1", "arrivals": arrivals, "passage_s": 5.0},)
    finding = finding_of(
        judged({"1": {**PULSE, "works": "arm.open"}}, devices=arm, traffic=traffic), "DEV-05"
    )

    assert finding.says.startswith("07:00-07:15: 100 vehicles come, and arm passes 90")
