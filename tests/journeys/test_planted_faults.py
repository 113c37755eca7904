"""The faults planted in the example jobs are found, and nothing that is sound is flagged."""

from __future__ import annotations

import re
from functools import cache

import pytest

from farpress.case.door import open_job
from farpress.domain.finding import Assessment, Finding, Verdict
from farpress.domain.job import Job
from farpress.judging.assess import assess
from helpers.project import ROOT
from journeys.planted import ENTRIES, Entry

RADIO = "AIR-01"
"""Every promise has one; whether each is kept is for the physics, not for this key, except where the key
names it."""


@cache
def assessed(folder: str) -> Assessment:
    """The assessment of an example, made once."""
    return assess(open_job(ROOT / "examples" / folder))


@cache
def _job(folder: str) -> Job:
    return open_job(ROOT / "examples" / folder).job


def named(folder: str, entry: Entry) -> list[Finding]:
    """Findings of the entry's codes about one of its subjects."""
    functions = _job(folder).functions
    outputs = {
        f"output:{path}"
        for subject in entry.subjects
        if (name := _bare(subject)) in functions
        for path in functions[name].paths
    }
    about = {*entry.subjects, *outputs}
    return [
        one
        for one in assessed(folder).findings
        if one.code in entry.codes
        and (
            {ref.tag for ref in one.subjects} & about
            or any(_bare(subject) in one.about + one.says for subject in about)
        )
    ]


def _bare(subject: str) -> str:
    return subject.partition(":")[2]


def _entries(*kinds: str) -> list[object]:
    return [
        pytest.param(folder, entry, id=f"{folder}: {entry.says[:60]}")
        for folder, entries in ENTRIES.items()
        for entry in entries
        if entry.kind in kinds and entry.codes
    ]


@pytest.mark.parametrize(("folder", "entry"), _entries("planted"))
def test_a_planted_fault_is_found_by_a_finding_that_names_it(folder: str, entry: Entry) -> None:
    """Each planted fault has a finding that does not hold, with the number that proves it where units
    agree.
    """
    found = [one for one in named(folder, entry) if one.verdict is not Verdict.HOLDS]

    assert found, f"nothing of {entry.codes} about {entry.subjects}"
    if entry.value is not None and len(entry.codes) == 1 and entry.link.value not in ("air", "rule"):
        assert any(_proves(one, entry) for one in found), [
            (one.key, one.value, one.limit, one.unit, one.says) for one in found
        ]


def _proves(finding: Finding, entry: Entry) -> bool:
    """Whether a finding's value, limit, or a number in its sentence is the key's, as near as the key says."""
    numbers = [float(text.replace(",", "")) for text in re.findall(r"-?\d[\d,]*(?:\.\d+)?", finding.says)]
    numbers += [number for number in (finding.value, finding.limit) if number is not None]
    factors = (1.0, 1000.0, 100.0) if entry.unit in ("A", "s", "share") else (1.0,)
    assert entry.value is not None
    return any(
        abs(number - entry.value * factor) <= entry.within_share * abs(entry.value * factor)
        for number in numbers
        for factor in factors
    )


@pytest.mark.parametrize(("folder", "entry"), _entries("sound"))
def test_what_is_sound_is_found_to_hold(folder: str, entry: Entry) -> None:
    """Each sound thing was judged by a finding of each named code, and none of those complains."""
    found = named(folder, entry)

    assert {one.code for one in found} >= set(entry.codes)
    sound = [one for one in found if one.link.value != "register" or one.code in entry.codes]
    complaints = {one.key for one in sound if one.verdict is not Verdict.HOLDS} - _accounted(folder)
    assert complaints == set()


@pytest.mark.parametrize("folder", list(ENTRIES))
def test_everything_that_fails_is_in_the_key(folder: str) -> None:
    """No failing finding but those that the key knows as planted or weak."""
    failing = {
        one.key for one in assessed(folder).findings if one.verdict is Verdict.FAILS and one.code != RADIO
    }

    assert failing - _accounted(folder) == set()


def _accounted(folder: str) -> set[str]:
    return {one.key for entry in ENTRIES[folder] if entry.kind != "sound" for one in named(folder, entry)}


def test_the_key_is_long_enough_to_mean_something() -> None:
    """Thirty and more planted faults carry codes, and as many sound things."""
    kinds = [entry.kind for entries in ENTRIES.values() for entry in entries if entry.codes]

    assert kinds.count("planted") >= 30
    assert kinds.count("sound") >= 30
