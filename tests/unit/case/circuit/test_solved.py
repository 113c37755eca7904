"""What a state does not change is not solved again, and each state has the solution it has alone."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from farpress.case.circuit import solved as solved_module
from farpress.case.circuit.electrics import electrics_of
from farpress.case.circuit.nets import Net
from farpress.case.circuit.parts import Circuit
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
    solved_module._found_of.cache_clear()
    together = Solver(electrics.circuit)
    found = [together.solve(state) for state in states]
    few, count = count, 0
    alone = []
    for state in states:
        solved_module._found_of.cache_clear()
        alone.append(Solver(electrics.circuit).solve(state))

    assert [solution.volts for solution in found] == [solution.volts for solution in alone]
    assert [solution.amperes for solution in found] == [solution.amperes for solution in alone]
    assert few < 0.8 * count


def test_an_edit_solves_anew_only_the_net_that_it_touches(monkeypatch: pytest.MonkeyPatch) -> None:
    """One cable of the court half a metre longer: the other nets keep their solutions."""
    electrics = electrics_of(open_job(EXAMPLES / "tallowmere-court"), "court")
    changed = next(core for core in electrics.circuit.conductors if "store-orrindell" in core.name)
    edited = replace(
        electrics.circuit,
        conductors=tuple(
            replace(core, length_m=core.length_m + 0.5) if core is changed else core
            for core in electrics.circuit.conductors
        ),
    )
    for state in electrics.states:
        electrics.solve(state)
    touched: set[str] = set()
    written = solved_module.written

    def noted(circuit: Circuit, net: Net, *given: Any) -> object:
        touched.add(net.ground)
        return written(circuit, net, *given)

    monkeypatch.setattr(solved_module, "written", noted)
    again = Solver(edited)
    for state in electrics.states:
        again.solve(state)

    assert touched == {"main.0"}
    assert len(again.nets) > 1
