"""Areas of one panel that are set and unset each on its own; argued by hand."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Verdict
from farpress.errors import InputError
from farpress.rehearsal.play import play
from farpress.rehearsal.rules import RuleResult, rehearse
from farpress.rehearsal.timeline import Timeline
from helpers.logic_case import a_case
from helpers.rehearsal_jobs import SHORT_GATE

HOLDS, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.UNKNOWN, Verdict.FAILS
INPUTS: dict[str, Any] = {
    "1": {"reads": "set pulse"},
    "2": {"reads": "unset pulse"},
    "3": {"reads": "set pulse"},
    "4": {"reads": "unset pulse"},
    "all": {"reads": "toggling pulse"},
}
APART: dict[str, Any] = {"shop": {"inputs": ("1", "2")}, "flat": {"inputs": ("3", "4")}}


def a_house(*works: str, areas: dict[str, Any] | None = None, **more: Any) -> Case:
    """A panel whose shop is set by 1 and unset by 2, its flat by 3 and 4; outputs and functions in order."""
    rule = more.pop("rule", None)
    panel = {"exit_s": 0.0, "keypad": False, "inputs": INPUTS, **more.pop("panel", {})}
    return a_case(
        {str(place): {"kind": "pulse", "for_s": 1.0, "works": one} for place, one in enumerate(works, 1)},
        devices={"gate": SHORT_GATE},
        panel=panel,
        mounted_panel={"areas": APART if areas is None else areas, **more},
        rules=(rule,) if rule else (),
    )


BOTH = ("panel.1", "panel.2", "panel.3", "panel.4")


def states(timeline: Timeline, path: str) -> list[tuple[float, str]]:
    """When something left rest, and for what."""
    (track,) = [track for track in timeline.tracks if track.name == path]
    return [(span.from_s, span.state) for span in track.spans]


def results(case: Case) -> list[RuleResult]:
    """What the search says about the one rule."""
    return rehearse(case, rules=(1,))


def test_unsetting_one_area_leaves_the_other_set() -> None:
    """Shop set by f1, flat by f3; f4 unsets the flat alone."""
    timeline = play(a_house(*BOTH), "0 s: pair press f1; 5 s: pair press f3; 10 s: pair press f4; 20 s: wait")

    (shop,) = [track for track in timeline.tracks if track.name == "house/panel.shop"]
    (flat,) = [track for track in timeline.tracks if track.name == "house/panel.flat"]
    assert [(span.from_s, span.to_s, span.state) for span in shop.spans] == [(0.0, 21.0, "set")]
    assert [(span.from_s, span.to_s, span.state) for span in flat.spans] == [(5.0, 10.0, "set")]


def test_the_entry_time_of_one_area_does_not_end_by_unsetting_the_other() -> None:
    """Entry into the shop at 10 s, 30 s to unset it: the flat's button does not, the shop's does."""
    case = a_house(*BOTH, panel={"entry_s": 30.0, "detectors": "entry route only"})
    story = "0 s: pair press f1; 10 s: entry of panel.shop; 20 s: pair press f{}; 60 s: wait"

    assert states(play(case, story.format(4)), "house/panel.shop")[-1] == (40.0, "alarm")
    assert states(play(case, story.format(2)), "house/panel.shop")[-1] == (10.0, "entry time")


@pytest.mark.parametrize(("of", "pressed"), [("panel.shop", "f1"), ("panel.flat", "f3")])
def test_a_rule_about_an_area_is_broken_by_its_own_button(of: str, pressed: str) -> None:
    """The gate opens while the area is set: the story tells the button that sets this area, and no other."""
    case = a_house(*BOTH, "gate.open", rule={"never": "open while set", "of": (of, "gate")})
    (result,) = results(case)

    assert result.verdict is FAILS
    assert result.story is not None
    told = " ".join(step.says for step in result.story.steps)
    assert pressed in told
    assert ("f3" if pressed == "f1" else "f1") not in told


def test_each_area_is_looked_at_for_steps_out_of_time() -> None:
    """Pulses apart keep both in step; what one toggling input for both begins, its next press ends."""
    apart = results(a_house(*BOTH, rule={"never": "state out of step", "of": ("panel",)}))
    assert [(one.about, one.verdict) for one in apart] == [
        ("house/panel.shop", HOLDS),
        ("house/panel.flat", HOLDS),
    ]
    shared = {name: {"inputs": (*area["inputs"], "all")} for name, area in APART.items()}
    toggled = results(a_house("panel.1", "panel.all", areas=shared, rule={"never": "toggles", "of": ("f2",)}))
    assert [one.verdict for one in toggled] == [FAILS]


def test_one_area_in_a_rule_leaves_the_other_out() -> None:
    """Named by panel.area, only the outputs of that area are searched."""
    (result,) = results(a_house(*BOTH, rule={"never": "alarm despite unsetting", "of": ("panel.shop",)}))

    assert result.about == "house/panel.shop"


def test_an_input_of_which_no_area_says_that_it_is_its_own_is_asked_about() -> None:
    """It is taken to work all of them, and a proof waits for the answer."""
    case = a_house("panel.1", "panel.2", "panel.all", rule={"never": "state out of step", "of": ("panel",)})

    assert all(one.verdict is not HOLDS for one in results(case))
    assert any("Which area panel.all sets or unsets" in ask for one in results(case) for ask in one.asks)


def test_areas_without_inputs_of_their_own_share_the_panel_s_state() -> None:
    """As before areas had states: where nothing tells them apart there is one."""
    case = a_house(*BOTH, areas={"shop": {}, "flat": {}})
    timeline = play(case, "0 s: pair press f1; 5 s: pair press f4; 10 s: wait")

    assert states(timeline, "house/panel") == [(0.0, "set")]


@pytest.mark.parametrize(
    ("told", "others", "raises"),
    [
        ("while set", ("b",), True),
        ("after the entry time", ("b",), False),
        (None, ("b",), True),
        ("after the entry time", (), True),  # nobody says what b tells of
    ],
)
def test_zones_say_how_an_area_comes_to_an_alarm(
    told: str | None, others: tuple[str, ...], raises: bool
) -> None:
    """An area with zones of its way in alone has no alarm at once; with a detector elsewhere it has."""
    areas = {"shop": {"inputs": ("1", "2"), "zones": ("a",)}, "flat": {"inputs": ("3", "4"), "zones": others}}
    zones = {"a": {"told": told} if told else {}, "b": {"told": "while set"}}
    case = a_house(*BOTH, areas=areas, zones=zones, panel={"entry_s": 30.0})
    story = "0 s: pair press f1; 5 s: alarm of panel.shop; 6 s: wait"

    if raises:
        assert states(play(case, story), "house/panel.shop")[-1] == (5.0, "alarm")
    else:
        with pytest.raises(InputError, match="nothing of that kind can happen"):
            play(case, story)


def test_people_are_inside_their_own_area() -> None:
    """Somebody in the flat does not keep the shop from being set wrongly, nor is the shop set on them."""
    areas = {name: {**area, "set_prevented_by": ()} for name, area in APART.items()}
    rule = {"never": "set with somebody inside", "of": ("panel.shop",)}
    (result,) = results(a_house(*BOTH, areas=areas, rule=rule))

    assert result.verdict is FAILS
    assert result.story is not None
    assert [step.says.partition(" ")[0] for step in result.story.steps] == ["somebody", "f1"]
