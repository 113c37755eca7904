"""What says the same of another thing stands once; a figure, a word or a question more keeps it apart."""

from __future__ import annotations

import pytest

from farpress.cli.table import chain_table
from farpress.domain.finding import Ask, Assessment, Finding, Link, Verdict
from farpress.overview.alike import chains_alike, findings_alike, says_the_same
from helpers.assessments import chain, finding


@pytest.mark.parametrize(
    ("first", "second", "same"),
    [
        ("pump A by pool A holds", "pump B by pool B holds", True),
        ("pump A by pool X holds", "pump B by pool Y holds", True),
        ("pump A by pool A holds", "well B of lake C holds", False),
        ("9.5 V at pump A", "9.6 V at pump A", False),
        ("pump A holds", "pump A and B hold", False),
        ("R1 switches pump A.", "R2 switches pump B.", True),
    ],
)
def test_sentences_may_differ_in_two_names_and_in_no_figure(first: str, second: str, same: bool) -> None:
    """Names are words; what is counted is not."""
    assert says_the_same(first, second) is same


def pump(name: str, *, value: float = 9.5, **more: object) -> Finding:
    """Volts at a pump of a fish farm."""
    return finding(
        "SUP-01",
        Link.SUPPLY,
        more.pop("verdict", Verdict.FAILS),  # type: ignore[arg-type]
        f"pump {name}",
        says=f"too few volts at pump {name}",
        value=value,
        unit="V",
        **more,
    )


def test_findings_come_together_where_word_and_figure_are_the_same() -> None:
    """The first in full, in its place; another verdict, figure or question stands for itself."""
    asked = pump("E", asks=(Ask("Measure it."),))
    found = [pump("A"), pump("B", value=9.4), pump("C", value=9.501), pump("D", verdict=Verdict.THIN), asked]

    assert [[one.about for one in group] for group in findings_alike(found)] == [
        ["pump A", "pump C"],
        ["pump B"],
        ["pump D"],
        ["pump E"],
    ]


def test_all_findings_are_named_in_the_table_and_told_once() -> None:
    """Twelve pumps are one entry with twelve names; so are their promises."""
    names = [f"P{number}" for number in range(12)]
    promises = tuple(chain(f"keepers: {name} from jetty") for name in names)
    table = chain_table(Assessment("Farm", "0" * 32, "0.1.0", tuple(map(pump, names)), promises))

    assert len(chains_alike(promises)) == 1
    assert table.count("too few volts") == 1
    assert all(f"pump {name}" in " ".join(table.split()) for name in names)
    assert all(f"keepers: {name} from jetty" in " ".join(table.split()) for name in names)
