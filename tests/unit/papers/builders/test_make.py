"""The papers of a job hold the fields of the trade, keep names where they belong, and come as a pack that can
be checked.

Fields of the papers: EN 50131-1:2006 clause 14 and CLC/TS 50131-7:2010 for alarm work,
EN 12635 for doors and gates, both from memory; where no document was at hand common
practice, no source.
"""

from __future__ import annotations

import hashlib
import io
import json
import os
import re
import shutil
import subprocess
import sys
import zipfile
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from openpyxl import load_workbook

from farpress.case.door import open_job
from farpress.dates import day_wanted
from farpress.domain.acts import FobIssued, FobLearned, FobLost, ReceiptSigned, TrialDone, Visit
from farpress.errors import InputError
from farpress.jobfile.starter import write_starter
from farpress.papers.builders.basis import Basis, make_basis
from farpress.papers.builders.cards import CardMaker
from farpress.papers.builders.make import BUILDERS, chosen_kinds, make_papers, paper_of
from farpress.papers.builders.pack import write_papers
from farpress.papers.typesetting.cards import user_cards_pdf
from farpress.papers.typesetting.kinds import KINDS
from farpress.papers.typesetting.paper import Cell, Fields
from farpress.papers.typesetting.render import paper_pdf
from farpress.record.persons import add_person
from farpress.record.store import open_record
from helpers.layout import layout_faults
from helpers.project import EXAMPLES
from helpers.read_pdf import pages_of, poppler_facts, qr_codes, tags_of

NAMES = ("Mirela Ostrovane", "Tavi Ostrovane", "Odetta", "Pim Vardel", "Brask Holm", "Juno Tarsk")

