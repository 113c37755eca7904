"""Facts whose absence once made a word better: each is asked about now, on its chain or rule."""

from __future__ import annotations

from functools import cache

import pytest

import farpress
from farpress.case.case import Case
from farpress.domain.finding import Assessment, Link, Verdict
from survey import ROOT

PARENTS = "parents: garage from drive"


@cache
def _house() -> Case:
    return farpress.open_job(ROOT / "examples" / "larkfen-house")


def _without(*path: str | int) -> Assessment:
    return farpress.assess(farpress.change(_house(), {path: None}))


def _word(assessment: Assessment, promise: str, link: Link) -> Verdict:
    chain = next(chain for chain in assessment.promises if chain.id == promise)
    return next(entry.verdict for entry in chain.links if entry.link is link)


def test_what_an_input_does_is_asked() -> None:
    """A drive's input that opens by turns is thin; without its logic the output is unknown, not well."""
    assert _word(farpress.assess(_house()), PARENTS, Link.OUTPUT) is Verdict.THIN

    judged = _without("parts", "garage-drive-16", "inputs", "start", "logic")

    assert _word(judged, PARENTS, Link.OUTPUT) is Verdict.UNKNOWN
    (asked,) = (f for f in judged.findings if f.code == "KNOW-03" and f.asks)
    assert "larkfen/R2/1" in asked.asks[0].says


@pytest.mark.parametrize("link", [Link.OUTPUT, Link.CONTACT, Link.SUPPLY, Link.SAFETY, Link.FOB])
def test_everything_behind_an_output_of_which_nobody_says_what_it_works_is_unknown(link: Link) -> None:
    """Its own links, and what its fob's buttons mean beside each other; a fail may stay a fail."""
    judged = _without("premises", "larkfen", "receivers", "R1", "outputs", "4", "works")

    assert _word(judged, "parents: alarm from front path", link) in (Verdict.UNKNOWN, Verdict.FAILS)


def test_a_rule_about_an_output_of_which_nobody_says_what_it_works_is_unknown() -> None:
    """Off after the power returns: but what is off then?"""
    judged = _without("premises", "larkfen", "receivers", "R1", "outputs", "2", "works")
    (rule,) = (f for f in judged.findings if f.code == "RULE-02" and f.about.endswith("larkfen/R1/2"))

    assert rule.verdict is Verdict.UNKNOWN
    assert "larkfen/R1/2 works" in rule.asks[0].says


def test_a_drive_of_which_no_timed_closing_is_said_may_close_by_itself_after_a_cut() -> None:
    """Nothing said is not 'it stays': the rule about the return of power is open until somebody looked."""
    judged = _without("parts", "gate-drive", "closes_after")
    (rule,) = (f for f in judged.findings if f.code == "RULE-02" and f.about.endswith("larkfen/R1/1"))

    assert rule.verdict is Verdict.UNKNOWN
    assert "any closing of gate" in rule.says


def test_a_place_indoors_without_storey_or_height_is_asked() -> None:
    """The bathroom lies upstairs; taken on the ground it would be heard better."""
    judged = _without("premises", "larkfen", "places", "bathroom", "at", 2)

    assert _word(judged, "odetta: call for help from bathroom", Link.AIR) is Verdict.UNKNOWN
    (air,) = (
        f for f in judged.findings if f.about == "odetta: call for help from bathroom" and f.code == "AIR-01"
    )
    assert "storey" in f"{air.says} {air.because} {air.asks}"


def test_a_level_beside_which_nothing_can_be_predicted_is_not_well() -> None:
    """A reading that fitted badly does not vanish with the receiver's part."""
    judged = _without("premises", "larkfen", "receivers", "R1", "part")
    found = [f for f in judged.findings if f.code == "AIR-02" and "R1" in f.about]

    assert found
    assert {f.verdict for f in found} == {Verdict.UNKNOWN}


def test_status_inputs_are_asked_about_where_something_hints_at_a_wire() -> None:
    """A panel has an output that nothing reads: perhaps it is on the receiver. '{}' says that it is not."""
    quarry = farpress.open_job(ROOT / "tests" / "data" / "jobs" / "quarry-cottage.yaml")
    inputs = ("premises", "cottage", "receivers", "R1", "inputs")
    asked = farpress.assess(farpress.change(quarry, {inputs: None}))
    said = farpress.assess(farpress.change(quarry, {inputs: {}}))

    assert [f.verdict for f in asked.findings if f.code == "RCV-75"] == [Verdict.UNKNOWN]
    assert not [f for f in said.findings if f.code == "RCV-75"]


def test_an_alarm_of_no_panel_hints_at_a_wire_too() -> None:
    """What an output works is left out: that it sets and unsets an alarm still says there is a panel."""
    branches = farpress.open_job(ROOT / "examples" / "brindlemark")
    box = ("premises", "sarnbeck", "receivers", "S1")
    asked = farpress.assess(farpress.change(branches, {(*box, "outputs", "2", "works"): None}))
    (unsaid,) = [f for f in asked.findings if f.code == "RCV-75" and f.about == "sarnbeck/S1"]

    assert unsaid.verdict is Verdict.UNKNOWN
    assert "output 2 sets or unsets an alarm, and nobody says of which panel" in unsaid.says


@pytest.mark.parametrize("key", ["input_voltage", "input_current", "input_low"])
def test_volts_of_status_inputs_hint_at_a_wire(key: str) -> None:
    """Whoever gives them at the receiver has something wired there."""
    value = {"input_voltage": "5 V", "input_current": "1 mA", "input_low": "0.8 V"}[key]
    box = ("premises", "larkfen", "receivers", "R2")
    asked = farpress.assess(farpress.change(_house(), {(*box, key): value}))

    assert "larkfen/R2" in [f.about for f in asked.findings if f.code == "RCV-75"]


def test_how_often_a_contact_works_is_asked_where_the_spread_of_presses_decides() -> None:
    """A contact worn out at what was given is not well because presses are spread evenly over buttons."""
    branches = farpress.open_job(ROOT / "examples" / "brindlemark")
    operations = ("premises", "oakmire", "receivers", "O1", "outputs", "2", "operations")
    (given,) = (
        f for f in farpress.assess(branches).findings if f.code == "CON-06" and "oakmire/O1/2" in f.about
    )
    (left,) = (
        f
        for f in farpress.assess(farpress.change(branches, {operations: None})).findings
        if f.code == "CON-06" and "oakmire/O1/2" in f.about
    )

    assert given.verdict is Verdict.FAILS
    assert left.verdict is Verdict.UNKNOWN
    assert "how often a day output 2 of O1" in left.asks[0].says


def test_a_thing_of_which_nobody_says_the_kind_may_be_a_way_in() -> None:
    """Its button beside the one that unsets is no better for that: fob and safety are unknown."""
    judged = _without("premises", "larkfen", "devices", "wicket", "part")

    assert _word(judged, "tavi: open gate walk from gate foot", Link.FOB) is Verdict.UNKNOWN
    assert _word(judged, "tavi: open gate walk from gate foot", Link.SAFETY) is not Verdict.HOLDS
