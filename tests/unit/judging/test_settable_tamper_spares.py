"""A pulse within its receiver's range, a tamper contact that is there, spares for a year of losses."""

from __future__ import annotations

from functools import cache

import pytest

import farpress
from farpress.case.case import Case
from farpress.domain.finding import Finding, Verdict
from farpress.judging.output import settable
from farpress.judging.panel import tamper
from farpress.judging.register import spares
from helpers.findings import finding_of
from survey import ROOT

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
R1 = ("premises", "larkfen", "receivers", "R1")


@cache
def _house() -> Case:
    return farpress.open_job(ROOT / "examples" / "larkfen-house")


def _changed(*changes: tuple[tuple[str | int, ...], object]) -> Case:
    return farpress.change(_house(), dict(changes))


@pytest.mark.parametrize(
    ("length", "shortest", "longest", "word"),
    [
        ("499 ms", "500 ms", "10 s", FAILS),
        ("500 ms", "500 ms", "10 s", HOLDS),
        ("10 s", "500 ms", "10 s", HOLDS),
        ("10.1 s", "500 ms", "10 s", FAILS),
    ],
)
def test_a_pulse_lies_within_what_the_receiver_can_be_set_to(
    length: str, shortest: str, longest: str, word: Verdict
) -> None:
    """At both ends of the range, and just beyond; the remedy is a length that can be set."""
    case = _changed(
        ((*R1, "outputs", 1, "for"), length), ((*R1, "pulse_min"), shortest), ((*R1, "pulse_max"), longest)
    )
    finding = finding_of(settable.judge(case), "OUT-10", "R1/1")

    assert finding.verdict is word
    if word is FAILS:
        assert finding.remedies[0].changes[0].value in (shortest, longest)


@pytest.mark.parametrize(("contact", "word"), [("none", FAILS), ("normally closed", HOLDS)])
def test_a_housing_that_is_watched_has_a_contact(contact: str, word: Verdict) -> None:
    """Wired to a tamper input without a contact: nothing is ever reported."""
    finding = finding_of(tamper.judge(_changed(((*R1, "tamper_contact"), contact))), "PAN-15", "R1")

    assert finding.verdict is word


def _spares(share: str, number: int, kept: int) -> list[Finding]:
    changes = ((("register", "lost"), share), (("groups", "parents", "spares"), kept))
    count = ((("groups", "parents", "people"), None), (("groups", "parents", "count"), number))
    return [
        finding for finding in spares.judge(_changed(*changes, *count)) if finding.about == "parents: spares"
    ]


@pytest.mark.parametrize(("kept", "word"), [(1, THIN), (2, HOLDS)])
def test_spares_last_a_year(kept: int, word: Verdict) -> None:
    """Of 40 fobs 5 % are lost: 2 spares are enough, 1 is advice at worst."""
    (finding,) = _spares("5 %", 40, kept)

    assert (finding.verdict, finding.limit, finding.advice) == (word, 2.0, True)


def test_a_small_group_loses_less_than_a_fob_a_year() -> None:
    """Nothing is said of spares where no whole fob is lost."""
    assert _spares("5 %", 19, 0) == []
