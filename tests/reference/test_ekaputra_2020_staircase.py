"""Ekaputra, Dewa, Haryadi, Kim, Open Engineering 10 (2020) 394-400: fatigue limit of a steel by staircase.

doi 10.1515/eng-2020-0048. Not read itself: its figures stand in the tests of an open-source
package for fatigue (read on 2026-11-28), which follows ISO 12107:2012. Step 20 MPa, twelve
specimens, fractures 2 at 280 and 3 at 300 MPa, survivals 3 at 260 and 4 at 280 MPa. Printed:
N = 5, A = 8, B = 14, mean 282 MPa, and (N B - A^2)/N^2 = 0.24, below the 0.3 from which the
formula for the spread holds. A survival stands for a press heard. The A of 8 counts from 260 MPa.
"""

from __future__ import annotations

from farpress.core.proving.attenuated import LEAST_V, PadResult, dixon_mood
from helpers.printed import Printed

SERIES = [PadResult(260, 3, 0), PadResult(280, 4, 2), PadResult(300, 0, 3)]


def test_mean_and_validity_are_those_printed() -> None:
    """The rarer answer is the fracture; the spread is not told."""
    found = dixon_mood(results=SERIES, step_db=20.0)

    assert (found.rarer, found.presses) == ("lost", 5)
    assert Printed("282").agrees_with(found.margin_db)
    assert Printed("0.24").agrees_with(found.v)
    assert Printed("0.3").agrees_with(LEAST_V)
    assert found.spread_db is None
