"""Supplies of an invented house: scenarios, partly shared returns, soft sources, warm cables,
transformers.
"""

from __future__ import annotations

from typing import Any

import pytest

from farpress.case.circuit.arriving import given_a, least_at, working_moments
from farpress.case.circuit.electrics import electrics_of
from farpress.case.corners import corners
from farpress.case.supply_ends import ends_of
from farpress.domain.finding import Finding, Verdict
from farpress.judging.supply.volts import judge
from helpers.findings import finding_of
from helpers.wired_case import wired_case

HOT = 1 + 0.00393 * 30
SUPPLY: dict[str, Any] = {
    "supply": "dc",
    "voltage_v": 13.6,
    "voltage_min_v": 12.0,
    "voltage_max_v": 13.8,
    "rated_a": 1.0,
    "source_ohm": 0.2,
    "fuse_a": 1.6,
}
RECEIVER: dict[str, Any] = {
    "at": [0, 0],
    "supply": "dc",
    "voltage_min_v": 10.5,
    "voltage_max_v": 15.0,
    "current_idle_a": 0.020,
    "current_per_relay_a": 0.018,
    "fed": {"from": "main"},
}
STRIKE: dict[str, Any] = {
    "device": "strike",
    "supply": "dc",
    "voltage_v": 12.0,
    "voltage_min_v": 10.2,
    "voltage_max_v": 15.0,
    "current_a": 0.35,
    "load": "inductive dc",
}
LAMP: dict[str, Any] = {
    "device": "lamp",
    "supply": "dc",
    "voltage_v": 12.0,
    "voltage_min_v": 10.0,
    "voltage_max_v": 15.0,
    "current_a": 0.3,
    "load": "resistive",
}


def output(
    works: str, *, metres: float = 20.0, cable: str = "twin-1.0", seconds: float = 4.0, **more: Any
) -> dict[str, Any]:
    """A pulse that feeds a device."""
    run = {"part": cable, "length_m": metres, **more.pop("run", {})}
    return {"kind": "pulse", "for_s": seconds, "works": works, "load_from": "main", "cable": run, **more}


def house(
    outputs: dict[str, Any],
    devices: dict[str, Any],
    supply: dict[str, Any] | None = None,
    receiver: dict[str, Any] | None = None,
) -> dict[str, Any]:
    """One supply, one receiver."""
    return {
        "supplies": {"main": SUPPLY | (supply or {})},
        "receivers": {"R1": RECEIVER | (receiver or {}) | {"outputs": outputs}},
        "devices": devices,
    }


TWO_DOORS = house(
    {"1": output("front.release"), "2": output("back.release"), "3": output("porch.on", seconds=240.0)},
    {"front": STRIKE, "back": STRIKE, "porch": LAMP},
)
FUNCTIONS = {
    "front": {"output": "larkfen/R1/1"},
    "back": {"output": "larkfen/R1/2"},
    "porch": {"output": "larkfen/R1/3"},
}


def judged(premises: dict[str, Any], **more: Any) -> list[Finding]:
    """All findings of the module."""
    return list(judge(wired_case(premises, **more)))


def test_scenarios_count_what_a_press_turns_on_and_what_is_on_already() -> None:
    """Front: its strike, the porch lamp that runs for minutes, two relays; not the back."""
    case = wired_case(TWO_DOORS, functions=FUNCTIONS)
    electrics = electrics_of(case, "larkfen")
    amperes = {moment.name: given_a(electrics, "main", moment) for moment in electrics.moments}

    assert amperes["at rest"] == pytest.approx(0.020)
    assert amperes["front"] == pytest.approx(0.020 + 2 * 0.018 + 0.35 + 0.3)
    assert amperes["porch"] == pytest.approx(0.020 + 0.018 + 0.3)
    assert amperes["everything on"] == pytest.approx(0.020 + 3 * 0.018 + 2 * 0.35 + 0.3)


def test_an_overload_by_several_presses_at_once_fails_as_one_press_does() -> None:
    """1.074 A with everything on 1 A; 0.706 A with the heaviest press."""
    several = finding_of(judged(TWO_DOORS, functions=FUNCTIONS), "SUP-03")
    fails = finding_of(
        judged(TWO_DOORS | {"supplies": {"main": SUPPLY | {"rated_a": 0.6}}}, functions=FUNCTIONS), "SUP-03"
    )

    assert (several.verdict, several.value) == (Verdict.FAILS, pytest.approx(1.074))
    assert "several presses in the same moments" in several.says
    assert (fails.verdict, fails.value) == (Verdict.FAILS, pytest.approx(0.706))