FIELDS: dict[str, tuple[str, ...]] = {
    "survey-record": (
        "Customer",
        "Premises",
        "Contact on site",
        "Survey by",
        "Date of the survey",
        "Kind of premises",
        "Holders of fobs",
        "for whom",
        "function",
        "from where",
        "weight",
        "when",
        "What must never happen",
        "point",
        "photo",
        "what it is",
        "loss of one crossing",
        "Existing drives",
        "nameplate",
        "Alarm panels",
        "Supply points",
        "Radio readings",
        "fob",
        "pad",
        "time, instrument",
        "Noise",
        "Hazards",
        "Landlord, heritage",
        "Insurer",
        "Fire authority",
        "Open questions",
    ),
    "system-design-proposal": (
        "Issue and date",
        "Author",
        "Purpose and limits",
        "Grade claimed",
        "purpose",
        "mode and time",
        "a further press",
        "contact",
        "load",
        "protection",
        "after power return",
        "terminal",
        "Inputs of the receivers",
        "source",
        "normal state",
        "response",
        "Receivers and aerials",
        "Supply and standby",
        "Cables",
        "Predicted reach",
        "promised",
        "predicted",
        "Users and their rights",
        "Setting and unsetting",
        "Maintenance offered",
        "Deviations and who accepts them",
        "Price",
        "signature",
    ),
    "wiring-schedule": (
        "Block diagram",
        "from, terminal",
        "to, terminal",
        "core",
        "type",
        "cable",
        "area",
        "length",
        "core, 20 °C",
        "class",
        "protection",
        "Screens of cables",
        "fuse",
        "volts, worst to best",
        "Readings to expect",
        "Tamper loops, leg by leg",
        "Earthing",
        "Joint boxes",
        "Location drawing",
        "Terminal drawings",
        "Changes of this paper",
        "Licensed person",
    ),
    "settings-schedule": (
        "Receiver larkfen/R1",
        "Firmware",
        "Place",
        "housing's key",
        "Protection of learning",
        "Part",
        "Memory",
        "function",
        "works",
        "planned: mode and time",
        "planned: after power return",
        "Buttons to be learned",
        "set",
        "checked",
        "date, initials",
        "Inputs and acknowledgement",
    ),
    "key-register": (
        "label",
        "serial",
        "type",
        "button: function at receiver/output",
        "slot",
        "holder",
        "organisation",
        "premises",
        "issued, by",
        "receipt signed",
        "valid",
        "state",
        "cell, of",
        "last seen",
        "lost",
        "deleted",
        "evidence",
        "remarks",
        "Persons: kept apart",
    ),
    "proving-record": (
        "test",
        "Try to break the rule",
        "promise",
        "Test fob, cell volts under load",
        "pad",
        "tried",
        "heard",
        "expected",
        "found",
        "Instrument, calibrated until",
        "Weather, vehicles",
        "Alarm panel",
        "Every output through a power cut",
        "With two fobs",
        "measure",
        "Force and overtravel, by a competent person",
        "confidence",
        "signature",
    ),
    "risk-notes": (
        "hazard",
        "where",
        "measure",
        "by whom",
        "what remains",
        "Signs and information for users",
        "judged on paper",
        "What the radio must not be used for",
        "Reference of the assessment",
        "Left unsafe, or safety unknown",
    ),
    "handover-certificate": (
        "Papers handed over",
        "Training given",
        "Exclusions",
        "Annex: open faults",
        "Annex: not proven yet",
        "mended by",
        "Insurer informed",
        "First maintenance",
        "Responsible person",
        "Signatures",
    ),
    "maintenance-plan": ("task", "every", "who", "baseline", "limit, then act", "tools", "licensed person"),
    "log-book": (
        "periodic, fault, change, loss",
        "date",
        "time",
        "person",
        "reason",
        "found, done, parts, readings",
        "left safe, limited or out of use",
        "next date, signature",
        "false alarm",
        "power cut",
    ),
    "lost-fob-sheet": (
        "Reported on, at",
        "Label",
        "functions given away",
        "receivers to visit",
        "block at the panel",
        "by, when",
        "tried with which fob",
        "evidence",
        "Tenant or customer told",
        "Insurer told",
        "Closed",
    ),
    "change-order": ("Asked for by", "Why", "What changes", "Papers to print anew", "Proven", "Done on"),
    "data-note": (
        "Controller",
        "Purpose",
        "Basis",
        "who sees it",
        "Kept until",
        "as long as",
        "Contract with the processor",
        "Deleted",
        "Extract for a person",
    ),
    "cell-plan": (
        "group",
        "spares",
        "put in",
        "change by",
        "low cell reported",
        "cell",
        "of, or changed",
        "lasts about",
        "empty within a year",
        "change all on",
        "order for one change",
        "used cells",
        "low cell reported",
    ),
    "reach-report": (
        "budget",
        "level, dBm",
        "needed, dBm",
        "margin, dB",
        "spread, dB",
        "Readings against the prediction",
        "Maps",
        "Noise by hour",
        "must not be heard",
        "predicted",
        "promised",
    ),
    "user-cards": (
        "Your fob",
        "open gate",
        "Opens gate",
        "Stand",
        "It has worked when",
        "Caution",
        "Never use the fob as the way out",
        "After a power cut",
        "Lost?",
        "Ring 01632 960 014",
        "Cell",
        "lithium coin cell",
        "change it every",
        "Put in",
        "Not known yet",
    ),
    "pocket-cards": ("Lost?", "01632 960 014", "open gate", "LH-001-G"),
    "labels": ("LH-001-G", "Found? Please ring", "01632 960 014"),
    "refusal-letter": ("You asked for", "about", "why not, or not so", "instead", "Who decides"),
}
"""Paper → words that must stand on it, field by field."""


@pytest.fixture(scope="module")
def house() -> Basis:
    """The family house as planned, without a record."""
    return make_basis(open_job(EXAMPLES / "larkfen-house"), day=date(2026, 11, 25))


@pytest.fixture(scope="module")
def printed(house: Basis) -> dict[tuple[str, str], bytes]:
    """Every PDF of the house on both sizes of paper, by name and size."""
    return {
        (one.name.removesuffix(".pdf"), size): one.content
        for size in ("a4", "letter")
        for one in make_papers(house, chosen_kinds(), size=size)
        if one.name.endswith(".pdf")
    }


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Basis:
    """The job that a new folder starts with: one house, one receiver, one gate."""
    folder = tmp_path_factory.mktemp("small")
    write_starter(folder / "thornwick", name="Thornwick Rise")
    return make_basis(open_job(folder / "thornwick"), day=date(2026, 11, 25))


