"""What is due: each task once."""

from __future__ import annotations

from datetime import date

import pytest

from farpress.case.door import open_job
from farpress.domain.register import FobRegister
from farpress.upkeep.ask import due_list
from survey import ROOT


@pytest.mark.parametrize("job", ["larkfen-house", "tallowmere-court", "brindlemark"])
def test_no_task_stands_twice_in_the_list(job: str) -> None:
    """An output that works two devices is still pressed once a week."""
    ids = [
        one.id
        for one in due_list(open_job(ROOT / "examples" / job), FobRegister(), (), today=date(2026, 11, 25))
    ]

    assert ids
    assert len(ids) == len(set(ids))
