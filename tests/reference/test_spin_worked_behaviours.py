"""spin 6.5.2 (Debian) on the six worked behaviours: counts of states and shortest stories.

The numbers in `WORKED` were found earlier by hand-written Promela and by another explicit
search, which agree; here the Promela is generated from the model.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from farpress.core.rehearsal.ready import make_ready
from helpers.spin import ask_spin
from helpers.worked_models import WORKED, Worked


@pytest.mark.parametrize("worked", WORKED, ids=lambda worked: worked.name)
def test_counts_and_lengths(worked: Worked, tmp_path: Path) -> None:
    """States stored and depth of the first violation."""
    said = ask_spin(make_ready(worked.model, slicing=False), tmp_path)

    assert (said.states, said.shortest) == (worked.states, worked.steps)
