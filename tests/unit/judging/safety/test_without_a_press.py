"""What must happen without a press, what flows back, a drive's own radio, gas that takes the breath."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Stake, Verdict
from farpress.judging.safety import by_itself, flows_back, gas, machines, own_radio
from helpers.findings import finding_of
from helpers.logic_case import GATE, a_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
WINDOW: dict[str, Any] = {"device": "window", "inputs": {"open": {"logic": "up"}, "shut": {"logic": "down"}}}
OPENS: dict[str, Any] = {"kind": "pulse", "for_s": 60.0, "works": "vents.open"}
WELL = {"by": "its own control", "without_power": True}


def _vents(box: dict[str, Any] | None = None, **conditions: dict[str, Any]) -> list[Finding]:
    devices = {"vents": {**WINDOW, "by_itself": conditions}}
    return list(by_itself.judge(a_case({"1": OPENS}, devices=devices, box=box)))


@pytest.mark.parametrize(
    ("duty", "verdict"),
    [
        ({}, UNKNOWN),
        ({"by": "nothing"}, FAILS),
        ({"by": "people"}, FAILS),
        ({"by": "a receiver's input"}, FAILS),
        ({"by": "its own control"}, UNKNOWN),
        ({"by": "its own control", "without_power": True}, HOLDS),
        ({"by": "a controller", "without_power": False}, UNKNOWN),
        ({"by": "a controller", "without_power": False, "told_by": "nothing"}, FAILS),
        ({"by": "a controller", "without_power": False, "told_by": "a call to the owner"}, THIN),
    ],
)
def test_safe_55_storm_does_not_wait_for_a_fob(duty: dict[str, Any], verdict: Verdict) -> None:
    """A press, or nothing, is no answer; a control that dies with the mains needs somebody who is told."""
    finding = finding_of(_vents(storm={"does": "close", **duty}), "SAFE-55")

    assert (finding.verdict, finding.stake) == (verdict, Stake.HARM)
    assert finding.halts is (verdict is UNKNOWN)


def test_safe_55_an_input_of_the_receiver_counts_once_it_is_drawn() -> None:
    """A wind contact 'into the box' needs a box with an input that works the vents."""
    duty = {"does": "close", "by": "a receiver's input", "without_power": True}
    bare = finding_of(_vents(storm=duty), "SAFE-55")
    box = {"inputs": {"1": {"reads": "mast.wind", "works": "1"}}}

    assert "house/R1 has no input that works it" in bare.says
    assert finding_of(_vents(storm=duty, box=box), "SAFE-55").verdict is HOLDS
    told_only = {"inputs": {"1": {"reads": "mast.wind", "works": "nothing"}}}
    assert finding_of(_vents(storm=duty, box=told_only), "SAFE-55").verdict is FAILS


def test_safe_55_of_a_window_it_is_asked_unless_nothing_is_written() -> None:
    """Left out is asked; an empty table says that it was asked and there is nothing."""
    asked = a_case({"1": OPENS}, devices={"vents": WINDOW})

    finding = finding_of(by_itself.judge(asked), "SAFE-55")

    assert (finding.verdict, finding.halts, finding.stake) == (UNKNOWN, False, Stake.PROMISE)
    assert not _vents()


def test_safe_55_of_several_needs_the_worst_decides_and_all_are_told() -> None:
    """One finding for one thing: what fails stands first, what is well is told too."""
    finding = finding_of(
        _vents(storm={"does": "close", **WELL}, heat={"does": "open", "by": "people"}), "SAFE-55"
    )

    assert finding.verdict is FAILS
    assert finding.says.index("heat") < finding.says.index("storm")


def test_safe_55_harm_is_told_with_its_time() -> None:
    """Half an hour is half an hour: whoever reads it knows how fast somebody must be there."""
    finding = finding_of(_vents(heat={"does": "open", "by": "people", "harm_after_s": 1800.0}), "SAFE-55")

    assert "30 min" in finding.because


@pytest.mark.parametrize(
    ("storm", "heat", "verdict"),
    [((), (), UNKNOWN), (("heat",), (), HOLDS), ((), ("storm",), HOLDS), (("heat",), ("storm",), FAILS)],
)
def test_safe_56_of_two_needs_one_goes_first(
    storm: tuple[str, ...], heat: tuple[str, ...], verdict: Verdict
) -> None:
    """Shut in a storm and open in heat contradict each other when both come."""
    found = _vents(
        storm={"does": "close", "before": storm, **WELL}, heat={"does": "open", "before": heat, **WELL}
    )

    assert finding_of(found, "SAFE-56").verdict is verdict


def test_safe_56_two_needs_of_one_kind_agree() -> None:
    """Storm and rain both shut it: nobody has to decide."""
    found = _vents(storm={"does": "close", **WELL}, rain={"does": "close", **WELL})

    assert {finding.code for finding in found} == {"SAFE-55"}


@pytest.mark.parametrize(
    ("given", "verdict"), [(None, UNKNOWN), ("none", HOLDS), ("off", HOLDS), ("on", FAILS)]
)
def test_safe_57_a_drive_obeys_no_fobs_of_its_own(given: str | None, verdict: Verdict) -> None:
    """Whoever had it before may hold fobs that no register knows; left out is asked."""
    case = a_case(
        {"1": {"kind": "pulse", "works": "gate.open"}}, devices={"gate": {**GATE, "own_radio": given}}
    )

    assert finding_of(own_radio.judge(case), "SAFE-57").verdict is verdict


def test_safe_57_is_not_asked_of_a_lamp() -> None:
    """A lamp has no control that could hold a radio."""
    assert not list(own_radio.judge(a_case({"1": {"kind": "toggle", "works": "lamp.on"}})))


@pytest.mark.parametrize(
    ("back", "verdict"),
    [
        ({"kept_by": "nothing", "drunk_at": ("tap",)}, FAILS),
        ({"kept_by": "check valve", "drunk_at": ("tap",)}, FAILS),
        ({"kept_by": "check valve"}, UNKNOWN),
        ({"drunk_at": ("tap",)}, UNKNOWN),
        ({"kept_by": "separating device", "drunk_at": ("tap",)}, HOLDS),
        ({"kept_by": "air gap"}, HOLDS),
        ({"drunk_at": ()}, HOLDS),
        ({}, UNKNOWN),
    ],
)
def test_safe_58_nothing_comes_back_to_a_tap(back: dict[str, Any], verdict: Verdict) -> None:
    """EN 1717, from memory: what harms health wants an air gap or a vented space, no check valve alone."""
    devices = {"doser": {"device": "pump", "flows_back": {"what": "fertiliser", **back}}}
    case = a_case({"1": {"kind": "pulse", "works": "doser.on"}}, devices=devices)

    assert finding_of(flows_back.judge(case), "SAFE-58").verdict is verdict


def test_safe_58_a_doser_by_its_name_is_asked_and_a_garden_valve_is_not() -> None:
    """The word makes somebody ask; plain water in a garden says nothing."""
    devices = {"chlorine doser": {"device": "pump"}}
    wet = a_case({"1": {"kind": "pulse", "works": "chlorine doser.on"}}, devices=devices)
    plain = a_case({"1": {"kind": "pulse", "works": "valve.on"}})

    assert finding_of(flows_back.judge(wet), "SAFE-58").verdict is UNKNOWN
    assert not list(flows_back.judge(plain))


def _bottle(**sheet: Any) -> Finding:
    devices = {"bottle": {"device": "valve", "inputs": {"on": {"logic": "on"}}, **sheet}}
    return finding_of(
        gas.judge(a_case({"1": {"kind": "pulse", "works": "bottle.on"}}, devices=devices)), "SAFE-45"
    )


def test_safe_45_gas_that_takes_the_breath_is_refused_with_its_own_words() -> None:
    """Carbon dioxide burns nobody: a warning and a contact of the door help, a proving system does not."""
    choking, burning = _bottle(carries="choking gas"), _bottle(carries="gas")

    assert choking.verdict is burning.verdict is FAILS
    assert "takes the breath" in choking.says
    assert "gas warning" in choking.remedies[0].does
    assert "shut it" in burning.remedies[0].does


def test_safe_45_a_wish_is_judged_before_an_output_is_drawn() -> None:
    """What a press shall do is refused on paper already."""
    devices = {"co2": {"device": "valve", "carries": "choking gas", "inputs": {"on": {"logic": "on"}}}}
    case = a_case(
        {"1": {"kind": "toggle", "works": "lamp.on"}},
        devices=devices,
        functions={"lamp": {"output": "house/R1/1"}, "co2": {"works": "co2.on"}},
    )

    assert finding_of(gas.judge(case), "SAFE-45").verdict is FAILS


@pytest.mark.parametrize(("feeds", "verdict"), [(None, UNKNOWN), ("pump", FAILS), ("lamp", None)])
def test_safe_12_a_contactor_is_what_it_feeds(feeds: str | None, verdict: Verdict | None) -> None:
    """Out of sight a pump is refused behind a contactor too; lamps hurt nobody; not said is asked."""
    devices = {"k1": {"device": "contactor", "feeds": feeds, "inputs": {"on": {"logic": "on"}}}}
    case = a_case(
        {"1": {"kind": "toggle", "works": "k1.on"}},
        devices=devices,
        promises=({"to": "pair", "function": "f1", "from": "here"},),
    )
    found = [finding.verdict for finding in machines.judge(case) if finding.code == "SAFE-12"]

    assert found == ([] if verdict is None else [verdict])


def test_a_hose_in_a_tank_is_judged_though_no_press_works_it() -> None:
    """Written down beside what is worked: it comes back into the tap all the same."""
    filler = {
        "device": "valve",
        "flows_back": {"what": "pond water", "drunk_at": ("kitchen",), "kept_by": "nothing"},
    }
    case = a_case({"1": {"kind": "pulse", "for_s": 0.5, "works": "gate.open"}}, devices={"filler": filler})
    finding = finding_of(flows_back.judge(case), "SAFE-58")

    assert (finding.verdict, finding.about) == (Verdict.FAILS, "house/filler")
