"""What a change adds is laid out as a person would: a table that holds tables has a line for each key."""

from __future__ import annotations

import pytest

from farpress.domain.finding import Change
from farpress.jobfile.source import decode
from farpress.jobfile.text_to_tree import text_to_tree
from farpress.jobfile.writer import with_changes_made

TEXT = """\
farpress: 2
premises:
  yard:
    places: {lane: {at: [1, 2]}}
    devices: {gate: {part: drive}}
"""
BOX = {"part": "receiver-2", "at": [1.5, 2.0], "outputs": {"1": {"kind": "pulse", "cable": {"part": "c"}}}}


def written(*changes: Change) -> str:
    """The text after some changes."""
    source = decode(TEXT.encode(), None)
    tree, _ = text_to_tree(source)
    assert tree is not None
    return with_changes_made(source, tree, changes)[0].text


@pytest.mark.parametrize(
    ("path", "value", "adds"),
    [
        (
            ("premises", "yard", "receivers", "R1"),
            BOX,
            "    receivers:\n      R1:\n        part: receiver-2\n        at: [1.5, 2.0]\n        outputs:\n"
            "          1: {kind: pulse, cable: {part: c}}\n",
        ),
        (
            ("premises", "yard", "supplies", "main"),
            {"part": "supply-12v-1a", "at": [1, 2]},
            "    supplies:\n      main: {part: supply-12v-1a, at: [1, 2]}\n",
        ),
        (("premises", "yard", "surroundings"), "rural", "    surroundings: rural\n"),
    ],
)
def test_a_new_entry_is_laid_out(path: tuple[str, ...], value: object, adds: str) -> None:
    """Few things stay on one line, more get lines; everything else of the file stays."""
    assert written(Change(path, value)) == TEXT + adds


def test_what_stands_in_braces_stays_in_braces() -> None:
    """A table on one line does not break up because something comes into it."""
    path = ("premises", "yard", "devices", "gate", "fed", "cable")
    text = written(Change(path, {"part": "c", "length": "4 m"}))

    assert "    devices: {gate: {part: drive, fed: {cable: {part: c, length: 4 m}}}}\n" in text
