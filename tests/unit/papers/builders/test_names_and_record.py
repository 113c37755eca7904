"""What a paper tells of persons and of the record: names where they belong, what is proven, what is lost."""

from __future__ import annotations

import re
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from farpress.case.door import open_job
from farpress.domain.acts import FobLost
from farpress.errors import InputError
from farpress.papers.builders.basis import Basis, make_basis
from farpress.papers.builders.cards import CardMaker
from farpress.papers.builders.make import BUILDERS, chosen_kinds, make_papers, paper_of
from farpress.papers.typesetting.render import paper_pdf
from helpers.project import EXAMPLES
from helpers.read_pdf import pages_of

pytestmark = pytest.mark.long

NAMES = ("Mirela Ostrovane", "Tavi Ostrovane", "Odetta", "Pim Vardel", "Brask Holm", "Juno Tarsk")


def test_a_register_without_names_has_none(running: Path) -> None:
    """The working copy knows holders by number; the register itself has the table of persons."""
    basis = make_basis(open_job(running))
    with_names, without = (
        " ".join(pages_of(paper_pdf(paper_of(basis, name), basis.head)))
        for name in ("key-register", "key-register-without-names")
    )

    for person in ("Nela Quist", "Tavi Ostrovane", "Juno Tarsk"):
        assert person in with_names
        assert person not in without
    assert "LH-090" in without
    assert "Quist and Daughter" in without


def test_no_holder_is_named_to_an_auditor(house: Basis) -> None:
    """In a pack for an auditor no holder stands, in no paper and no table; who signs for the customer may."""
    allowed = {house.case.job.details.customer, house.case.job.details.responsible_person}
    for one in make_papers(house, chosen_kinds(audience="auditor")):
        text = (
            " ".join(pages_of(one.content))
            if one.name.endswith(".pdf")
            else one.content.decode("utf-8-sig")
            if one.name.endswith(".csv")
            else ""
        )
        for own in allowed:
            text = text.replace(own or "\0", "")
        assert [name for name in NAMES if name in text] == [], one.name


def test_each_person_has_a_card_with_only_their_buttons(house: Basis) -> None:
    """Eight people, eight pages; Ilse's has the call for help and nothing that opens."""
    cards = {card.name: card for _, heap in CardMaker(house).batches() for card in heap}

    assert set(cards) == set(house.case.job.people)
    assert [press.function for fob in cards["Ilse Ostrovane"].fobs for press in fob.presses] == [
        "call for help"
    ]
    assert len(cards["Mirela Ostrovane"].fobs) == 2
    assert {press.function for fob in cards["Mirela Ostrovane"].fobs for press in fob.presses} == {
        "open gate",
        "garage",
        "path lights",
        "alarm",
        "wicket",
        "shutters up",
        "shutters down",
    }


def test_a_place_that_is_not_reliable_says_so_on_the_card(house: Basis) -> None:
    """The gate from the street fails over the air on paper: the card does not promise it."""
    mirela = next(
        card for _, heap in CardMaker(house).batches() for card in heap if card.name == "Mirela Ostrovane"
    )
    gate = next(press for press in mirela.fobs[0].presses if press.function == "open gate")

    assert any("car on the street: not reliable yet" in place for place in gate.where)
    assert any("only where you see the whole of gate" in place for place in gate.where)


def test_the_record_fills_in_what_was_planned(running: Path) -> None:
    """An issued fob takes the place of a planned one; trials turn "not proven" into what they show."""
    basis = make_basis(open_job(running))
    register = " ".join(pages_of(paper_pdf(paper_of(basis, "key-register"), basis.head)))
    proving = " ".join(pages_of(paper_pdf(paper_of(basis, "proving-record"), basis.head)))

    assert " 59 59 " in proving
    assert "holds: proven: " in proving
    assert "visit" in " ".join(pages_of(paper_pdf(paper_of(basis, "log-book"), basis.head)))
    assert re.search(r"LH-090 \[\d+\] issued", register)


def test_the_certificate_counts_as_proven_what_the_record_proves(running: Path) -> None:
    """Fifty-nine of fifty-nine heard from outside the wicket: those promises are not in the annex of what is
    not proven.
    """
    bare, proven = (make_basis(open_job(folder)) for folder in (EXAMPLES / "larkfen-house", running))
    before, after = (
        next(one for one in paper_of(basis, "handover-certificate").tables() if one.name == "unproven")
        for basis in (bare, proven)
    )
    row = {str(one[0]): str(one[1]) for one in before.rows}

    assert "gardener from wicket outside" in row["wicket"]
    assert "gardener from wicket outside" not in {str(one[0]): str(one[1]) for one in after.rows}.get(
        "wicket", ""
    )


