"""The job's own rules: each broken one is caught, each kept one holds."""

from __future__ import annotations

from typing import Any, get_args

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Finding, Verdict
from farpress.domain.job import Rule
from farpress.judging.registry import all_checks
from farpress.judging.rules import built as rules
from farpress.judging.rules.kinds import CHECK_OF
from helpers.logic_case import GATE, PANEL, SHUTTER, a_case

PULSE: dict[str, Any] = {"kind": "pulse", "for_s": 0.5}
HOLDS, THIN, OPEN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS


def _ruled(rule: dict[str, Any], outputs: dict[str, dict[str, Any]], **more: Any) -> list[Finding]:
    return list(rules.judge(a_case(outputs, rules=(rule,), **more)))


def _one(rule: dict[str, Any], outputs: dict[str, dict[str, Any]], **more: Any) -> Finding:
    found = _ruled(rule, outputs, **more)
    assert len(found) == 1, [one.says for one in found]
    return found[0]


def test_every_kind_of_rule_is_judged_somewhere() -> None:
    """Those about reach are left to the air; nothing is passed over."""
    kinds = set(get_args(Rule.model_fields["never"].annotation))

    assert kinds == set(rules._JUDGES) | {"works from", "works beyond"}
    assert set(rules._JUDGES) == set(CHECK_OF)
    assert {check.code for check in CHECK_OF.values()} == {
        code for code in all_checks() if code.startswith("RULE-")
    } - {"RULE-15", "RULE-16", "RULE-17", "RULE-25"}
    assert (
        _ruled(
            {"never": "works beyond", "of": ("f1",), "distance_m": 6.0},
            {"1": {**PULSE, "works": "gate.open"}},
        )
        == []
    )


PAIR = {"1": {"kind": "follow", "works": "shutter.up"}, "2": {"kind": "follow", "works": "shutter.down"}}
LOCKED = {"1": {**PAIR["1"], "interlock": "2"}, "2": {**PAIR["2"], "interlock": "1"}}


