"""A file of format 1 is brought over by the change that needs it; every other line of it stays."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from farpress.catalogue.store import load_catalogue
from farpress.domain.finding import Change
from farpress.jobfile.formats import newer_than_first
from farpress.jobfile.reader import read_job_text
from farpress.jobfile.source import decode
from farpress.jobfile.text_to_tree import text_to_tree
from farpress.jobfile.text_to_values import values_of
from farpress.jobfile.writer import with_changes_made
from helpers.project import ROOT

KNOWN = load_catalogue().known_names()
EXAMPLES = {
    path.stem: path.read_text(encoding="utf-8")
    for path in sorted((ROOT / "tests" / "data" / "jobs" / "format1").glob("*.yaml"))
}
"""The examples as they were in format 1: kept, so that they are read for ever."""

_LABELS = st.from_regex(r"[A-Z][A-Za-z0-9 -]{0,6}[A-Za-z0-9]", fullmatch=True)
_COLOURS = st.sampled_from(["red", "black", "white", "1", "2", "0 V", "on", "no", "blue: light", "a, b"])


@st.composite
def _cables(draw: st.DrawFn) -> dict[str, object]:
    ends = st.sampled_from(["J1.1", "J1.2", "J1.3", "J2.1", "J2.2"])
    cores = draw(st.dictionaries(_COLOURS, st.lists(ends, max_size=3, unique=True), max_size=4))
    return {"part": "cable-6x0.22", "length": f"{draw(st.integers(1, 400))} m", "cores": cores}


def made(text: str, *changes: Change) -> str:
    """The text after changes."""
    source = decode(text.encode(), None)
    tree, _ = text_to_tree(source)
    assert tree is not None
    return with_changes_made(source, tree, changes)[0].text


@pytest.mark.parametrize("name", sorted(EXAMPLES))
def test_the_examples_have_nothing_that_format_1_did_not_know(name: str) -> None:
    """The frozen list of keys and words is whole."""
    assert list(newer_than_first(values_of(EXAMPLES[name]))) == []


@pytest.mark.long
@settings(max_examples=25, deadline=None)
@given(name=st.sampled_from(sorted(set(EXAMPLES) - {"tallowmere-court"})), label=_LABELS, cable=_cables())
def test_a_new_cable_brings_the_file_over_and_reads_back(
    name: str, label: str, cable: dict[str, object]
) -> None:
    """The first line says 2, the cable reads back as it was meant, and no other line of the file moves."""
    text = EXAMPLES[name]
    premises = next(iter(values_of(text)["premises"]))
    before = text.split("\n")
    junctions = {"J1": {"at": [1, 2]}, "J2": {"says": "in the roof"}}

    after = made(
        text,
        Change(("premises", premises, "junctions"), junctions),
        Change(("premises", premises, "cables", label), cable),
    )

    house = read_job_text(after, known=KNOWN).job.premises[premises]
    read = house.cables[label]
    assert {core: list(read.core(core).ends) for core in read.cores} == cable["cores"]
    lines = after.split("\n")
    assert lines.count("farpress: 2") == 1
    kept = [line for line in before if line != "farpress: 1"]
    remaining = iter(lines)
    assert all(line in remaining for line in kept)  # in their order, each to the character
    assert made(after, Change(("premises", premises, "cables"), None)).count("farpress: 2") == 1


@pytest.mark.parametrize("name", sorted(EXAMPLES))
def test_a_change_that_format_1_knows_leaves_the_first_line(name: str) -> None:
    """An older program can still read the file."""
    assert "farpress: 1\n" in made(EXAMPLES[name], Change(("job",), "Another name"))


def test_a_slip_is_no_news() -> None:
    """A key that no format knows does not make a file a newer one."""
    text = EXAMPLES["larkfen-house"]
    assert "farpress: 1\n" in made(text, Change(("premises", "larkfen", "cabels"), {"W1": "x"}))
    assert "farpress: 1\n" in made(text, Change(("parts", "RX4", "kind"), "reciever"))
