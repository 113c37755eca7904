"""A change touches the lines of the value it is about, and no other line of the file."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from farpress.domain.finding import Change
from farpress.errors import JobFileError
from farpress.jobfile.node import Node
from farpress.jobfile.source import decode
from farpress.jobfile.text_to_tree import text_to_tree
from farpress.jobfile.writer import apply_changes
from helpers.project import ROOT

JOBS = [ROOT / "tests/data/jobs/quarry-cottage.yaml", *sorted(ROOT.glob("examples/*/job.yaml"))]
VALUES = [None, None, "5 m", "it's # new", {"a": "b c"}, ["x", "y: z"], 7]


def places(
    node: Node, path: tuple[str | int, ...] = (), line: int = 1
) -> list[tuple[tuple[str | int, ...], Node, int]]:
    """Every value with its path and the line of its key."""
    found = [(path, node, line)] if path else []
    for key, (below, _, child) in node.items.items():
        found += places(child, (*path, key), below)
    for index, child in enumerate(node.elements):
        found += places(child, (*path, index), child.line)
    return found


def last_line(node: Node) -> int:
    """The last line a value stands on."""
    children = [child for _, _, child in node.items.values()] + node.elements
    return max([node.line, node.end_line, *map(last_line, children)])


@pytest.mark.long
@pytest.mark.parametrize("job", JOBS, ids=lambda path: path.parent.name + "/" + path.name)
def test_lines_before_and_after_the_value_stay_to_the_byte(job: Path, tmp_path: Path) -> None:
    """Values of all sizes replaced or removed, with fixed seeds; remarks of the next entry stay too."""
    before = job.read_text(encoding="utf-8")
    lines = before.split("\n")
    tree, _ = text_to_tree(decode(before.encode(), None))
    assert tree is not None
    chance = random.Random(20261125)
    every = places(tree)
    followed = [
        one
        for one in every
        if last_line(one[1]) < len(lines) and lines[last_line(one[1])].lstrip().startswith("#")
    ]
    chosen = chance.sample(every, 30 if len(lines) < 200 else 4) + chance.sample(
        followed, min(len(followed), 3)
    )
    for path, node, line in chosen:
        change = Change(path, chance.choice(VALUES))
        (tmp_path / "job.yaml").write_text(before, encoding="utf-8", newline="\n")
        try:
            apply_changes(tmp_path, [change])
        except JobFileError as error:
            raise AssertionError(f"{change}: {error}") from error
        after = (tmp_path / "job.yaml").read_text(encoding="utf-8").split("\n")
        head, tail = lines[: line - 1], lines[last_line(node) :]
        assert after[: len(head)] == head, change
        assert not tail or after[-len(tail) :] == tail, change
        assert len(after) - len(head) - len(tail) <= 1, change