@pytest.mark.parametrize(
    ("rule", "outputs", "more", "code", "verdict"),
    [
        ({"never": "both on", "of": ("f1", "f2")}, PAIR, {}, "RULE-01", FAILS),
        ({"never": "both on", "of": ("f1", "f2")}, LOCKED, {}, "RULE-01", HOLDS),
        (
            {"never": "both on", "of": ("f1", "f2")},
            PAIR,
            {"devices": {"shutter": {**SHUTTER, "interlocked": True}}},
            "RULE-01",
            HOLDS,
        ),
        (
            {"never": "works after power return", "of": ("f1",)},
            {"1": {**PULSE, "works": "gate.open"}},
            {},
            "RULE-02",
            OPEN,
        ),
        (
            {"never": "works after power return", "of": ("f1",)},
            {"1": {**PULSE, "works": "gate.open"}},
            {"devices": {"gate": GATE | {"closes_after_power_return": False}}},
            "RULE-02",
            HOLDS,
        ),
        (
            {"never": "works after power return", "of": ("f1",)},
            {"1": {**PULSE, "works": "gate.open"}},
            {"devices": {"gate": GATE | {"closes_after_power_return": True}}},
            "RULE-02",
            FAILS,
        ),
        (
            {"never": "works after power return", "of": ("f1",)},
            {"1": {"kind": "pulse", "for_s": 1200.0, "works": "valve.on"}},
            {},
            "RULE-02",
            OPEN,
        ),
        (
            {"never": "works after power return", "of": ("f1",)},
            {"1": {"kind": "toggle", "works": "lamp.on", "after_power_return": "as before"}},
            {},
            "RULE-02",
            FAILS,
        ),
        (
            {"never": "works without sight", "of": ("f1",)},
            {"1": {**PULSE, "works": "gate.start"}},
            {"promises": ({"to": "pair", "function": "f1", "from_": "here"},)},
            "RULE-03",
            FAILS,
        ),
        (
            {"never": "works without sight", "of": ("f1",)},
            {"1": {**PULSE, "works": "gate.start"}},
            {"promises": ({"to": "pair", "function": "f1", "from_": "here"},), "sees": ("gate",)},
            "RULE-03",
            THIN,
        ),
        (
            {"never": "works without sight", "of": ("f1",)},
            {"1": {**PULSE, "works": "gate.start"}},
            {},
            "RULE-03",
            OPEN,
        ),
        (
            {"never": "works by", "of": ("f1",), "by": ("pair",)},
            {"1": {**PULSE, "works": "gate.open"}},
            {},
            "RULE-04",
            FAILS,
        ),
        (
            {"never": "works by", "of": ("gate",), "by": ("Ben",)},
            {"1": {**PULSE, "works": "gate.open"}},
            {},
            "RULE-04",
            FAILS,
        ),
        (
            {"never": "works by", "of": ("f1",), "by": ("pair",)},
            {"1": {**PULSE, "works": "gate.open"}, "2": {**PULSE, "works": "lamp.on"}},
            {"groups": {"pair": {"people": ("Ana",), "buttons": {"1": "f2"}}}},
            "RULE-04",
            HOLDS,
        ),
        (
            {"never": "works by", "of": ("f1",), "by": ("Larkstep",)},
            {"1": {**PULSE, "works": "gate.open"}},
            {"groups": {"club": {"count": 5, "organisation": "Larkstep", "buttons": {"1": "f1"}}}},
            "RULE-04",
            FAILS,
        ),
        (
            {"never": "works by", "of": ("f1",), "by": ("Larkstep",)},
            {"1": {**PULSE, "works": "gate.open"}, "2": {**PULSE, "works": "lamp.on"}},
            {"groups": {"club": {"count": 5, "organisation": "Larkstep", "buttons": {"1": "f2"}}}},
            "RULE-04",
            HOLDS,
        ),
        (
            {"never": "on longer than", "of": ("f1",), "for_s": 60.0},
            {"1": {"kind": "pulse", "for_s": 60.0, "works": "siren.on"}},
            {},
            "RULE-05",
            HOLDS,
        ),
        (
            {"never": "on longer than", "of": ("f1",), "for_s": 60.0},
            {"1": {"kind": "pulse", "for_s": 60.0, "retrigger": True, "works": "siren.on"}},
            {},
            "RULE-05",
            FAILS,
        ),
        (
            {"never": "on longer than", "of": ("f1",), "for_s": 60.0},
            {"1": {"kind": "toggle", "works": "siren.on"}},
            {},
            "RULE-05",
            FAILS,
        ),
        (
            {"never": "on longer than", "of": ("f1",), "for_s": 60.0},
            {"1": {"kind": "follow", "works": "siren.on"}},
            {},
            "RULE-05",
            HOLDS,
        ),
        (
            {"never": "on longer than", "of": ("f1",), "for_s": 60.0},
            {"1": {"kind": "follow", "works": "siren.on"}},
            {"fob": {"cut_off_s": None}},
            "RULE-05",
            OPEN,
        ),
        (
            {"never": "second press within", "of": ("f1",), "for_s": 6.0},
            {"1": {**PULSE, "works": "gate.start"}},
            {},
            "RULE-06",
            FAILS,
        ),
        (
            {"never": "second press within", "of": ("f1",), "for_s": 6.0},
            {"1": {**PULSE, "works": "gate.open"}},
            {},
            "RULE-06",
            HOLDS,
        ),
        (
            {"never": "unset and open by one press"},
            {"1": {**PULSE, "works": "panel.unset"}, "2": {**PULSE, "works": "gate.open"}},
            {},
            "RULE-07",
            HOLDS,
        ),
        (
            {"never": "unset and open by one press"},
            {"1": {**PULSE, "works": "panel.unset"}, "2": {**PULSE, "works": "gate.open"}},
            {"functions": {"both": {"outputs": ("house/R1/1", "house/R1/2")}}},
            "RULE-07",
            FAILS,
        ),
        (
            {"never": "state out of step", "of": ("f1",)},
            {"1": {**PULSE, "works": "panel.set"}},
            {},
            "RULE-08",
            HOLDS,
        ),
        (
            {"never": "state out of step", "of": ("f1",)},
            {"1": {**PULSE, "works": "panel.flip"}},
            {},
            "RULE-08",
            FAILS,
        ),
        (
            {"never": "state out of step", "of": ("f1",)},
            {"1": {"kind": "toggle", "works": "panel.level"}},
            {},
            "RULE-08",
            FAILS,
        ),
        (
            {"never": "alarm despite unsetting", "of": ("f1",)},
            {"1": {**PULSE, "works": "panel.unset"}},
            {"panel": {**PANEL, "entry_s": 30.0}},
            "RULE-18",
            HOLDS,
        ),
        (
            {"never": "alarm despite unsetting", "of": ("f1",)},
            {"1": {**PULSE, "works": "panel.unset"}},
            {},
            "RULE-18",
            OPEN,
        ),
        (
            {"never": "alarm despite unsetting", "of": ("f1",)},
            {"1": {**PULSE, "works": "panel.unset"}},
            {"panel": {**PANEL, "entry_s": 30.0, "detectors": "no entry route"}},
            "RULE-15",
            OPEN,
        ),
        (
            {"never": "alarm despite unsetting", "of": ("f1",)},
            {"1": {"kind": "toggle", "works": "panel.level"}},
            {"panel": {**PANEL, "entry_s": 30.0}},
            "RULE-18",
            FAILS,
        ),
        (
            {"never": "state out of step", "of": ("f1",)},
            {"1": {"kind": "follow", "works": "panel.level"}},
            {"panel": {**PANEL, "keypad": None}},
            "RULE-08",
            OPEN,
        ),
        (
            {"never": "toggles", "of": ("f1",)},
            {"1": {"kind": "toggle", "works": "lamp.on"}},
            {},
            "RULE-09",
            FAILS,
        ),
        (
            {"never": "toggles", "of": ("f1",)},
            {"1": {**PULSE, "works": "garage.start"}},
            {},
            "RULE-09",
            FAILS,
        ),
        (
            {"never": "toggles", "of": ("f1",)},
            {"1": {"kind": "pulse", "for_s": 240.0, "retrigger": True, "works": "lamp.on"}},
            {},
            "RULE-09",
            HOLDS,
        ),
        (
            {"never": "held on a start input", "of": ("f1",)},
            {"1": {"kind": "toggle", "works": "gate.start"}},
            {},
            "RULE-10",
            FAILS,
        ),
        (
            {"never": "held on a start input", "of": ("f1",)},
            {"1": {**PULSE, "works": "gate.start"}},
            {},
            "RULE-10",
            HOLDS,
        ),
        (
            {"never": "lost fob known longer than", "for_s": 86400.0},
            {"1": {**PULSE, "works": "gate.open"}},
            {"register": {"delete_within_s": 3600.0}},
            "RULE-11",
            HOLDS,
        ),
        (
            {"never": "lost fob known longer than", "for_s": 86400.0},
            {"1": {**PULSE, "works": "gate.open"}},
            {},
            "RULE-11",
            OPEN,
        ),
        (
            {"never": "lost fob known longer than", "for_s": 86400.0},
            {"1": {**PULSE, "works": "gate.open"}},
            {"register": {"delete_within_s": 172800.0}},
            "RULE-11",
            FAILS,
        ),
        (
            {"never": "lost fob known longer than", "for_s": 86400.0},
            {"1": {**PULSE, "works": "gate.open"}},
            {"receiver": {"deletes_by": "fob in hand"}},
            "RULE-11",
            FAILS,
        ),
        (
            {"never": "kept after leaving longer than", "for_s": 7776000.0},
            {"1": {**PULSE, "works": "gate.open"}},
            {"register": {"leavers_deleted": False}},
            "RULE-12",
            FAILS,
        ),
        (
            {"never": "kept after leaving longer than", "for_s": 7776000.0},
            {"1": {**PULSE, "works": "gate.open"}},
            {},
            "RULE-12",
            OPEN,
        ),
        (
            {"never": "kept after leaving longer than", "for_s": 7776000.0},
            {"1": {**PULSE, "works": "gate.open"}},
            {"register": {"leavers_deleted": True}, "details": {"data_kept_by": "office"}},
            "RULE-12",
            HOLDS,
        ),
        (
            {"never": "closes while occupied", "of": ("f1",)},
            {"1": {**PULSE, "works": "gate.open"}},
            {},
            "RULE-13",
            HOLDS,
        ),
        (
            {"never": "closes while occupied", "of": ("f1",)},
            {"1": {**PULSE, "works": "gate.open"}},
            {"devices": {"gate": {**GATE, "safeguards": ("edge",)}}},
            "RULE-13",
            FAILS,
        ),
        (
            {"never": "closes while occupied", "of": ("f1",)},
            {"1": {**PULSE, "works": "gate.open"}},
            {"devices": {"gate": {**GATE, "safeguards": None}}},
            "RULE-13",
            OPEN,
        ),
        (
            {"never": "needed to leave", "of": ("f1",)},
            {"1": {"kind": "pulse", "for_s": 4.0, "works": "strike.release"}},
            {"devices": {"strike": {"device": "strike", "opens_by_hand": None}}},
            "RULE-14",
            OPEN,
        ),
        (
            {"never": "needed to leave", "of": ("f1",)},
            {"1": {"kind": "pulse", "for_s": 4.0, "works": "strike.release"}},
            {"devices": {"strike": {"device": "strike", "opens_by_hand": True}}},
            "RULE-14",
            HOLDS,
        ),
        (
            {"never": "needed to leave", "of": ("f1",)},
            {"1": {"kind": "pulse", "for_s": 4.0, "works": "strike.release"}},
            {"devices": {"strike": {"device": "strike", "opens_by_hand": False}}},
            "RULE-14",
            FAILS,
        ),
    ],
)
def test_a_rule_is_judged_from_how_things_are_built(
    rule: dict[str, Any], outputs: dict[str, Any], more: dict[str, Any], code: str, verdict: Verdict
) -> None:
    """One finding with its code and verdict."""
    finding = _one(rule, outputs, **more)

    assert (finding.code, finding.verdict) == (code, verdict), finding.says


