"""A small catalogue of names and the sample job, for the tests of the job file."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping

import pytest

from farpress.errors import JobFileError
from farpress.jobfile.reader import read_job_text
from helpers.project import ROOT

DATA = ROOT / "tests" / "data" / "jobs"


@pytest.fixture(scope="session")
def known() -> Mapping[str, frozenset[str]]:
    """Names of parts as a catalogue would give them."""
    return {kind: frozenset(names) for kind, names in json.loads((DATA / "known.json").read_text()).items()}


@pytest.fixture(scope="session")
def sample() -> str:
    """The text of a job that uses every table."""
    return (DATA / "quarry-cottage.yaml").read_text(encoding="utf-8")


@pytest.fixture
def faults(known: Mapping[str, frozenset[str]]) -> Callable[[str | bytes], list[str]]:
    """The faults of a text, each as "line:column path: sentence"; empty for a job that reads."""

    def found(text: str | bytes) -> list[str]:
        try:
            read_job_text(text, known=known)
        except JobFileError as error:
            return [f"{one.line}:{one.column} {one.path}: {one.says}" for one in error.faults]
        return []

    return found
