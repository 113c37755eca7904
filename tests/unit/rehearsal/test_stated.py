"""Rules about states of things: leaves, areas, people at work, locks of two gates, hours; argued by hand."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.case.case import Case
from farpress.core.rehearsal.model import ModelEvent, StateModel, Variable
from farpress.core.rehearsal.ready import make_ready
from farpress.core.rehearsal.search import search_all
from farpress.domain.finding import Verdict
from farpress.domain.job import Rule
from farpress.judging.rules import searched
from farpress.rehearsal.play import play
from farpress.rehearsal.rules import RuleResult, rehearse
from helpers.logic_case import a_case
from helpers.rehearsal_jobs import SHORT_GATE

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
PULSE: dict[str, Any] = {"kind": "pulse", "for_s": 1.0}
FOLLOWED = "0 s: pair press f1; 1 s: into yard lock by outer; 2 s: into yard lock by outer"
PUMP: dict[str, Any] = {"device": "pump", "inputs": {"on": {"logic": "on", "wants": "maintained"}}}


def two_gates(waits: str | None = "end contacts", **more: Any) -> Case:
    """An outer and an inner gate, each opened by a button of its own."""
    gates = {
        name: SHORT_GATE | ({"waits_for": (other,), "waits_by": waits} if waits else {})
        for name, other in (("outer", "inner"), ("inner", "outer"))
    }
    outputs = {
        str(number): {**PULSE, "works": f"{name}.open"} for number, name in enumerate(("outer", "inner"), 1)
    }
    return a_case(outputs, devices=gates, **more)


def a_lock(kept_out: tuple[str, ...] | None, **more: Any) -> Case:
    """The same with the space between them as a lock."""
    lock = {"enter_by": ("outer",), "leave_by": ("inner",), "second_kept_out_by": kept_out}
    return two_gates(
        rules=({"never": "more than one inside", "of": ("yard lock",)},),
        house={"gate_locks": {"yard lock": lock}},
        **more,
    )


def an_alarm(prevented: tuple[str, ...] | None, never: str = "set with somebody inside", **area: Any) -> Case:
    """A panel set and unset by pulses apart, its area, and a strike of which the door is the way in."""
    return a_case(
        {
            "1": {**PULSE, "works": "panel.set"},
            "2": {**PULSE, "works": "panel.unset"},
            "3": {"kind": "pulse", "for_s": 3.0, "works": "gate.open"},
        },
        panel={"exit_s": 0.0, "keypad": False},
        devices={"gate": SHORT_GATE},
        mounted_panel={"areas": {"shop": {"set_prevented_by": prevented, **area}}},
        rules=(
            {"never": never, "of": ("panel.shop", "gate") if never == "open while set" else ("panel.shop",)},
        ),
    )


def _only(case: Case) -> RuleResult:
    (result,) = rehearse(case, rules=(1,))
    return result


@pytest.mark.parametrize(("waits", "verdict"), [(None, FAILS), ("people", FAILS), ("end contacts", HOLDS)])
def test_leaves_are_judged_at_their_end_contacts(waits: str | None, verdict: Verdict) -> None:
    """Two commands a moment after each other open both leaves, unless each waits for the other's contact."""
    result = _only(two_gates(waits, rules=({"never": "both open", "of": ("outer", "inner")},)))

    assert result.verdict is verdict
    assert (result.story is None) is (verdict is HOLDS)
    assert "outer and inner are both open" in result.forbids


@pytest.mark.parametrize(
    ("prevented", "verdict", "says"),
    [
        ((), FAILS, "somebody goes into shop"),
        (("person-in switch",), HOLDS, "to the end"),
        (("movement",), THIN, "somebody goes into shop"),
        (None, UNKNOWN, "somebody goes into shop"),
    ],
)
def test_an_alarm_is_set_on_whoever_is_inside(
    prevented: tuple[str, ...] | None, verdict: Verdict, says: str
) -> None:
    """Somebody goes in, somebody else sets it: only a switch of those inside prevents it for everybody."""
    result = _only(an_alarm(prevented))

    assert result.verdict is verdict
    assert says in result.says
    if prevented is None:
        assert any("set_prevented_by" in ask for ask in result.asks)