@pytest.mark.parametrize(
    ("rule", "word"),
    [
        ({"never": "toggles", "of": ("pool pump",)}, "no pool pump"),
        ({"never": "works by", "of": ("f1",), "by": ("Zoe",)}, "no group, person or firm Zoe"),
        ({"never": "works by", "of": ("f1",)}, "by whom"),
        ({"never": "both on", "of": ("f1",)}, "two different things"),
        ({"never": "on longer than", "of": ("f1",)}, "how long"),
        ({"never": "closes while occupied", "of": ("f2",)}, "can never matter"),
        ({"never": "held on a start input", "of": ("f2",)}, "can never matter"),
        ({"never": "needed to leave", "of": ("f2",)}, "nobody leaves through"),
    ],
)
def test_a_rule_about_nothing_is_told(rule: dict[str, Any], word: str) -> None:
    """What is not there, or can never matter, is said and not passed over."""
    finding = _one(rule, {"1": {**PULSE, "works": "gate.open"}, "2": {"kind": "toggle", "works": "lamp.on"}})

    assert (finding.code, finding.verdict) == ("RULE-15", OPEN)
    assert word in finding.says


def test_a_signed_rule_is_thin_and_says_who_accepted_it() -> None:
    """It is not kept all the same."""
    finding = _one(
        {"never": "toggles", "of": ("f1",), "signed": "A. Holder, 2026-11-02"},
        {"1": {"kind": "toggle", "works": "lamp.on"}},
    )

    assert finding.verdict is THIN
    assert "A. Holder, 2026-11-02" in finding.because


