"""Output logic: each planted fault is caught, and its sound twin is left alone."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Finding, Verdict
from farpress.domain.premises import Supply
from farpress.judging.output import suits as output
from farpress.judging.registry import all_checks
from helpers.findings import codes_of, finding_of
from helpers.logic_case import LAMP, PANEL, RECEIVER, SHUTTER, a_case

PULSE: dict[str, Any] = {"kind": "pulse", "for_s": 0.5}


def _found(case: Case) -> list[Finding]:
    return list(output.judge(case))


def test_every_finding_has_its_code_in_the_list() -> None:
    """And keys are unique, so that no judgement hides another."""
    found = _found(
        a_case(
            {
                "1": {**PULSE, "works": "gate.start"},
                "2": {"kind": "toggle", "works": "lamp.on"},
                "3": {"kind": "follow", "works": "shutter.up"},
            }
        )
    )

    assert {one.code for one in found} <= set(all_checks())
    assert len({one.key for one in found}) == len(found)


@pytest.mark.parametrize(
    ("changed", "works", "verdict"),
    [
        (PULSE, "gate.start", Verdict.HOLDS),
        ({"kind": "pulse", "for_s": 0.1}, "gate.start", Verdict.FAILS),  # shorter than its 0.2 s
        ({"kind": "pulse", "for_s": 0.21}, "gate.start", Verdict.THIN),
        ({"kind": "pulse", "for_s": 5.0}, "gate.start", Verdict.UNKNOWN),  # no longest pulse given
        ({"kind": "pulse"}, "gate.start", Verdict.UNKNOWN),
        ({"kind": "toggle"}, "gate.start", Verdict.FAILS),
        ({"kind": "follow"}, "gate.start", Verdict.FAILS),
        ({"kind": "toggle"}, "gate.open", Verdict.FAILS),
        ({"kind": "follow"}, "gate.open", Verdict.THIN),
        ({"kind": "follow"}, "gate.stop", Verdict.HOLDS),
        ({"kind": "follow"}, "shutter.up", Verdict.HOLDS),
        ({"kind": "pulse", "for_s": 4.0}, "strike.release", Verdict.HOLDS),
        ({"kind": "toggle"}, "lamp.on", Verdict.HOLDS),
    ],
)
def test_kind_and_length_suit_the_input(changed: dict[str, Any], works: str, verdict: Verdict) -> None:
    """Pulses on start inputs, maintained contacts on loads."""
    assert finding_of(_found(a_case({"1": {**changed, "works": works}})), "OUT-01").verdict is verdict


@pytest.mark.parametrize(
    ("contact", "verdict"), [("normally open", Verdict.FAILS), ("normally closed", Verdict.HOLDS)]
)
def test_a_magnetic_lock_is_released_by_breaking_its_supply(contact: str, verdict: Verdict) -> None:
    """Common practice, no source: on a make contact it would be locked for the length of the press only,
    escape route or not.
    """
    lock = {
        "door": {
            "device": "magnetic lock",
            "fails": "unlocked",
            "inputs": {"release": {"logic": "release", "wants": "maintained"}},
        }
    }
    finding = finding_of(
        _found(
            a_case(
                {"1": {"kind": "pulse", "for_s": 5.0, "works": "door.release", "contact": contact}},
                devices=lock,
            )
        ),
        "OUT-01",
    )

    assert finding.verdict is verdict
    assert [one.changes[0].value for one in finding.remedies] == (
        ["normally closed"] if verdict is Verdict.FAILS else []
    )


def test_a_longest_pulse_of_the_sheet_is_a_limit() -> None:
    """And the remedy can be written to the job file."""
    gate = {
        "gate": {
            "device": "sliding gate",
            "inputs": {"start": {"logic": "start", "max_pulse_s": 1.0, "closes_by_second_press": False}},
        }
    }
    finding = finding_of(
        _found(a_case({"1": {"kind": "pulse", "for_s": 2.0, "works": "gate.start"}}, devices=gate)), "OUT-01"
    )

    assert finding.verdict is Verdict.FAILS
    assert finding.margin == pytest.approx(-1.0)
    assert finding.remedies[0].changes[0].path == (
        "premises",
        "house",
        "receivers",
        "R1",
        "outputs",
        "1",
        "for",
    )
    assert finding.remedies[0].changes[0].value == "500 ms"


def test_an_unknown_input_is_asked_about() -> None:
    """Not guessed, and not passed over."""
    blank = {"thing": {}}
    assert (
        finding_of(_found(a_case({"1": {**PULSE, "works": "thing.x"}}, devices=blank)), "OUT-01").verdict
        is Verdict.UNKNOWN
    )


@pytest.mark.parametrize(
    ("changed", "works", "kind"),
    [
        ({"kind": "toggle"}, "valve.on", "water"),
        ({"kind": "toggle"}, "siren.on", "sound"),
        ({"kind": "toggle"}, "lamp.on", "heat"),
        ({"kind": "toggle"}, "panel.level", "set and unset"),
        (PULSE, "panel.flip", "set and unset"),
    ],
)
def test_toggles_are_refused_where_the_state_must_be_known(
    changed: dict[str, Any], works: str, kind: str
) -> None:
    """By the output, or by the panel's own toggling input."""
    finding = finding_of(_found(a_case({"1": {**changed, "works": works}}, kinds={"1": kind})), "OUT-02")

    assert finding.verdict is Verdict.FAILS
    assert finding.remedies