def test_who_may_stay_may_sleep_while_part_of_it_is_set() -> None:
    """A part set with people inside is what it is for; a whole set on them is not."""
    inputs = {"part": {"reads": "part set pulse"}, "set": {"reads": "set pulse"}}

    def searched_with(*works: str, **panel: Any) -> Verdict:
        case = a_case(
            {str(i): {**PULSE, "works": f"panel.{one}"} for i, one in enumerate(works, 1)},
            panel={"exit_s": 0.0, "keypad": False, "inputs": inputs, **panel},
            mounted_panel={"areas": {"flat": {"set_prevented_by": (), "people_inside": "while part set"}}},
            rules=({"never": "set with somebody inside", "of": ("panel.flat",)},),
        )
        return _only(case).verdict

    assert searched_with("part") is HOLDS
    assert searched_with("part", "set") is FAILS


@pytest.mark.parametrize(("prevented", "verdict"), [((), FAILS), (("open door",), FAILS)])
def test_what_opens_while_it_is_set(prevented: tuple[str, ...], verdict: Verdict) -> None:
    """A panel that refuses to set while a door is open does not keep the fob from opening it afterwards."""
    result = _only(an_alarm(prevented, "open while set"))

    assert result.verdict is verdict
    assert result.story is not None
    presses = [step.says for step in result.story.steps]
    # with the door's contact the panel has to be set first, and then the gate opened
    assert not prevented or presses[0].startswith("f1 pressed")


@pytest.mark.parametrize(
    ("isolator", "verdict"), [("lockable", HOLDS), ("not lockable", FAILS), ("none", FAILS), (None, UNKNOWN)]
)
def test_live_while_somebody_works_on_it(isolator: str | None, verdict: Verdict) -> None:
    """Only an isolator that is locked off keeps a press from starting it under somebody's hands."""
    case = a_case(
        {"1": {"kind": "toggle", "works": "pump.on"}},
        devices={"pump": {**PUMP, **({"isolator": isolator} if isolator else {})}},
        rules=({"never": "live while worked on", "of": ("pump",)},),
    )
    result = _only(case)

    assert result.verdict is verdict
    told = [step.says for step in result.story.steps] if result.story is not None else []
    assert ("somebody else switches the isolator of pump on again" in told) is (isolator == "not lockable")
    if isolator == "lockable":
        assert "whoever works on pump locks its isolator first" in result.taken


@pytest.mark.parametrize(
    ("kept_out", "verdict"),
    [
        ((), FAILS),
        (("loop inside",), FAILS),
        (("closes behind each",), FAILS),
        (("loop inside", "closes behind each"), HOLDS),
        (None, UNKNOWN),
    ],
)
def test_one_vehicle_at_a_time_in_the_lock(kept_out: tuple[str, ...] | None, verdict: Verdict) -> None:
    """A loop lets a second one follow in the same opening, a gate that closes behind each opens again; both
    together keep it out.
    """
    assert _only(a_lock(kept_out)).verdict is verdict


def _at_hours(by: str | None, switched: str = "06:00-20:00", kind: str = "pulse", **rule: Any) -> Case:
    kept = {"output": "house/R1/1", "hours": switched, **({"hours_by": by} if by else {})}
    output = {"kind": kind, **({"for_s": 1.0} if kind == "pulse" else {})}
    return a_case(
        {"1": {**output, "works": "gate.open" if kind == "pulse" else "pump.on"}},
        devices={"gate": SHORT_GATE, "pump": PUMP},
        functions={"f1": kept},
        rules=({"never": "works outside hours", "of": ("f1",), **rule},),
    )


@pytest.mark.parametrize(
    ("by", "verdict"), [("time switch", HOLDS), ("panel", HOLDS), ("people", FAILS), (None, UNKNOWN)]
)
def test_hours_are_kept_by_a_clock_and_not_by_people(by: str | None, verdict: Verdict) -> None:
    """A receiver obeys a fob at any hour; a time switch on the control does not."""
    assert _only(_at_hours(by)).verdict is verdict


