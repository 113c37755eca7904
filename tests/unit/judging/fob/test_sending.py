"""What a fob of an invented house sends: its power, how long it is on the air, its code, its buttons."""

from __future__ import annotations

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Finding, Verdict
from farpress.judging.air import promises as air
from farpress.judging.fob import sending as fob
from farpress.judging.receiver import surroundings as receiver
from helpers.findings import finding_of
from helpers.radio_case import larkfen


def judged(case: Case) -> list[Finding]:
    """Everything said about the radio side."""
    return [*air.judge(case), *fob.judge(case), *receiver.judge(case)]


def radio_finding(case: Case, code: str, about: str = "") -> Finding:
    """The only finding of a code about something, of the radio side."""
    return finding_of(judged(case), code, about)


STREET = [{"to": "family", "function": "open gate", "from": "street"}]


def test_the_region_decides_the_power() -> None:
    """-14 dBm e.r.p. is well in Europe, within the doubt or above in North America, open without a region."""
    assert radio_finding(larkfen(), "FOB-01").verdict is Verdict.HOLDS
    assert radio_finding(larkfen(region="north america"), "FOB-01").verdict is Verdict.FAILS
    assert radio_finding(larkfen(region=None), "FOB-01").verdict is Verdict.UNKNOWN
    assert radio_finding(larkfen(fob={"frequency_hz": 315e6}), "FOB-01").verdict is Verdict.FAILS


def test_holding_a_button_all_day_is_too_long_on_the_air() -> None:
    """40 held presses of 30 s with telegrams for 60 % of the time: 20 % of an hour, but a weak fob has
    another rule.
    """
    held = {"outputs": {"1": {"kind": "follow", "works": "gate.open"}}}
    busy = {"family": {"fob": "fob-4", "buttons": {"1": "open gate"}, "presses_per_day": "40 per day"}}
    strong = radio_finding(larkfen(box=held, groups=busy, fob={"erp_dbm": 5.0}), "FOB-02")
    weak = radio_finding(larkfen(box=held, groups=busy), "FOB-02")

    assert strong.verdict is Verdict.FAILS
    assert strong.value == pytest.approx(20.0)
    assert strong.remedies
    assert weak.verdict is Verdict.HOLDS
    assert "without a limit of time" in weak.because


def test_a_fixed_code_that_opens_fails() -> None:
    """Opening with a code that never changes is no lock."""
    assert radio_finding(larkfen(fob={"code": "fixed"}), "FOB-03").verdict is Verdict.FAILS
    assert (
        radio_finding(
            larkfen(
                fob={"code": "fixed"}, functions={"open gate": {"output": "larkfen/R1/1", "kind": "light"}}
            ),
            "FOB-03",
        ).verdict
        is Verdict.THIN
    )


def test_a_promise_needs_a_button_that_exists() -> None:
    """No button, and a fifth button on a fob with four."""
    none = radio_finding(
        larkfen(promises=STREET, groups={"family": {"fob": "fob-4", "buttons": {}}}), "FOB-05"
    )
    fifth = radio_finding(
        larkfen(promises=STREET, groups={"family": {"fob": "fob-4", "buttons": {"5": "open gate"}}}), "FOB-05"
    )
    long = radio_finding(
        larkfen(
            promises=STREET, groups={"family": {"fob": "fob-4", "buttons": {"4": {"long": "open gate"}}}}
        ),
        "FOB-05",
    )

    assert none.verdict is Verdict.FAILS
    assert fifth.verdict is Verdict.FAILS
    assert "long press" in long.says
