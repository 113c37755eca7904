"""A job of another kind: a swimming pool, its cover, a lift into the water, the alarm of a chlorine room.

What each paper must say of the dangers in it, and must not say.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest

from farpress.case.door import open_job
from farpress.cli.first_page_text import first_page_text
from farpress.overview.page import first_page
from farpress.papers.builders.basis import Basis, make_basis
from farpress.papers.builders.cards import CardMaker
from farpress.papers.builders.make import paper_of
from farpress.papers.typesetting.paper import (
    Cautions,
    Cell,
    Drawing,
    Fields,
    Findings,
    Paper,
    Signatures,
    Text,
)
from helpers.project import ROOT

POOL = ROOT / "tests" / "data" / "jobs" / "pool.yaml"


@dataclass(frozen=True)
class Told:
    """What one paper must and must not say.

    Attributes:
        paper: its name; "first page" and "user-cards" too.
        must: pieces that stand in it.
        must_not: pieces that stand nowhere in it.
    """

    paper: str
    must: tuple[str, ...]
    must_not: tuple[str, ...] = ()


TOLD = (
    Told(
        "first page",
        (
            "lift up, lift down: started unseen by radio",
            "chlorine fan: volts its contact may not switch: 230 V, at most 24",
            "chlorine alarm: call for help by radio",
            "“the cover never runs on over a swimmer”",
            "not ruled out: lock on a way out",
        ),
        ("rope",),
    ),
    Told(
        "cover",
        (
            "Barred until it is changed: cover close, lift up, lift down, chlorine fan, chlorine alarm.",
            "something is not settled yet: cover open, changing room.",
            "Your rule: lifeguards stay out of the plant room.",
            "Nothing yet: what is named below has to be done first.",
            "nobody is named yet",
        ),
        ("Everything that was promised works.", "dBm", "baths/"),
    ),
    Told(
        "user-cards",
        (
            "The button stays without use until it is changed.",
            "Not before the installer tells you: something is not settled yet. Unlocks door for 4 s.",
        ),
        ("Starts lift", "Moves lift", "Calls for help", "Switches exhaust"),
    ),
    Told(
        "handover-certificate",
        (
            "NOT TO BE SIGNED",
            "person responsible for the machine",
            "licensed electrician",
            "whoever answers the call, by name",
            "fire authority",
            "Other words: a household call, and who answers it",
        ),
        ("accepted by",),
    ),
    Told(
        "risk-notes",
        (
            "whoever is in the water comes under it and cannot get out",
            "electric shock: mains behind covers and in cables",
            "shut in, or no way out",
            "starts or moves by itself, or stays on",
            "a call for help is not heard or not answered",
        ),
        ("load and rope",),
    ),
    Told("settings-schedule", ("not to be set: barred", "BARRED, sheet 3")),
    Told("output-sheets", ("DO NOT WIRE",)),
    Told("wiring-schedule", ("DO NOT WIRE",)),
    Told("refusal-letter", ("lift",)),
)


@pytest.fixture(scope="module")
def pool(tmp_path_factory: pytest.TempPathFactory) -> Basis:
    """The baths, judged once."""
    folder: Path = tmp_path_factory.mktemp("baths")
    (folder / "job.yaml").write_text(POOL.read_text(encoding="utf-8"), encoding="utf-8")
    return make_basis(open_job(folder), day=date(2026, 12, 1))


def _lines(paper: Paper) -> Iterator[str]:
    """Every text of a paper; what stands in one row of a table on one line."""
    for block in paper.blocks():
        match block:
            case Text(text=text):
                yield text
            case Cautions(sentences=sentences):
                yield from sentences
            case Fields(fields=fields):
                yield from (f"{field.label}: {field.value}" for field in fields)
            case Findings(findings=findings):
                yield from (f"{found.says} {found.because}" for found in findings)
            case Drawing(svg=svg):
                yield svg
            case Signatures(roles=roles):
                yield from (says for _, says in roles)
    for table in paper.tables():
        if not table.rows:
            yield table.empty
        for row in table.rows:
            yield "|".join((cell.text if isinstance(cell, Cell) else cell) or "" for cell in row)


def _cards(basis: Basis) -> Iterator[str]:
    for _, cards in CardMaker(basis).batches():
        for card in cards:
            yield from card.cautions
            for fob in card.fobs:
                yield from (f"{press.function} {press.what} {press.tells}" for press in fob.presses)


def _told(basis: Basis, paper: str) -> str:
    if paper == "first page":
        return first_page_text(first_page(basis.assessment), job="pool", width=200)
    lines = _cards(basis) if paper == "user-cards" else _lines(paper_of(basis, paper))
    return "\n".join(lines).replace("\xa0", " ")


@pytest.mark.parametrize("told", TOLD, ids=lambda told: told.paper)
def test_a_paper_says_what_it_must_and_nothing_that_it_must_not(pool: Basis, told: Told) -> None:
    """Whole sentences where they are what somebody acts on."""
    text = _told(pool, told.paper)

    assert [piece for piece in told.must if piece not in text] == []
    assert [piece for piece in told.must_not if piece in text] == []


def test_the_page_is_read_in_a_minute(pool: Basis) -> None:
    """Seven promises that all fail take less than a screen of sixty lines."""
    lines = first_page_text(first_page(pool.assessment), job="pool").split("\n")

    assert len(lines) <= 60
    assert max(map(len, lines)) <= 80


def test_a_toggled_machine_is_no_matter_of_the_alarm_company(pool: Basis) -> None:
    """Who answers for the machine decides; the alarm company decides about a panel."""
    rows = [
        row
        for table in paper_of(pool, "handover-certificate").tables()
        if table.name == "stops"
        for row in table.rows
        if row[0] == "OUT-02"
    ]

    assert len(rows) == 2
    assert {row[3] for row in rows} == {"person responsible for the machine"}
