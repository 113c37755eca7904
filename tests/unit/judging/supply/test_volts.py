"""Supplies of an invented house: volts at the end, sums, standby, fuses, charging."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Stake, Verdict
from farpress.judging.registry import all_checks
from farpress.judging.supply.volts import judge
from helpers.circuit_jobs import JOBS, small_job
from helpers.findings import finding_of
from helpers.wired_case import wired_case

SUPPLY: dict[str, Any] = {
    "supply": "dc",
    "voltage_v": 13.6,
    "voltage_min_v": 13.0,
    "voltage_max_v": 13.8,
    "rated_a": 1.5,
    "source_ohm": 0.2,
    "charge_a": 0.3,
    "fuse_a": 1.6,
    "battery": {"capacity_ah": 7.0, "voltage_v": 12.0, "end_v": 10.5, "usable_share": 0.6},
    "standby_s": 24 * 3600.0,
    "other_load_a": 0.046,
}
RECEIVER: dict[str, Any] = {
    "at": [0, 0],
    "supply": "dc",
    "voltage_min_v": 10.5,
    "voltage_max_v": 15.0,
    "current_idle_a": 0.022,
    "current_per_relay_a": 0.018,
    "fed": {"from": "main"},
}
SIREN: dict[str, Any] = {
    "device": "sounder",
    "supply": "dc",
    "voltage_v": 12.0,
    "voltage_min_v": 9.0,
    "voltage_max_v": 15.0,
    "current_a": 0.45,
    "load": "resistive",
}


def house(
    *,
    cable: str = "alarm-6x0.22",
    metres: float = 38.0,
    siren: dict[str, Any] | None = None,
    supply: dict[str, Any] | None = None,
    outputs: dict[str, Any] | None = None,
) -> dict[str, Any]:
    """One supply, one receiver, a siren switched by its first output."""
    first = {
        "kind": "pulse",
        "for_s": 60.0,
        "works": "siren.on",
        "load_from": "main",
        "cable": {"part": cable, "length_m": metres},
    }
    return {
        "supplies": {"main": SUPPLY | (supply or {})},
        "receivers": {"R1": RECEIVER | {"outputs": {"1": first, **(outputs or {})}}},
        "devices": {"siren": SIREN | (siren or {})},
    }


def judged(premises: dict[str, Any], **more: Any) -> list[Finding]:
    """All findings of the module."""
    return list(judge(wired_case(premises, **more)))


def test_a_siren_at_the_end_of_thin_cable_gets_too_little_and_the_cure_is_computed() -> None:
    """0.45 A over 38 m of 0.22 mm2, battery at its end: 2 x 38 x 0.096 x 1.1179 = 8.157 ohm lose 3.67 V."""
    finding = finding_of(judged(house()), "SUP-01", "siren")

    assert finding.verdict is Verdict.FAILS
    assert finding.value == pytest.approx(10.5 - 0.45 * 2 * 38 * 96 / 1000 * (1 + 0.00393 * 30))
    cable = finding.remedies[0]
    assert "twin-1.0" in cable.does or "twin-0.5" in cable.does
    assert cable.changes[0].path == (
        "premises",
        "larkfen",
        "receivers",
        "R1",
        "outputs",
        "1",
        "cable",
        "part",
    )


def test_the_cable_that_is_named_as_cure_cures_it() -> None:
    """The remedy, written into the job, makes the finding hold."""
    before = finding_of(judged(house()), "SUP-01", "siren")
    after = finding_of(judged(house(cable=str(before.remedies[0].changes[0].value))), "SUP-01", "siren")

    assert after.verdict in (Verdict.HOLDS, Verdict.THIN)
    assert after.value is not None
    assert f"{after.value:.4g} V" in before.remedies[0].effect


def test_one_square_millimetre_carries_the_siren() -> None:
    """19.5 ohm/km: 0.75 V lost, hot."""
    assert finding_of(judged(house(cable="twin-1.0")), "SUP-01", "siren").verdict is Verdict.HOLDS


def test_an_unknown_least_voltage_is_asked_for() -> None:
    """The volts are computed all the same."""
    finding = finding_of(judged(house(siren={"voltage_min_v": None})), "SUP-01", "siren")

    assert finding.verdict is Verdict.UNKNOWN
    assert finding.value == pytest.approx(6.83, abs=0.01)
    assert any("lowest voltage siren works with" in remedy.does for remedy in finding.remedies)


def test_a_shared_return_costs_volts_and_an_own_one_is_offered() -> None:
    """Two sirens, the second on the first one's return core: its current lifts both."""
    second = {
        "kind": "pulse",
        "for_s": 60.0,
        "works": "bell.on",
        "load_from": "main",
        "cable": {"part": "twin-1.5", "length_m": 38.0, "shares_return_with": "1"},
    }
    premises = house(cable="twin-1.5", outputs={"2": second})
    premises["devices"]["bell"] = SIREN
    shared = finding_of(judged(premises), "SUP-01", "siren")
    own = house(cable="twin-1.5", outputs={"2": second | {"cable": {"part": "twin-1.5", "length_m": 38.0}}})
    own["devices"]["bell"] = SIREN
    apart = finding_of(judged(own), "SUP-01", "siren")

    one_core = 38 * 13.3 / 1000 * (1 + 0.00393 * 30)
    assert shared.value is not None
    assert apart.value is not None
    assert apart.value == pytest.approx(10.5 - 0.45 * 2 * one_core)
    assert shared.value == pytest.approx(10.5 - 0.45 * one_core - 0.9 * one_core)