def test_sup_03_what_pulls_in_sizes_the_supply_where_it_is_more_than_all_that_holds() -> None:
    """A valve holds with 0.2 A and pulls in with 1.8 A on 1 A: with the receiver 1.838 A, over four fifths
    2.298 A, and not the 0.298 A of what holds.
    """
    coil = {**STRIKE, "device": "valve", "current_a": 0.2, "pull_in_a": 1.8}
    finding = finding_of(
        judged(house({"1": output("tap.on")}, {"tap": coil}), functions={"tap": {"output": "larkfen/R1/1"}}),
        "SUP-03",
    )

    assert (finding.verdict, finding.value) == (Verdict.FAILS, pytest.approx(1.838))
    assert "of 'tap' alone, while it pulls in, 1.838 A, and it is rated 1 A." in finding.says
    assert any("at least 2.298 A" in remedy.does for remedy in finding.remedies)


def test_without_functions_everything_counts() -> None:
    """Nobody said who presses what: an overload is an overload."""
    assert finding_of(judged(TWO_DOORS), "SUP-03").verdict is Verdict.FAILS


def test_interlocked_outputs_are_never_on_together_in_the_circuit() -> None:
    """Up and down of one drive on one supply: the volts of each are without the other."""
    drive = {
        "device": "shutter",
        "supply": "dc",
        "voltage_v": 12.0,
        "voltage_min_v": 9.0,
        "voltage_max_v": 15.0,
        "current_a": 0.8,
        "load": "motor",
        "inputs": {"up": {"logic": "up"}, "down": {"logic": "down"}},
    }
    up, down = output("blind.up", interlock="2"), output("blind.down", run={"shares_return_with": "1"})
    case = wired_case(house({"1": up, "2": down}, {"blind": drive}))
    ends = ends_of(case, "larkfen", "main")
    upwards = next(end for end in ends if "output 1" in end.name)
    moments = working_moments(electrics_of(case, "larkfen"), "main", upwards)
    core = 20 * 19.5 / 1000 * HOT

    assert [moment.on for moment in moments] == [frozenset({"larkfen/R1/1"})]
    assert finding_of(judge(case), "SUP-01", "output 1").value == pytest.approx(12.0 - 0.8 * 2 * core)


def test_a_return_core_shared_for_part_of_the_way_lifts_by_that_part_only() -> None:
    """30 m to the first, 40 m to the second, the return shared for 12 m."""
    outputs = {
        "1": output("front.release", metres=30.0),
        "2": output("back.release", metres=40.0, run={"shares_return_with": "1", "shared_m": 12.0}),
    }
    findings = judged(house(outputs, {"front": STRIKE, "back": STRIKE}))
    core = 19.5 / 1000 * HOT

    assert finding_of(findings, "SUP-01", "front").value == pytest.approx(
        12.0 - 0.35 * 60 * core - 0.35 * 12 * core
    )
    assert finding_of(findings, "SUP-01", "back").value == pytest.approx(
        12.0 - 0.35 * 80 * core - 0.35 * 12 * core
    )


def test_returns_that_name_each_other_are_asked_about() -> None:
    """One of the two must have the core."""
    outputs = {
        "1": output("front.release", run={"shares_return_with": "2"}),
        "2": output("back.release", run={"shares_return_with": "1"}),
    }
    finding = finding_of(judged(house(outputs, {"front": STRIKE, "back": STRIKE})), "SUP-01", "front")

    assert finding.verdict is Verdict.UNKNOWN
    assert "each name the other's return core" in finding.remedies[0].does