def test_a_retriggered_time_tells_the_story_in_numbers() -> None:
    """20 min anew within a limit of 45: the third press makes 60."""
    finding = _one(
        {"never": "on longer than", "of": ("f1",), "for_s": 2700.0},
        {"1": {"kind": "pulse", "for_s": 1200.0, "retrigger": True, "works": "valve.on"}},
    )

    assert "3 presses" in finding.says
    assert finding.margin == pytest.approx(2700 - 3600)


def test_two_outputs_of_one_function_are_no_pair() -> None:
    """Up on two shutters at once is what up means; up against down of each is judged."""
    outputs = {
        "1": {"kind": "follow", "works": "shutter.up"},
        "2": {"kind": "follow", "works": "second.up"},
        "3": {"kind": "follow", "works": "shutter.down"},
    }
    functions = {"up": {"outputs": ("house/R1/1", "house/R1/2")}, "down": {"output": "house/R1/3"}}
    found = _ruled(
        {"never": "both on", "of": ("up", "down")}, outputs, functions=functions, devices={"second": SHUTTER}
    )

    assert len(found) == 2
    assert not any("house/R1/1 and house/R1/2" in one.about for one in found)


def test_keys_of_findings_are_unique() -> None:
    """Also when the same rule stands twice."""
    rule = {"never": "toggles", "of": ("f1", "f2")}
    case: Case = a_case(
        {"1": {"kind": "toggle", "works": "lamp.on"}, "2": {"kind": "toggle", "works": "valve.on"}},
        rules=(rule, rule),
    )
    keys = [one.key for one in rules.judge(case)]

    assert len(keys) == len(set(keys)) == 4


@pytest.mark.parametrize("sheet", [{**GATE, "inputs": {}}, {"device": None, "inputs": {}}])
def test_an_input_that_nobody_describes_may_turn_at_a_second_press(sheet: dict[str, Any]) -> None:
    """What moves, or may, is asked about; a lamp's input is none of it."""
    rule = {"never": "second press within", "of": ("f1",), "for_s": 20.0}

    asked = _one(rule, {"1": {**PULSE, "works": "thing.start"}}, devices={"thing": sheet})
    lamp = _one(rule, {"1": {**PULSE, "works": "lamp.other"}})

    assert (asked.verdict, lamp.verdict) == (OPEN, HOLDS)
