"""Papers of jobs that nobody plans for: names of 300 letters, other scripts, no plan, no people, and a small
clinic of our own.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from farpress.case.case import Case
from farpress.case.door import open_job
from farpress.papers.builders.basis import Basis, make_basis
from farpress.papers.builders.cards import CardMaker
from farpress.papers.builders.make import chosen_kinds, make_papers, paper_of
from farpress.papers.typesetting.kinds import KINDS
from farpress.papers.typesetting.paper import Cell
from farpress.papers.typesetting.render import paper_pdf
from helpers.layout import layout_faults
from helpers.project import EXAMPLES
from helpers.read_pdf import pages_of

pytestmark = pytest.mark.long

CLINIC = """
farpress: 1
job: Fellbrook Clinic
premises:
  clinic:
    places: {treatment room: {at: [3, 8]}, pavement: {at: [9, -3]}}
    supplies: {main: {part: supply-24v-2a}}
    receivers:
      R1:
        part: receiver-4
        at: [9.2, 2.4, 2.2]
        fed: {from: main, cable: {part: alarm-6x0.22, length: 3 m}}
        outputs:
          1: {kind: pulse, for: 5 s, contact: normally closed, works: street-door.release, load_from: main, cable: {part: alarm-6x0.22, length: 6 m}}
          2: {kind: follow, works: shutter.down, interlock: 3}
          3: {kind: follow, works: shutter.up, interlock: 2}
          4: {kind: pulse, for: 5 s, works: help-sounder.on, load_from: main, cable: {part: alarm-6x0.22, length: 9 m}}
    devices: {street-door: {part: magnetic-lock-24v, at: [9, 0, 2.1]}, shutter: {part: shutter-motor, at: [12, 0, 2.5], travel: 22 s}, help-sounder: {part: sounder-12v}}
functions:
  street door: {output: clinic/R1/1, kind: unlock}
  shutter down: {output: clinic/R1/2, kind: down}
  shutter up: {output: clinic/R1/3, kind: up}
  help: {output: clinic/R1/4, kind: call}
groups: {staff: {fob: fob-4, count: 2, buttons: {1: street door, 4: help}}}
promises: [{to: staff, function: street door, from: pavement}, {to: staff, function: help, from: treatment room, at_least: 99 %}]
"""  # noqa: E501


LONG_NAME = "Maximiliana-Theophania " * 13 + "Z"


def test_a_magnetic_lock_is_shown_as_it_is_after_a_power_cut(tmp_path: Path) -> None:
    """A clinic of our own: broken supply releases, so current after the cut is no movement, and the card says
    that nothing stays released.
    """
    (tmp_path / "job.yaml").write_text(CLINIC, encoding="utf-8")
    basis = make_basis(open_job(tmp_path), day=date(2026, 11, 25))
    rows = {
        str(row[0]): row[4]
        for table in paper_of(basis, "system-design-proposal").tables()
        if table.name == "power-cut"
        for row in table.rows
    }
    card = next(card for _, heap in CardMaker(basis).batches() for card in heap)
    lock = rows["clinic/street-door"]

    assert isinstance(lock, Cell)
    assert lock.verdict != "fails"
    assert card.after_power.endswith("Afterwards everything is off: press again.")
    assert "SAFE-05" in " ".join(pages_of(paper_pdf(paper_of(basis, "risk-notes"), basis.head)))
    for name in ("wiring-schedule", "risk-notes", "handover-certificate"):
        assert layout_faults(paper_pdf(paper_of(basis, name), basis.head, size="letter")) == [], name


def _odd(case: Case) -> Case:
    """The house with a name of 300 letters, one from right to left, one with emoji; no plan, no reading, no
    promise; thirty buttons for one person.
    """
    given = case.job
    renamed = {
        "Mirela Ostrovane": LONG_NAME,
        "Tavi Ostrovane": "שרה בן־דוד",
        "Odetta Ostrovane": "Odile 🏡🔑 O’Brien",
    }
    functions = [*given.functions]
    buttons = {str(number + 1): functions[number % len(functions)] for number in range(15)}
    groups = {
        name: group.model_copy(
            update={"people": tuple(renamed.get(one, one) for one in group.people)}
            | ({"buttons": buttons} if name in ("parents", "mirela at home") else {})
        )
        for name, group in given.groups.items()
    }
    house = given.premises["larkfen"].model_copy(update={"walls": (), "places": {}, "steel": ()})
    job = given.model_copy(
        update={
            "job": "Larkfen 🏡 " + "Wolfeschlegelsteinhausenbergerdorff" * 8,
            "groups": groups,
            "people": {renamed.get(name, name): one for name, one in given.people.items()},
            "premises": {"larkfen": house},
            "readings": (),
            "promises": (),
            "rules": (),
        }
    )
    return replace(case, job=job, document=None)


@pytest.fixture(scope="module")
def odd() -> Basis:
    """What all papers of the odd job are made from, in German."""
    return make_basis(_odd(open_job(EXAMPLES / "larkfen-house")), language="de", day=date(2026, 11, 25))


@pytest.mark.parametrize("size", ["a4", "letter"])
def test_odd_jobs_give_clean_pages(odd: Basis, size: str) -> None:
    """Every paper and card is there, tagged, and nothing lies on anything else; the long name stands on its
    card in full.
    """
    made = {
        one.name.removesuffix(".pdf"): one
        for one in make_papers(odd, chosen_kinds(), size=size)
        if one.name.endswith(".pdf")
    }

    assert set(made) == set(KINDS)
    assert {name: faults for name, one in made.items() if (faults := layout_faults(one.content))} == {}
    cards = "".join(pages_of(made["user-cards"].content))
    assert "".join(LONG_NAME.split()) in "".join(cards.split())
    assert "Odile" in cards
    assert any("Readings" in one for one in made["reach-report"].missing)
    assert any("\u0590" <= letter <= "\u05ff" for letter in cards)


def test_a_premises_without_people_still_gives_its_papers() -> None:
    """No group, no wish, no rule: every paper but the cards is there, and none is ugly."""
    case = open_job(EXAMPLES / "larkfen-house")
    job = case.job.model_copy(
        update={"groups": {}, "people": {}, "promises": (), "rules": (), "readings": ()}
    )
    basis = make_basis(replace(case, job=job, document=None), day=date(2026, 11, 25))
    made = {one.name: one for one in make_papers(basis, chosen_kinds()) if one.name.endswith(".pdf")}

    assert set(made) == {f"{name}.pdf" for name in KINDS if name != "user-cards"}
    assert {name: faults for name, one in made.items() if (faults := layout_faults(one.content))} == {}


def test_a_bare_job_still_gives_a_pack(tmp_path: Path) -> None:
    """No plan, no readings, no people, no supply: every paper is there and says what is missing."""
    (tmp_path / "job.yaml").write_text("farpress: 1\njob: Bare\npremises:\n  here: {}\n", encoding="utf-8")
    basis = make_basis(open_job(tmp_path))
    made = {one.name: one for one in make_papers(basis, chosen_kinds()) if one.name.endswith(".pdf")}

    assert set(made) == {f"{name}.pdf" for name in KINDS if name != "user-cards"}
    assert len(made["survey-record.pdf"].missing) > 5
    assert "No reading was taken" in " ".join(
        paper.empty for paper in paper_of(basis, "survey-record").tables()
    )
