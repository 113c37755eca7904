"""The month of a cell on user cards and in the cell plan."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest

from farpress.case.door import open_job
from farpress.domain.acts import FobIssued, FobReceived, LowCell
from farpress.judging.fob.cell_plan import cell_plan
from farpress.papers.builders.basis import make_basis
from farpress.papers.builders.cards import CardMaker
from farpress.papers.builders.make import paper_of
from farpress.record.persons import add_person
from farpress.record.store import open_record
from farpress.upkeep.cells import cells_ahead
from helpers.project import EXAMPLES

NOW = date(2026, 11, 25)
pytestmark = pytest.mark.long


@pytest.fixture
def changed(tmp_path: Path) -> Path:
    """The house with a record: the cleaner's fob, come with a cell of March 2026."""
    shutil.copytree(EXAMPLES / "larkfen-house", tmp_path / "job")
    with open_record(tmp_path / "job") as record:
        pim = add_person(record, "Pim Vardel", job="Larkfen House", by="installer")
        record.append_all(
            [
                FobReceived(fob="LH-001-G", cell_date="2026-03"),
                FobIssued(fob="LH-001-G", group="cleaner", person=pim.mark),
            ],
            job="Larkfen House",
            by="installer",
        )
    return tmp_path / "job"


def test_a_known_cell_stands_on_card_and_plan_with_its_months(changed: Path) -> None:
    """Put in March 2026: the card says so and by when to change it, at the age that the forecast names;
    the plan has both months.
    """
    cards = {}
    for language in ("en", "de"):
        basis = make_basis(open_job(changed), language=language)
        cards[language] = {card.name: card for _, heap in CardMaker(basis).batches() for card in heap}
    plan = next(table for table in paper_of(basis, "cell-plan").tables() if table.name == "forecast")
    place = [column.title for column in plan.columns]
    row = next(row for row in plan.rows if row[0] == "cleaner")
    used = cell_plan(basis.case, "cleaner")
    assert used is not None
    ahead = {group.group: group for group in cells_ahead(basis.case, basis.register, (), today=NOW)}
    assert ahead["cleaner"].batch_on is None  # to change all early does not pay: its whole life
    months = 2026 * 12 + 2 + round(12 * used.years)
    assert ahead["parents"].batch_on is not None
    early = round(12 * ahead["parents"].batch.age_years)

    assert (
        f"LH-002-E: lithium coin cell 3 V; change it every {early} months."
        in cards["en"]["Mirela Ostrovane"].cell
    )
    assert row[place.index("put in")] == "2026-03"
    assert row[place.index("change by")] == f"{months // 12}-{months % 12 + 1:02d}"
    assert "Put in March 2026. Change it by " in cards["en"]["Pim Vardel"].cell
    assert f" {months // 12}." in cards["en"]["Pim Vardel"].cell
    assert "Eingesetzt März 2026. Wechseln bis " in cards["de"]["Pim Vardel"].cell
    assert cards["en"]["Pim Vardel"].missing == ()
    assert "Month in which the cell was put in" in " ".join(cards["en"]["Ilse Ostrovane"].missing)
    assert "Put in: month not known." in cards["en"]["Ilse Ostrovane"].cell
    assert any("cells were put in" in one for one in paper_of(basis, "cell-plan").all_missing())


def test_a_cell_reported_low_is_changed_now(changed: Path) -> None:
    """A signal counts more than the month."""
    with open_record(changed) as record:
        record.append(LowCell(fob="LH-001-G", receiver="larkfen/R1"), job="Larkfen House", by="installer")
    card = next(
        card
        for _, heap in CardMaker(make_basis(open_job(changed))).batches()
        for card in heap
        if card.name == "Pim Vardel"
    )

    assert card.cell.endswith("It has been reported as low: change it now.")
