"""Parts that changes take, counted by hand, and their money by the firm's list."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

from farpress.case.case import Case
from farpress.case.changed import with_changes
from farpress.case.door import open_job
from farpress.domain.finding import Change
from farpress.quoting.changed_parts import changed_parts
from farpress.quoting.prices import prices_of_table
from farpress.quoting.quotation import FirmLists
from farpress.quoting.terms import Terms
from helpers.small_jobs import HALL

_OUT = ("premises", "hall", "receivers", "R1", "outputs")
_MAIN = ("premises", "hall", "supplies", "main")


def _changed(folder: Path, *edits: tuple[tuple[str, ...], Any], text: str = HALL) -> tuple[Case, Case]:
    (folder / "job.yaml").write_text(text, encoding="utf-8")
    case = open_job(folder)
    return case, with_changes(case, [Change(path, value) for path, value in edits])


def test_what_is_new_and_what_is_spared_by_hand(tmp_path: Path) -> None:
    """Another battery, 2 m more of one cable, a relay, two fobs more; what stays is not told."""
    before, after = _changed(
        tmp_path,
        ((*_MAIN, "battery", "part"), "lead-12ah"),
        ((*_OUT, "1", "cable", "length"), "8 m"),
        ((*_OUT, "2", "via"), "relay-gold-12v"),
        (("groups", "keepers", "count"), 5),
    )
    found = changed_parts(before, after)
    new = {(line.name, line.unit): line.bought for line in found.new}

    assert new == {
        ("lead-12ah", "piece"): 1,
        ("flex-2x1.5", "m"): 2,
        ("relay-gold-12v", "piece"): 1,
        ("fob-4", "piece"): 2,
        ("fob label", "piece"): 2,
    }
    assert [(line.name, line.amount) for line in found.spared] == [("lead-7ah", Decimal(1))]
    assert found.told[-1] == "What that costs is not told: no price list is kept."


def test_what_stands_already_is_bought_where_it_changes(tmp_path: Path) -> None:
    """A standing supply gets another battery: the order has it."""
    text = HALL + "delivery: {stands: [hall/main, hall/R1]}\n"
    before, after = _changed(tmp_path, ((*_MAIN, "battery", "part"), "lead-12ah"), text=text)

    assert [line.name for line in changed_parts(before, after).new] == ["lead-12ah"]


def test_a_value_that_wins_over_the_part_is_in_its_name(tmp_path: Path) -> None:
    """Who orders lead-7ah for 12 Ah gets 7 Ah."""
    before, after = _changed(tmp_path, ((*_MAIN, "battery", "capacity"), "12 Ah"), ((*_MAIN, "rated"), "3 A"))
    found = changed_parts(before, after)

    assert [line.name for line in found.new] == ["supply-12v-1a5, rated 3 A", "lead-7ah, 12 Ah"]
    assert [line.name for line in found.spared] == ["supply-12v-1a5", "lead-7ah"]


def test_money_is_that_of_the_list_and_says_what_it_lacks(tmp_path: Path) -> None:
    """Two relays of 12.35 and a battery without a price: 24.70, and the battery is named."""
    before, after = _changed(
        tmp_path,
        ((*_OUT, "1", "via"), "relay-gold-12v"),
        ((*_OUT, "2", "via"), "relay-gold-12v"),
        ((*_MAIN, "battery", "part"), "lead-12ah"),
    )
    prices = prices_of_table([["article", "unit", "price"], ["relay-gold-12v", "piece", "12.35"]])
    terms = replace(Terms(), currency="EUR")
    found = changed_parts(before, after, FirmLists(prices=prices, terms=terms))

    assert found.net == Decimal("24.70")
    assert found.told[-1] == (
        "Parts by the firm's price list, without tax and work: 24.70 EUR; not in it, as the list has no"
        " price: lead-12ah."
    )


def test_nothing_changed_takes_nothing(tmp_path: Path) -> None:
    """No sentence, no sum."""
    before, after = _changed(tmp_path, (("groups", "keepers", "presses"), "41 per day"))

    assert (changed_parts(before, after).told, changed_parts(before, after).net) == ((), None)
