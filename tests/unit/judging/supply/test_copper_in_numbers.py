"""Which copper is offered to an end that has too few volts, and which fuse, in numbers worked out by hand."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from farpress.domain.finding import Finding, Verdict
from farpress.domain.refs import SupplyRef
from farpress.judging.supply.short_circuit import _branch_fuse, rated_current_a
from farpress.judging.supply.volts import judge
from helpers.findings import finding_of
from helpers.wired_case import wired_case

CABLES: dict[str, dict[str, Any]] = {
    name: {"resistance_ohm_per_km": ohm * 1000.0 / 2.2358, "cores": 2, "rated_a": 5.0, "area_mm2": area}
    for name, ohm, area in (("whole", 1.0, 0.2), ("half", 0.5, 0.5), ("fifth", 0.2, 1.5))
}
"""There and back over 1 m at 50 degC, by 1 + 0.00393 x 30 = 1.1179 [ohm]."""


def judged(code: str, *, least_v: float = 9.0, amperes: float = 0.5, **run: Any) -> Finding:
    """12 V, and a lamp behind 1 ohm of cable: 11.5 V at 0.5 A."""
    cable = {"part": "whole", "length_m": 1.0, **run}
    lamp = {
        "device": "lamp",
        "supply": "dc",
        "voltage_v": 12.0,
        "voltage_min_v": least_v,
        "current_a": amperes,
    }
    output = {"kind": "pulse", "for_s": 4.0, "works": "lamp.on", "load_from": "main", "cable": cable}
    box = {"at": [0, 0], "supply": "dc", "current_idle_a": 0.0, "current_per_relay_a": 0.0}
    supply = {"supply": "dc", "voltage_v": 12.0, "voltage_min_v": 12.0, "rated_a": 9.0, "source_ohm": 0.5}
    premises = {
        "supplies": {"main": supply},
        "receivers": {"R1": box | {"fed": {"from": "main"}, "outputs": {"1": output}}},
        "devices": {"lamp": lamp | {"load": "resistive"}},
    }
    return finding_of(judge(wired_case(premises, cables=CABLES)), code, "lamp")


@pytest.mark.parametrize(("least_v", "name", "volts"), [(11.7, "half", "11.75"), (11.74, "fifth", "11.9")])
def test_sup_01_offers_the_thinnest_cable_with_a_margin_over_the_doubt(
    least_v: float, name: str, volts: str
) -> None:
    """Half an ohm leaves 11.75 V, known to a tenth of 0.25 V: 0.05 V more than 11.7 V is enough, 0.01 V more
    than 11.74 V is not.
    """
    finding = judged("SUP-01", least_v=least_v)
    remedy = finding.remedies[0]

    assert "0.50 V lost, 4.2 % of 12 V" in finding.says
    assert remedy.does.startswith(f"Use {name} (")
    assert remedy.effect == f"{volts} V at lamp"


@pytest.mark.parametrize(("least_v", "offered"), [(11.9, True), (11.9971, True), (11.9972, False)])
def test_sup_01_offers_no_copper_that_nobody_lays(least_v: float, offered: bool) -> None:
    """0.2 mm2 lose half a volt: 11.9971 V want 34.5 mm2, 11.9972 V 35.7 mm2."""
    told = " ".join(remedy.does for remedy in judged("SUP-01", least_v=least_v).remedies)

    assert ("mm2 for each conductor" in told) is offered


@pytest.mark.parametrize(
    ("least_v", "offered"), [(11.9395, "At most 6.0 m"), (11.9885, "At most 1.1 m"), (11.991, "")]
)
def test_sup_01_offers_no_cable_of_less_than_a_metre(least_v: float, offered: str) -> None:
    """A hundredth of a volt a metre: 12 V at the supply leave 6.05 m, 1.15 m, 0.9 m."""
    finding = judged("SUP-01", least_v=least_v, amperes=0.01, length_m=10.0)
    told = " ".join(remedy.does for remedy in finding.remedies)

    assert finding.verdict is Verdict.FAILS
    assert offered in told
    assert ("At most" in told) is bool(offered)


def test_sup_01_says_what_the_supply_would_have_to_keep() -> None:
    """12.5 V are wanted and half a volt is lost on the way."""
    finding = judged("SUP-01", least_v=12.5)
    remedy = finding.remedies[0]

    assert finding.cause == SupplyRef("larkfen/main")
    assert judged("SUP-01", least_v=11.9).cause != SupplyRef("larkfen/main")
    assert "comes down to 12 V. Use a supply that stays above 13.0 V" in remedy.does


def test_sup_01_no_supply_is_asked_for_what_more_copper_has_to_do() -> None:
    """Four ohms lose 2 V of 12: not 14.5 V at the supply, a tenth above the least and
    copper.
    """
    finding = judged("SUP-01", least_v=12.5, length_m=4.0)

    assert "stays above 13.8 V, and a cable with more copper" in finding.remedies[0].does


@pytest.mark.parametrize(
    ("degrees", "does"), [(71.0, "Lead it another way"), (60.0, "Use a cable with more")]
)
def test_sup_07_where_no_cable_may_lie_more_copper_is_no_way_out(degrees: float, does: str) -> None:
    """PVC has no place above 60 degC."""
    finding = judged("SUP-07", amperes=6.0, warmest_degc=degrees)

    assert finding.verdict is Verdict.FAILS
    assert finding.remedies[0].does.startswith(does)


@pytest.mark.parametrize(
    ("short_a", "load_a", "rating", "times"), [(8.0, 0.5, "2 A", "4.0"), (8.0, 2.5, "3.15 A", "2.5")]
)
def test_a_fuse_is_told_with_how_surely_a_short_opens_it(
    short_a: float, load_a: float, rating: str, times: str
) -> None:
    """8 A: four times 2 A, within seconds; 2.5 times 3.15 A, within minutes, where 2 A are too few."""
    remedy, _ = _branch_fuse(short_a, load_a)

    assert remedy.does == f"Fuse this cable on its own with {rating}."
    assert remedy.effect == f"a short at its end is {times} times that"


@pytest.mark.parametrize(
    ("rated_a", "rated_va", "volts", "amperes"),
    [(None, 60.0, 24.0, 2.5), (2.0, 60.0, 24.0, 2.0), (None, 60.0, None, None), (None, None, 24.0, None)],
)
def test_volt_amperes_are_amperes_times_volts(
    rated_a: float | None, rated_va: float | None, volts: float | None, amperes: float | None
) -> None:
    """60 VA at 24 V are 2.5 A."""
    sheet: Any = SimpleNamespace(rated_a=rated_a, rated_va=rated_va, voltage_v=volts)

    assert rated_current_a(sheet) == amperes