@pytest.fixture
def running(tmp_path: Path) -> Path:
    """The house with a record: one fob issued, learned and lost, another issued, trials, a visit."""
    folder = tmp_path / "larkfen-house"
    shutil.copytree(EXAMPLES / "larkfen-house", folder)
    job = "Larkfen House"
    with open_record(folder) as record:
        pim = add_person(record, "Pim Vardel", job=job, by="installer")
        stranger = add_person(record, "Nela Quist", job=job, by="installer")
        record.append_all(
            [
                FobIssued(
                    fob="LH-001-G",
                    group="cleaner",
                    person=pim.mark,
                    buttons={"1": ["open gate"], "2": ["wicket"]},
                ),
                ReceiptSigned(fob="LH-001-G"),
                FobLearned(fob="LH-001-G", receiver="larkfen/R1", output="1", button="1", slot="7"),
                FobLearned(fob="LH-001-G", receiver="larkfen/R1", output="3", button="2", slot="8"),
                FobIssued(
                    fob="LH-090",
                    person=stranger.mark,
                    organisation="Quist and Daughter",
                    buttons={"1": ["wicket"]},
                ),
                TrialDone(
                    test="reach: larkfen/wicket outside to larkfen/R1",
                    presses=59,
                    heard=59,
                    place="larkfen/wicket outside",
                    receiver="larkfen/R1",
                ),
                FobLost(fob="LH-001-G", between="the market and the bus"),
                Visit(premises="larkfen", why="power supply looked at"),
            ],
            job=job,
            by="installer",
        )
    return folder


@pytest.mark.parametrize("name", FIELDS)
def test_a_paper_has_the_fields_of_the_trade(printed: dict[tuple[str, str], bytes], name: str) -> None:
    """Every field that the trade expects on this paper stands on it, filled in or as a line to fill in."""
    text = " ".join(pages_of(printed[name, "a4"])).replace("\xa0", " ").casefold()

    assert [field for field in FIELDS[name] if field.casefold() not in text] == []


def test_every_paper_is_checked_for_its_fields() -> None:
    """A new paper needs its line in the table."""
    assert set(FIELDS) | {"key-register-without-names", "summary"} == set(KINDS)
    assert set(BUILDERS) | {"user-cards", "pocket-cards", "labels"} == set(KINDS)


@pytest.mark.parametrize("size", ["a4", "letter"])
@pytest.mark.parametrize("name", KINDS)
def test_every_paper_is_clean_and_tagged(printed: dict[tuple[str, str], bytes], name: str, size: str) -> None:
    """No word on another or beyond the frame, no letter under 7 points, no heading alone at a foot, no page
    for a few lines; tagged by PDF/UA, in English.
    """
    pdf = printed[name, size]

    assert layout_faults(pdf) == []
    assert "H1" in tags_of(pdf)
    assert b"pdfuaid:part" in pdf
    assert re.search(rb"/Lang\s*\(en", pdf)


@pytest.mark.parametrize("job", ["tallowmere-court", "brindlemark"])
def test_the_papers_of_a_larger_job_are_clean(job: str) -> None:
    """Papers with drawings, long tables and many sources; a card of each group, in German on Letter."""
    basis = make_basis(open_job(EXAMPLES / job), day=date(2026, 11, 25), language="de")
    cards = tuple(cards[0] for _, cards in CardMaker(basis).batches())

    for name in (
        "wiring-schedule",
        "system-design-proposal",
        "handover-certificate",
        "settings-schedule",
        "cell-plan",
        "reach-report",
        "change-order",
    ):
        assert (
            layout_faults(
                paper_pdf(
                    paper_of(basis, name), basis.head, size="letter" if name == "change-order" else "a4"
                )
            )
            == []
        ), name
    assert layout_faults(user_cards_pdf(cards, basis.head_in_language, basis.texts, size="letter")) == []


FIGURE = re.compile(r"\d ?(k?ohm|[mk]?V|m?A|VA|m|mm2|dBm?|m?s|min|h|%|years?|Ah|deg)\b")
DESCRIBES = {
    "what it is",
    "about",
    "remedy",
    "cell",
    "remark, time, instrument",
    "from, terminal",
    "to, terminal",
}
"""Columns that only name or describe: a part is called "supply 24 V DC", a terminal "0 V"."""


