"""What is made of a case and kept is whole when it is given out: nobody fills it in later, unseen.

Whoever is given a kept value has read what that was made from; what somebody put into it afterwards, of other
parts of the job, would be taken over after an edit as if it rested on nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Any

import pytest

from farpress.case.door import open_job
from farpress.case.reads import Memo, Reads
from farpress.judging import taking_over
from farpress.judging.assess import assess
from farpress.judging.remedies import copies
from farpress.judging.remedies.shown import with_shown_remedies
from helpers.project import ROOT

HOUSE = ROOT / "examples" / "larkfen-house"

FILLED_LATER = (copies._copies,)
"""Tables of copies that were judged: they hang on the case as it was opened, which notes nothing; no judge
reads them."""


def _kept_tables(monkeypatch: pytest.MonkeyPatch) -> list[tuple[Hashable, Any, Any]]:
    """Key, table and what it held when it was made, of all that will be kept in tables and lists."""
    found: list[tuple[Hashable, Any, Any]] = []
    once = Memo.once

    def watched(self: Memo[Any], key: Hashable, make: Callable[[], Any], reads: Reads | None = None) -> Any:
        def noted() -> Any:
            made = make()
            if isinstance(made, dict | list | set):
                found.append((key, made, made.copy()))
            return made

        return once(self, key, noted, reads)

    monkeypatch.setattr(Memo, "once", watched)
    return found


@pytest.mark.long
def test_no_kept_table_is_filled_in_later(monkeypatch: pytest.MonkeyPatch) -> None:
    """The house judged and its remedies tried: every table is at the end what it was when it was made."""
    taking_over.forget_judged()  # by a test before: what is taken over makes no tables
    tables = _kept_tables(monkeypatch)
    case = open_job(HOUSE)
    with_shown_remedies(case, assess(case))

    assert len(tables) > 30
    changed = [key for key, table, before in tables if len(table) != len(before) or table != before]
    assert {key for key in changed if key not in FILLED_LATER} == set()


def test_copies_hang_on_the_case_that_notes_nothing() -> None:
    """A judge reads a watched case; copies that were judged are none of what it keeps."""
    case = open_job(HOUSE)
    with taking_over.taking_over(case) as reader:
        case.once(copies._copies)["a change"] = None

        assert reader.once(copies._copies) == {}