def test_more_copper_for_the_guest_does_not_mend_the_hosts_return_core() -> None:
    """The shared core lies in the first siren's alarm cable and stays as thin as it is."""
    second = {
        "kind": "pulse",
        "for_s": 60.0,
        "works": "bell.on",
        "load_from": "main",
        "cable": {"part": "twin-1.5", "length_m": 38.0, "shares_return_with": "1"},
    }
    premises = house(outputs={"2": second})
    premises["devices"]["bell"] = SIREN
    bell = finding_of(judged(premises), "SUP-01", "bell")

    out, back = 38 * 13.3 / 1000 * 1.1179, 38 * 96 / 1000 * 1.1179
    # the first siren has less than half of its 12 V: 6 V over 0.45 A, 13.33 ohm, behind both its cores
    first = (10.5 - 0.45 * back) / (6 / 0.45 + 2 * back)
    assert bell.value == pytest.approx(10.5 - 0.45 * out - (0.45 + first) * back, abs=1e-6)
    assert any("return core of its own" in remedy.does for remedy in bell.remedies)
    assert not any(change.path[-1] == "part" for remedy in bell.remedies for change in remedy.changes)


def test_a_return_core_that_names_nothing_is_asked_for() -> None:
    """It is not silently left out."""
    premises = house(cable="twin-1.5")
    premises["receivers"]["R1"]["outputs"]["1"]["cable"]["shares_return_with"] = "R9/7"
    finding = finding_of(judged(premises), "SUP-01", "siren")

    assert finding.verdict is Verdict.UNKNOWN
    assert "'R9/7' names nothing" in finding.remedies[0].does


def test_two_devices_on_one_contact_share_its_cable() -> None:
    """Both currents flow in both cores: 0.9 A over 38 m there and back."""
    premises = house(cable="twin-1.5")
    premises["receivers"]["R1"]["outputs"]["1"]["with_"] = ["bell.on"]
    premises["devices"]["bell"] = SIREN
    findings = judged(premises)

    assert finding_of(findings, "SUP-01", "siren").value == pytest.approx(
        10.5 - 0.9 * 2 * 38 * 13.3 / 1000 * (1 + 0.00393 * 30)
    )
    assert finding_of(findings, "SUP-01", "bell").value == finding_of(findings, "SUP-01", "siren").value
    assert finding_of(findings, "SUP-07", "bell").value == pytest.approx(0.9)


def test_a_load_of_constant_power_finds_no_point_at_the_end_of_a_thin_cable() -> None:
    """12 W at 12 V over 8 ohm: more than U2/4R can be had."""
    siren = {"load": "constant power", "power_w": 12.0, "current_a": None}
    finding = finding_of(judged(house(siren=siren)), "SUP-01", "siren")

    assert finding.verdict is Verdict.FAILS
    assert "cannot carry" in finding.says


