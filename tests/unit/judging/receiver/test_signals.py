"""The receiver's own signals: what they carry, whom they tell, and how they are tried."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from farpress.case.behaviour import is_collector
from farpress.case.case import Case
from farpress.domain.finding import Finding, Verdict
from farpress.domain.parts import SupplySheet
from farpress.domain.premises import Supply
from farpress.domain.terminals import receiver_terminals
from farpress.judging.panel.loops import judge_loops
from farpress.judging.receiver.signals import judge
from farpress.proving.signal_checks import signal_tests
from helpers.findings import finding_of
from helpers.invented_parts import part_of
from helpers.wired_case import wired_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS


def case_of(
    name: str,
    works: str | None,
    *,
    tells: str | None = None,
    form: str | None = "relay",
    most: float | None = 0.1,
    **box: Any,
) -> Case:
    """A receiver with one signal of its own, a lamp of 80 mA, a sounder, and two zones of a panel."""
    side = "normally closed" if form is not None and form.startswith("break ") else "normally open"
    sheet = {"form": form.removeprefix("break ") if form is not None else None, "current_max_a": most}
    given = {} if works is None else {name: {"works": works, "tells": tells, "contact": side}}
    loop = {
        "scheme": "double end-of-line",
        "normal_ohm": 1000.0,
        "alarm_ohm": 1000.0,
        "supply_v": 5.0,
        "pull_up_ohm": 5100.0,
    }
    return wired_case(
        {
            "receivers": {"R1": {"at": [0, 0], name.replace(" ", "_"): sheet, "signals": given, **box}},
            "devices": {"lamp": {"device": "lamp", "current_a": 0.08}, "buzzer": {"device": "sounder"}},
            "panels": {
                "alarm": {
                    "inputs": {
                        "lid": {"reads": "tamper", "loop": {"scheme": "closed"}, "current_a": 0.001},
                        "weak": {"reads": "zone", "loop": {"scheme": "closed"}, "current_a": 0.001},
                        "loop": {"reads": "zone", "loop": loop},
                        "bare": {"reads": "zone", "current_a": 0.001},
                    }
                }
            },
        },
        people={"Ana": {}},
    )


def judged(*args: Any, **more: Any) -> list[Finding]:
    """Findings about it."""
    return list(judge(case_of(*args, **more)))


@pytest.mark.parametrize(
    ("most", "verdict"), [(0.0799, FAILS), (0.08, THIN), (0.0888, THIN), (0.0889, HOLDS), (None, UNKNOWN)]
)
def test_rcv_06_a_lamp_of_80_ma_at_the_receivers_own_output(most: float | None, verdict: Verdict) -> None:
    """Thin within a tenth: 80 / 0.9 = 88.89 mA."""
    assert finding_of(judged("low cell", "lamp.on", most=most), "RCV-06").verdict is verdict


@pytest.mark.parametrize(
    ("works", "form", "asks"), [("buzzer.on", "relay", 1), ("lamp.on", None, 1), ("alarm.weak", "relay", 0)]
)
def test_rcv_06_what_is_not_known_is_asked(works: str, form: str | None, asks: int) -> None:
    """The current of a sounder, the form of the output; a zone of 1 mA is known."""
    finding = finding_of(judged("low cell", works, form=form), "RCV-06")

    assert len(finding.asks) == asks
    assert finding.verdict is (UNKNOWN if asks else HOLDS)


@pytest.mark.parametrize(
    ("name", "works", "tells", "form", "verdict"),
    [
        ("low cell", None, None, "relay", THIN),
        ("low cell", "alarm.weak", None, "break relay", UNKNOWN),
        ("low cell", "alarm.weak", "Ana", "break relay", HOLDS),
        ("low cell", "alarm.weak", "Ana", "relay", FAILS),
        ("low cell", "alarm.bare", "Ana", "break relay", UNKNOWN),
        ("low cell", "alarm.weak", "Ana", "open collector", UNKNOWN),
        ("low cell", "alarm.loop", "Ana", "open collector", THIN),
        ("low cell", "alarm.loop", "Ana", "break relay", HOLDS),
        ("low cell", "alarm.loop", "Ana", "relay", FAILS),
        ("acknowledge", None, None, "relay", THIN),
        ("acknowledge", "alarm.weak", None, "break relay", THIN),
        ("acknowledge", "lamp.on", None, "relay", HOLDS),
    ],
)
def test_rcv_07_somebody_is_told(
    name: str, works: str | None, tells: str | None, form: str, verdict: Verdict
) -> None:
    """A weak cell to a person by name, pulses to whoever pressed; a transistor on no loop with resistors, and
    not where nothing is known of the volts on its line; a contact at rest on the side that the zone takes for
    normal.
    """
    finding = finding_of(judged(name, works, tells=tells, form=form), "RCV-07")

    assert finding.verdict is verdict
    assert finding.advice is (verdict is not FAILS)
    other = "Wire the break side of its contact instead"
    assert any(remedy.does == other for remedy in finding.remedies) is (verdict is FAILS)


@pytest.mark.parametrize("tells", [None, "Ana"])
def test_rcv_07_a_signal_on_a_tamper_input_raises_an_alarm(tells: str | None) -> None:
    """Whoever is told of it: each press of a weak fob is an opened housing, and the other way round."""
    finding = finding_of(judged("low cell", "alarm.lid", tells=tells), "RCV-07")

    assert finding.verdict is FAILS
    assert "reads tamper" in finding.says


def test_a_wired_signal_is_tried_on_site() -> None:
    """The pulses of common practice where the sheet names none: 1 set, 2 unset, 4 with an alarm cleared."""
    (weak,) = signal_tests(case_of("low cell", "lamp.on", tells="Ana"))
    (told,) = signal_tests(case_of("acknowledge", "lamp.on"))

    assert "and Ana is told" in weak.expected
    assert "1 for set, 2 for unset and 4 for unset, alarm cleared" in told.expected
    assert list(signal_tests(case_of("low cell", None))) == []


@pytest.mark.parametrize(
    ("of_all", "own", "is_transistor", "terminal"),
    [
        ("relay", "open collector", True, "R1.1.collector"),
        ("open collector", "relay", False, "R1.1.make"),
        (None, None, False, "R1.1.make"),
        ("open collector", None, True, "R1.1.collector"),
    ],
)
def test_an_output_may_have_a_form_of_its_own(
    of_all: str | None, own: str | None, is_transistor: bool, terminal: str
) -> None:
    """A receiver with relays and a transistor: each output has the terminals of its form."""
    outputs = {"1": {"kind": "toggle", "works": "lamp.on", "form": own}}
    case = case_of("low cell", None, outputs=outputs, output_form=of_all)
    (output,) = case.outputs()
    part = case.equipment.receivers["larkfen/R1"]

    assert is_collector(case, output) is is_transistor
    assert terminal in {str(found) for found in receiver_terminals("R1", part.sheet, output.box)}


def test_a_transistor_that_feeds_a_sounder_and_lies_on_a_zone_beside_is_asked_about_not_reckoned() -> None:
    """How the zone is wired to a contact that feeds something else nobody says: no ohms are made up."""
    outputs = {
        "1": {
            "kind": "pulse",
            "for_s": 60.0,
            "form": "open collector",
            "works": "buzzer.on",
            "with": ["alarm.loop"],
            "load_from": "main",
        }
    }
    case = case_of("low cell", None, outputs=outputs, saturation_v=0.9, fed={"from": "main"})
    house = case.job.premises["larkfen"].model_copy(
        update={"supplies": {"main": Supply(supply="dc", voltage_v=12.0)}}
    )
    job = case.job.model_copy(update={"premises": {"larkfen": house}})
    supplies = {"larkfen/main": part_of(SupplySheet(supply="dc", voltage_v=12.0, rated_a=1.0))}
    wired = replace(case, job=job, equipment=replace(case.equipment, supplies=supplies))
    finding = finding_of(judge_loops(wired), "PAN-09")

    assert finding.verdict is FAILS
    assert finding.value is None
