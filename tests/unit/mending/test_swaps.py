"""A press that one receiver does not hear and another one does: the output moves, or two are exchanged."""

from __future__ import annotations

from pathlib import Path

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Finding, Verdict
from farpress.judging.assess import assess
from farpress.mending.plan import mend
from farpress.mending.structural.swaps import swaps
from farpress.mending.trying import ChangeTrials
from helpers.wished_jobs import opened

CAMP = """\
farpress: 2
job: Orrinmere Camp
region: europe
premises:
  camp:
    surroundings: residential
    noise_floor: -112 dBm
    places:
      north: {at: [0, 4], sees: [lamp-north]}
      south: {at: [0, 604], sees: [lamp-south]}
    supplies:
      main: {part: supply-12v-1a, at: [0, 1, 2]}
      other: {part: supply-12v-1a, at: [0, 601, 2]}
    receivers:
      R1:
        part: PART
        at: [0, 1.5, 2.5]
        fed: {from: main, cable: {part: flex-2x0.5, length: 2 m}}
        outputs: {1: {kind: pulse, for: 5 min, works: lamp-south.on, load_from: main, cable: {part: flex-2x1.5, length: 20 m}}}
      R2:
        part: receiver-1
        at: [0, 601.5, 2.5]
        fed: {from: other, cable: {part: flex-2x0.5, length: 2 m}}
        outputs: {1: {kind: pulse, for: 5 min, works: lamp-north.on, load_from: other, cable: {part: flex-2x1.5, length: 20 m}}}
    devices:
      lamp-north: {part: led-12v, pieces: 1, at: [2, 6, 2.5]}
      lamp-south: {part: led-12v, pieces: 1, at: [2, 606, 2.5]}
functions:
  south: {output: camp/R1/1, kind: light}
  north: {output: camp/R2/1, kind: light}
groups:
  wardens: {fob: fob-2, count: 3, presses: 6 per day, kept: in pocket, buttons: {1: north, 2: south}}
promises:
  - {to: wardens, function: north, from: north}
  - {to: wardens, function: south, from: WHERE}
"""  # noqa: E501


def camp(folder: Path, *, part: str = "receiver-1", where: str = "south") -> Case:
    """Two lamps, each on the receiver that is far from where it is pressed."""
    return opened(folder, CAMP.replace("PART", part).replace("WHERE", where))


def unheard(case: Case) -> list[Finding]:
    """Promises that fail in the air."""
    return [f for f in assess(case).findings if f.code == "AIR-01" and f.verdict is Verdict.FAILS]


def test_two_outputs_are_exchanged(tmp_path: Path) -> None:
    """Each lamp hangs then on the receiver that hears its place; the functions keep their names."""
    case = camp(tmp_path / "camp")
    (made, again) = swaps(case, unheard(case))
    trial = ChangeTrials(case, assess(case)).of((made,))

    assert made.does.startswith("Exchange output 1 of R")
    assert made.key == again.key
    assert {finding.fault_key for finding in unheard(case)} <= trial.cured
    assert trial.copy is not None
    assert {name: trial.copy.job.functions[name].output for name in ("north", "south")} == {
        "north": "camp/R1/1",
        "south": "camp/R2/1",
    }
    assert [output.output.works for output in trial.copy.outputs()] == ["lamp-north.on", "lamp-south.on"]


def test_an_output_moves_to_a_free_contact(tmp_path: Path) -> None:
    """Where the other receiver has one: nothing else is touched."""
    case = camp(tmp_path / "camp", part="receiver-2", where="north")
    made = next(iter(swaps(case, unheard(case))))
    trial = ChangeTrials(case, assess(case)).of((made,))

    assert "output 2 of R1 instead of output 1 of R2" in made.does
    assert trial.copy is not None
    assert trial.copy.job.functions["north"].output == "camp/R1/2"
    assert set(trial.copy.job.premises["camp"].receivers["R2"].outputs) == set()
    assert {finding.fault_key for finding in unheard(case)} <= trial.cured


def test_an_output_that_is_named_elsewhere_stays(tmp_path: Path) -> None:
    """A rule that speaks of the output by its number would speak of another thing."""
    rule = "rules:\n  - {never: both on, of: [camp/R2/1, south]}\n"
    case = opened(tmp_path / "camp", CAMP.replace("PART", "receiver-1").replace("WHERE", "south") + rule)

    assert list(swaps(case, unheard(case))) == []


@pytest.mark.long
def test_mending_exchanges_them(tmp_path: Path) -> None:
    """It is the whole plan for what fails in the air."""
    plan = mend(camp(tmp_path / "camp"))

    assert any(step.candidate.does.startswith("Exchange output 1 of R") for step in plan.steps)
    assert not any(finding.code == "AIR-01" for finding in plan.left)
