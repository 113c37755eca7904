"""What flows in the first moment into something empty, by Ohm's law, and what that leaves of a contact."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.contact.load import judge
from helpers.findings import finding_of
from helpers.wired_case import wired_case

THICK = {"part": "twin-1.5", "length_m": 3.0}
THIN = {"part": "twin-0.5", "length_m": 40.0}


def judged(load: dict[str, Any], cable: dict[str, Any] | None, make_a: float) -> list[Finding]:
    """24 V behind 0.1 ohm, one device of 0.4 A over a contact."""
    device = {"device": "lamp", "supply": "dc", "voltage_v": 24.0, "inputs": {"on": {}}, **load}
    output = {
        "kind": "pulse",
        "for_s": 60.0,
        "works": "it.on",
        "load_from": "main",
        "operations_per_day": 4.0,
    }
    premises = {
        "supplies": {"main": {"supply": "dc", "voltage_v": 24.0, "voltage_min_v": 24.0, "source_ohm": 0.1}},
        "receivers": {
            "R1": {
                "at": [0, 0],
                "contact_rated_a": 5.0,
                "contact_rated_v": 30.0,
                "contact_make_a": make_a,
                "contact_life": 100_000,
                "outputs": {"1": output | ({"cable": cable} if cable else {})},
            }
        },
        "devices": {"it": device},
    }
    return list(judge(wired_case(premises, functions={"on": {"output": "larkfen/R1/1"}})))


@pytest.mark.parametrize(
    ("load", "cable", "make_a", "verdict"),
    [
        ("capacitive", THICK, 40.0, Verdict.UNKNOWN),  # 24 V / (0.0704 + 0.1) ohm = 141 A; 16 A by multiples
        ("capacitive", THICK, 160.0, Verdict.HOLDS),
        ("capacitive", THIN, 10.0, Verdict.HOLDS),  # 24 V / (2.752 + 0.1) ohm = 8.4 A; 16 A by multiples
        ("constant power", THIN, 10.0, Verdict.HOLDS),
        ("constant power", THIN, 8.3, Verdict.UNKNOWN),
        ("capacitive", None, 160.0, Verdict.UNKNOWN),
        ("led", THIN, 10.0, Verdict.HOLDS),  # 40 A by multiples
        ("lamp", THICK, 10.0, Verdict.HOLDS),  # 6 A by multiples, whatever the cable lets through
    ],
)
def test_the_charge_of_an_empty_capacitor_is_bounded_by_the_way_to_it(
    load: str, cable: dict[str, Any] | None, make_a: float, verdict: Verdict
) -> None:
    """In frost, as most flows then: copper at -10 °C has 0.882 of its resistance at 20 °C (IEC 60028)."""
    finding = finding_of(judged({"load": load, "current_a": 0.4}, cable, make_a), "CON-02")

    assert finding.verdict is verdict


@pytest.mark.parametrize(("make_a", "lives"), [(7.9, False), (8.1, True)])
def test_a_contact_that_welds_at_once_has_no_life_to_be_told(make_a: float, lives: bool) -> None:
    """0.4 A of a capacitor make 8 A at least; what welds at the first operation makes no second one."""
    found = judged({"load": "capacitive", "current_a": 0.4}, THICK, make_a)

    assert (finding_of(found, "CON-02").verdict is Verdict.FAILS) is not lives
    assert ("CON-06" in {finding.code for finding in found}) is lives
