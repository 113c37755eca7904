"""What a state does not change is not solved again, and each state has the solution it has alone."""

from __future__ import annotations

import pytest

from farpress.case.circuit import solved as solved_module
from farpress.case.circuit.electrics import electrics_of
from farpress.case.circuit.solved import Solver
from farpress.case.circuit.states import states_of
from farpress.case.door import open_job
from helpers.project import EXAMPLES


@pytest.mark.parametrize(
    ("job", "premises"),
    [("larkfen-house", "larkfen"), ("tallowmere-court", "court"), ("brindlemark", "oakmire")],
)
def test_every_state_is_solved_as_if_alone(job: str, premises: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nets are written less often than there are states and nets; the volts and amperes are the same."""
    electrics = electrics_of(open_job(EXAMPLES / job), premises)
    states = states_of(electrics.moments, electrics.circuit)
    written, count = solved_module.written, 0

    def counted(*given: object) -> object:
        nonlocal count
        count += 1
        return written(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(solved_module, "written", counted)
    together = Solver(electrics.circuit)
    found = [together.solve(state) for state in states]
    few, count = count, 0
    alone = [Solver(electrics.circuit).solve(state) for state in states]

    assert found == alone
    assert few < 0.8 * count
