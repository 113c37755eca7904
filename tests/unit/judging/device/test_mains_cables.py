"""Cables with mains in them: what each may be, and what may lie beside it."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.case.cables import runs
from farpress.case.case import Case
from farpress.catalogue.store import load_catalogue
from farpress.domain.finding import Finding, Verdict
from farpress.judging.device.mains_cables import judge
from helpers.findings import finding_of
from helpers.wired_case import wired_case

LAMPS: dict[str, Any] = {
    "device": "lamp",
    "supply": "mains",
    "voltage_v": 230.0,
    "current_a": 0.3,
    "load": "led",
}
DRIVE: dict[str, Any] = {
    "device": "sliding gate",
    "supply": "mains",
    "load": "input",
    "inputs": {"open": {"logic": "open only", "voltage_v": 24.0, "current_a": 0.01}},
}
CABLES: dict[str, dict[str, Any]] = {
    "thin": {"area_mm2": 0.22, "cores": 6, "resistance_ohm_per_km": 96.0, "mains_rated": False},
    "thick": {"area_mm2": 1.5, "cores": 4, "resistance_ohm_per_km": 12.1, "mains_rated": True},
    "unread": {"area_mm2": 1.5, "cores": 4, "resistance_ohm_per_km": 12.1},
}


def case(part: str, *, beside: dict[str, Any] | None = None, **cable: Any) -> Case:
    """Lamps on output 1 over some cable, a drive's input on output 2 over another or the same."""
    outputs = {
        "1": {"kind": "toggle", "works": "lamps.on", "cable": {"part": part, "length_m": 20.0, **cable}},
        "2": {
            "kind": "pulse",
            "for_s": 0.5,
            "works": "gate.open",
            "cable": {"part": "thin", "length_m": 30.0, **(beside or {})},
        },
    }
    return wired_case(
        {"receivers": {"R1": {"at": [0, 0], "outputs": outputs}}, "devices": {"lamps": LAMPS, "gate": DRIVE}},
        cables=CABLES,
    )


def judged(part: str, **more: Any) -> list[Finding]:
    """What is said of that case."""
    return list(judge(case(part, **more)))


@pytest.mark.parametrize(
    ("part", "verdict"), [("thin", Verdict.FAILS), ("thick", Verdict.HOLDS), ("unread", Verdict.UNKNOWN)]
)
def test_mains_goes_in_a_cable_made_for_it(part: str, verdict: Verdict) -> None:
    """Alarm cable fails, a mains cable holds, an unread sheath is asked about; the licensed electrician is
    named each time.
    """
    finding = finding_of(judged(part), "SAFE-11")

    assert finding.verdict is verdict
    assert "licensed electrician" in finding.because
    assert bool(finding.remedies) is (verdict is not Verdict.HOLDS)


def test_the_input_of_a_mains_fed_drive_is_no_mains() -> None:
    """Its command is a few volts: two cores to the input, drawn core by core, and nothing said of mains."""
    run = next(one for one in runs(case("thick"), "larkfen") if one.target == "gate")

    assert not run.is_mains
    assert (run.kind, run.target_terminals) == ("command", ("open", "open common"))
    assert not any("gate" in one.about for one in judged("thick"))


def test_mains_and_a_command_in_one_sheath_fail() -> None:
    """Both name cores of what is the same cable: same part and length, between the same two boxes."""
    outputs = {
        "1": {
            "kind": "toggle",
            "works": "box.lamp",
            "cable": {"part": "thick", "length_m": 20.0, "cores": "1 and 2"},
        },
        "2": {
            "kind": "pulse",
            "for_s": 0.5,
            "works": "box.open",
            "cable": {"part": "thick", "length_m": 20.0, "cores": "3 and 4"},
        },
    }
    box: dict[str, Any] = {
        "device": "sliding gate",
        "supply": "mains",
        "inputs": {
            "lamp": {"logic": "on", "voltage_v": 230.0, "current_a": 0.3},
            "open": {"logic": "open only", "voltage_v": 24.0, "current_a": 0.01},
        },
    }
    findings = list(
        judge(
            wired_case(
                {"receivers": {"R1": {"at": [0, 0], "outputs": outputs}}, "devices": {"box": box}},
                cables=CABLES,
            )
        )
    )

    assert finding_of(findings, "SAFE-11", "beside others").verdict is Verdict.FAILS
    assert not [
        one for one in judged("thick", cores="1 and 2", beside={"cores": "3 and 4"}) if "beside" in one.about
    ]  # another length, another place: another cable


def test_the_catalogue_knows_which_cables_are_for_mains() -> None:
    """Alarm and signal cables are not, whatever their number of cores."""
    cables = load_catalogue().parts["cable"]

    assert all(
        part.sheet.mains_rated is False
        for name, part in cables.items()
        if name.startswith(("alarm", "pairs"))
    )
    assert cables["solid-2x1.5"].sheet.mains_rated is True