def test_a_toggled_light_tells_its_number() -> None:
    """Two who each press nine times in ten: 18 %; thin, for somebody may see it."""
    finding = finding_of(
        _found(a_case({"1": {"kind": "toggle", "works": "lamp.on"}}, kinds={"1": "light"})), "OUT-02"
    )

    assert finding.verdict is Verdict.THIN
    assert "18%" in finding.says


def test_a_light_toggled_by_one_person_holds() -> None:
    """Who sees it knows how it stands."""
    one = {"one": {"people": ("Ana",), "buttons": {"1": "f1"}}}
    assert (
        finding_of(
            _found(a_case({"1": {"kind": "toggle", "works": "lamp.on"}}, groups=one)), "OUT-02"
        ).verdict
        is Verdict.HOLDS
    )


@pytest.mark.parametrize(
    "changed", [PULSE, {"kind": "follow"}, {"kind": "pulse", "for_s": 240.0, "retrigger": True}]
)
def test_what_does_not_toggle_has_no_finding_about_toggling(changed: dict[str, Any]) -> None:
    """A retriggered light, a pulse on separate set input, a held shutter."""
    for works in ("lamp.on", "panel.set", "shutter.up"):
        assert "OUT-02" not in {one.code for one in _found(a_case({"1": {**changed, "works": works}}))}


@pytest.mark.parametrize(
    ("cut_off", "travel", "worst", "verdict"),
    [
        (30.0, 28.0, 29.5, Verdict.FAILS),
        (30.0, 28.0, None, Verdict.FAILS),
        (30.0, 27.0, 28.5, Verdict.THIN),
        (30.0, 23.0, None, Verdict.THIN),
        (30.0, 20.0, 22.0, Verdict.HOLDS),
        (None, 20.0, None, Verdict.UNKNOWN),
        (30.0, None, None, Verdict.UNKNOWN),
    ],
)
def test_a_held_press_lasts_for_the_travel(
    cut_off: float | None, travel: float | None, worst: float | None, verdict: Verdict
) -> None:
    """29.5 s in frost against 30 s is too long with the thumb's second; 22 s is not."""
    shutter = {"shutter": {**SHUTTER, "travel_s": travel, "travel_worst_s": worst}}
    found = _found(
        a_case({"1": {"kind": "follow", "works": "shutter.up"}}, devices=shutter, fob={"cut_off_s": cut_off})
    )

    assert finding_of(found, "OUT-03").verdict is verdict


def test_the_way_back_has_its_own_time() -> None:
    """26 s down with 28 s up and 29.5 s at the worst: 27.4 s and the thumb's second."""
    shutter = {"shutter": {**SHUTTER, "travel_s": 28.0, "travel_worst_s": 29.5, "travel_back_s": 26.0}}
    finding = finding_of(
        _found(a_case({"1": {"kind": "follow", "works": "shutter.down"}}, devices=shutter)), "OUT-03"
    )

    assert finding.limit == pytest.approx(26 * 29.5 / 28 + 1, abs=1e-3)
    assert finding.verdict is Verdict.HOLDS


@pytest.mark.parametrize(
    ("changed", "receiver", "verdict"),
    [
        (PULSE, {}, Verdict.HOLDS),
        ({"kind": "follow"}, {}, Verdict.HOLDS),
        ({**PULSE, "after_power_return": "as before"}, {}, Verdict.FAILS),
        ({**PULSE, "after_power_return": "unknown"}, {}, Verdict.UNKNOWN),
        ({"kind": "pulse", "for_s": 1200.0}, {}, Verdict.UNKNOWN),
        ({"kind": "pulse", "for_s": 1200.0, "after_power_return": "off"}, {}, Verdict.HOLDS),
        ({"kind": "toggle"}, {}, Verdict.HOLDS),
        ({"kind": "toggle"}, {"toggle_after_power_return": "as before"}, Verdict.FAILS),
        ({"kind": "toggle"}, {"toggle_after_power_return": None}, Verdict.UNKNOWN),
        ({"kind": "toggle", "contact": "normally closed"}, {}, Verdict.FAILS),
    ],
)
def test_nothing_waters_by_itself_after_power_return(
    changed: dict[str, Any], receiver: dict[str, Any], verdict: Verdict
) -> None:
    """Off holds, as before fails, unknown is asked; long pulses may be resumed and are asked too."""
    case = a_case(
        {"1": {**changed, "works": "valve.on"}}, receiver={**RECEIVER, **receiver}, **fed_from(battery=None)
    )

    assert finding_of(_found(case), "OUT-04").verdict is verdict