def test_a_converter_is_solved_with_its_cable() -> None:
    """5 W over 40 m of 0.22 mm2 from 12 V: the upper root of V^2 - 12 V + 5 R = 0."""
    camera = {
        "device": "lamp",
        "supply": "dc",
        "voltage_v": 12.0,
        "voltage_min_v": 9.0,
        "voltage_max_v": 15.0,
        "power_w": 3.0,
        "load": "constant power",
    }
    outputs = {"1": output("lens.on", metres=40.0, cable="alarm-6x0.22")}
    ohm = 2 * 40 * 96 / 1000 * HOT

    def arrived(**supply: float) -> float | None:
        case = wired_case(house(outputs, {"lens": camera}, supply))
        lens = next(end for end in ends_of(case, "larkfen", "main") if end.who == "lens")
        arrival = least_at(electrics_of(case, "larkfen"), "main", lens)
        assert arrival is not None
        return arrival.volts

    assert arrived() == pytest.approx(6 + (36 - 3.0 * ohm) ** 0.5)
    assert arrived(voltage_min_v=6.0) is None


def test_an_unknown_source_resistance_is_bounded_on_both_sides() -> None:
    """With none 2.8 A would flow at the end of 20 m of 0.22 mm2; with a tenth of 13.6 V at 1 A it is 2.13
    A.
    """
    outputs = {"1": output("front.release", cable="alarm-6x0.22")}
    loop = 2 * 20 * 96 / 1000 * HOT

    def judged_with(**more: Any) -> Finding:
        return finding_of(
            judged(house(outputs, {"front": STRIKE}, {"source_ohm": None, "limit_a": 20.0, **more})),
            "SUP-05",
            "front",
        )

    sure, open_, thin = judged_with(fuse_a=1.6), judged_with(fuse_a=1.25), judged_with(fuse_a=0.8)
    assert sure.verdict is Verdict.FAILS
    assert open_.verdict is Verdict.UNKNOWN
    assert open_.value == pytest.approx(12.0 / (loop + 1.36))
    assert thin.verdict is Verdict.THIN
    assert "not known and taken as 1.36 ohm" in thin.because


def test_a_warm_cable_carries_less_and_none_lies_above_sixty_degrees() -> None:
    """1 A of alarm cable: 0.71 at 50 °C."""
    device = STRIKE | {"current_a": 0.8}

    def cores(degc: float | None) -> Finding:
        outputs = {"1": output("front.release", cable="alarm-6x0.22", metres=5.0, run={"warmest_degc": degc})}
        return finding_of(judged(house(outputs, {"front": device}, {"fuse_a": 1.0})), "SUP-07", "front")

    assert cores(30.0).verdict is Verdict.HOLDS
    assert cores(50.0).verdict is Verdict.FAILS
    assert cores(50.0).limit == pytest.approx(0.71)
    assert cores(70.0).verdict is Verdict.FAILS
    assert "no place above 60" in cores(70.0).says


AC: dict[str, Any] = {
    "supply": "ac",
    "voltage_v": 24.0,
    "voltage_min_v": 21.6,
    "voltage_max_v": 31.7,
    "rated_va": 20.0,
    "source_ohm": 4.3,
    "fuse_a": 1.0,
}


def transformer(first: dict[str, Any], second: dict[str, Any]) -> list[Finding]:
    """Two receivers on one winding."""
    box = {
        "at": [0, 0],
        "supply": "dc or ac",
        "voltage_min_v": 20.0,
        "voltage_max_v": 32.0,
        "current_idle_a": 0.03,
        "current_per_relay_a": 0.02,
        "fed": {"from": "main", "cable": {"part": "twin-1.0", "length_m": 5.0}},
    }
    return judged({"supplies": {"main": AC}, "receivers": {"R1": box | first, "R2": box | second}})


@pytest.mark.parametrize(
    ("first", "second", "verdict"),
    [
        ("half-wave", "bridge", Verdict.FAILS),
        ("half-wave", "half-wave", Verdict.HOLDS),
        ("bridge", "bridge", Verdict.THIN),
        (None, "bridge", Verdict.UNKNOWN),
        ("none", "bridge", Verdict.HOLDS),
    ],
)
def test_rectifiers_on_one_winding_must_fit_each_other(
    first: str | None, second: str, verdict: Verdict
) -> None:
    """Half-wave and bridge with a common 0 V short a diode."""
    assert (
        finding_of(transformer({"rectifies": first}, {"rectifies": second}), "SUP-06", "R2").verdict
        is verdict
    )