def test_a_time_switch_with_other_hours_than_the_rule() -> None:
    """Open from five, wanted from six: pressed between the two, told with the hour."""
    result = _only(_at_hours("time switch", "05:00-20:00", hours="06:00-20:00"))

    assert result.verdict is FAILS
    assert "it becomes 05:00" in result.says
    assert _only(_at_hours("time switch", "07:00-19:00", hours="06:00-20:00")).verdict is HOLDS
    assert _only(_at_hours("time switch", "22:00-04:00", hours="21:00-05:00")).verdict is HOLDS
    assert _only(_at_hours("time switch", "22:00-04:00", hours="23:00-05:00")).verdict is FAILS


def test_a_latched_contact_works_anew_as_the_hours_begin() -> None:
    """Toggled on at night it waits behind the time switch and starts at six, which is inside the hours."""
    assert _only(_at_hours("time switch", kind="toggle")).verdict is HOLDS


@pytest.mark.parametrize(
    ("case", "story", "broken"),
    [
        (a_lock(("loop inside",)), FOLLOWED, 1),
        (a_lock(("loop inside", "closes behind each")), FOLLOWED, 0),
        (an_alarm(()), "0 s: into shop; 5 s: pair press f1; 6 s: wait", 1),
        (an_alarm(("person-in switch",)), "0 s: into shop; 5 s: pair press f1; 6 s: wait", 0),
        (an_alarm(()), "0 s: into shop; 3 s: out of shop; 5 s: pair press f1; 6 s: wait", 0),
        (_at_hours("people"), "5 s: pair press f1; 6 s: wait", 0),
        (_at_hours("people"), "0 s: clock 06:00; 5 s: pair press f1; 6 s: wait", 0),
        (_at_hours("people"), "0 s: clock 06:00; 1 s: clock 20:00; 5 s: pair press f1; 6 s: wait", 1),
    ],
)
def test_the_player_has_the_same_people_vehicles_and_clock(case: Case, story: str, broken: int) -> None:
    """What the search finds can be told as a story and is broken there; what it proves is not."""
    assert [one.number for one in play(case, story).broken if one.number is not None] == [1] * broken


@pytest.mark.parametrize(
    ("case", "verdict"),
    [
        (two_gates(rules=({"never": "both open", "of": ("outer", "inner")},)), HOLDS),
        (two_gates(None, rules=({"never": "both open", "of": ("outer", "inner")},)), FAILS),
        (an_alarm(("movement",)), THIN),
        (a_lock(None), UNKNOWN),
        (_at_hours("people"), FAILS),
    ],
)
def test_an_assessment_says_the_same_as_the_rehearsal(case: Case, verdict: Verdict) -> None:
    """One judge: the same word, a remedy where it is broken, a question where it is open."""
    (finding,) = [one for one in searched.judge(case) if one.code.startswith("RULE")]

    assert finding.verdict is verdict
    assert bool(finding.remedies) is (verdict is not HOLDS)
    assert bool(finding.asks) is (verdict is UNKNOWN)


def test_a_signature_makes_a_broken_rule_thin_and_no_more() -> None:
    """Accepted by name: thin, with the story and the signature once."""
    rule = {"never": "both open", "of": ("outer", "inner"), "signed": "M. Ostrovane, 2026-11-02"}
    (finding,) = searched.judge(two_gates(None, rules=(rule,)))

    assert finding.verdict is THIN
    assert finding.because.count("Accepted: M. Ostrovane") == 1


@pytest.mark.parametrize(
    ("rule", "says"),
    [
        ({"never": "both open", "of": ("outer",)}, "two different leaves"),
        ({"never": "set with somebody inside", "of": ("outer",)}, "no alarm panel"),
        ({"never": "more than one inside", "of": ("outer",)}, "no lock of two gates"),
        ({"never": "works outside hours", "of": ("outer",)}, "which hours"),
        ({"never": "works outside hours", "of": ("outer",), "hours": "25:00-3"}, "no stretch of time"),
        ({"never": "both open", "of": ("outer", "postern")}, "there is no postern"),
    ],
)
def test_a_rule_about_nothing_says_why_and_the_rest_is_searched(rule: dict[str, Any], says: str) -> None:
    """Named, with what is missing; the rule beside it is searched to the end."""
    sound = {"never": "both open", "of": ("outer", "inner")}
    wrong, right = rehearse(two_gates(rules=(rule, sound)), rules=(1, 2))

    assert wrong.verdict is UNKNOWN
    assert says in wrong.says
    assert right.verdict is HOLDS