@pytest.mark.parametrize("job", ["larkfen-house", "tallowmere-court", "brindlemark"])
def test_every_figure_has_a_source(job: str) -> None:
    """Each number with a unit, and each number in a column of numbers, carries a source at its cell, its row
    or its column: no table has one for all.
    """
    basis = make_basis(open_job(EXAMPLES / job), day=date(2026, 11, 25))
    bare = []
    for name in BUILDERS:
        paper = paper_of(basis, name)
        for table in paper.tables():
            for row in table.rows:
                for column, cell in zip(table.columns, row, strict=True):
                    text = cell.text if isinstance(cell, Cell) else cell
                    sources = (
                        *column.sources,
                        *(
                            source
                            for one in row
                            if isinstance(one, Cell) and (one is cell or one.is_for_row)
                            for source in one.sources
                        ),
                    )
                    if (
                        text
                        and not sources
                        and column.title not in DESCRIBES
                        and (FIGURE.search(text) or (column.is_number and any(map(str.isdigit, text))))
                    ):
                        bare.append((name, table.name, column.title, text))
        bare += [
            (name, "field", field.label, field.value)
            for block in paper.blocks()
            if isinstance(block, Fields)
            for field in block.fields
            if field.value and FIGURE.search(field.value) and not field.sources
        ]

    assert [one for one in bare if one[1] != "counts"] == []


def test_a_row_leads_to_its_own_line_of_the_job(house: Basis) -> None:
    """The wish in row four is said in the line that its number names; so are places, rules and buttons."""
    assert house.case.document is not None
    lines = (EXAMPLES / "larkfen-house" / "job.yaml").read_text(encoding="utf-8").splitlines()
    survey = {table.name: table for table in paper_of(house, "survey-record").tables()}

    def line(cell: Cell | str | None) -> str:
        assert isinstance(cell, Cell)
        return lines[
            int(next(one for one in cell.sources if "line" in one.place).place.rpartition(" ")[2]) - 1
        ]

    for row, promise in zip(survey["wishes"].rows, house.case.job.promises, strict=True):
        assert promise.function in line(row[3]) or promise.from_ in line(row[3]) or promise.to in line(row[3])
    for row in survey["places"].rows:
        assert str(row[1]) in line(row[2])
    register = paper_of(house, "key-register")
    assert re.search(r"LH-001-G \[1:\d+\]", " ".join(pages_of(paper_pdf(register, house.head))))
    assert "behind the colon the line of job.yaml" in " ".join(pages_of(paper_pdf(register, house.head)))


def test_the_columns_of_a_budget_add_up_to_the_level(house: Basis) -> None:
    """Fob, way, walls, other ways, receiving end and readings of each row give the level beside them, to the
    rounding.
    """
    table = next(one for one in paper_of(house, "reach-report").tables() if one.name == "budget")
    place = {column.title: number for number, column in enumerate(table.columns)}
    receiving = "aerial, coax, housing, dB"
    parts = ("fob, dBm", "open way, dB", "walls, dB", "other ways, dB", receiving, "readings, dB")

    assert len(table.rows) > 10
    for row in table.rows:
        assert sum(float(str(row[place[part]])) for part in parts) == pytest.approx(
            float(str(row[place["level, dBm"]])), abs=0.31
        )


@pytest.mark.parametrize("name", BUILDERS)
def test_every_table_is_square_and_named_once(house: Basis, name: str) -> None:
    """Each row has a cell for each column; no two sheets of a workbook have one name."""
    tables = paper_of(house, name).tables()

    assert all(len(row) == len(table.columns) for table in tables for row in table.rows)
    assert len({table.name[:31] for table in tables}) == len(tables)


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