@pytest.mark.parametrize(
    ("drive", "verdict"), [("half-wave", Verdict.FAILS), ("none", Verdict.HOLDS), (None, Verdict.HOLDS)]
)
def test_a_control_that_wants_only_a_contact_rectifies_too_where_the_winding_feeds_it(
    drive: str | None, verdict: Verdict
) -> None:
    """Its inputs are free of potential; its supply is not."""
    fed = {"from": "main", "cable": {"part": "twin-1.0", "length_m": 5.0}}
    post = {"device": "bollard", "supply": "potential-free", "rectifies": drive, "fed": fed}
    box = {"at": [0, 0], "supply": "dc or ac", "rectifies": "bridge", "current_idle_a": 0.03, "fed": fed}
    found = judged({"supplies": {"main": AC}, "receivers": {"R1": box}, "devices": {"post": post}})

    assert finding_of(found, "SUP-06", "R1").verdict is verdict


@pytest.mark.long
def test_the_crest_of_a_transformer_is_held_against_the_electronics() -> None:
    """31.7 V at high mains: 44.8 V of crest."""
    findings = transformer({"peak_max_v": 50.0}, {"peak_max_v": 40.0})

    assert finding_of(findings, "SUP-09", "R1").value == pytest.approx(31.7 * 2**0.5)
    assert finding_of(findings, "SUP-09", "R1").verdict is Verdict.HOLDS
    assert finding_of(findings, "SUP-09", "R2").verdict is Verdict.FAILS
    assert finding_of(transformer({}, {}), "SUP-09", "R1").verdict is Verdict.UNKNOWN


def test_rectified_loads_draw_more_from_the_winding_than_their_direct_current() -> None:
    """Two idle receivers of 30 mA: 60 mA direct, about 2.2 times that from the winding."""
    finding = finding_of(transformer({"rectifies": "bridge"}, {"rectifies": "bridge"}), "SUP-03")

    assert finding.value is not None
    assert 0.06 * 1.8 < finding.value < 0.06 * 2.6
    assert "their direct current from a winding" in finding.because


def test_a_battery_without_a_usable_share_is_reckoned_by_wear_and_cold() -> None:
    """7 Ah at 5 °C, 12 h: 1 / (1.25 x 1.1 x 1.288)."""
    supply = {
        "battery": {
            "chemistry": "lead",
            "capacity_ah": 7.0,
            "voltage_v": 12.0,
            "end_v": 10.5,
            "coldest_degc": 4.4,
        },
        "standby_s": 12 * 3600.0,
    }
    finding = finding_of(judged(house({}, {}, supply)), "SUP-04")

    assert finding.value == pytest.approx(7.0 / (1.25 * 1.1 * 1.30) / 0.020)
    assert finding.verdict is Verdict.HOLDS


def test_a_siren_fed_and_worked_over_a_make_contact_rests_at_nothing() -> None:
    """Its kind of load is not given; a sounder on a make contact draws nothing until then."""
    supply = {
        "battery": {"capacity_ah": 7.0, "voltage_v": 12.0, "end_v": 10.5, "usable_share": 0.6},
        "standby_s": 12 * 3600.0,
    }
    siren = STRIKE | {
        "device": "sounder",
        "load": None,
        "fed": {"from": "main", "cable": {"part": "twin-1.0", "length_m": 5.0}},
    }
    premises = house({"1": {"kind": "pulse", "for_s": 60.0, "works": "siren.on"}}, {"siren": siren}, supply)

    assert finding_of(judged(premises), "SUP-04").verdict is Verdict.HOLDS


def test_corners_bracket_every_device() -> None:
    """Lowest with hot cores and all on, highest cold and at rest."""
    made, seen = corners(wired_case(TWO_DOORS, functions=FUNCTIONS), "larkfen", "main")
    front = next(one for one in seen if one.end.who == "front")

    assert len(made) == 4
    assert front.lowest_v == pytest.approx(12.0 - 0.35 * 2 * 20 * 19.5 / 1000 * HOT)
    assert front.highest_v == pytest.approx(13.8)
    assert made[1].volts[front.end.name] == pytest.approx(12.0 - 1.21 * (12.0 - front.lowest_v))


def test_a_supply_without_a_voltage_has_no_corners() -> None:
    """And nothing is guessed."""
    case = wired_case(
        house({"1": output("front.release")}, {"front": STRIKE}, {"voltage_v": None, "voltage_min_v": None})
    )

    assert corners(case, "larkfen", "main") == ((), ())