def test_constant_power_draws_more_as_the_volts_fall() -> None:
    """3 W over 1.66 ohm from 10.5 V: the root of U (10.5 - U) = 3 R."""
    finding = finding_of(
        judged(house(cable="twin-1.0", siren={"load": "constant power", "power_w": 3.0, "current_a": None})),
        "SUP-01",
        "siren",
    )

    loop = 2 * 38 * 19.5 / 1000 * (1 + 0.00393 * 30)
    assert finding.value == pytest.approx((10.5 + (10.5**2 - 4 * 3 * loop) ** 0.5) / 2)


def test_everything_on_is_summed_with_charging() -> None:
    """22 + 18 mA receiver, 450 mA siren, 46 mA outside, 300 mA charging."""
    finding = finding_of(judged(house()), "SUP-03")

    assert finding.value == pytest.approx(0.022 + 0.018 + 0.45 + 0.046 + 0.3)
    assert finding.verdict is Verdict.HOLDS


def test_too_small_a_supply_fails_with_the_size_that_is_needed() -> None:
    """836 mA of a 500 mA supply; 80 % used in design makes 1.045 A."""
    finding = finding_of(judged(house(supply={"rated_a": 0.5})), "SUP-03")

    assert finding.verdict is Verdict.FAILS
    assert "1.045 A" in finding.remedies[0].does


def test_the_battery_of_the_house_lasts_thirty_seven_and_a_half_hours() -> None:
    """7 Ah, 60 %, three receivers of 22 mA and 46 mA outside: 112 mA."""
    premises = house()
    premises["receivers"] |= {"R2": RECEIVER, "R3": RECEIVER}
    finding = finding_of(judged(premises), "SUP-04")

    assert finding.value == pytest.approx(37.5)
    assert finding.limit == pytest.approx(24.0)
    assert finding.verdict is Verdict.HOLDS


def test_more_standby_than_the_battery_has_names_a_larger_one() -> None:
    """60 h at 68 mA are 4.08 Ah; 60 % usable makes 6.8 Ah, more than 4.08 x 1.25 for wear."""
    premises = house(supply={"standby_s": 60 * 3600.0, "battery": SUPPLY["battery"] | {"capacity_ah": 4.0}})
    finding = finding_of(judged(premises), "SUP-04")

    assert finding.verdict is Verdict.FAILS
    assert "6.8 Ah" in finding.remedies[0].does
    premises["supplies"]["main"]["battery"]["capacity_ah"] = 6.8 * 1.1
    assert finding_of(judged(premises), "SUP-04").verdict is Verdict.HOLDS


def test_a_graded_panel_demands_its_hours() -> None:
    """Grade 3: 60 h, where the job itself says nothing."""
    premises = house(supply={"standby_s": None})
    premises["panels"] = {"panel": {"grade": 3, "current_a": 0.1, "fed": {"from": "main"}}}
    finding = finding_of(judged(premises), "SUP-04")

    assert finding.limit == pytest.approx(60.0)
    assert finding.verdict is Verdict.FAILS


def test_a_fuse_that_never_notices_a_short_at_the_end_is_caught() -> None:
    """10.5 V over 0.2 + 8.157 ohm: 1.256 A against 2.1 x 1.6 A."""
    finding = finding_of(judged(house()), "SUP-05", "siren")

    assert finding.verdict is Verdict.FAILS
    assert finding.value == pytest.approx(10.5 / (0.2 + 8.157), rel=1e-3)
    assert "500 mA" in finding.remedies[0].does  # the largest that carries the siren: 2.5 times


def test_a_load_that_waits_behind_an_open_contact_draws_nothing_at_rest() -> None:
    """Fed through its own cable and worked by an output: on standby only the receiver and the rest count."""
    premises = house()
    premises["receivers"]["R1"]["outputs"]["1"].pop("load_from")
    premises["devices"]["siren"] = SIREN | {
        "fed": {"from": "main", "cable": {"part": "twin-1.0", "length_m": 38.0}}
    }

    assert finding_of(judged(premises), "SUP-04").value == pytest.approx(7.0 * 0.6 / 0.068)
    assert finding_of(judged(premises), "SUP-03").value == pytest.approx(0.022 + 0.018 + 0.45 + 0.046 + 0.3)


