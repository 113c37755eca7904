"""The circuit of whole jobs in every named state, solved by us and by ngspice, node by node.

ngspice-39 (Debian package 39.3+ds-1), https://ngspice.sourceforge.io, run by the tests themselves on the
decks that `farpress wiring --netlist` writes, unchanged and in batch mode. All states of the three examples
and of small jobs with one idea each. They agree to 1e-6 of their greatest voltage, with diodes to 1e-4.
"""

from __future__ import annotations

import pytest

from farpress.case.case import Case
from farpress.case.door import open_job
from farpress.wiring.decks import decks
from helpers.circuit_jobs import JOBS, small_job
from helpers.ngspice import deck_volts
from helpers.project import EXAMPLES

LINEAR = 1e-6
WITH_DIODES = 1e-4


def compared(case: Case) -> int:
    """Every node of every deck; gives how many there were."""
    count = 0
    for deck in decks(case):
        theirs = deck_volts(deck.text)
        scale = max(abs(volts) for volts in theirs.values())
        close = WITH_DIODES if "\n.model " in deck.text else LINEAR
        assert set(theirs) == set(deck.volts)
        assert scale > 1
        for node, volts in theirs.items():
            assert deck.volts[node] == pytest.approx(volts, abs=close * scale), (deck.name, node)
            count += 1
    return count


@pytest.mark.parametrize("name", JOBS)
def test_a_small_job_has_the_same_volts_everywhere(name: str) -> None:
    """Each state of it, each node."""
    assert compared(small_job(name)) > 20


@pytest.mark.parametrize("job", ["larkfen-house", "tallowmere-court", "brindlemark"])
def test_an_example_has_the_same_volts_everywhere(job: str) -> None:
    """Each state of each premises, each node."""
    assert compared(open_job(EXAMPLES / job)) > 300