WINCH: dict[str, Any] = {
    "device": "curtain",
    "supply": "dc",
    "voltage_v": 12.0,
    "voltage_min_v": 8.0,
    "voltage_max_v": 15.0,
    "current_a": 1.0,
    "load": "motor",
}
WORN = 1.5
"""A worn battery at 25 degC has half more resistance than a new one: IEEE 1188, from memory."""

BATTERY: dict[str, Any] = {
    "coldest_degc": 25.0,
    "capacity_ah": 7.0,
    "voltage_v": 12.0,
    "end_v": 10.5,
    "usable_share": 0.6,
    "chemistry": "lead",
    "inner_ohm": 0.05 / WORN,
}


def started(device: dict[str, Any], supply: dict[str, Any]) -> Finding:
    """What a motor does to the receiver at its start."""
    box = {"fed": {"from": "main", "cable": {"part": "twin-1.0", "length_m": 1.0}}, "voltage_min_v": 9.8}
    findings = judged(house({"1": output("winch.up")}, {"winch": device}, supply, box))
    return finding_of(findings, "SUP-10" if "battery" in supply else "SUP-14")


def test_a_start_pulls_the_receiver_down_by_the_batterys_own_resistance() -> None:
    """8 A behind 50 mohm: 10.1 V at the terminals, less that of the receiver with its relay."""
    finding = started(WINCH | {"peak_a": 8.0, "peak_s": 0.3}, {"battery": BATTERY})

    assert finding.value == pytest.approx(10.5 - (8.0 + 0.038) * 0.05 - 0.038 * 2 * 19.5 / 1000 * HOT)
    assert finding.verdict is Verdict.HOLDS


def test_a_start_that_pulls_a_receiver_under_its_minimum_fails() -> None:
    """16 A leave 9.7 V of 9.8."""
    assert started(WINCH | {"peak_a": 16.0, "peak_s": 0.3}, {"battery": BATTERY}).verdict is Verdict.FAILS


def test_a_usual_range_fails_only_where_its_least_does() -> None:
    """5 to 10 A on 0.1 ohm: 10 V or 9.5 V."""
    assert started(WINCH, {"battery": BATTERY | {"inner_ohm": 0.1 / WORN}}).verdict is Verdict.UNKNOWN
    assert started(WINCH, {"battery": BATTERY | {"inner_ohm": 0.2 / WORN}}).verdict is Verdict.FAILS


def test_a_starting_current_off_the_label_is_taken_before_any_usual_range() -> None:
    """Four drives of 1.6 A take 6.4 A beside a receiver at rest, not the usual 20 to 40 A."""
    drives = WINCH | {"pull_in_a": 1.6, "pieces": 4}
    finding = started(drives, {"rated_a": 10.0})

    assert finding.value == pytest.approx(6.4, abs=0.05)
    assert "usual range" not in finding.says
    assert finding.verdict is Verdict.HOLDS
    assert started(drives, {"rated_a": 6.3}).verdict is Verdict.FAILS


def test_a_regulated_supply_without_a_battery_breaks_down_beyond_its_rating() -> None:
    """Eight amperes from one; and a peak of microseconds is bridged by the receiver itself."""
    assert started(WINCH | {"peak_a": 8.0, "peak_s": 0.3}, {}).verdict is Verdict.FAILS
    assert started(WINCH | {"peak_a": 8.0, "peak_s": 0.3}, {"rated_a": 10.0}).verdict is Verdict.HOLDS
    short = WINCH | {"peak_a": 8.0, "peak_s": 1e-4}
    assert not [
        one
        for one in judged(house({"1": output("winch.up")}, {"winch": short}))
        if one.code in ("SUP-10", "SUP-14")
    ]


def test_one_converter_too_many_is_not_told_of_everybody() -> None:
    """9 W over 60 m of thin cable find no operating point; the receiver on its own cable is well."""
    camera = {
        "device": "lamp",
        "supply": "dc",
        "voltage_v": 12.0,
        "voltage_min_v": 9.0,
        "voltage_max_v": 15.0,
        "power_w": 9.0,
        "load": "constant power",
        "fed": {"from": "main", "cable": {"part": "alarm-6x0.22", "length_m": 60.0}},
    }
    box = {"fed": {"from": "main", "cable": {"part": "twin-1.0", "length_m": 1.0}}, "voltage_min_v": 10.0}
    findings = judged(house({}, {"camera": camera}, {"voltage_min_v": 10.5}, box))

    assert finding_of(findings, "SUP-01", "camera").verdict is Verdict.FAILS
    assert "cannot carry the power" in finding_of(findings, "SUP-01", "camera").says
    assert finding_of(findings, "SUP-01", "R1").verdict is not Verdict.FAILS
    assert finding_of(findings, "SUP-01", "R1").value == pytest.approx(10.5, abs=0.01)


