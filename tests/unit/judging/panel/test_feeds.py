"""What a panel feeds itself, against what its outputs give, at the limits and at their thin edges."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.errors import JobFileError
from farpress.jobfile.reader import read_job_text
from farpress.judging.panel.feeds import judge
from helpers.findings import finding_of
from helpers.wired_case import wired_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS


def judged(
    amperes: float | None, *, number: int = 6, only: str | None = "in alarm", **panel: Any
) -> list[Finding]:
    """Sirens on the auxiliary output and a lamp on the set output of one panel."""
    siren = {"device": "sounder", "current_a": amperes, "fed": {"from": "alarm.aux", "only": only}}
    lamp = {"device": "lamp", "current_a": 0.08, "fed": {"from": "alarm.set"}}
    outputs = {"set": {"form": "open collector", "current_max_a": panel.pop("carries", 0.05)}}
    return list(
        judge(
            wired_case(
                {
                    "supplies": {"main": {"rated_a": 2.0}},
                    "devices": {f"siren {n}": siren for n in range(number)} | {"set lamp": lamp},
                    "panels": {
                        "alarm": {"aux_max_a": 2.1, "outputs": outputs, "fed": {"from": "main"}} | panel
                    },
                }
            )
        )
    )


@pytest.mark.parametrize(
    ("most", "verdict"), [(2.099, FAILS), (2.1, THIN), (2.624, THIN), (2.626, HOLDS), (None, UNKNOWN)]
)
def test_pan_16_an_auxiliary_output_feeds_what_it_can(most: float | None, verdict: Verdict) -> None:
    """Six sirens of 0.35 A in an alarm: 2.1 A; thin above 80 % of what it gives, 2.1 / 0.8 = 2.625."""
    finding = finding_of(judged(0.35, aux_max_a=most), "PAN-16")

    assert finding.verdict is verdict
    assert finding.value == pytest.approx(2.1)


@pytest.mark.parametrize(("only", "value"), [("in alarm", 2.1), (None, 2.1), ("while unset", 0.0)])
def test_pan_16_what_is_on_in_an_alarm_counts(only: str | None, value: float) -> None:
    """A lamp that shows "unset" is dark in an alarm, and then counts at rest."""
    finding = finding_of(judged(0.35, only=only), "PAN-16")

    assert f"in an alarm {'2.1 A' if value else '0 A'}" in finding.because
    assert finding.value == pytest.approx(2.1)


def test_pan_16_a_siren_of_unknown_current_is_asked_about() -> None:
    """It makes nothing better."""
    finding = finding_of(judged(None), "PAN-16")

    assert finding.verdict is UNKNOWN
    assert len(finding.asks) == 6


@pytest.mark.parametrize(
    ("carries", "verdict"), [(0.0799, FAILS), (0.08, THIN), (0.0888, THIN), (0.0889, HOLDS), (None, UNKNOWN)]
)
def test_pan_17_a_transistor_carries_what_it_may(carries: float | None, verdict: Verdict) -> None:
    """A lamp of 80 mA; thin within a tenth of the limit, 80 / 0.9 = 88.89 mA."""
    assert finding_of(judged(0.35, carries=carries), "PAN-17").verdict is verdict


JOB = """\
farpress: 1
job: small
premises:
  shop:
    supplies: {main: {supply: dc, voltage: 12 V, rated: 2 A}}
    devices:
      siren: {device: sounder, current: 350 mA, fed: {from: FED, only: in alarm}}
      zone 1: {device: valve}
      zone 2: {device: valve}
    panels: {alarm: {aux_max: 1 A, outputs: {set: {form: relay}}, fed: {from: main}}}
    together: [{of: [zone 1, OTHER], kept_by: people}]
"""


def test_a_device_hangs_on_a_supply_or_on_an_output_of_a_panel() -> None:
    """Every panel has an auxiliary output; another one must be there, and so must what takes turns."""
    for fed in ("main", "alarm.aux", "alarm.set"):
        text = JOB.replace("FED", fed).replace("OTHER", "zone 2")
        assert read_job_text(text, known={}).job.premises["shop"].devices["siren"].fed.from_ == fed  # type: ignore[union-attr]
    with pytest.raises(JobFileError) as wrong:
        read_job_text(JOB.replace("FED", "alarm.sett").replace("OTHER", "zone 3"), known={})

    assert "'alarm' has no output 'sett'" in str(wrong.value)
    assert "'zone 3' is not a device of shop" in str(wrong.value)
