"""A change of one entry makes the round trip of that entry's lines alone, and the file comes out the same."""

from __future__ import annotations

import random

import pytest

from farpress.domain.finding import Change
from farpress.jobfile import patching
from farpress.jobfile.cutting import cuts_for
from farpress.jobfile.node import Node
from farpress.jobfile.source import decode
from farpress.jobfile.text_to_tree import text_to_tree
from helpers.project import EXAMPLES

pytestmark = pytest.mark.long

JOB = EXAMPLES / "larkfen-house" / "job.yaml"


def tree_of(text: str) -> Node:
    """The tree of a text without faults."""
    tree, faults = text_to_tree(decode(text.encode(), None))
    assert tree is not None
    assert not faults
    return tree


def lines_cut(text: str, *changes: Change) -> list[tuple[int, int]] | None:
    """Which lines the changes take out, counted from 0."""
    cuts = cuts_for(tree_of(text), text.split("\n"), changes, offset=2)
    return None if cuts is None else [(cut.start, cut.stop) for cut in cuts]


TEXT = """a:
  one: {x: 1}
  # of two
  two:
    - p: 1
      q: [1, 2]
    - r
    # of three
  three: 3
b: 4
"""


def test_the_smallest_entry_is_cut() -> None:
    """A table, an entry of a list that holds several lines, and the last entry where a new one follows it."""
    assert lines_cut(TEXT, Change(("a", "one", "y"), 2)) == [(1, 2)]
    assert lines_cut(TEXT, Change(("a", "two", 0, "q", 1), 2)) == [(5, 6)]
    assert lines_cut(TEXT, Change(("a", "two", 0, "p"), None)) == [(4, 6)], (
        "it begins on the line of its dash"
    )
    assert lines_cut(TEXT, Change(("a", "two", 2), "s")) == [(6, 7)], "the remark belongs to three"
    assert lines_cut(TEXT, Change(("c",), 1)) == [(9, 10)]


def test_an_entry_that_would_leave_its_table_empty_takes_its_parent() -> None:
    """An empty table stands in braces beside its key."""
    assert lines_cut("a:\n  b: 1\nc: 2\n", Change(("a", "b"), None)) == [(0, 2)]


def test_places_that_move_are_cut_together() -> None:
    """After the first of a list is gone, the second is the first."""
    assert lines_cut(TEXT, Change(("a", "two", 0), None), Change(("a", "two", 0), "new")) == [(3, 7)]
    assert lines_cut(TEXT, Change(("a", "one", "y"), 2), Change(("b",), {"z": 1})) == [(1, 2), (9, 10)]


def test_what_cannot_stand_alone_is_not_cut() -> None:
    """Values shared by name, blocks of text, several documents."""
    assert lines_cut("a: &x\n  b: 1\n  d: 2\nc: *x\n", Change(("a", "b"), [1])) is None
    assert lines_cut("a:\n  b: >-\n    text\n  c: 1\n", Change(("a", "b"), [1])) is None
    assert lines_cut("---\na: {b: 1}\n", Change(("a", "c"), 1)) is None


def places(node: Node, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """Every path in a tree."""
    found = [path] if path else []
    for key, (_, _, child) in node.items.items():
        found += places(child, (*path, key))
    for index, child in enumerate(node.elements):
        found += places(child, (*path, index))
    return found


@pytest.mark.parametrize("seed", range(3))
def test_the_short_way_and_the_long_way_write_the_same_file(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Entries replaced, added and removed all over a job, with fixed seeds; the long way is the witness."""
    text = JOB.read_text(encoding="utf-8")
    tree = tree_of(text)
    source = decode(text.encode(), None)
    chance = random.Random(seed)
    every = places(tree)
    cut = 0
    for path in chance.sample(every, 6):
        change = Change(
            (*path[:-1], "added") if isinstance(path[-1], str) and chance.random() < 0.4 else path,
            chance.choice([None, {"a": "b c"}, ["x", "y: z"]]),
        )
        if change.path[-1] == "added" and change.value is None:
            continue
        short = next(patching.ways_to_write(source, tree, [change]))
        with monkeypatch.context() as without:
            without.setattr(patching, "_in_pieces", lambda *_: None)
            long = next(patching.ways_to_write(source, tree, [change]))
        assert short == long, change
        cut += patching._in_pieces(text, tree, [change], patching._indents(text)) is not None
    assert cut >= 4