def test_where_the_supply_itself_is_too_low_no_cable_is_offered() -> None:
    """10 V for a device of 10.2."""
    finding = finding_of(
        judged(house({"1": output("front.release")}, {"front": STRIKE}, {"voltage_min_v": 10.0})),
        "SUP-01",
        "front",
    )

    assert finding.remedies[0].does.startswith("No cable is enough")
    assert not any(remedy.changes for remedy in finding.remedies)


@pytest.mark.parametrize(
    ("fuse_a", "verdict"),
    [(1.6, Verdict.HOLDS), (1.25, Verdict.THIN), (0.8, Verdict.FAILS), (0.63, Verdict.FAILS)],
)
def test_a_fuse_carries_what_hangs_on_it(fuse_a: float, verdict: Verdict) -> None:
    """1.074 A with everything on, 0.706 A with the heaviest press."""
    finding = finding_of(
        judged(TWO_DOORS | {"supplies": {"main": SUPPLY | {"fuse_a": fuse_a}}}, functions=FUNCTIONS), "SUP-11"
    )

    assert finding.verdict is verdict
    assert finding.value == pytest.approx(1.074)
    assert finding.limit == pytest.approx(fuse_a)
    assert (verdict is Verdict.HOLDS) == (0.8 * fuse_a >= 1.074)


def test_an_unknown_current_is_asked_for_with_the_one_that_would_do() -> None:
    """1.8 V to lose in 2 x 20 m of 1.0 mm2, hot."""
    finding = finding_of(
        judged(house({"1": output("front.release")}, {"front": STRIKE | {"current_a": None}})),
        "SUP-01",
        "front",
    )

    assert finding.verdict is Verdict.UNKNOWN
    assert f"draws less than {1.8 / (2 * 20 * 19.5 / 1000 * HOT):.3f}"[:-1] in finding.because


def test_a_receiver_and_a_device_of_one_name_are_two_ends() -> None:
    """Both fed directly: neither takes the other's volts."""
    lamp = LAMP | {"fed": {"from": "main", "cable": {"part": "twin-1.0", "length_m": 20.0}}}
    findings = judged(house({}, {"R1": lamp}))

    assert {one.about for one in findings if one.code == "SUP-01"} == {
        "R1 on larkfen/main",
        "R1 (device) on larkfen/main",
    }
    assert finding_of(findings, "SUP-01", "(device)").value == pytest.approx(
        12.0 - 0.3 * 2 * 20 * 19.5 / 1000 * HOT
    )


def test_a_siren_that_the_panel_works_counts_with_everything_on() -> None:
    """1.2 A that are none at rest, fed directly and worked by no output: 1.22 A through a fuse of 1 A."""
    siren = {
        "device": "sounder",
        "supply": "dc",
        "voltage_v": 12.0,
        "current_a": 1.2,
        "current_rest_a": 0.0,
        "load": "resistive",
        "fed": {"from": "main", "cable": {"part": "twin-1.0", "length_m": 5.0}},
    }
    findings = judged(house({}, {"siren": siren}, {"rated_a": 1.5, "fuse_a": 1.0}))

    assert finding_of(findings, "SUP-03").value == pytest.approx(1.22)
    assert finding_of(findings, "SUP-11").value == pytest.approx(1.22)
    assert finding_of(findings, "SUP-11").verdict is Verdict.FAILS


