"""Findings of the examples as they were (frozen, no reference): whatever moves one is seen."""

from __future__ import annotations

import csv

import pytest

import freeze_findings


@pytest.mark.parametrize("job", freeze_findings.JOBS)
def test_findings_are_what_they_were(job: str) -> None:
    """If one moved on purpose: say so in a `numbers` fragment and run `tools/freeze_findings.py`."""
    with freeze_findings.FILE.open(encoding="utf-8", newline="") as file:
        before = {tuple(row) for row in csv.reader(file) if row[0] == job}
    now = {row for row in _rows() if row[0] == job}

    assert sorted(before - now) == []
    assert sorted(now - before) == []


_ROWS: list[tuple[str, ...]] = []


def _rows() -> list[tuple[str, ...]]:
    if not _ROWS:
        _ROWS.extend(freeze_findings.rows())
    return _ROWS
