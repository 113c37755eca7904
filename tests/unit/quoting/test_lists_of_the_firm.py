"""The firm's lists: every fault at once with its place, nothing read in two ways, what goes out comes
back.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from farpress.errors import InputError
from farpress.keys.table import CellNumber
from farpress.papers.typesetting.spreadsheet import TableSheet, sheet_csv, sheets_xlsx
from farpress.quoting.figures import figure_of
from farpress.quoting.firm_lists import (
    FirmList,
    ListKind,
    keep_list,
    kept_list,
    list_changes,
    list_of_table,
    read_firm_list,
    sheet_of_list,
    workbook_of_list,
)
from farpress.quoting.list_rows import FirmListFaults
from farpress.quoting.norms import Norms, norms_of_table, pattern_norms
from farpress.quoting.prices import ComesWith, Price, PriceList, prices_of_table
from farpress.quoting.selling_units import SellingUnit, selling_unit
from farpress.quoting.terms import Terms, term_sheet, terms_of_table

HEAD = ["article", "unit", "price, EUR", "tax", "supplier", "order no", "cost, EUR", "comes with", "says"]


def _rows(*rows: str) -> list[list[str]]:
    return [HEAD, *([*row.split("|"), *[""] * 9][:9] for row in rows)]


def test_every_fault_of_a_price_list_is_told_at_once_with_row_and_column() -> None:
    """Holes, two units, a comma for a point, a negative price, thousands, a copy, an hour for a part."""
    table = _rows(
        "RX4|piece|212.00",
        "RX2||164.00",
        "whip|piece|",
        "|piece|3.10",
        "F4|piece|31,40",
        "cable|m|0.60",
        "cable|drum of 100 m|48.00",
        "battery|piece|-29.90",
        "supply|piece|1,250",
        "big supply|piece|1.250",
        "RX4|piece|212.00",
        "label|bundle|2.00",
        "diode|h|2.00",
        "fuse|piece|about two",
        "relay|piece|9.00||||4,50|two sockets",
    )

    with pytest.raises(FirmListFaults) as refused:
        prices_of_table(table)

    places = [(problem.row, problem.column) for problem in refused.value.problems]
    assert places == [
        (3, "unit"),
        (4, "price"),
        (5, "article"),
        (6, "price"),
        (8, "unit"),
        (9, "price"),
        (10, "price"),
        (11, "price"),
        (12, "article"),
        (13, "unit"),
        (14, "unit"),
        (15, "price"),
        (16, "comes with"),
        (16, "cost"),
    ]
    told = str(refused.value)
    assert "14 faults in the price list; nothing of it was taken." in told
    assert "'31,40' has a comma for a point: write 31.40" in told
    assert "two units for one article" in told
    assert "-29.90 is less than nothing" in told
    assert "'1,250' is 1250 in one country and 1.250 in another" in told


@pytest.mark.parametrize(
    ("text", "sign", "amount"),
    [
        ("12.50", "", "12.50"),
        ("0.885", "", "0.885"),
        ("1250", "", "1250"),
        ("1.250", "point", "1.250"),
        ("1,250.50", "point", "1250.50"),
        ("1.250,50", "comma", "1250.50"),
        ("12,5", "comma", "12.5"),
        (CellNumber("1.25"), "comma", "1.25"),
    ],
)
def test_a_figure_has_one_meaning(text: str, sign: str, amount: str) -> None:
    """A number of a workbook is itself, whatever sign the list has elsewhere."""
    assert figure_of(text, sign=sign) == Decimal(amount)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "text", ["1.250", "1,250", "12,50", "1.250,50", "1,250.50", "", "12 EUR", "1e3", "٣", "--1"]
)
def test_a_figure_with_two_meanings_or_none_is_refused(text: str) -> None:
    """Without a word which decimal sign it has."""
    with pytest.raises(InputError):
        figure_of(text)


@pytest.mark.parametrize("text", ["12.5.0", "1,25", "1.25,0"])
def test_a_list_with_points_has_no_commas_but_between_thousands(text: str) -> None:
    """A sign in the wrong place is a slip."""
    with pytest.raises(InputError):
        figure_of(text, sign="point")


UNITS = st.one_of(
    st.sampled_from([SellingUnit("piece"), SellingUnit("m")]),
    st.builds(
        SellingUnit,
        st.sampled_from(["piece", "m"]),
        st.integers(2, 5000).map(Decimal),
        st.sampled_from(["", "box", "drum"]),
    ),
)
NAMES = (
    st.text(st.sampled_from("abRX4 -./é=+'\"@,;1"), min_size=1, max_size=12)
    .map(lambda text: " ".join(text.split()))
    .filter(bool)
)
MONEY = st.decimals(0, 99_999, places=4, allow_nan=False, allow_infinity=False)
PRICES = st.builds(
    Price,
    NAMES,
    UNITS,
    MONEY,
    st.sampled_from(["", "reduced"]),
    st.one_of(st.just(""), NAMES),
    st.one_of(st.just(""), NAMES),
    st.one_of(st.none(), MONEY),
    st.lists(st.builds(ComesWith, st.integers(1, 9), st.sampled_from(["F4", "whip"])), max_size=2).map(tuple),
    st.one_of(st.just(""), NAMES),
)


@given(UNITS)
def test_a_unit_reads_back_as_it_was_written(unit: SellingUnit) -> None:
    """Of a hundred metres, of a box, of a drum."""
    assert selling_unit(str(unit)) == unit


@pytest.mark.long
@settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    prices=st.lists(
        PRICES, min_size=1, max_size=5, unique_by=lambda price: " ".join(price.article.casefold().split())
    )
)
def test_a_price_list_that_goes_out_comes_back_the_same(prices: list[Price], tmp_path: Path) -> None:
    """As CSV to the digit, as a workbook to the number."""
    plain = [price for price in prices if price.article.casefold() != "work"]
    if not plain:
        return
    made = PriceList({price.article: price for price in plain}, "EUR")

    for ending in ("csv", "xlsx"):
        found = _back(tmp_path / f"prices.{ending}", "prices", made)
        assert isinstance(found, PriceList)
        assert list(found.prices.values()) == plain
        assert found.currency == "EUR"


def _back(path: Path, kind: ListKind, made: FirmList) -> FirmList:
    is_csv = path.suffix == ".csv"
    path.write_bytes(sheet_csv(sheet_of_list(made)) if is_csv else workbook_of_list(kind, made))
    return read_firm_list(path, kind=kind)[1]


@pytest.mark.long
@settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    terms=st.builds(
        Terms,
        st.sampled_from(["", "EUR", "JPY", "BHD"]),
        st.dictionaries(
            st.sampled_from(["", "reduced"]),
            st.integers(0, 1000).map(lambda n: Fraction(n, 1000)),
            max_size=2,
        ),
        st.sampled_from(["half up", "half even"]),
        st.sampled_from(["line", "total"]),
        st.one_of(st.none(), st.integers(1, 365)),
        st.integers(0, 300).map(lambda n: Fraction(n, 1000)),
        st.integers(0, 30).map(lambda n: Decimal(n) / 10),
        st.lists(NAMES, max_size=2).map(tuple),
        st.just(()),
    )
)
def test_terms_that_go_out_come_back_the_same(terms: Terms, tmp_path: Path) -> None:
    """Every rate, share and sentence."""
    if not term_sheet(terms).rows:
        return
    assert _back(tmp_path / "terms.csv", "terms", terms) == terms
    assert _back(tmp_path / "terms.xlsx", "terms", terms) == terms


def test_norms_that_go_out_come_back_the_same(tmp_path: Path) -> None:
    """The pattern with every task, its mark kept: a quotation made with it says so."""
    back = _back(tmp_path / "norms.xlsx", "norms", pattern_norms())

    assert isinstance(back, Norms)
    assert back == pattern_norms()
    assert back.is_pattern


def test_faults_of_norms_and_terms_are_told_at_once() -> None:
    """An unknown task, a wrong unit, minutes that are none; a currency, a rate and a term that are not."""
    with pytest.raises(FirmListFaults) as norms:
        norms_of_table(
            [
                ["task", "unit", "minutes", "visit"],
                ["lay cabel", "m", "3", "1"],
                ["lay cable", "piece", "x", "12"],
            ]
        )
    with pytest.raises(FirmListFaults) as terms:
        terms_of_table(
            [["term", "value"], ["currency", "EURO"], ["tax", "20"], ["valdi", "30"], ["valid", ""]]
        )

    assert [(fault.row, fault.column) for fault in norms.value.problems] == [
        (2, "task"),
        (3, "minutes"),
        (3, "unit"),
        (3, "visit"),
    ]
    assert [(fault.row, fault.column) for fault in terms.value.problems] == [
        (2, "value"),
        (3, "value"),
        (4, "term"),
        (5, "value"),
    ]


def test_a_list_says_by_its_head_what_it_is() -> None:
    """And one that is none of the three is refused with what would make it one."""
    assert list_of_table(_rows("RX4|piece|1.00"))[0] == "prices"
    assert list_of_table([["task", "minutes"], ["lay cable", "3"]])[0] == "norms"
    assert list_of_table([["term", "value"], ["currency", "EUR"]])[0] == "terms"
    with pytest.raises(InputError, match="a price list has a column 'article'"):
        list_of_table([["name", "value"], ["x", "y"]])


def test_a_kept_list_takes_new_articles_and_keeps_the_others(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What would change is told first; in another currency nothing is joined."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    old = prices_of_table(_rows("RX4|piece|212.00", "whip|piece|18.25"))
    new = prices_of_table(_rows("RX4|piece|219.00", "F4|piece|31.40"))
    keep_list("prices", old)

    changes = list_changes("prices", new)
    keep_list("prices", new)

    assert [(change.name, change.was, change.becomes) for change in changes] == [
        ("RX4", "unit piece, price, EUR 212", "unit piece, price, EUR 219"),
        ("F4", "", "unit piece, price, EUR 31.4"),
    ]
    kept = kept_list("prices")
    assert isinstance(kept, PriceList)
    assert [str(price.price) for price in kept.prices.values()] == ["219.00", "18.25", "31.40"]
    with pytest.raises(InputError, match="The list that is kept is in EUR, the new one in CHF"):
        keep_list("prices", replace(new, currency="CHF"))
    keep_list("prices", new, replace=True)
    assert isinstance(kept := kept_list("prices"), PriceList)
    assert list(kept.prices) == ["rx4", "f4"]


def test_a_workbook_reckoned_there_is_read_by_its_shown_digits(tmp_path: Path) -> None:
    """3 times 1.1 is 3.3000000000000003 inside a workbook, and 3.3 to whoever looks at it."""
    path = tmp_path / "prices.xlsx"
    path.write_bytes(
        sheets_xlsx("p", (TableSheet("p", ("article", "unit", "price"), (("RX4", "piece", 3 * 1.1),)),))
    )

    _, read = read_firm_list(path)

    assert isinstance(read, PriceList)
    assert read.prices["rx4"].price == Decimal("3.3")
