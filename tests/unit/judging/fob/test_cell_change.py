"""Cells that the customer means to change later than they last."""

from __future__ import annotations

import pytest

from farpress.domain.finding import Verdict
from farpress.judging.fob import cell_change
from farpress.judging.fob.cell_plan import cell_plan
from farpress.judging.fob.cells import YEAR_S
from helpers.findings import finding_of
from helpers.logic_case import a_case

GROUP = {"count": 2, "presses_per_day": 3.0, "buttons": {"1": "f1"}}


@pytest.mark.parametrize(
    ("share", "verdict"), [(0.5, Verdict.HOLDS), (0.95, Verdict.THIN), (1.01, Verdict.FAILS)]
)
def test_fob_60_cells_are_changed_before_they_are_empty(share: float, verdict: Verdict) -> None:
    """Beside the life that the other check tells; how long that is it computes elsewhere."""
    output = {"1": {"kind": "pulse", "for_s": 1.0, "works": "lamp.on"}}
    plan = cell_plan(a_case(output, groups={"pair": GROUP}), "pair")
    assert plan is not None
    every = plan.years * share * YEAR_S
    case = a_case(output, groups={"pair": {**GROUP, "cells_changed_s": every}})
    assert finding_of(cell_change.judge(case), "FOB-60").verdict is verdict


def test_fob_60_a_life_that_nobody_can_tell_is_asked() -> None:
    """Without what it draws asleep there is no life to hold it against."""
    case = a_case(
        {"1": {"kind": "pulse", "for_s": 1.0, "works": "lamp.on"}},
        groups={"pair": {**GROUP, "cells_changed_s": YEAR_S}},
        fob={"current_sleep_a": None},
    )
    finding = finding_of(cell_change.judge(case), "FOB-60")
    assert finding.verdict is Verdict.UNKNOWN
    assert finding.asks