def test_a_mains_load_behind_a_contactor_is_not_put_on_the_small_supply() -> None:
    """The supply that is named there works the coil, through the output's cable."""
    relays = {
        "contactor": {
            "coil_v": 12.0,
            "coil_min_v": 9.6,
            "coil_a": 0.085,
            "coil_supply": "dc",
            "contact_rated_a": 16.0,
            "mains_rated": True,
        }
    }
    premises = house(siren={"supply": "mains", "voltage_v": 230.0, "current_a": 3.0})
    premises["receivers"]["R1"]["outputs"]["1"]["via"] = "contactor"
    findings = judged(premises, relays=relays)

    assert finding_of(findings, "SUP-03").value == pytest.approx(0.022 + 0.018 + 0.085 + 0.046 + 0.3)
    assert finding_of(findings, "SUP-01", "coil").value == pytest.approx(
        10.5 - 0.085 * 2 * 38 * 96 / 1000 * 1.1179
    )


def test_an_unknown_fuse_is_asked_for() -> None:
    """And a missing one is to be fitted."""
    finding = finding_of(judged(house(supply={"fuse_a": None})), "SUP-05", "siren")

    assert finding.verdict is Verdict.UNKNOWN
    assert "fit one" in finding.remedies[0].does


def test_direct_current_on_an_ac_valve_is_refused() -> None:
    """Its coil would burn."""
    finding = finding_of(judged(house(siren={"supply": "ac"})), "SUP-06", "siren")

    assert finding.verdict is Verdict.FAILS
    assert "burns" in finding.because


def test_an_ac_coil_on_direct_current_is_told_its_heat() -> None:
    """26 ohm on 13.6 V: 0.5231 A and 7.114 W by Ohm's law; two valves of 0.25 A each as meant, 1.625 W."""
    valve = {"supply": "ac", "coil_ohm": 26.0, "current_a": 0.25, "pieces": 2}
    finding = finding_of(judged(house(siren=valve)), "SUP-06", "siren")

    assert "26 ohm take 523.1 mA and 7.11 W at 13.6 V direct current" in finding.because
    assert "takes 1.6 W" in finding.because


def test_charging_voltage_above_what_the_device_stands_fails() -> None:
    """13.8 V on a 12.5 V siren."""
    finding = finding_of(judged(house(siren={"voltage_max_v": 12.5})), "SUP-02", "siren")

    assert finding.verdict is Verdict.FAILS
    assert finding.margin == pytest.approx(-1.3)


def test_alarm_cores_carry_an_ampere_behind_a_fuse_that_is_no_larger() -> None:
    """0.45 of 1 A; behind 1.6 A the cores would burn before the fuse opens."""
    assert finding_of(judged(house(supply={"fuse_a": 1.0})), "SUP-07", "siren").verdict is Verdict.HOLDS
    assert finding_of(judged(house(supply={"fuse_a": 1.0})), "SUP-13", "siren").verdict is Verdict.HOLDS
    assert finding_of(judged(house()), "SUP-13", "siren").verdict is Verdict.THIN


def test_a_siren_that_something_else_works_is_asked_for_its_rest_current() -> None:
    """Fed, but on no output of this job: it may draw anything while it waits."""
    premises = house()
    premises["receivers"]["R1"]["outputs"] = {}
    premises["devices"]["siren"] = SIREN | {
        "fed": {"from": "main", "cable": {"part": "twin-1.0", "length_m": 38.0}}
    }
    assert finding_of(judged(premises), "SUP-04").verdict is Verdict.UNKNOWN

    premises["devices"]["siren"] |= {"current_rest_a": 0.004}
    alarm_ah = (SIREN["current_a"] - 0.004) * 0.25
    assert finding_of(judged(premises), "SUP-04").value == pytest.approx((7.0 * 0.6 - alarm_ah) / 0.072)


def test_a_panel_without_a_figure_is_asked_for_beside_another_load_too() -> None:
    """Whether it stands in that, nobody can tell: written as nothing it does."""
    premises = house()
    premises["panels"] = {"panel": {"fed": {"from": "main"}}}
    finding = finding_of(judged(premises), "SUP-04")

    assert finding.verdict is Verdict.UNKNOWN
    assert any("Write 0 mA where it stands in the supply's other_load" in ask.says for ask in finding.asks)
    premises["panels"]["panel"]["current_a"] = 0.0
    assert finding_of(judged(premises), "SUP-04").verdict is Verdict.HOLDS


