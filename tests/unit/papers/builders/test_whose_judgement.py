"""A paper prints a judgement beside what it is about, and beside nothing else."""

from __future__ import annotations

from dataclasses import replace

import pytest

from farpress.case.door import open_job
from farpress.domain.finding import Finding, Link, Verdict
from farpress.domain.refs import DeviceRef, InputRef, OutputRef, Ref, SupplyRef
from farpress.papers.builders import proposal, wiring
from farpress.papers.builders.basis import Basis, make_basis
from farpress.papers.typesetting.paper import Cell, Paper
from helpers.project import EXAMPLES


@pytest.fixture(scope="module")
def basis() -> Basis:
    """Larkfen House, judged."""
    return make_basis(open_job(EXAMPLES / "larkfen-house"))


def _told(basis: Basis, code: str, about: str, *subjects: Ref) -> Basis:
    """The basis with one finding of this code instead of all of it."""
    others = tuple(finding for finding in basis.assessment.findings if finding.code != code)
    told = Finding(
        code=code, link=Link.SAFETY, verdict=Verdict.FAILS, about=about, says="It is so.", subjects=subjects
    )
    return replace(basis, assessment=replace(basis.assessment, findings=(*others, told)))


def _row(paper: Paper, table: str, start: str) -> tuple[Cell | str | None, ...]:
    rows = next(block.rows for block in paper.tables() if block.name == table)
    (row,) = (row for row in rows if isinstance(row[0], str) and row[0].startswith(start))
    return row


@pytest.mark.long
@pytest.mark.parametrize(
    ("number", "printed"), [("1", "mains: licensed person"), ("10", "extra-low voltage")]
)
def test_mains_on_output_ten_is_not_mains_on_output_one(basis: Basis, number: str, printed: str) -> None:
    """Output 1 is of the mains class if it was judged so itself; its number begins that of output 10."""
    told = _told(basis, "SAFE-07", f"larkfen/R1/{number}: x.on", OutputRef(f"larkfen/R1/{number}"))

    assert _row(wiring.paper(told), "runs", "larkfen/R1, output 1,")[8] == printed


@pytest.mark.parametrize(("number", "verdict"), [("1", "fails"), ("10", "unknown")])
def test_input_ten_is_not_input_one(basis: Basis, number: str, verdict: str) -> None:
    """An input shows its own judgement; where there is none it says so."""
    told = _told(basis, "PAN-04", f"larkfen/R1 input {number} from x", InputRef(f"larkfen/R1/in{number}"))
    cell = _row(proposal.paper(told), "inputs", "larkfen/R1 input 1")[5]

    assert isinstance(cell, Cell)
    assert cell.verdict == verdict


def test_volts_over_a_contact_are_not_volts_of_a_feeder(basis: Basis) -> None:
    """What a device gets over an output is judged in the row of the output, not of its own cable."""
    device, supply = DeviceRef("larkfen/wicket"), SupplyRef("larkfen/main")

    own = _told(basis, "SUP-01", "wicket on larkfen/main", device, supply)
    over = _told(basis, "SUP-01", "wicket over output 3", device, OutputRef("larkfen/R1/3"), supply)

    assert [finding.about for finding in own.fed(device, supply)] == ["wicket on larkfen/main"]
    assert over.fed(device, supply) == ()
