"""The papers of a job hold the fields of the trade, and are clean and tagged on both sizes of paper.

Fields of the papers: EN 50131-1:2006 clause 14 and CLC/TS 50131-7:2010 for alarm work,
EN 12635 for doors and gates, both from memory; where no document was at hand common
practice, no source.
"""

from __future__ import annotations

import pytest

from farpress.papers.builders.basis import Basis
from farpress.papers.builders.make import BUILDERS, chosen_kinds, make_papers
from farpress.papers.typesetting.kinds import KINDS
from helpers.layout import layout_faults
from helpers.read_pdf import pages_of, tags_of, told_by

pytestmark = pytest.mark.long

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
    "cover": (
        "This works",
        "does not work yet",
        "Never",
        "After a power cut",
        "Whom to ring",
        "01632 960 014",
    ),
    "output-sheets": (
        "worst word",
        "what mends or settles it",
        "works",
        "kind and time",
        "after a power cut",
        "contact",
        "load",
        "protection",
        "cable, cores",
        "who presses",
        "promised",
        "predicted",
        "proven",
        "hazard",
        "what stands against it",
        "trial",
        "signature",
    ),
    "risk-notes": (
        "hazard",
        "where",
        "what stands against it",
        "who decides",
        "what remains",
        "Signs and information for users",
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
        "This certificate cannot be issued",
        "what ends it",
        "who decides",
        "accepted by",
        "mended by",
        "Insurer informed",
        "First maintenance",
        "Responsible person",
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
def printed(house: Basis) -> dict[tuple[str, str], bytes]:
    """Every PDF of the house on both sizes of paper, by name and size."""
    return {
        (one.name.removesuffix(".pdf"), size): one.content
        for size in ("a4", "letter")
        for one in make_papers(house, chosen_kinds(), size=size)
        if one.name.endswith(".pdf")
    }


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
    told = told_by(pdf)
    assert (told["language"], told["is marked"], told["PDF/UA"]) == ("en-GB", True, "1")
    assert told["PDF/A"] == "2"