def test_the_certificate_names_groups_that_were_shown_everything_and_those_that_were_not() -> None:
    """A line for each group of which the job says so; for all others there are lines to write on."""
    case = open_job(EXAMPLES / "tallowmere-court")
    said = {name: group.trained for name, group in case.job.groups.items() if group.trained is not None}
    table = next(
        table
        for table in paper_of(make_basis(case), "handover-certificate").tables()
        if table.name == "training"
    )

    assert {str(row[0]): str(row[1]).startswith("everything") for row in table.rows} == {
        f"group {name}": trained for name, trained in said.items()
    }
    assert said


def test_readings_of_the_record_are_judged_with_those_of_the_job(running: Path) -> None:
    """The papers judge with the evidence there is; the plan of trials does not know it."""
    basis = make_basis(open_job(running))

    assert len(basis.case.job.readings) == len(basis.case.without_evidence().job.readings) + 1


def test_a_lost_fob_gets_its_sheet(running: Path) -> None:
    """Label, between where, functions, receiver, slot, still known: everything for the first call."""
    basis = make_basis(open_job(running), lost="LH-001-G")
    text = " ".join(pages_of(paper_pdf(paper_of(basis, "lost-fob-sheet"), basis.head)))

    for words in (
        "Fob LH-001-G",
        "the market and the bus",
        "open gate, wicket",
        "larkfen/R1",
        " 7 ",
        " 8 ",
        "still known",
        "Insurer told",
    ):
        assert words in text, words
    assert "The job gives no time zone: times are UTC" in text
    with pytest.raises(InputError, match="LH-090"):
        make_basis(open_job(running), lost="XX-1")

    (job := running / "job.yaml").write_text(
        job.read_text("utf-8").replace("region: europe", "region: europe\ntime_zone: Asia/Kathmandu"), "utf-8"
    )
    basis = make_basis(open_job(running), lost="LH-001-G")
    there = " ".join(pages_of(paper_pdf(paper_of(basis, "lost-fob-sheet"), basis.head)))
    (report,) = (event.moment for event in basis.entries(FobLost))
    local = datetime.fromisoformat(report.replace("Z", "+00:00")) + timedelta(
        hours=5, minutes=45
    )  # Nepal time, the whole year: tz database
    assert f"{local:%Y-%m-%d %H:%M} (time in Asia/Kathmandu)" in there
    assert "no time zone" not in there


def test_buttons_that_many_fobs_share_are_told_once() -> None:
    """The court: 686 fobs, a dozen kinds of buttons; each row names its map, the maps stand before the fobs
    and name every output.
    """
    basis = make_basis(open_job(EXAMPLES / "tallowmere-court"), day=date(2026, 11, 25))
    maps, fobs = paper_of(basis, "key-register").tables()[:2]
    counted = {str(row[0]): int(str(row[1])) for row in maps.rows}
    used = [str(row[7]) for row in fobs.rows]

    assert maps.name == "button maps"
    assert {name: used.count(name) for name in counted} == counted
    assert sum(counted.values()) == len(fobs.rows) > 600
    assert any("entry at court/R1/1" in str(row[2]) for row in maps.rows)


def test_an_auditor_s_copy_names_nobody_not_even_through_a_group(running: Path) -> None:
    """Every word of every paper, with a record: marks stand for persons, for groups called after somebody,
    and in remarks; equal promises are judged equally.
    """
    named, bare = make_basis(open_job(running)), make_basis(open_job(running), without=True)
    said = "\n".join(repr(paper_of(bare, name)) for name in BUILDERS).casefold()
    parts = {part for person in named.case.job.people for part in person.casefold().split()}

    found = [
        said[hit.start() - 200 : hit.end() + 80]
        for part in parts
        for hit in re.finditer(rf"\b{part}\b", said)
    ]
    assert found == []
    assert "h-001" in said
    assert "g1" in said
    assert [chain.verdict for chain in bare.assessment.promises] == [
        chain.verdict for chain in named.assessment.promises
    ]
