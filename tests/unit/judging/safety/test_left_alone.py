"""What is left off or open, and the waters on both sides of it: each refusal on both sides of its edge."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Stake, Verdict
from farpress.judging.output import suits
from farpress.judging.safety import left_alone
from helpers.findings import finding_of
from helpers.logic_case import a_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
CELLAR = {"room_m3": 2.2, "flow_m3_per_h": 3.0, "told_by": ("high-water alarm",)}
FILLS_S = 2.2 / 3.0 * 3600.0


def _off(output: dict[str, Any], alone: dict[str, Any] | None = None, **sheet: Any) -> Finding:
    pump = {
        "device": "pump",
        "left_alone": CELLAR if alone is None else alone,
        "inputs": {"on": {"logic": "on"}},
    }
    case = a_case({"1": {"works": "pump.on", **output}}, devices={"pump": {**pump, **sheet}})
    return finding_of(left_alone.judge(case), "SAFE-51")


@pytest.mark.parametrize(
    ("for_s", "verdict"),
    [
        (0.8 * FILLS_S, HOLDS),
        (0.89 * FILLS_S, HOLDS),
        (0.91 * FILLS_S, THIN),
        (FILLS_S, THIN),
        (FILLS_S + 1.0, FAILS),
    ],
)
def test_safe_51_a_break_contact_keeps_it_off_for_no_longer_than_the_room_lasts(
    for_s: float, verdict: Verdict
) -> None:
    """2.2 m3 at 3.0 m3/h are 44 min, by hand; the pulse ends by itself, without the receiver too."""
    found = _off({"kind": "pulse", "for_s": for_s, "contact": "normally closed"})

    assert found.limit == pytest.approx(44 * 60.0)
    assert (found.verdict, found.stake) == (verdict, Stake.HARM)


@pytest.mark.parametrize(
    "output",
    [
        {"kind": "toggle"},
        {"kind": "latch"},
        {"kind": "pulse", "for_s": 60.0},
        {"kind": "follow"},
        {"kind": "toggle", "contact": "normally closed"},
    ],
)
def test_safe_51_what_has_no_end_fails(output: dict[str, Any]) -> None:
    """By a make contact it stays off after every power cut; a toggle waits for whoever forgot it."""
    assert _off(output).verdict is FAILS


@pytest.mark.parametrize("gone", ["room_m3", "flow_m3_per_h", "told_by"])
def test_safe_51_what_nobody_says_is_asked(gone: str) -> None:
    """A fact left out makes no word better."""
    alone = {key: value for key, value in CELLAR.items() if key != gone}
    found = _off({"kind": "pulse", "for_s": 60.0, "contact": "normally closed"}, alone)

    assert found.verdict is UNKNOWN
    assert found.asks


def test_safe_51_is_of_what_must_run_alone() -> None:
    """A pump of which nobody says that it must run may be off, and so may one that was asked about."""
    for said in (None, "nothing"):
        pump = {"device": "pump", "must_stay_on": said, "inputs": {"on": {"logic": "on"}}}
        case = a_case({"1": {"kind": "toggle", "works": "pump.on"}}, devices={"pump": pump})
        assert not list(left_alone.judge(case))


def _open(alone: dict[str, Any] | None, code: str = "SAFE-52", **sheet: Any) -> Finding:
    gate = {"device": "sluice", "left_alone": alone, "inputs": {"up": {"logic": "up"}}, **sheet}
    case = a_case({"1": {"kind": "pulse", "for_s": 20.0, "works": "sluice.up"}}, devices={"sluice": gate})
    return finding_of(left_alone.judge(case), code)


@pytest.mark.parametrize(
    ("alone", "verdict"),
    [
        (None, UNKNOWN),
        ({"tide": True}, UNKNOWN),
        ({"tide": True, "closes_without_power": True}, THIN),
        ({"tide": True, "closes_without_power": False}, FAILS),
        ({"tide": True, "closes_without_power": False, "by_hand_within_s": 2 * 3600.0}, HOLDS),
        ({"tide": True, "closes_without_power": False, "by_hand_within_s": 5.7 * 3600.0}, THIN),
        ({"tide": True, "closes_without_power": False, "by_hand_within_s": 6.22 * 3600.0}, FAILS),
        ({"closes_without_power": False, "by_hand_within_s": 60.0}, FAILS),
        ({"within_s": 600.0, "closes_without_power": False, "by_hand_within_s": 601.0}, FAILS),
        ({"within_s": 600.0, "closes_without_power": False, "by_hand_within_s": 500.0}, HOLDS),
    ],
)
def test_safe_52_a_power_cut_leaves_nothing_open_for_longer_than_it_may(
    alone: dict[str, Any] | None, verdict: Verdict
) -> None:
    """The tide turns within half of 12.42 h; a press alone leaves it open all the same."""
    assert _open(alone).verdict is verdict


@pytest.mark.parametrize(
    ("kept", "verdict"),
    [
        (None, UNKNOWN),
        ((), FAILS),
        (("people",), FAILS),
        (("level on one side",), THIN),
        (("level on both sides", "people"), HOLDS),
    ],
)
def test_safe_53_it_opens_on_the_right_side_of_the_water_alone(
    kept: tuple[str, ...] | None, verdict: Verdict
) -> None:
    """Nobody may accept one that a press opens against the tide."""
    found = _open({"tide": True, "level_kept_by": kept}, "SAFE-53")

    assert (found.verdict, found.bars) == (verdict, verdict is FAILS)


def test_safe_53_where_the_water_never_stands_higher_outside_is_silent() -> None:
    """As of a pond that only runs out."""
    gate = {"device": "sluice", "left_alone": {"tide": False}, "inputs": {"up": {"logic": "up"}}}
    case = a_case({"1": {"kind": "follow", "works": "sluice.up"}}, devices={"sluice": gate})
    assert "SAFE-53" not in {finding.code for finding in left_alone.judge(case)}


@pytest.mark.parametrize(("opened", "judged"), [("goes back", False), (None, False), ("stays", True)])
def test_safe_52_a_valve_with_a_spring_is_silent_and_one_that_stays_is_judged(
    opened: str | None, judged: bool
) -> None:
    """A fill valve with a motor stays open when its power goes, as a sluice does."""
    valve = {"device": "valve", "inputs": {"on": {"logic": "on", "opened": opened}}}
    case = a_case({"1": {"kind": "toggle", "works": "fill.on"}}, devices={"fill": valve})
    assert ("SAFE-52" in {finding.code for finding in left_alone.judge(case)}) is judged


def test_what_only_closes_it_opens_nothing() -> None:
    """A press that can only lower a sluice leaves nothing open."""
    gate = {"device": "sluice", "inputs": {"down": {"logic": "down"}}}
    case = a_case({"1": {"kind": "pulse", "for_s": 20.0, "works": "sluice.down"}}, devices={"sluice": gate})
    assert not list(left_alone.judge(case))


CLICK: dict[str, Any] = {
    "device": "valve",
    "reverses": "polarity",
    "inputs": {
        "open": {"logic": "open only", "wants": "pulse"},
        "close": {"logic": "close", "wants": "pulse"},
    },
}


@pytest.mark.parametrize(
    ("hand_s", "for_s", "verdict"),
    [(None, 3600.0, FAILS), (3200.0, 3600.0, HOLDS), (3300.0, 3600.0, THIN), (3601.0, 3600.0, FAILS)],
)
def test_safe_52_a_valve_that_latches_stays_open_in_a_power_cut(
    hand_s: float | None, for_s: float, verdict: Verdict
) -> None:
    """An hour at the most, as a rule says: nobody named to close it by hand is without end."""
    alone = None if hand_s is None else {"by_hand_within_s": hand_s}
    case = a_case(
        {"1": {"kind": "pulse", "for_s": 0.2, "works": "vine.open"}},
        devices={"vine": {**CLICK, "left_alone": alone}},
        rules=({"never": "on longer than", "of": ("f1",), "for_s": for_s},),
    )
    found = finding_of(left_alone.judge(case), "SAFE-52")

    assert (found.verdict, found.stake, found.limit) == (verdict, Stake.HARM, for_s)


def test_safe_52_is_not_of_a_valve_that_its_current_holds() -> None:
    """Without current a spring shuts it: a power cut closes it."""
    assert not list(left_alone.judge(a_case({"1": {"kind": "pulse", "works": "valve.on"}})))


@pytest.mark.parametrize(("said", "word"), [("the cellar floods", "break contact"), ("nothing", "latch")])
def test_out_02_what_must_run_is_not_mended_by_a_latch(said: str, word: str) -> None:
    """A pulse or a latch on its make contact would leave it off."""
    pump = {"device": "pump", "must_stay_on": said, "inputs": {"on": {"logic": "on"}}}
    case = a_case({"1": {"kind": "toggle", "works": "pump.on"}}, devices={"pump": pump})
    assert word in finding_of(suits.judge(case), "OUT-02").remedies[0].does
