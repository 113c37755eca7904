"""The example jobs, each opened once for the tests of a file."""

from __future__ import annotations

import pytest

from farpress.case.case import Case
from farpress.case.door import open_job
from survey import ROOT

EXAMPLES = ("larkfen-house", "brindlemark", "tallowmere-court")


@pytest.fixture(scope="module", params=EXAMPLES)
def example(request: pytest.FixtureRequest) -> Case:
    """Each example job."""
    return open_job(ROOT / "examples" / request.param)


@pytest.fixture(scope="module")
def house() -> Case:
    """The family house."""
    return open_job(ROOT / "examples" / "larkfen-house")
