"""The chain table: shape and word carry the verdict, and it keeps within its columns."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farpress.cli.table import chain_table, explained, painted
from farpress.domain.finding import Assessment, Link, Verdict
from farpress.sources import Citation, Mark
from helpers.assessments import chain, finding, small_assessment

NOTHING = Assessment("Empty", "0" * 32, "0.1.0", (), ())


def test_each_verdict_has_its_own_shape() -> None:
    """Solid, thin, dashed and broken stand in one chain, in the order of the links."""
    text = chain_table(small_assessment())

    assert "━━ fob ── air ━━ receiver ╌╌ output ━╳━ supply ━━ device" in text


def test_the_weakest_link_is_told_in_words() -> None:
    """The code and sentence beneath the chain; number, limit, remedy and source under what is to mend."""
    text = " ".join(chain_table(small_assessment()).split())

    assert ": 10.64 V reach the strike; it needs 10.8 V." in text
    assert "value 10.64 V, limit 10.8 V, margin -0.16 V ± 0.05 V." in text
    assert "remedy 0.5 mm2 instead: 11.4 V at the strike" in text
    assert "IEC 60228-2004, Table 2 [from memory]" in text


def test_everything_lists_the_findings_that_hold_too() -> None:
    """Asked for everything, each finding stands under its code."""
    text = chain_table(small_assessment())

    assert all(f"{one.code} {one.about}" in text for one in small_assessment().findings)


def test_the_counts_are_those_of_the_assessment() -> None:
    """The legend counts promises and findings by verdict."""
    last = chain_table(small_assessment()).splitlines()[-5:]

    assert [re.findall(r"\d+", line)[:2] for line in last[:4]] == [
        ["1", "3"],
        ["0", "1"],
        ["0", "1"],
        ["1", "2"],
    ]


def test_many_sources_are_named_by_number_and_listed_once() -> None:
    """A long list of sources does not drown the sentence: numbers and how they are known, the list at the
    end, each once.
    """
    cited = tuple(
        Citation(
            f"handbook of the chapter {number} with a long name",
            place=f"Table {number}",
            mark=Mark.MEMORY if number % 2 else Mark.READ,
        )
        for number in range(9)
    )
    found = tuple(
        finding(code, Link.SUPPLY, Verdict.FAILS, about=code, sources=cited) for code in ("SUP-01", "SUP-02")
    )
    text = chain_table(Assessment("Many", "0" * 32, "0.1.0", found, ()))

    assert text.count("source [1] to [9]: 5 read; 4 from memory") == 2
    for number, one in enumerate(cited, start=1):
        assert " ".join(text.split()).count(f"[{number}] {one}") == 1


def test_a_plain_terminal_gets_plain_signs() -> None:
    """Every character is ASCII, the shapes stay four different ones."""
    text = chain_table(small_assessment("Zoë’s Haus – Straße 4 °C"), plain=True)

    assert text.isascii()
    assert "== fob -- air == receiver .. output =X= supply" in text


def test_colour_adds_and_changes_nothing() -> None:
    """Without its escape codes the coloured table is the plain one."""
    coloured = painted(chain_table(small_assessment()))

    assert "\x1b[" in coloured
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == chain_table(small_assessment())


def test_a_job_without_promises_says_so() -> None:
    """Nothing promised is not the same as everything in order."""
    assert "No promises yet" in chain_table(NOTHING)


def test_a_promise_that_nobody_could_judge_is_unknown() -> None:
    """No finding touches it: that is not the same as holding."""
    text = chain_table(Assessment("Bare", "0" * 32, "0.1.0", (), (chain("family: gate from street"),)))

    assert "╌╌ family: gate from street: unknown" in text
    assert "No link of this promise could be judged." in text


@pytest.mark.long
@pytest.mark.parametrize("plain", [False, True])
@given(name=st.text(max_size=90), width=st.integers(40, 140))
def test_any_name_keeps_within_the_columns(plain: bool, name: str, width: int) -> None:
    """No line is longer than the width, whatever a job or promise is called; no control character gets
    through.
    """
    one = finding("AIR-01", Link.AIR, Verdict.FAILS, name, says=name)
    everywhere = Assessment(name, "0" * 32, "0.1.0", (one,), (chain(name, one),))
    lines = chain_table(everywhere, width=width, plain=plain).split("\n")

    assert max(map(len, lines)) <= max(width, 50)
    assert not [sign for line in lines for sign in line if sign < " " or sign == "\x7f"]


def test_what_is_asked_about_is_told_in_full_and_the_rest_in_a_line() -> None:
    """Words, number, reason, remedies and sources of what does not hold; what holds has one line."""
    judged = small_assessment().findings
    text = explained(judged)

    assert "remedy 0.5 mm2 instead: 11.4 V at the strike" in " ".join(text.split())
    assert [line for line in text.splitlines() if line.startswith("━━ FOB-01")]
    assert text.count("value 25 m") == 0
    assert "value 25 m" in explained([found for found in judged if found.verdict is Verdict.HOLDS])


@pytest.mark.parametrize(
    ("value", "doubt", "says"),
    [
        (54614.2, None, "value 54,610 operations"),
        (86_400.0, 120.0, "± 120 operations"),
        (0.0000213, None, "value 0.0000213 operations"),
        (
            1.6e7,
            2.6e6,
            "value 16,000,000 operations, limit 3 operations, margin 16,000,000 operations ± 2,600,000",
        ),
    ],
)
def test_no_number_is_written_with_a_power_of_ten(value: float, doubt: float | None, says: str) -> None:
    """As an installer reads it over the telephone."""
    one = replace(
        small_assessment().findings[0],
        value=value,
        limit=3.0,
        margin=value - 3.0,
        doubt=doubt,
        unit="operations",
        verdict=Verdict.FAILS,
    )
    text = " ".join(chain_table(replace(NOTHING, findings=(one,))).split())

    assert says in text
    assert not re.search(r"\de[+-]\d", text)


def test_what_floats_leave_behind_is_no_doubt() -> None:
    """98 % against 99 %, and a doubt of 3.4e-12 %."""
    one = replace(
        small_assessment().findings[0], value=98.0, limit=99.0, margin=-1.0, doubt=3.4e-12, unit="%"
    )
    text = " ".join(chain_table(replace(NOTHING, findings=(one,))).split())

    assert "margin -1 %." in text