def test_things_that_take_turns_are_on_one_after_another() -> None:
    """Three valves of 0.25 A, one on and the next pulling in 0.42 A, with a master of 0.25 A: 0.92 A."""
    valve = {
        "device": "valve",
        "supply": "ac",
        "voltage_v": 24.0,
        "voltage_min_v": 21.0,
        "current_a": 0.25,
        "pull_in_a": 0.42,
        "load": "coil ac",
    }
    names = ("one", "two", "three", "master")
    outputs = {
        str(number): output(f"{name}.on", cable="twin-1.0") for number, name in enumerate(names, start=1)
    }
    premises = house(outputs, dict.fromkeys(names, valve), {"supply": "ac", "voltage_v": 24.0}) | {
        "together": [{"of": names[:3], "at_most": 1, "pulling_in": 1, "with": ["master"]}]
    }
    electrics = electrics_of(wired_case(premises), "larkfen")
    idle = electrics.circuit.draw_named["load R1.~1"].end.rest_a or 0.0

    for moment in electrics.everything:
        relays = len(moment.on) * 0.018
        assert len(moment.on) == 3
        assert given_a(electrics, "main", moment) == pytest.approx(idle + relays + 0.42 + 0.25 + 0.25)
    assert {path for moment in electrics.everything for path in moment.on} == {
        f"larkfen/R1/{number}" for number in (1, 2, 3, 4)
    }


def test_what_follows_the_others_pulls_in_with_the_first_of_them_alone() -> None:
    """Each press works its valve and the master; with another valve on, the master is on already: 0.92 A."""
    valve = {"device": "valve", "supply": "ac", "voltage_v": 24.0, "current_a": 0.25, "pull_in_a": 0.42}
    names = ("one", "two", "master")
    outputs = {
        str(number): output(f"{name}.on", cable="twin-1.0") | {"kind": "toggle"}
        for number, name in enumerate(names, start=1)
    }
    premises = house(
        outputs, dict.fromkeys(names, valve | {"load": "coil ac"}), {"supply": "ac", "voltage_v": 24.0}
    ) | {"together": [{"of": names[:2], "at_most": 1, "pulling_in": 1, "with": ["master"]}]}
    functions = {
        f"zone {number}": {"outputs": [f"larkfen/R1/{number}", "larkfen/R1/3"]} for number in ("1", "2")
    }
    electrics = electrics_of(wired_case(premises, functions=functions), "larkfen")
    idle = electrics.circuit.draw_named["load R1.~1"].end.rest_a or 0.0

    for moment in electrics.pressed:
        relays = len(moment.on) * 0.018
        assert given_a(electrics, "main", moment) == pytest.approx(idle + relays + 0.42 + 0.25 + 0.25)


CELL: dict[str, Any] = {"capacity_ah": 7.0, "voltage_v": 12.0, "end_v": 10.5, "usable_share": 0.8}
WAITING: dict[str, Any] = {"battery": CELL, "standby_s": 12 * 3600.0, "other_load_a": 0.198}


def hours(outputs: dict[str, Any], devices: dict[str, Any], **supply: Any) -> float | None:
    """SUP-04 of a battery of 5.6 usable Ah, with 0.218 A that wait."""
    return finding_of(judged(house(outputs, devices, WAITING | supply)), "SUP-04").value


def test_what_waits_empties_a_battery_in_a_day() -> None:
    """5.6 Ah over 0.218 A: 25.7 h."""
    assert hours({}, {}) == pytest.approx(5.6 / 0.218)


def test_what_stays_switched_on_empties_it_all_the_time() -> None:
    """A latch that holds 0.5 A with its relay of 18 mA: 7.6 h."""
    lock = STRIKE | {"current_a": 0.5}

    assert hours({"1": output("front.release") | {"kind": "latch"}}, {"front": lock}) == pytest.approx(
        5.6 / (0.218 + 0.518)
    )


def test_what_is_on_for_a_while_each_day_empties_it_on_the_average() -> None:
    """20 times 15 min of 0.12 A and a relay of 18 mA: 28.75 mA on the average."""
    lights = {"1": output("porch.on", seconds=900.0) | {"operations_per_day": 20.0}}

    assert hours(lights, {"porch": LAMP | {"current_a": 0.12}}) == pytest.approx(
        5.6 / (0.218 + 0.138 * 20 * 900 / 86_400)
    )


def test_one_alarm_is_in_the_standby() -> None:
    """A siren of 1.1 A for a quarter of an hour, nothing at rest: 0.275 Ah less."""
    siren = LAMP | {
        "device": "sounder",
        "current_a": 1.1,
        "current_rest_a": 0.0,
        "fed": {"from": "main", "cable": {"part": "twin-1.5", "length_m": 5.0}},
    }

    assert hours({}, {"siren": siren}) == pytest.approx((5.6 - 1.1 * 0.25) / 0.218)
