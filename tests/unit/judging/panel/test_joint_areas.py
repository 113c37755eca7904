"""Areas that are set with others, zones with contacts side by side, and masked zones."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.core.wiring.zones import ZoneChain, zone_ohm
from farpress.domain.finding import Finding, Verdict
from farpress.judging.panel import joint_areas, zones
from helpers.findings import finding_of
from helpers.logic_case import a_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS


def _areas(*shops: dict[str, Any]) -> list[Finding]:
    named = {f"shop{number}": shop for number, shop in enumerate(shops, 1)}
    areas = {**named, "way": {"set_with": tuple(named)}}
    return list(joint_areas.judge(a_case({}, mounted_panel={"areas": areas})))


@pytest.mark.parametrize(
    ("share", "verdict"), [(0.0254, FAILS), (0.02532, THIN), (0.0229, THIN), (0.0226, HOLDS), (None, UNKNOWN)]
)
def test_pan_42_one_who_forgets_keeps_it_unset(share: float | None, verdict: Verdict) -> None:
    """Two of them against 5 %: 1 - (1 - f)^2, our choice; thin within a tenth."""
    finding = finding_of(_areas({"forgotten_share": share}, {"forgotten_share": share}), "PAN-42")

    assert finding.verdict is verdict
    if share is not None:
        assert finding.value == pytest.approx(100.0 * (1.0 - (1.0 - share) ** 2))


def test_pan_42_six_who_forget_on_three_evenings_of_a_hundred() -> None:
    """0.97 to the power of 6 is 0.833, by hand: 61 nights."""
    finding = finding_of(_areas(*[{"forgotten_share": 0.03}] * 6), "PAN-42")

    assert finding.value == pytest.approx(16.7, abs=0.03)
    assert "61 in a year" in finding.says


@pytest.mark.parametrize(
    ("comes", "verdict"), [("04:01", FAILS), ("04:00", THIN), ("03:55", THIN), ("03:53", HOLDS)]
)
def test_pan_43_hours_before_the_last_comes(comes: str, verdict: Verdict) -> None:
    """One hour, our choice; thin within a tenth."""
    finding = finding_of(_areas({"hours": "03:00-13:00"}, {"hours": f"{comes}-18:00"}), "PAN-43")

    assert finding.verdict is verdict


def test_pan_43_when_they_come_is_asked() -> None:
    """One of them does not say."""
    assert finding_of(_areas({"hours": "03:00-13:00"}, {}), "PAN-43").verdict is UNKNOWN


def test_an_area_of_its_own_has_no_such_finding() -> None:
    """Nothing is set with it."""
    assert not list(joint_areas.judge(a_case({}, mounted_panel={"areas": {"shop": {}, "flat": {}}})))


LOOP: dict[str, Any] = {
    "scheme": "double end-of-line",
    "normal_ohm": 2200.0,
    "alarm_ohm": 4700.0,
    "tolerance_share": 0.01,
    "bands": (
        {"reads": "normal", "from_ohm": 1800.0, "to_ohm": 2800.0},
        {"reads": "alarm", "from_ohm": 5500.0, "to_ohm": 8500.0},
        {"reads": "masked", "from_ohm": 8600.0, "to_ohm": 9000.0},
    ),
}


def _zone(loop: dict[str, Any], **zone: Any) -> Finding:
    panel = {"zones": {"doors": {"loop": {**LOOP, **loop}, **zone}}}
    return finding_of(zones.judge(a_case({}, mounted_panel=panel)), "PAN-21")


def test_pan_21_one_of_two_doors_side_by_side_is_never_seen() -> None:
    """2.2 kohm with one open, 6.9 kohm with both, by hand; in series each of them is."""
    finding = _zone({}, contacts=2, side_by_side=True)

    assert finding.verdict is FAILS
    assert "1 open 2.2 kohm (normal); 2 open 6.9 kohm (alarm)" in finding.says
    assert "in series" in finding.remedies[0].does
    assert _zone({}, contacts=2, each_resistor=False).verdict is UNKNOWN  # the cable is asked for


@pytest.mark.parametrize(
    ("zone", "verdict"),
    [
        ({"contacts": 3, "side_by_side": True}, FAILS),
        ({"contacts": 3, "side_by_side": True, "each_resistor": True}, FAILS),
        ({"contacts": 3}, UNKNOWN),
    ],
)
def test_pan_21_a_panel_that_gives_its_normal_band_alone_is_no_excuse(
    zone: dict[str, Any], verdict: Verdict
) -> None:
    """One door open of three side by side reads as none: 2.2 kohm, whatever else the panel may read."""
    loop = {"scheme": "single end-of-line", "alarm_ohm": None, "bands": LOOP["bands"][:1]}

    assert _zone(loop, **zone).verdict is verdict  # in series the cable alone is asked for


@pytest.mark.parametrize(("alarm_ohm", "read"), [(4700.0, "6.9 kohm (alarm)"), (6600.0, "8.8 kohm (masked)")])
def test_pan_21_a_masked_zone_is_read_as_its_contact_shows_it(alarm_ohm: float, read: str) -> None:
    """A wrong resistor makes an open door look masked."""
    assert f"1 open {read}" in _zone({"scheme": "masked", "mask_ohm": 2200.0, "alarm_ohm": alarm_ohm}).says


def test_contacts_side_by_side_divide_their_own_resistance() -> None:
    """Two of 2 ohm: 1 ohm closed, 2 ohm with one open, by hand."""
    pair = ZoneChain(100.0, None, contacts=2, contact_ohm=2.0, parallel=True)

    assert [zone_ohm(chain=pair, worked=number, loop_ohm=0.0) for number in (0, 1)] == [101.0, 102.0]
