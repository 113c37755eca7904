"""Dangers put into a sound house, one at a time: what each paper must then say, and must not say."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest

from farpress.case.door import open_job
from farpress.domain.finding import Verdict
from farpress.errors import JobFileError
from farpress.overview.page import first_page
from farpress.papers.builders.basis import Basis, make_basis
from farpress.papers.builders.cards import CardMaker
from farpress.papers.builders.make import paper_of
from farpress.papers.typesetting.cards import CardPress
from farpress.papers.typesetting.paper import Cell, Drawing, Paper, PaperTable, Signatures
from helpers.project import ROOT

SOUND = (ROOT / "tests" / "data" / "jobs" / "sound_house.yaml").read_text(encoding="utf-8")
STRIKE = "    fails: locked\n    escape_route: false\n    opens_by_hand: true\n"
GATE = "    safeguards: [beams, edge]\n    safeguards_tested: true\n"
SHUTTER = "    safeguards: [force limit, beams]\n    safeguards_tested: true\n"
LAMP = "    supply: dc\n    voltage: 12 V\n    voltage_min: 9 V\n    voltage_max: 15 V\n    current: 40 mA\n"
LAMP_ON_MAINS = (
    (LAMP, "    supply: mains\n    voltage: 230 V AC\n    current: 40 mA\n"),
    ("works: lamp.on, load_from: main, cable: {part: two", "works: lamp.on, cable: {part: mains"),
    ("voltage: 12 V, current: 40 mA", "voltage: 230 V AC, current: 40 mA"),
    ("mains_rated: false", "mains_rated: true"),
)


@dataclass(frozen=True)
class Danger:
    """One edit of the sound house.

    Attributes:
        name: what was done.
        edits: text → text.
        code: check that must notice it.
        output: number of the output, or empty.
        does: "bars", "asks" or "fails".
    """

    name: str
    edits: tuple[tuple[str, str], ...]
    code: str
    output: str
    does: str


DANGERS = (
    Danger("nobody says how people get out", ((STRIKE, "    fails: locked\n"),), "DEV-04", "2", "asks"),
    Danger(
        "an escape route without a lever",
        ((STRIKE, "    fails: locked\n    escape_route: true\n    opens_by_hand: false\n"),),
        "DEV-04",
        "2",
        "bars",
    ),
    Danger(
        "no escape route, and no lever",
        ((STRIKE, "    fails: locked\n    escape_route: false\n    opens_by_hand: false\n"),),
        "DEV-04",
        "2",
        "bars",
    ),
    Danger("a safety input", (("open: {logic: open only", "open: {logic: safety"),), "SAFE-01", "1", "bars"),
    Danger(
        "a photocell by another name",
        (("open: {logic: open only", "photocell: {logic: open only"), ("gate.open", "gate.photocell")),
        "SAFE-01",
        "1",
        "asks",
    ),
    Danger(
        "closes by itself, safeguards unsaid", ((GATE, "    closes_after: 30 s\n"),), "DEV-03", "1", "asks"
    ),
    Danger(
        "closes by itself, safeguards untested",
        ((GATE, "    closes_after: 30 s\n    safeguards: [beams]\n    safeguards_tested: false\n"),),
        "DEV-03",
        "1",
        "fails",
    ),
    Danger(
        "an unseen shutter without guard",
        ((SHUTTER, ""), ("up: {logic: up", "up: {logic: down"), ("sees: [gate, shutter, ", "sees: [gate, ")),
        "DEV-03",
        "3",
        "asks",
    ),
    Danger("mains on a contact for 24 V", LAMP_ON_MAINS, "CON-05", "4", "bars"),
    Danger(
        "mains in alarm cable",
        (
            *LAMP_ON_MAINS,
            ("contact_rated_voltage: 24 V", "contact_rated_voltage: 250 V"),
            ("works: lamp.on, cable: {part: mains", "works: lamp.on, cable: {part: thin"),
        ),
        "SAFE-11",
        "4",
        "asks",
    ),
    Danger(
        "a contactor for nobody knows what",
        (("    device: lamp\n", "    device: contactor\n"),),
        "SAFE-12",
        "4",
        "asks",
    ),
    Danger(
        "a saw called a lamp", (("says: lamp over the door", "says: circular saw"),), "SAFE-12", "4", "asks"
    ),
    Danger(
        "an emergency call in words",
        (("says: a household call", "says: 'emergency call to the ambulance, monitored day and night'"),),
        "SAFE-05",
        "6",
        "bars",
    ),
)
"""Those that somebody may accept, and the one that the reader refuses, have tests of their own below."""

_MADE: dict[str, Basis] = {}


def _basis(folder: Path, danger: Danger | None) -> Basis:
    """The house with a danger in it, judged once for all tests of this module."""
    name = danger.name if danger is not None else ""
    if name not in _MADE:
        text = SOUND
        for before, after in danger.edits if danger is not None else ():
            assert text.count(before) == 1, before
            text = text.replace(before, after)
        (folder / "job.yaml").write_text(text, encoding="utf-8")
        _MADE[name] = make_basis(open_job(folder), day=date(2026, 11, 25))
    return _MADE[name]


def _words(paper: Paper) -> str:
    """Everything that stands in the tables of a paper, verdict first."""
    return "\n".join(
        f"{cell.verdict} {cell.text}" if isinstance(cell, Cell) else str(cell)
        for table in paper.tables()
        for row in table.rows
        for cell in row
    )


def _table(paper: Paper, name: str) -> PaperTable | None:
    return next((table for table in paper.tables() if table.name == name), None)


def _presses(basis: Basis) -> Iterator[CardPress]:
    maker = CardMaker(basis)
    for _, cards in maker.batches():
        for card in cards:
            for fob in card.fobs:
                yield from fob.presses


def _settings_row(basis: Basis, number: str) -> tuple[Cell | str | None, ...]:
    table = _table(paper_of(basis, "settings-schedule"), "outputs R1")
    assert table is not None
    return next(row for row in table.rows if row[0] == number)


def test_the_sound_house_can_be_handed_over(tmp_path: Path) -> None:
    """Nothing stops it: there are lines to sign, every function is on its card, nothing is hatched."""
    basis = _basis(tmp_path, None)
    certificate = paper_of(basis, "handover-certificate")

    assert first_page(basis.assessment).stop == ()
    assert any(isinstance(block, Signatures) for block in certificate.blocks())
    assert _table(certificate, "stops") is None
    assert not basis.barred
    assert all(press.how == "" and "Not before" not in press.what for press in _presses(basis))
    assert all("DO NOT WIRE" not in svg for svg in _drawings(paper_of(basis, "wiring-schedule")))


def _drawings(paper: Paper) -> list[str]:
    return [block.svg for block in paper.blocks() if isinstance(block, Drawing)]


@pytest.mark.parametrize("danger", DANGERS, ids=lambda danger: danger.name)
def test_a_danger_is_noticed_and_nobody_can_sign(tmp_path: Path, danger: Danger) -> None:
    """It bars, fails or is asked; the certificate says why it cannot be issued, and offers no line."""
    basis = _basis(tmp_path, danger)
    path, certificate = f"house/R1/{danger.output}", paper_of(basis, "handover-certificate")
    found = basis.standings[path].of_code(danger.code)[0]
    stops, faults = _table(certificate, "stops"), _table(certificate, "faults")

    assert found.bars is (danger.does == "bars")
    assert found.verdict is (Verdict.UNKNOWN if danger.does == "asks" else Verdict.FAILS)
    assert bool(found.asks) is (danger.does == "asks")
    assert stops is not None
    assert any(row[0] == danger.code and row[1].text == found.says for row in stops.rows)  # type: ignore[union-attr]
    assert not any(isinstance(block, Signatures) for block in certificate.blocks())
    assert faults is not None
    assert found.says not in _words(Paper("x", "x", "x", certificate.sections[-2:]))


@pytest.mark.parametrize("danger", DANGERS, ids=lambda danger: danger.name)
def test_every_paper_of_the_output_says_the_same_word(tmp_path: Path, danger: Danger) -> None:
    """Sheet, settings, proposal and wiring quote one word; risk notes tie the hazard to its finding."""
    basis = _basis(tmp_path, danger)
    path = f"house/R1/{danger.output}"
    word = basis.sheet(path)
    found = basis.standings[path].of_code(danger.code)[0]

    assert word.verdict in ("unknown", "fails")
    assert word in _settings_row(basis, danger.output)
    for paper in ("system-design-proposal", "wiring-schedule"):
        assert any(word in row for table in paper_of(basis, paper).tables() for row in table.rows), paper
    for paper in ("risk-notes", "output-sheets"):
        told = [
            cell
            for table in paper_of(basis, paper).tables()
            for row in table.rows
            for cell in row
            if isinstance(cell, Cell) and found.says in (cell.text or "")
        ]
        assert str(found.verdict) in {cell.verdict for cell in told}, paper


@pytest.mark.parametrize("danger", DANGERS, ids=lambda danger: danger.name)
def test_a_card_explains_nothing_that_is_barred(tmp_path: Path, danger: Danger) -> None:
    """What is barred is without use; what waits says so; everything else is explained as before."""
    basis = _basis(tmp_path, danger)
    output = basis.case.output(f"house/R1/{danger.output}")
    assert output is not None
    for press in _presses(basis):
        mine = press.function in output.functions
        assert (press.how == "not in use") is (mine and danger.does == "bars")
        if mine and danger.does == "bars":
            assert (press.where, press.tells) == ((), "")
        elif mine:
            assert press.what.startswith("Not before the installer tells you")


@pytest.mark.parametrize("danger", [d for d in DANGERS if d.does == "bars"], ids=lambda danger: danger.name)
def test_what_is_barred_is_not_wired_set_or_tried(tmp_path: Path, danger: Danger) -> None:
    """Hatched in the drawing of the receiver and on its sheet, not planned in the settings, not tried."""
    basis = _basis(tmp_path, danger)
    path = f"house/R1/{danger.output}"
    sheets = paper_of(basis, "output-sheets")
    trials = _table(sheets, f"trials {path}")

    assert "not to be set: barred" in _settings_row(basis, danger.output)
    assert sum("DO NOT WIRE" in svg for svg in _drawings(sheets)) == 1
    assert sum("DO NOT WIRE" in svg for svg in _drawings(paper_of(basis, "wiring-schedule"))) == 1
    assert trials is not None
    assert trials.rows == ()
    assert first_page(basis.assessment).stop[0].barred


def test_a_safeguard_that_is_none_is_refused_by_the_reader(tmp_path: Path) -> None:
    """The message says what is allowed."""
    (tmp_path / "job.yaml").write_text(SOUND.replace("[beams, edge]", "[none]"), encoding="utf-8")

    with pytest.raises(JobFileError, match="Allowed: beams, edge, force limit"):
        open_job(tmp_path)


def test_what_an_insurer_may_accept_is_named_with_whose_word_it_takes(tmp_path: Path) -> None:
    """No lamp tells that the alarm is set: a fault which the customer may accept in writing."""
    text = SOUND.replace(
        "        inputs:\n          1: {reads: panel.set, cable: {part: two, length: 2 m}}\n", ""
    )
    (tmp_path / "job.yaml").write_text(text, encoding="utf-8")
    basis = make_basis(open_job(tmp_path), day=date(2026, 11, 25))
    faults = _table(paper_of(basis, "handover-certificate"), "faults")

    assert basis.standings["house/R1/5"].of_code("PAN-06")[0].verdict is Verdict.FAILS
    assert faults is not None
    assert any("set alarm" in str(row[1]) and "the customer" in str(row[5]) for row in faults.rows)
