"""Every check of the panel at its limit, beside it and at its thin edge, through the judge on a small job.

The limits are worked out by hand beside each case; no figure of the program's own stands here.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.panel.coupling import judge
from helpers.findings import finding_of
from helpers.wired_case import wired_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS

CABLES: Final[dict[str, dict[str, Any]]] = {"ohm": {"resistance_ohm_per_km": 1000 / 1.1179, "cores": 2}}
"""`ohm` has 1 ohm in each core of 1 m at 50 °C, by 1 + 0.00393 x 30 = 1.1179."""
RUN: Final[dict[str, Any]] = {"part": "ohm", "length_m": 1.0}
LOOP: Final[dict[str, Any]] = {
    "scheme": "single end-of-line",
    "normal_ohm": 1000.0,
    "tolerance_share": 0.05,
    "window_share": 0.10,
}
STATUS: Final[dict[str, Any]] = {"form": "open collector", "current_max_a": 0.05, "saturation_v": 0.9}
RECEIVER: Final[dict[str, Any]] = {
    "at": [0, 0],
    "fed": {"from": "main"},
    "grade": 2,
    "inputs": {"1": {"reads": "panel.set", "cable": RUN}},
    "acknowledges_by": "sounder of its own",
    "input_voltage_v": 12.0,
    "input_current_a": 0.02,
    "input_low_v": 2.0,
    "current_idle_a": 0.08,
}


def judged(
    *,
    entry: dict[str, Any] | None = None,
    output: dict[str, Any] | None = None,
    receiver: dict[str, Any] | None = None,
    status: dict[str, Any] | None = None,
    panel: dict[str, Any] | None = None,
    legs: dict[str, Any] | None = None,
    **job: Any,
) -> list[Finding]:
    """One output on one input of a panel, whose state comes back."""
    first = {"kind": "pulse", "for_s": 1.0, "works": "panel.in", "cable": RUN} | (output or {})
    premises: dict[str, Any] = {
        "supplies": {"main": {}},
        "receivers": {"R1": RECEIVER | {"outputs": {"1": first}} | (receiver or {})},
        "panels": {
            "panel": {
                "grade": 2,
                "fed": {"from": "main"},
                "inputs": {"in": {"reads": "set pulse", "response_s": 0.4, "loop": LOOP} | (entry or {})},
                "outputs": {"set": STATUS | (status or {})},
            }
            | (panel or {})
        },
        "tamper_loops": {"lids": {"panel": "panel.in"} | legs} if legs else {},
    }
    functions = {"alarm": {"output": "larkfen/R1/1", "kind": "set"}}
    return list(judge(wired_case(premises, cables=CABLES, **({"functions": functions} | job))))


Made = Callable[[float], list[Finding]]


def pulse(value: float) -> list[Finding]:
    """The input needs 0.4 s; thin up to 1.5 times that."""
    return judged(output={"for_s": value})


def longest_pulse(value: float) -> list[Finding]:
    """1 s; thin from a tenth of the longest that is taken for a pulse."""
    return judged(entry={"max_pulse_s": value})


def high_end(value: float) -> list[Finding]:
    """1000 ohm of 5 % and 2 ohm of cable: 1052 ohm; the band ends at 1000 x (1 + window), edge 1.5 %."""
    return judged(entry={"loop": LOOP | {"window_share": value}})


def low_level(value: float) -> list[Finding]:
    """12 V behind 600 ohm, 0.9 V of transistor, 1 ohm in each core: of the line, of its 0 V, of both feeds;
    80 mA of receiver. With i through the line the panel's 0 V lies (2 i - 0.08) / 3 over the receiver's, so
    that i = (11.1 + 0.08 / 3) / (601 + 2 / 3) = 18.493 mA and 12 - 600 i = 0.9042 V are left.
    """
    fed = {"fed": {"from": "main", "cable": RUN}}
    return judged(
        receiver=fed | {"input_low_v": value, "current_per_relay_a": 0.0}, panel=fed | {"current_a": 0.0}
    )


def sink(value: float) -> list[Finding]:
    """0.02 A into what the transistor may sink."""
    return judged(status={"current_max_a": value})


def leg(value: float) -> list[Finding]:
    """Over the others' 1 ohm; a bad joint from 5 ohm."""
    return judged(legs={"legs": {"a": 1.0, "b": 1.0, "c": value}})


def changed(value: float) -> list[Finding]:
    """From 1 ohm; meter and leads make 0.5 ohm."""
    return judged(legs={"legs": {"a": 1.0, "b": 1.0, "c": 1.0}, "later": {"c": value}})


def grade(value: float) -> list[Finding]:
    """Grade 2 is wanted."""
    return judged(receiver={"grade": int(value)})


def panel_grade(value: float) -> list[Finding]:
    """Grade 2 is wanted by the job."""
    return judged(panel={"grade": int(value)}, grade=2)


CASES: Final[tuple[tuple[str, str, Made, tuple[tuple[float, Verdict], ...]], ...]] = (
    ("PAN-01", "", pulse, ((0.39, FAILS), (0.4, THIN), (0.59, THIN), (0.61, HOLDS))),
    ("PAN-12", "", longest_pulse, ((0.99, FAILS), (1.0, THIN), (1.11, THIN), (1.12, HOLDS))),
    ("PAN-03", "", high_end, ((0.0519, FAILS), (0.0521, THIN), (0.0679, THIN), (0.0681, HOLDS))),
    ("PAN-04", "", low_level, ((0.90, FAILS), (0.91, THIN), (1.0, THIN), (1.01, HOLDS))),
    ("PAN-13", "", sink, ((0.0199, FAILS), (0.02, THIN), (0.0222, THIN), (0.0223, HOLDS))),
    ("PAN-05", "c", leg, ((6.1, FAILS), (6.0, THIN), (5.51, THIN), (5.49, HOLDS))),
    ("PAN-05", "c", changed, ((6.1, FAILS), (6.0, THIN), (5.49, HOLDS))),
    ("PAN-14", "c", changed, ((1.51, THIN), (1.5, HOLDS), (0.49, THIN), (0.51, HOLDS))),
    ("PAN-07", "", grade, ((1, FAILS), (2, HOLDS))),
    ("PAN-07", "", panel_grade, ((1, FAILS), (2, HOLDS))),
)


