"""A quotation: money by hand, options apart, nothing that looks whole and is not, what a change costs."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from farpress.case.case import Case
from farpress.errors import InputError, JobFileError
from farpress.judging.assess import assess
from farpress.quoting.as_json import quotation_json
from farpress.quoting.difference import difference_of
from farpress.quoting.firm_lists import joined_lists
from farpress.quoting.money_text import line_money, sum_rows
from farpress.quoting.norms import Norms
from farpress.quoting.prices import prices_of_table
from farpress.quoting.pricing import PricedLine
from farpress.quoting.quotation import FirmLists, Quotation, quotation_of
from farpress.quoting.shopping import NO_SUPPLIER, orders_of, pickings_of
from farpress.quoting.terms import Terms
from unit.quoting.conftest import STABLE, job_of, table_of

pytestmark = pytest.mark.long


def _line(quoted: Quotation, name: str) -> PricedLine:
    return next(line for line in quoted.lines if line.name == name)


@pytest.fixture(scope="module")
def quoted(stable: Case, firm: FirmLists) -> Quotation:
    """The stable by the lists of the firm."""
    return quotation_of(stable, assess(stable), firm, day=date(2026, 11, 30))


def test_lines_by_hand(quoted: Quotation, firm: FirmLists) -> None:
    """60 m and a tenth on a drum; 60 m and a tenth by the hundred; seven fobs less two that come with it."""
    amounts = {line.name: line_money(line, firm.terms) for line in quoted.lines}

    assert amounts["solid-2x1.0"] == Decimal("71.00")
    assert amounts["alarm-6x0.22"] == Decimal("31.68")  # 66 x 0.48
    assert amounts["fob-4"] == Decimal("157.00")  # 5 x 31.40
    assert amounts["fob label"] == Decimal("7.95")
    assert amounts["work"] == Decimal("779.48")  # 820.5 min of 57.00 an hour: 779.475, half to even
    assert quoted.bill is not None
    assert quoted.bill.net == Decimal("1257.11")
    assert quoted.valid_until == date(2026, 12, 30)


def test_a_sum_never_looks_whole_where_something_is_missing(quoted: Quotation) -> None:
    """Its words say without how many lines it is, with tax too."""
    rows = dict(sum_rows(quoted.bill, quoted.missing))

    assert quoted.missing == "without 7 lines that have no price and 1 that could not be counted"
    assert [name for name in rows if name.startswith("Sum")] == [
        f"Sum without tax, {quoted.missing}",
        f"Sum with tax, {quoted.missing}",
    ]


def test_what_only_a_wish_needs_is_an_option(quoted: Quotation) -> None:
    """The barn light's cable and its work stand apart; the gate's cable does not."""
    option = quoted.options[0]

    assert option.name == "barn light"
    assert [(line.name, line.bought) for line in option.lines[:2]] == [
        ("solid-2x1.0", Decimal(100)),
        ("cable label", Decimal(2)),
    ]
    assert _line(quoted, "cable label").bought == 4
    assert option.missing == "without 1 line that has no price"


def test_a_coaxial_cable_brings_plugs_and_the_hole_in_its_wall(quoted: Quotation) -> None:
    """From the tack room to its outer face: one brick wall is crossed."""
    holes = next(line for line in quoted.quantities.tasks if line.name == "make hole")

    assert [needed.place for needed in holes.needed] == ["R1 to its aerial: brick 240 mm"]
    assert _line(quoted, "coax plug").bought == 2


def test_a_price_in_another_unit_is_no_price(quoted: Quotation) -> None:
    """Coax by the piece, counted in metres: the line says so."""
    line = _line(quoted, "rg58")

    assert line.amount is None
    assert line.no_price == "the list prices it by piece, and it is counted in metres"


def test_a_piece_longer_than_a_drum_has_no_price(stable: Case, firm: FirmLists) -> None:
    """60 m and waste from drums of 50 m: nothing is joined silently."""
    short = prices_of_table(table_of("article|unit|price\nsolid-2x1.0|drum of 50 m|40.00\n"))

    line = _line(quotation_of(stable, assess(stable), replace(firm, prices=short)), "solid-2x1.0")

    assert line.amount is None
    assert "66 m are wanted in one piece, and a drum has 50 m" in line.no_price


def test_without_lists_there_are_quantities_and_no_money(stable: Case) -> None:
    """No price, no hour, no sum is made up."""
    quoted = quotation_of(stable, assess(stable))

    assert quoted.bill is None
    assert all(line.amount is None for line in quoted.lines)
    assert _line(quoted, "receiver-4-socket").bought == 1
    assert _line(quoted, "receiver-4-socket").no_price == "no price list"
    assert quoted.lines[-1].no_price == "no norms"


def test_prices_without_a_currency_print_no_money(stable: Case, firm: FirmLists) -> None:
    """Ten of what?"""
    quoted = quotation_of(stable, assess(stable), replace(firm, terms=Terms()))

    assert quoted.bill is None
    assert _line(quoted, "receiver-4-socket").no_price == "the terms give no currency"


def test_a_sum_without_norms_says_which_time_is_not_in_it(stable: Case, firm: FirmLists) -> None:
    """One norm alone: the hours of all other tasks are named."""
    only = Norms({"lay cable": firm.norms.by_task["lay cable"]})

    quoted = quotation_of(stable, assess(stable), replace(firm, norms=only))

    assert "the time for connect core, make hole" in quoted.missing
    assert quoted.lines[-1].bought == Decimal("6.00")  # 120 m of 3 min


def test_prices_and_terms_in_two_currencies_are_refused(firm: FirmLists) -> None:
    """And a tax of the list that no term gives a rate for."""
    with pytest.raises(InputError, match="The price list is in EUR, the terms are in CHF"):
        joined_lists({"prices": firm.prices, "terms": replace(firm.terms, currency="CHF")})
    with pytest.raises(InputError, match="names the tax 'reduced', and the terms give no rate"):
        joined_lists({"prices": firm.prices, "terms": replace(firm.terms, taxes={"": firm.terms.taxes[""]})})


def test_orders_go_to_their_suppliers_and_parts_to_their_visits(quoted: Quotation) -> None:
    """What the list names no supplier for stands by itself; cables come first, fobs last."""
    orders, pickings = orders_of(quoted), pickings_of(quoted)

    assert list(orders) == [NO_SUPPLIER, "Brackley Radio", "Quarrel Electric"]
    assert [(line.article, line.quantity, line.unit, line.cost) for line in orders["Quarrel Electric"]] == [
        ("solid-2x1.0", Decimal(1), "drum of 100 m", None),
        ("alarm-6x0.22", Decimal(66), "m", Decimal("17.16")),
    ]
    assert [(picking.premises, picking.visit) for picking in pickings] == [
        ("yard", 1),
        ("yard", 2),
        ("yard", 3),
    ]
    assert {needed.name for needed in pickings[2].pieces} == {"fob-4", "fob label"}


def test_what_stands_is_not_delivered_and_what_is_delivered_is(tmp_path: Path, firm: FirmLists) -> None:
    """A supply that is there, with its battery and fuse; a gate drive that the firm brings."""
    text = STABLE + "delivery: {stands: [yard/main], delivers: [yard/gate]}\n"
    case = job_of(text, tmp_path / "job")

    quoted = quotation_of(case, assess(case), firm)
    names = {line.name for line in quoted.quantities.parts}

    assert names.isdisjoint({"supply-12v-3a", "lead-7ah", "fuse 1 A"})
    assert "sliding-drive" in names
    assert "Stands there already, and is not delivered: yard/main." in quoted.quantities.excluded


def test_a_name_that_nothing_bears_is_refused_where_it_stands(tmp_path: Path) -> None:
    """A receiver that is delivered is no device; both lines are told."""
    with pytest.raises(JobFileError) as refused:
        job_of(STABLE + "delivery: {stands: [yard/mian], delivers: [yard/R1]}\n", tmp_path / "job")

    assert [fault.path for fault in refused.value.faults] == ["delivery.stands[0]", "delivery.delivers[0]"]


def test_a_cable_that_lies_there_is_connected_and_not_bought(tmp_path: Path, stable: Case) -> None:
    """Its cores still end somewhere."""
    text = STABLE.replace(
        "works: gate.start, cable: {part: alarm-6x0.22,",
        "works: gate.start, cable: {existing: true, part: alarm-6x0.22,",
    )
    case = job_of(text, tmp_path / "job")

    before, after = (quotation_of(job, assess(job)) for job in (stable, case))

    def counted(quoted: Quotation, name: str) -> Decimal:
        return sum((line.amount for line in quoted.quantities.offered if line.name == name), Decimal(0))

    assert (counted(before, "alarm-6x0.22"), counted(after, "alarm-6x0.22")) == (60, 0)
    assert counted(before, "connect core") == counted(after, "connect core")


def test_a_change_order_shows_what_differs_and_what_that_costs(
    tmp_path: Path, quoted: Quotation, firm: FirmLists
) -> None:
    """Three riders more: fobs, their labels are in the box already, and minutes to teach and to label."""
    case = job_of(STABLE.replace("count: 5", "count: 8"), tmp_path / "job")
    difference = difference_of(quoted, quotation_of(case, assess(case), firm, day=date(2026, 11, 30)))

    assert [(change.name, change.was, change.becomes, change.money) for change in difference.changes] == [
        ("fob-4", 5, 8, Decimal("94.20")),
        ("work", Decimal("13.68"), Decimal("13.82"), Decimal("8.54")),  # 9 minutes: 788.025 less 779.475
    ]
    assert difference.net == Decimal("102.74")
    assert difference.gross == Decimal("123.28")  # tax: 50.24 less 31.40, 157.60 less 155.90
    assert difference.missing == ""
    assert difference_of(quoted, quoted).changes == ()


def test_a_program_reads_money_as_text(quoted: Quotation) -> None:
    """No digit is lost in a float, and a sum that is not whole says so."""
    told = quotation_json(quoted)

    assert '"net": "1257.11"' in told
    assert '"sum_is_whole": false' in told
    assert '"price": "210.00"' in told
