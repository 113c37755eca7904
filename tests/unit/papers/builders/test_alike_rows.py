"""What is equal stands once: promises of a place in one row, cautions that another sentence contains."""

from __future__ import annotations

import pytest

from farpress.case.door import open_job
from farpress.papers.builders.basis import Basis, make_basis
from farpress.papers.builders.make import paper_of
from farpress.papers.typesetting.paper import Cautions, PaperTable
from helpers.project import EXAMPLES


@pytest.fixture(scope="module")
def court() -> Basis:
    """The court as planned."""
    return make_basis(open_job(EXAMPLES / "tallowmere-court"))


def test_groups_promised_the_same_stand_in_one_row(court: Basis) -> None:
    """Five groups at one place in one row, and nobody is lost."""
    [table] = [
        block
        for section in paper_of(court, "reach-report").sections
        for block in section.blocks
        if isinstance(block, PaperTable) and block.name == "reach"
    ]
    [lane] = [row for row in table.rows if row[:2] == ("entry lane", "entry")]
    for group in ("orrindell", "nordheath", "quibblestone", "thrushgate", "umberlow"):
        assert group in lane[2]
    promised = {(promise.from_, promise.function, promise.to) for promise in court.case.job.promises}
    said = {
        (row[0], row[1], who) for row in table.rows for who in {to for *_, to in promised} if who in row[2]
    }
    assert promised <= said


def test_no_caution_of_the_proving_record_is_said_twice(court: Basis) -> None:
    """Neither as it is nor as a part of a longer one."""
    cautions = [
        sentence
        for section in paper_of(court, "proving-record").sections
        for block in section.blocks
        if isinstance(block, Cautions)
        for sentence in block.sentences
    ]
    assert cautions
    for sentence in cautions:
        assert sum(sentence in other for other in cautions) == 1


def test_a_chance_stands_in_a_table_as_in_its_sentence(court: Basis) -> None:
    """98.96 % is 98.9 beside a promise of 99, and nothing is certain: a cell says what its sentence says."""
    [table] = [
        block
        for section in paper_of(court, "reach-report").sections
        for block in section.blocks
        if isinstance(block, PaperTable) and block.name == "reach"
    ]
    cells = [str(row[5]) for row in table.rows]
    assert "100 %" not in cells
    said = " ".join(finding.says for finding in court.of_code("AIR-01"))
    for cell in cells:
        assert f"in {cell} of cases" in said or cell == "not known"


def test_a_letter_to_the_customer_names_functions_and_no_terminals(court: Basis) -> None:
    """`court/R2/2` is the installer's word."""
    [table] = [
        block
        for section in paper_of(court, "refusal-letter").sections
        for block in section.blocks
        if isinstance(block, PaperTable)
    ]
    spoken = [str(row[1]) for row in table.rows]
    assert "ramp lights" in spoken
    assert "old wicket fobs" in spoken
    assert not [words for words in spoken if "/" in words]
