"""A lamp that is off at the end of a long cable glimmers where a core beside its own is live."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.judging.contact.load import judge
from helpers.findings import finding_of
from helpers.wired_case import wired_case

HOLDS, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.UNKNOWN, Verdict.FAILS
GREEN: dict[str, Any] = {
    "device": "lamp",
    "supply": "mains",
    "voltage_v": 230.0,
    "current_a": 0.026,
    "load": "led",
    "glows_from_a": 0.0003,
}


def judged(
    *,
    length_m: float = 72.0,
    cores: int = 5,
    farads: float | None = 100e-12,
    region: str = "europe",
    **device: Any,
) -> list[Finding]:
    """A green light of a ramp on a cable with so many cores."""
    cable = {"area_mm2": 1.5, "cores": cores, "mains_rated": True, "capacitance_f": farads}
    run = {"part": "ramp", "length_m": length_m}
    output = {"kind": "pulse", "for_s": 30.0, "works": "green.on", "cable": run}
    box = {"at": [0, 0], "mains_rated": True, "contact_rated_a": 5.0, "outputs": {"1": output}}
    premises = {"receivers": {"R1": box}, "devices": {"green": GREEN | device}}
    functions = {"green": {"output": "larkfen/R1/1"}}
    return list(judge(wired_case(premises, functions=functions, cables={"ramp": cable}, region=region)))


@pytest.mark.parametrize(
    ("length_m", "region", "verdict"),
    [
        (72.0, "europe", FAILS),
        (41.6, "europe", FAILS),
        (41.4, "europe", HOLDS),
        (35.0, "europe", HOLDS),
        (35.0, "north america", FAILS),
    ],
)
def test_con_12_what_comes_over_grows_with_the_length(length_m: float, region: str, verdict: Verdict) -> None:
    """I = 2 pi f C U: 0.3 mA at 230 V and 50 Hz pass through 4.15 nF, 41.5 m at 100 pF; 34.6 m at 60 Hz."""
    finding = finding_of(judged(length_m=length_m, region=region), "CON-12")

    assert finding.verdict is verdict


def test_con_12_the_figure_of_72_metres() -> None:
    """7.2 nF at 230 V and 50 Hz: 0.52 mA, by hand."""
    assert finding_of(judged(), "CON-12").value == pytest.approx(0.52e-3, rel=2e-3)


@pytest.mark.parametrize(
    ("given", "verdict"),
    [
        ({"glows_from_a": None}, UNKNOWN),
        ({"farads": None}, UNKNOWN),
        ({"glows_from_a": None, "length_m": 29.0}, None),
        ({"glows_from_a": None, "load": "lamp"}, None),
        ({"cores": 3}, None),
    ],
)
def test_con_12_what_is_not_known_is_asked_where_it_can_matter(
    given: dict[str, Any], verdict: Verdict | None
) -> None:
    """A long cable with more cores than the lamp's own; a short one, or a filament lamp, is left alone."""
    found = judged(**given)

    assert ("CON-12" in {finding.code for finding in found}) is (verdict is not None)
    if verdict is not None:
        assert finding_of(found, "CON-12").verdict is verdict
        assert finding_of(found, "CON-12").asks
