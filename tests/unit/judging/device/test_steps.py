"""What is moved by steps, by feel; a timed run that is meant to be a step is none that stops short."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Verdict
from farpress.judging.device.moves import judge
from farpress.judging.device.steps import judge_steps
from helpers.findings import codes_of, finding_of
from helpers.logic_case import a_case

FROM_HERE: tuple[dict[str, Any], ...] = ({"to": "pair", "function": "f1", "from": "here"},)
BLIND = {"device": "shutter", "travel_s": 540.0, "inputs": {"up": {"logic": "up", "wants": "maintained"}}}


def _case(told: str | None, *, steps: bool = True, sees: tuple[str, ...] = ()) -> Any:
    return a_case(
        {"1": {"kind": "pulse", "for_s": 20.0, "steps": steps, "works": "it.up"}},
        devices={"it": {**BLIND, "position_told": told}},
        promises=FROM_HERE,
        sees=sees,
    )


@pytest.mark.parametrize(
    ("told", "sees", "verdict"),
    [
        ("read back", (), Verdict.HOLDS),
        ("in sight", ("it",), Verdict.HOLDS),
        ("in sight", (), Verdict.FAILS),
        ("nothing", ("it",), Verdict.FAILS),
        (None, ("it",), Verdict.UNKNOWN),
    ],
)
def test_dev_50_whoever_presses_knows_how_far_it_is(
    told: str | None, sees: tuple[str, ...], verdict: Verdict
) -> None:
    """Read back, or seen from every place that it is promised from."""
    assert finding_of(judge_steps(_case(told, sees=sees)), "DEV-50").verdict is verdict


def test_dev_50_lost_steps_are_told_from_what_was_counted() -> None:
    """20 presses of which 88 % are heard lose 2.4, sd sqrt(20 x 0.88 x 0.12) = 1.45: by hand."""
    case = _case("nothing")
    reading = {"receiver": "house/R1", "place": "here", "heard": 88, "of": 100}
    job = case.job.model_validate({**case.job.model_dump(by_alias=False), "readings": (reading,)})
    says = finding_of(judge_steps(case.with_job(job)), "DEV-50").says

    assert "2.4 are lost on average, give or take 1.5" in says


def test_a_step_is_no_run_that_stops_short() -> None:
    """DEV-01 is of whole travels; without 'steps' a pulse of 20 s on a travel of 540 s fails."""
    assert "DEV-01" in codes_of(judge(_case("nothing", steps=False)), "fails")
    assert "DEV-01" not in {finding.code for finding in judge(_case("nothing"))}
    assert not list(judge_steps(_case("nothing", steps=False)))