@pytest.mark.parametrize(
    ("charge_a", "verdict"), [(0.3, Verdict.HOLDS), (0.05, Verdict.FAILS), (None, Verdict.UNKNOWN)]
)
def test_charging_brings_eighty_per_cent_back_in_three_days(charge_a: float | None, verdict: Verdict) -> None:
    """0.8 x 7 Ah x 1.2 / 72 h = 93 mA."""
    finding = finding_of(judged(house(supply={"charge_a": charge_a})), "SUP-08")

    assert finding.verdict is verdict
    assert finding.limit == pytest.approx(0.09333, rel=1e-3) or verdict is Verdict.UNKNOWN


def test_a_job_without_any_figures_gives_open_findings_and_no_error() -> None:
    """Every unknown is asked for, none is guessed."""
    premises = {
        "supplies": {"main": {"battery": {}}},
        "receivers": {
            "R1": {
                "at": [0, 0],
                "fed": {"from": "main"},
                "outputs": {"1": {"kind": "pulse", "works": "siren.on", "load_from": "main"}},
            }
        },
        "devices": {"siren": {"fed": {"from": "main", "cable": {"part": "unknown", "length_m": 5.0}}}},
    }
    findings = judged(premises, cables={"unknown": {}})

    assert findings
    assert {finding.verdict for finding in findings} == {Verdict.UNKNOWN}
    assert all(finding.remedies for finding in findings)


def test_every_finding_has_a_code_that_is_explained_and_names_what_it_touches() -> None:
    """The reference page of messages is made from the codes."""
    findings = judged(house())

    assert {finding.code for finding in findings} <= set(all_checks())
    assert all(finding.subjects for finding in findings)
    assert len({finding.key for finding in findings}) == len(findings)


def test_a_lock_held_over_its_receivers_cores_stops_the_receiver() -> None:
    """One pair of 68 m of 0.22 mm2 for a lock of 25 ohm and its receiver: (13.6 - 0.018 r) / (1 + r / 25) V
    = 8.77 V with r = 13.106 ohm, of the 9 V that the receiver needs; with the lock let go 13.07 V.
    """
    finding = finding_of(judge(small_job("daisy chain")), "SUP-15")
    r = 2 * 96.0 * 68 / 1000 + 0.05

    assert finding.verdict is Verdict.FAILS
    assert finding.value == pytest.approx((13.6 - 0.018 * r) / (1 + r / 25))
    assert finding.limit == 9.0
    assert finding.stake is Stake.HARM
    assert "8.77 V" in finding.says
    assert "With lock off it has 13.08 V" in finding.because
    assert "stays dead" in finding.because


def test_the_copper_that_ends_a_chain_is_solved_anew() -> None:
    """By hand at the battery's end: 10.8 V less 0.498 A through two cores of 68 m of 2.5 mm2, 7.41 ohm/km at
    20 °C (IEC 60228, class 1), at 50 °C: 10.24 V, of which the lock needs 10.2 V as well.
    """
    thick = {
        "alarm-6x0.22": {"area_mm2": 0.22, "resistance_ohm_per_km": 96.0, "cores": 6},
        "thick": {"area_mm2": 2.5, "resistance_ohm_per_km": 7.41, "cores": 2},
    }
    finding = finding_of(judge(wired_case(JOBS["daisy chain"], cables=thick)), "SUP-15")
    (copper,) = [remedy for remedy in finding.remedies if remedy.effect]
    volts = 10.8 - 0.498 * 2 * 68 / 1000 * 7.41 * (1 + 0.00393 * 30)

    assert "2.5 mm2" in copper.does
    assert copper.effect.startswith(f"{volts:.2f} V")
    assert copper.changes


def test_a_load_on_a_pair_of_its_own_makes_no_chain() -> None:
    """Two strikes that share a return with each other, none with the receiver."""
    assert not [finding for finding in judge(small_job("shared return")) if finding.code == "SUP-15"]