def test_every_kind_of_rule_is_read_from_a_job() -> None:
    """The words stand in the model of the job file."""
    assert Rule(never="more than one inside", of=("yard lock",)).never == "more than one inside"


def test_a_lock_of_uneven_gates_is_searched_though_its_states_are_wide() -> None:
    """14.3 s and 23.7 s in ticks of 0.1 s take more bits than machine code has room for: a gate that closes
    behind each vehicle opens again for the next one, while the first is still inside.
    """
    uneven = (
        {"travel_s": 14.3, "travel_back_s": 15.1, "closes_after_s": 20.3},
        {"travel_s": 23.7, "travel_back_s": 22.3, "closes_after_s": 41.9},
    )
    lock = {"enter_by": ("outer",), "leave_by": ("inner",), "second_kept_out_by": ("closes behind each",)}
    case = a_case(
        {str(i): {**PULSE, "works": f"{name}.open"} for i, name in enumerate(("outer", "inner"), 1)},
        devices={name: SHORT_GATE | own for name, own in zip(("outer", "inner"), uneven, strict=True)},
        house={"gate_locks": {"yard lock": lock}},
        rules=({"never": "more than one inside", "of": ("yard lock",)},),
    )
    result = _only(case)

    assert result.verdict is FAILS
    assert result.story is not None
    assert result.story.replayed
    assert sum("pressed" in step.says for step in result.story.steps) == 2
    assert result.story.ends_s > 14.3 + 15.1  # the first one's gate stood closed in between


def test_a_wide_state_is_searched_as_far_as_plain_python_goes() -> None:
    """It never says that it is finished where it is not."""
    wide = tuple(Variable(f"x{i}", 1000) for i in range(7))
    events = tuple(ModelEvent(f"e{i}", f"x{i} = x{i} + 1 if x{i} < 1000 else 0") for i in range(7))
    told: list[int] = []
    network = make_ready(StateModel(wide, events, bad={"far": "x0 == 1000"}))
    found = search_all(network, budget=1200)
    everything = make_ready(StateModel(wide, events, bad={"far": "x0 + x1 + x2 + x3 + x4 + x5 + x6 > 50"}))
    cut_short = search_all(everything, budget=30_000, progress=told.append)

    assert found.finished or found.stories
    assert not cut_short.finished
    assert not cut_short.stories
    assert cut_short.states > 30_000
    assert told


@pytest.mark.parametrize(("by", "verdict"), [("a switch of its own", UNKNOWN), ("presses", FAILS)])
def test_what_runs_only_with_another_thing_does_so_in_the_rehearsal(by: str, verdict: Verdict) -> None:
    """A pump with a flow switch and a valve that no rule of power return leaves on; two that wait for each
    other never run, and a rule about them says that nothing could break it.
    """
    both = {
        name: PUMP | {"only_with": (other,), "only_with_by": by, "isolator": "none"}
        for name, other in (("pump", "doser"), ("doser", "pump"))
    }
    case = a_case(
        {str(i): {"kind": "toggle", "works": f"{name}.on"} for i, name in enumerate(("pump", "doser"), 1)},
        devices=both,
        rules=({"never": "live while worked on", "of": ("pump",)},),
    )
    result = _only(case)

    assert result.verdict is verdict
    assert result.is_empty is (verdict is UNKNOWN)


def test_a_pump_with_a_flow_switch_is_live_only_with_its_valve() -> None:
    """Two presses: neither alone makes it run."""
    case = a_case(
        {str(i): {"kind": "toggle", "works": f"{name}.on"} for i, name in enumerate(("pump", "valve"), 1)},
        devices={
            "pump": PUMP
            | {"only_with": ("valve",), "only_with_by": "a switch of its own", "isolator": "none"},
            "valve": PUMP | {"device": "valve"},
        },
        rules=({"never": "live while worked on", "of": ("pump",)},),
    )
    result = _only(case)

    assert result.verdict is FAILS
    assert result.story is not None
    assert sum("pressed" in step.says for step in result.story.steps) == 2