def fed_from(*, battery: dict[str, Any] | None) -> dict[str, Any]:
    """A receiver on a supply of its own, with a battery or without."""
    supplies = {"main": Supply(battery=battery), "other": Supply(), "kept up too": Supply(battery={})}
    return {"box": {"fed": {"from": "main"}}, "house": {"supplies": supplies}}


@pytest.mark.parametrize(
    ("kind", "battery", "load_from", "verdict"),
    [
        ("toggle", {"capacity_ah": 7.0}, None, Verdict.FAILS),
        ("latch", {"capacity_ah": 7.0}, None, Verdict.FAILS),
        ("follow", {"capacity_ah": 7.0}, None, Verdict.HOLDS),
        ("toggle", {"capacity_ah": 7.0}, "main", Verdict.HOLDS),
        ("toggle", {"capacity_ah": 7.0}, "other", Verdict.FAILS),
        ("toggle", {"capacity_ah": 7.0}, "kept up too", Verdict.HOLDS),
        ("toggle", None, None, Verdict.HOLDS),
        ("toggle", "not said", None, Verdict.UNKNOWN),
    ],
)
def test_out_04_a_receiver_on_a_battery_never_notices_the_cut(
    kind: str, battery: dict[str, Any] | str | None, load_from: str | None, verdict: Verdict
) -> None:
    """What it left on starts with the mains; what hangs on the same supply lives through the cut with it."""
    output = {"kind": kind, "works": "valve.on", "load_from": load_from}
    fed = {} if isinstance(battery, str) else fed_from(battery=battery)
    finding = finding_of(_found(a_case({"1": output}, **fed)), "OUT-04")

    assert finding.verdict is verdict
    assert ("by itself when the mains are back" in finding.says) is (verdict is Verdict.FAILS)
    assert bool(finding.asks) is (verdict is Verdict.UNKNOWN)


def test_a_light_may_come_back_as_before() -> None:
    """The rule is about what moves, waters, heats or sounds."""
    found = _found(a_case({"1": {"kind": "toggle", "works": "lamp.on", "after_power_return": "as before"}}))

    assert "OUT-04" not in {one.code for one in found}


@pytest.mark.parametrize(
    ("changed", "verdict"),
    [
        ({"kind": "pulse", "for_s": 1200.0}, Verdict.HOLDS),
        ({"kind": "pulse", "for_s": 1200.0, "retrigger": True}, Verdict.FAILS),
        ({"kind": "pulse", "for_s": 2400.0}, Verdict.FAILS),
        ({"kind": "toggle"}, Verdict.FAILS),
        ({"kind": "follow"}, Verdict.HOLDS),
    ],
)
def test_the_longest_run_of_a_valve(changed: dict[str, Any], verdict: Verdict) -> None:
    """20 min of 30 min hold; started anew again and again they do not."""
    assert finding_of(_found(a_case({"1": {**changed, "works": "valve.on"}})), "OUT-05").verdict is verdict


def test_a_retriggered_light_has_no_longest_run() -> None:
    """Nothing to judge."""
    assert "OUT-05" not in {
        one.code
        for one in _found(
            a_case({"1": {"kind": "pulse", "for_s": 240.0, "retrigger": True, "works": "lamp.on"}})
        )
    }


def _pair(first: dict[str, Any], second: dict[str, Any], **device: Any) -> Finding:
    outputs = {
        "1": {"kind": "follow", "works": "shutter.up", **first},
        "2": {"kind": "follow", "works": "shutter.down", **second},
    }
    return finding_of(_found(a_case(outputs, devices={"shutter": {**SHUTTER, **device}})), "OUT-06")


def test_up_and_down_need_an_interlock_and_a_pause() -> None:
    """Both outputs name each other; the pause is long enough; or the device does it all."""
    assert _pair({}, {}).verdict is Verdict.FAILS
    assert _pair({"interlock": "2"}, {}).verdict is Verdict.FAILS
    assert _pair({"interlock": "2"}, {"interlock": "1"}).verdict is Verdict.UNKNOWN
    assert (
        _pair(
            {"interlock": "2", "interlock_pause_s": 0.3}, {"interlock": "1", "interlock_pause_s": 1.0}
        ).verdict
        is Verdict.FAILS
    )
    assert (
        _pair(
            {"interlock": "2", "interlock_pause_s": 0.5}, {"interlock": "1", "interlock_pause_s": 0.5}
        ).verdict
        is Verdict.HOLDS
    )
    assert _pair({}, {}, interlocked=True).verdict is Verdict.HOLDS