@pytest.mark.parametrize("load", ["resistive", "inductive dc", "motor", "constant power"])
@pytest.mark.parametrize("least", [10.35, 9.8, 8.71])
def test_a_length_and_an_area_that_are_told_do_when_they_are_kept_to(load: str, least: float) -> None:
    """What is rounded is rounded to the safe side: applied to the job, nothing fails any more."""
    siren = {"voltage_min_v": least, "load": load, "power_w": 5.4 if load == "constant power" else None}
    (area, longest) = (
        next(
            remedy.does
            for remedy in _volts(house(siren=siren, metres=60.0)).remedies
            if remedy.does.startswith(start)
        )
        for start in ("At least", "At most")
    )
    metres, mm2 = float(longest.split()[2]), float(area.split()[2])
    thick = {"thick": {"area_mm2": mm2, "resistance_ohm_per_km": 96.0 * 0.22 / mm2}}

    assert _volts(house(siren=siren, metres=metres)).verdict is not Verdict.FAILS
    assert _volts(house(siren=siren, metres=metres + 0.2)).verdict is Verdict.FAILS
    assert _volts(house(siren=siren, metres=60.0, cable="thick"), cables=thick).verdict is not Verdict.FAILS


def _volts(premises: dict[str, Any], **more: Any) -> Finding:
    return finding_of(judged(premises, **more), "SUP-01", "siren")


RELAY: dict[str, Any] = {
    "coil_v": 12.0,
    "coil_min_v": 9.6,
    "coil_a": 0.04,
    "coil_supply": "dc",
    "contact_rated_a": 10.0,
    "contact_rated_v": 30.0,
}


@pytest.mark.parametrize(
    ("lowest", "supply", "verdict"),
    [(10.72, "dc", Verdict.FAILS), (10.74, "dc", Verdict.HOLDS), (9.61, "ac", Verdict.HOLDS)],
)
def test_a_warm_coil_pulls_in_at_more_volts_than_its_sheet_says(
    lowest: float, supply: str, verdict: Verdict
) -> None:
    """9.6 V at 20 °C are 9.6 x (1 + 0.00393 x 30) = 10.732 V at 50 °C: copper, IEC 60028, from memory."""
    given = {"supply": supply, "voltage_min_v": lowest, "battery": None}
    premises = house(supply=given, outputs={"2": {"kind": "pulse", "via": "relay", "works": "siren.on"}})
    premises["receivers"]["R1"] |= {"fed": {"from": "main", "cable": {"part": "twin-1.0", "length_m": 0.1}}}
    found = judged(premises, relays={"relay": RELAY | {"coil_supply": supply}})

    assert finding_of(found, "SUP-01", "coil").verdict is verdict


@pytest.mark.parametrize(
    ("highest", "rated", "verdict"),
    [
        (13.8, 12.0, Verdict.HOLDS),
        (25.2, 12.0, Verdict.FAILS),
        (25.2, 24.0, Verdict.HOLDS),
        (13.8, None, Verdict.UNKNOWN),
    ],
)
def test_a_coil_and_a_panel_belong_to_the_volts_of_their_supply(
    highest: float, rated: float | None, verdict: Verdict
) -> None:
    """At twice its volts a coil gets four times its power; a charged battery 15 % above is usual."""
    supply = {"voltage_v": highest / 1.05, "voltage_max_v": highest}
    premises = house(supply=supply, outputs={"2": {"kind": "pulse", "via": "relay", "works": "siren.on"}})
    premises["panels"] = {"panel": {"voltage_v": rated, "fed": {"from": "main"}}}
    found = judged(premises, relays={"relay": RELAY | {"coil_v": rated}})

    assert finding_of(found, "SUP-02", "coil").verdict is verdict
    assert finding_of(found, "SUP-02", "panel").verdict is verdict


@pytest.mark.parametrize(("highest", "verdict"), [(25.2, Verdict.FAILS), (13.8, Verdict.UNKNOWN)])
def test_a_device_of_which_only_the_rated_volts_are_known_fails_at_twice_them(
    highest: float, verdict: Verdict
) -> None:
    """A 12 V strike on 24 V; on 13.8 V the most that it stands is asked for."""
    found = judged(house(siren={"voltage_max_v": None}, supply={"voltage_max_v": highest}))

    assert finding_of(found, "SUP-02", "siren").verdict is verdict


def test_a_branch_has_its_own_fuse() -> None:
    """0.52 A through the 0.5 A of branch 2; a short behind 41 m of 0.22 mm2 and 9 m of 1 mm2 draws 10.8 V
    over 0.05 + 2 x (4.4 + 0.196) ohm = 1.168 A, of which that fuse needs 1.05 A.
    """
    findings = list(judge(small_job("cables core by core")))
    load, short = finding_of(findings, "SUP-11", "branch 2"), finding_of(findings, "SUP-05", "lock")
    hot = 1 + 0.00393 * 30

    assert (load.value, load.limit, load.verdict) == (pytest.approx(0.52), 0.5, Verdict.FAILS)
    assert short.limit == pytest.approx(2.1 * 0.5)
    assert short.value == pytest.approx(10.8 / (0.05 + 2 * hot * (0.096 * 41 + 0.0195 * 9)))