def test_every_file_of_a_pack_is_the_same_whoever_makes_it_and_where(tmp_path: Path, running: Path) -> None:
    """Two processes with other seeds for hashes, in other time zones, in other languages of the machine:
    every PDF, workbook, CSV and the ZIP to the byte.
    """
    made = []
    for seed, zone, language in (
        ("1", "Pacific/Auckland", "C.UTF-8"),
        ("4242", "America/St_Johns", "de_DE.UTF-8"),
    ):
        folder = tmp_path / f"made-{seed}"
        done = subprocess.run(
            [
                sys.executable,
                "-m",
                "farpress",
                "papers",
                str(running),
                "-o",
                str(folder),
                "--date",
                "2026-11-25",
                "--zip",
            ],
            capture_output=True,
            text=True,
            check=False,
            env=os.environ
            | {
                "PYTHONPATH": str(EXAMPLES.parent / "src"),
                "PYTHONHASHSEED": seed,
                "TZ": zone,
                "LC_ALL": language,
            },
        )
        assert done.returncode == 0, done.stderr
        made.append(
            {
                path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
                for path in sorted(folder.rglob("*"))
                if path.is_file()
            }
        )

    assert set(made[0]) >= {f"{name}.pdf" for name in KINDS} | {"larkfen-house-papers.zip", "manifest.json"}
    assert [name for name in made[0] if made[0][name] != made[1].get(name)] == []
    assert set(made[0]) == set(made[1])


def test_looking_for_papers_makes_no_record(tmp_path: Path) -> None:
    """A folder without a record has none afterwards."""
    shutil.copy(EXAMPLES / "larkfen-house" / "job.yaml", tmp_path)
    make_basis(open_job(tmp_path))

    assert sorted(path.name for path in tmp_path.iterdir()) == ["job.yaml"]


def test_a_change_order_tells_what_a_change_does(tmp_path: Path) -> None:
    """Thicker cores to the strike: the value, its judgements before and after, the promises that are kept
    now.
    """
    text = (EXAMPLES / "larkfen-house" / "job.yaml").read_text(encoding="utf-8")
    was = "cable: {part: cable-6x0.22, length: 24 m, cores: 1 and 2}"
    assert was in text
    (tmp_path / "job.yaml").write_text(
        text.replace(was, "cable: {part: cable-2x1.0, length: 24 m, cores: 1 and 2}"), encoding="utf-8"
    )
    basis = make_basis(open_job(tmp_path), before=open_job(EXAMPLES / "larkfen-house"))
    text = " ".join(pages_of(paper_pdf(paper_of(basis, "change-order"), basis.head)))

    assert "1 difference." in text
    assert "premises / larkfen / receivers / R1 / outputs / 3 / cable / part cable-6x0.22 cable-2x1.0" in text
    assert "SUP-01 wicket over output 3 of R1" in text
    assert "tavi: wicket from wicket outside; mirela at home: wicket from hall fails thin" in text


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


@pytest.mark.parametrize("size", ["a4", "letter"])
def test_a_small_change_takes_one_page(tmp_path: Path, size: str) -> None:
    """Another telephone number: request, change, effects and signatures on one page of either paper."""
    text = (EXAMPLES / "larkfen-house" / "job.yaml").read_text(encoding="utf-8")
    (tmp_path / "job.yaml").write_text(
        text.replace("telephone: 01632 960 014", "telephone: 01632 960 077"), encoding="utf-8"
    )
    basis = make_basis(open_job(tmp_path), before=open_job(EXAMPLES / "larkfen-house"))
    pages = pages_of(paper_pdf(paper_of(basis, "change-order"), basis.head, size=size))

    assert len(pages) == 1
    for words in ("1 difference.", "01632 960 077", "No judgement changes.", "SIGNATURE"):
        assert words in pages[0]