@pytest.mark.parametrize(
    ("code", "about", "made", "value", "verdict"),
    [(code, about, made, value, verdict) for code, about, made, rows in CASES for value, verdict in rows],
    ids=lambda part: part.__name__ if callable(part) else str(part),
)
def test_the_word_turns_where_the_limit_is(
    code: str, about: str, made: Made, value: float, verdict: Verdict
) -> None:
    """Beyond the limit, on it, at the thin edge and past it."""
    finding = finding_of(made(value), code, about)

    assert finding.verdict is verdict
    assert finding.margin is not None
    assert (finding.margin < 0) == (verdict is FAILS or (finding.advice and verdict is THIN))


MISSING: Final[tuple[tuple[str, dict[str, Any]], ...]] = (
    ("PAN-01", {"output": {"for_s": None}}),
    ("PAN-01", {"entry": {"response_s": None}}),
    ("PAN-02", {"entry": {"reads": None}}),
    ("PAN-02", {"panel": {"inputs": {}}}),
    ("PAN-03", {"entry": {"loop": None}}),
    ("PAN-03", {"entry": {"loop": LOOP | {"normal_ohm": None}}}),
    ("PAN-03", {"entry": {"loop": LOOP | {"tolerance_share": None}}}),
    ("PAN-03", {"entry": {"loop": LOOP | {"tolerance_share": 0.6}}}),
    ("PAN-03", {"entry": {"loop": LOOP | {"window_share": None}}}),
    ("PAN-03", {"output": {"cable": None}}),
    ("PAN-08", {"entry": {"loop": LOOP | {"normal_ohm": None}}}),
    ("PAN-04", {"status": {"form": None}}),
    ("PAN-04", {"status": {"saturation_v": None}}),
    ("PAN-04", {"receiver": {"input_low_v": None}}),
    ("PAN-04", {"receiver": {"current_idle_a": None}}),
    ("PAN-04", {"receiver": {"inputs": {"1": {"reads": "panel.set"}}}}),
    ("PAN-04", {"receiver": {"fed": None}}),
    ("PAN-04", {"panel": {"fed": None}}),
    ("PAN-13", {"receiver": {"input_current_a": None}}),
    ("PAN-13", {"status": {"current_max_a": None}}),
    ("PAN-05", {"legs": {"legs": {"a": 1.0}}}),
    ("PAN-07", {"receiver": {"grade": None}}),
    ("PAN-07", {"panel": {"grade": None}}),
    ("PAN-07", {"panel": {"grade": None}, "grade": 2}),
)


@pytest.mark.parametrize(("code", "missing"), MISSING, ids=lambda part: str(part)[:40])
def test_a_fact_that_is_left_out_is_asked_for(code: str, missing: dict[str, Any]) -> None:
    """Missing is never better: no finding goes away and none holds."""
    finding = finding_of(judged(**missing), code)

    assert finding.verdict is UNKNOWN
    assert finding.asks


def test_a_function_without_a_kind_is_taken_by_the_input_it_works() -> None:
    """A set input is set, whatever the function is called; without a way back nobody is told."""
    bare = {"inputs": {}}
    functions = {"alarm": {"output": "larkfen/R1/1"}}
    assert finding_of(judged(receiver=bare, functions=functions), "PAN-06").verdict is FAILS
    assert finding_of(judged(functions=functions), "PAN-06").verdict is HOLDS


@pytest.mark.parametrize(
    ("exit_s", "reads", "verdict"),
    [
        (9.9, "set pulse", HOLDS),
        (10.0, "set pulse", FAILS),
        (45.0, "set pulse", FAILS),
        (45.0, "unset pulse", HOLDS),
    ],
)
def test_pan_06_what_is_set_after_the_exit_time_is_told_to_nobody(
    exit_s: float, reads: str, verdict: Verdict
) -> None:
    """A receiver that listens for 10 s is silent by then; unsetting has no exit time."""
    late = judged(receiver={"acknowledge_within_s": 10.0}, panel={"exit_s": exit_s}, entry={"reads": reads})

    assert finding_of(late, "PAN-06").verdict is verdict


@pytest.mark.parametrize(("scheme", "verdict"), [("closed", THIN), ("single end-of-line", FAILS)])
def test_a_transistor_is_worse_on_a_loop_with_resistors(scheme: str, verdict: Verdict) -> None:
    """On a plain loop it may pass for a contact."""
    findings = judged(receiver={"output_form": "open collector"}, entry={"loop": LOOP | {"scheme": scheme}})

    assert finding_of(findings, "PAN-09").verdict is verdict


def test_no_two_findings_are_one() -> None:
    """Code and subjects name a finding, also of two inputs and of legs that are no receivers."""
    both = {"1": {"reads": "panel.set", "cable": RUN}, "2": {"reads": "panel.set", "cable": RUN}}
    findings = judged(receiver={"inputs": both}, legs={"legs": {"a": 1.0, "b": 1.0}})

    assert len({finding.identity for finding in findings}) == len(findings)


def test_a_panel_of_the_grade_that_is_wanted_does_not_excuse_the_radio() -> None:
    """The panel has grade 2, the receiver 1."""
    assert finding_of(judged(receiver={"grade": 1}, grade=2), "PAN-07").verdict is FAILS