@pytest.mark.parametrize(
    ("device", "by", "verdict"),
    [
        ("sluice", None, Verdict.UNKNOWN),
        ("sluice", (), Verdict.UNKNOWN),
        ("sluice", ("contacts", "mechanics"), Verdict.HOLDS),
        ("winch", None, Verdict.UNKNOWN),
        ("shutter", None, Verdict.HOLDS),
    ],
)
def test_what_can_hurt_says_how_its_directions_are_kept_apart(
    device: str, by: tuple[str, ...] | None, verdict: Verdict
) -> None:
    """Two timed presses within 20 s of each other close both contacts; of a blind its own word is enough."""
    timed = {"kind": "pulse", "for_s": 20.0}
    found = _pair(timed, timed, device=device, interlocked=True, interlocked_by=by)

    assert found.verdict is verdict
    assert ("within 20 s of each other" in found.says) is (device != "shutter")


def test_one_contact_for_both_directions_fails() -> None:
    """Whatever the interlock says."""
    found = _found(a_case({"1": {"kind": "follow", "works": "shutter.up", "with_": ("shutter.down",)}}))

    assert finding_of(found, "OUT-06").verdict is Verdict.FAILS


def test_a_private_garage_may_be_step_by_step() -> None:
    """Two people, six presses a day: the number is told, and it holds."""
    finding = finding_of(_found(a_case({"1": {**PULSE, "works": "garage.start"}})), "OUT-07")

    assert finding.verdict is Verdict.HOLDS
    assert finding.value is not None
    assert 0.001 < finding.value < 0.02


def test_a_busy_start_input_fails() -> None:
    """180 arrivals in a quarter of an hour, 6 s of movement: 70 %."""
    barrier = {
        "arm": {
            "device": "barrier",
            "travel_s": 6.0,
            "inputs": {
                "start": {"logic": "start", "closes_by_second_press": True},
                "open": {"logic": "open only"},
            },
        }
    }
    traffic = ({"place": "here", "function": "f1", "arrivals": {"07:10-07:25": 40, "07:40-07:55": 180}},)
    finding = finding_of(
        _found(a_case({"1": {**PULSE, "works": "arm.start"}}, devices=barrier, traffic=traffic)), "OUT-07"
    )
    sound = _found(a_case({"1": {**PULSE, "works": "arm.open"}}, devices=barrier, traffic=traffic))

    assert finding.verdict is Verdict.FAILS
    assert finding.value == pytest.approx(0.699, abs=0.001)
    assert "OUT-07" not in {one.code for one in sound}


def test_loose_ends_are_found() -> None:
    """An output that works nothing, one that nobody presses, a function without an output."""
    found = _found(
        a_case(
            {
                "1": PULSE,
                "2": {**PULSE, "works": "lamp.on"},
                "3": {**PULSE, "works": "panel.zone"},
                "4": PULSE,
            },
            functions={"a": {"output": "house/R1/1"}, "b": {}},
        )
    )
    verdicts = {one.about: one.verdict for one in found if one.code == "OUT-08"}

    unworked = dict.fromkeys(("house/siren", "house/strike", "house/valve"), Verdict.UNKNOWN)
    assert verdicts == {
        "house/R1/1": Verdict.FAILS,
        "house/R1/2": Verdict.UNKNOWN,
        "b": Verdict.FAILS,
        **unworked,
    }


def test_a_sound_house_is_not_flagged() -> None:
    """Gate by its open input, wicket, timed light, interlocked shutters, separate set and unset."""
    found = _found(
        a_case(
            {
                "1": {**PULSE, "works": "gate.open"},
                "2": {"kind": "pulse", "for_s": 4.0, "works": "strike.release"},
                "3": {"kind": "pulse", "for_s": 240.0, "retrigger": True, "works": "lamp.on"},
                "4": {"kind": "follow", "works": "shutter.up", "interlock": "5", "interlock_pause_s": 0.6},
                "5": {"kind": "follow", "works": "shutter.down", "interlock": "4", "interlock_pause_s": 0.6},
                "6": {**PULSE, "works": "panel.set"},
                "7": {**PULSE, "works": "panel.unset"},
            },
            devices={"lamp": LAMP},
            panel=PANEL,
        )
    )

    found = [finding for finding in found if finding.about not in ("house/siren", "house/valve")]
    assert codes_of(found, "fails", "thin", "unknown") == set()