def test_a_pack_is_whole_and_can_be_checked(tmp_path: Path, small: Basis) -> None:
    """Papers, tables, contents, manifest and hashes; the ZIP holds the same bytes; a second pack is the
    same.
    """
    pack = write_papers(small, tmp_path / "a", audience="installer", size="letter", as_zip=True)
    again = write_papers(small, tmp_path / "b", audience="installer", size="letter", as_zip=True)
    listed = json.loads((tmp_path / "a" / "manifest.json").read_text(encoding="utf-8"))

    assert pack.zip_file is not None
    assert again.zip_file is not None
    assert pack.zip_file.read_bytes() == again.zip_file.read_bytes()
    assert {one["name"] for one in listed["files"]} == {one.name for one in pack.files}
    for one in listed["files"]:
        assert hashlib.sha256((tmp_path / "a" / one["name"]).read_bytes()).hexdigest() == one["sha256"]
    with zipfile.ZipFile(pack.zip_file) as archive:
        assert {"contents.pdf", "manifest.json", "SHA256SUMS", "tables/wiring-schedule.xlsx"} <= set(
            archive.namelist()
        )
    for paper in pack.papers:
        assert poppler_facts(paper.content)["Tagged"] == "yes", paper.name
        assert poppler_facts(paper.content)["Page size"].startswith(("612 x 792", "792 x 612")), paper.name
    assert (listed["date"], listed["paper"], listed["for"]) == ("2026-11-25", "letter", "installer")
    assert qr_codes((tmp_path / "a" / "labels.pdf").read_bytes())[0].startswith("farpress:fob/TR-001-")


def test_tables_read_back_from_the_workbook(house: Basis) -> None:
    """The list of outputs: ten rows, the fourth is the alarm."""
    made = {one.name: one.content for one in make_papers(house, ["system-design-proposal"])}
    rows = list(load_workbook(io.BytesIO(made["tables/system-design-proposal.xlsx"]))["outputs"].values)

    assert len(rows) == 11
    assert rows[4][:2] == ("larkfen/R1/4", "alarm")
    assert (
        made["tables/system-design-proposal/outputs.csv"]
        .decode("utf-8-sig")
        .splitlines()[0]
        .startswith("output,purpose,mode and time")
    )


def test_a_pack_leaves_nothing_of_the_pack_before(tmp_path: Path, small: Basis) -> None:
    """A smaller pack in the same folder: its own files only, but what somebody changed or added stays."""
    write_papers(small, tmp_path, audience="installer")
    (tmp_path / "mine.txt").write_text("mine", encoding="utf-8")
    (tmp_path / "reach-report.pdf").write_bytes(b"written over")
    write_papers(small, tmp_path, audience="customer")

    assert not (tmp_path / "survey-record.pdf").exists()
    assert not (tmp_path / "tables" / "survey-record.xlsx").exists()
    assert (tmp_path / "mine.txt").exists()
    assert (tmp_path / "reach-report.pdf").read_bytes() == b"written over"
    assert (tmp_path / "key-register.pdf").exists()


def test_a_cancelled_pack_is_no_pack(tmp_path: Path, small: Basis) -> None:
    """Stopped in the middle: the pack before lies there as it was, to the byte; a fresh folder is gone
    again.
    """

    def stop(done: int, of: int, what: str) -> None:
        if done == 5:
            raise KeyboardInterrupt

    def content() -> dict[str, bytes]:
        return {
            path.relative_to(tmp_path).as_posix(): path.read_bytes()
            for path in tmp_path.rglob("*")
            if path.is_file()
        }

    write_papers(small, tmp_path, audience="customer")
    before = content()
    with pytest.raises(KeyboardInterrupt):
        write_papers(small, tmp_path, progress=stop)
    with pytest.raises(KeyboardInterrupt):
        write_papers(small, tmp_path / "fresh", progress=stop)

    assert content() == before
    assert not (tmp_path / "fresh").exists()


def test_progress_runs_to_its_end(house: Basis) -> None:
    """Each step is told before it is done, and the last says so."""
    seen: list[tuple[int, int, str]] = []
    list(make_papers(house, ["log-book", "data-note"], progress=lambda *step: seen.append(step)))

    assert [step[:2] for step in seen] == [(0, 2), (1, 2), (2, 2)]
    assert seen[0][2] == "Log book"


def test_what_is_not_there_is_refused_with_what_is() -> None:
    """Paper, audience, date: each message says what can be given."""
    with pytest.raises(InputError, match="key-register"):
        chosen_kinds(only=["key list"])
    with pytest.raises(InputError, match="customer, installer, auditor"):
        chosen_kinds(audience="neighbour")
    with pytest.raises(InputError, match="2026-11-25"):
        day_wanted("25.11.2026")