@pytest.mark.parametrize(
    ("rectifies", "volts", "verdict"),
    [
        ("none", 20.27, Verdict.HOLDS),
        ("bridge", 18.71, Verdict.FAILS),
        ("half-wave", None, Verdict.FAILS),
        (None, None, Verdict.FAILS),
    ],
)
def test_a_rectifier_loses_more_on_its_way_than_a_sine(
    rectifies: str | None, volts: float | None, verdict: Verdict
) -> None:
    """21.6 V, 60 m of 0.22 mm2 (12.9 ohm hot), 0.1 A: 1.29 V by Ohm's law, 2.89 V in the peaks of a bridge
    (the transient of ngspice says the same); one of unknown kind is taken for half waves.
    """
    transformer = {
        "supply": "ac",
        "voltage_v": 24.0,
        "voltage_min_v": 21.6,
        "battery": None,
        "source_ohm": 4.3,
    }
    siren = {
        "supply": "dc or ac",
        "rectifies": rectifies,
        "voltage_v": 24.0,
        "voltage_min_v": 20.0,
        "current_a": 0.1,
        "load": "constant power",
    }
    finding = _volts(house(supply=transformer, siren=siren, metres=60.0))

    assert finding.verdict is verdict
    if volts is not None:
        assert finding.value == pytest.approx(volts, abs=0.12)


def test_what_comes_out_of_a_rectifier_is_told_with_it() -> None:
    """24 V on alternating current: 1.414 x 24 x 1.1 x 1.2 - 1.4 = 43.4 V without load and with high mains."""
    transformer = {
        "supply": "ac",
        "voltage_v": 24.0,
        "voltage_min_v": 21.6,
        "voltage_max_v": None,
        "battery": None,
    }
    (remedy,) = finding_of(judged(house(supply=transformer)), "SUP-06", "siren").remedies

    assert "to 43 V come out of it, so a regulator behind it" in remedy.effect


def _valves(number: int) -> dict[str, Any]:
    """Coils of 4 ohm over 100 m of their own outputs, all with one return core."""
    valve = {
        "device": "valve",
        "supply": "dc",
        "voltage_v": 12.0,
        "voltage_min_v": 11.0,
        "coil_ohm": 4.0,
        "load": "resistive",
        "current_a": 3.0,
    }
    outputs = {
        str(n): {
            "kind": "toggle",
            "works": f"v{n}.on",
            "load_from": "main",
            "cable": {"part": "alarm-6x0.22", "length_m": 10.0}
            | ({"shares_return_with": "R1/1"} if n > 1 else {}),
        }
        for n in range(1, number + 1)
    }
    return {
        "supplies": {"main": {"supply": "dc", "voltage_v": 12.0, "rated_a": 10.0}},
        "receivers": {"R1": {**RECEIVER, "outputs": outputs}},
        "devices": {f"v{n}": valve for n in range(1, number + 1)},
    }


def test_too_few_volts_are_told_with_everything_on_and_at_their_best() -> None:
    """Two coils on one return lose more than one alone; alone, by Ohm: 12 V x 4 / (4 + 2 cores)."""
    finding = finding_of(judge(wired_case(_valves(2))), "SUP-01", "v2")
    part = wired_case(_valves(1)).equipment.cables["alarm-6x0.22"].sheet
    assert part.resistance_ohm_per_km is not None
    core_ohm = 0.01 * part.resistance_ohm_per_km
    alone_v = 12.0 * 4.0 / (4.0 + 2.0 * core_ohm)

    assert finding.verdict is Verdict.FAILS
    assert f"it shows {alone_v:.2f} V" in finding.because


def test_a_load_that_is_alone_has_no_better_moment() -> None:
    """Nothing else is on and nothing starts: no second figure."""
    finding = finding_of(judge(wired_case(_valves(1))), "SUP-01", "v1")

    assert "At its best" not in finding.because
