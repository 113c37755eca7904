"""Further things to build: relays that bar each other, a receiver off the battery, a resistor moved."""

from __future__ import annotations

from pathlib import Path

from farpress.case.behaviour import keeps_apart
from farpress.case.case import Case
from farpress.domain.finding import Verdict
from farpress.judging.assess import assess
from farpress.mending.plan import mend
from farpress.mending.result import MendingPlan
from farpress.mending.structural.apart import apart
from farpress.mending.structural.power import power
from farpress.mending.trying import ChangeTrials
from helpers.small_jobs import HALL
from helpers.wished_jobs import opened

LIGHTS = (
    HALL.replace(
        "2: {kind: toggle, works: alarm.set, cable: {part: alarm-4x0.22, length: 4 m}}",
        "2: {kind: pulse, for: 10 min, works: lights.on, via: lighting-contactor-12v, suppression: diode,"
        " cable: {part: solid-2x4, length: 4 m}}",
    )
    .replace(HALL[HALL.index("    panels:\n") : HALL.index("functions:")], "")
    .replace("    devices:\n", "    devices:\n      lights: {part: led-230v, pieces: 2, at: [2, 4, 3.0]}\n")
    .replace("alarm: {output: hall/R1/2, kind: set and unset}", "lights: {output: hall/R1/2, kind: light}")
    .replace("2: alarm", "2: lights")
    .replace("function: alarm", "function: lights")
)
"""The hall with lights over a contactor whose coil does not pull in at the end of the battery."""

SHUTTER = """\
farpress: 2
job: Fernhythe Kiosk
region: europe
premises:
  kiosk:
    surroundings: residential
    places: {steps: {at: [-3, 2], sees: [shutter]}}
    supplies: {main: {part: supply-12v-1a, at: [1, 1, 2]}}
    receivers:
      R1:
        part: receiver-1
        at: [1, 1.5, 2]
        fed: {from: main, cable: {part: flex-2x0.5, length: 2 m}}
        outputs: {1: {kind: follow, works: shutter.up, via: relay-12v-mains, suppression: diode}}
      R2:
        part: receiver-1
        at: [1, 2.5, 2]
        fed: {from: main, cable: {part: flex-2x0.5, length: 2 m}}
        outputs: {1: {kind: follow, works: shutter.down, via: relay-12v-mains, suppression: diode}}
    devices:
      shutter: {part: shutter-motor, at: [0, 2, 2.1], escape_route: false}
functions:
  up: {output: kiosk/R1/1, kind: up}
  down: {output: kiosk/R2/1, kind: down}
groups:
  keepers: {fob: fob-2, count: 3, presses: 6 per day, kept: in pocket, buttons: {1: up, 2: down}}
promises:
  - {to: keepers, function: up, from: steps}
  - {to: keepers, function: down, from: steps}
rules:
  - {never: both on, of: [up, down]}
"""

ZONE = HALL.replace(
    "outputs: {set: {}}}\n",
    "outputs: {set: {}}, zones: {back: {resistor: between, unwatched: 4 m, contacts: 1, loop: {scheme: double"
    " end-of-line, normal: 2.2 kohm, alarm: 4.7 kohm}, cable: {part: alarm-4x0.22, length: 12 m}}}}\n",
)


def _faults(case: Case) -> set[str]:
    return {finding.code for finding in assess(case).findings if finding.verdict is Verdict.FAILS}


def _does(plan: MendingPlan) -> list[str]:
    return [step.candidate.does for step in plan.steps]


def test_two_directions_of_two_receivers_get_relays_that_bar_each_other(tmp_path: Path) -> None:
    """Neither receiver knows of the other; the two relays do, and nothing else is harmed."""
    case = opened(tmp_path / "kiosk", SHUTTER)
    plan = mend(case)

    assert {"OUT-06", "RULE-01"} <= _faults(case)
    assert not {"OUT-06", "RULE-01"} & {finding.code for finding in plan.left}
    assert any("bar each other" in does for does in _does(plan))


def test_one_pair_of_relays_bars_one_pair_of_outputs(tmp_path: Path) -> None:
    """A third output over relays of that make is not kept off by a pair that others have."""
    text = SHUTTER.replace("relay-12v-mains", "reversing-12v")
    third = text.replace(
        "outputs: {1: {kind: follow, works: shutter.down,",
        "outputs: {2: {kind: pulse, for: 5 min, works: lamp.on, via: reversing-12v}, 1: {kind: follow, works:"
        " shutter.down,",
    ).replace("    devices:\n", "    devices:\n      lamp: {part: led-230v, pieces: 1, at: [1, 2, 2.5]}\n")
    third = third.replace("part: receiver-1\n        at: [1, 2.5", "part: receiver-2\n        at: [1, 2.5")
    alone, more = opened(tmp_path / "alone", text), opened(tmp_path / "more", third)
    (up, down), (_, lamp, again) = (tuple(case.outputs()) for case in (alone, more))

    assert keeps_apart(alone, up, down).says
    assert again.output.works == "shutter.down"
    assert keeps_apart(more, up, again).says
    assert not keeps_apart(more, up, lamp).says


def test_a_receiver_whose_relay_does_not_pull_in_is_fed_without_the_battery(tmp_path: Path) -> None:
    """The warm coil wants more volts than the battery has at its end; at the mains it pulls in."""
    case = opened(tmp_path / "hall", LIGHTS)
    trials = ChangeTrials(case, assess(case))
    coils = [f for f in trials.before.findings if f.code == "SUP-01" and "coil" in f.about]
    made = [found for found in power(case, coils) if found.does.startswith("Feed R1")]

    assert [finding.verdict for finding in coils] == [Verdict.FAILS]
    assert any(coils[0].fault_key in trials.of((candidate,)).cured for candidate in made)


def test_what_must_go_on_without_mains_keeps_its_battery(tmp_path: Path) -> None:
    """A receiver that sets an alarm is not fed from the mains alone for the sake of a relay."""
    text = HALL.replace("works: alarm.set,", "works: alarm.set, via: relay-gold-12v,")
    case = opened(tmp_path / "hall", text)
    coils = [f for f in assess(case).findings if f.code == "SUP-01" and "coil" in f.about]

    assert [finding.verdict for finding in coils] == [Verdict.FAILS]
    assert [made for made in power(case, coils) if made.does.startswith("Feed R1")] == []


def test_a_resistor_on_the_way_is_moved_to_the_far_end(tmp_path: Path) -> None:
    """What lies behind it is watched then."""
    case = opened(tmp_path / "hall", ZONE)
    plan = mend(case)

    assert "PAN-22" in _faults(case)
    assert "PAN-22" not in {finding.code for finding in plan.left}
    assert plan.changed is not None
    zone = plan.changed.job.premises["hall"].panels["alarm"].zones["back"]
    assert (zone.resistor, zone.unwatched_m) == ("far end", None)


def test_nothing_is_offered_to_outputs_that_are_kept_apart(tmp_path: Path) -> None:
    """Relays that bar each other stand there already."""
    case = opened(tmp_path / "kiosk", SHUTTER.replace("relay-12v-mains", "reversing-12v"))

    assert list(apart(case, assess(case).findings)) == []
