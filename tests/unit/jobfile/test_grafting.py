"""A tree with values changed is the tree of the text that the writer would write."""

from __future__ import annotations

import pytest

from farpress.domain.finding import Change
from farpress.jobfile.grafting import grafted
from farpress.jobfile.node import Node
from farpress.jobfile.source import decode
from farpress.jobfile.text_to_tree import text_to_tree
from farpress.jobfile.writer import with_changes_made

TEXT = """\
farpress: 1
job: Small
parts:
  RX:
    says: "0123"
    volts: 12 V
    counts: [1, 2.50, three]
    table: {a: 1, b: no}
  shared: &same
    x: 1
  other: *same
"""


def _tree(text: str = TEXT) -> Node:
    tree, faults = text_to_tree(decode(text.encode(), None))
    assert tree is not None
    assert not faults
    return tree


def _values(node: Node) -> str:
    """Values, their types and how numbers are written."""
    if node.kind == "mapping":
        return f"{{{', '.join(f'{key}: {_values(child)}' for key, (_, _, child) in node.items.items())}}}"
    if node.kind == "sequence":
        return f"[{', '.join(map(_values, node.elements))}]"
    return f"{type(node.data).__name__} {node.data!r} {node.data}"


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("parts", "RX", "volts"), "24 V"),
        (("parts", "RX", "volts"), 24),
        (("parts", "RX", "volts"), 24.5),
        (("parts", "RX", "volts"), True),
        (("parts", "RX", "volts"), "true"),
        (("parts", "RX", "volts"), "12"),
        (("parts", "RX", "volts"), None),
        (("parts", "RX", "counts", 0), 7),
        (("parts", "RX", "counts", 0), None),
        (("parts", "RX", "counts", 2), None),
        (("parts", "RX", "counts", 3), "four"),
        (("parts", "RX", "counts"), ["12 m", 3, {"a": None, "b": 1.5}]),
        (("parts", "RX", "table", "c"), {"x": [1, 2], "y": "no"}),
        (("parts", "new", "deep", "key"), "word"),
        (("parts", "RX"), {"says": "no more"}),
    ],
)
def test_a_graft_is_what_the_writer_would_write(path: tuple[str | int, ...], value: object) -> None:
    """Texts that look like numbers, numbers, entries added and taken out, tables and lists."""
    tree = _tree()
    after = grafted(tree, [Change(path, value)])
    _, wanted = with_changes_made(decode(TEXT.encode(), None), tree, [Change(path, value)])
    assert after is not None
    assert _values(after) == _values(wanted)
    assert (after.data, after.size) == (wanted.data, wanted.size)
    assert _values(tree) == _values(_tree())


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("parts", "RX", "says"), 5),  # the writer keeps quotes, so it stays a text
        (("parts", "shared", "x"), 2),  # it stands in two places
        (("parts", "RX", "counts", 9), 1),
        (("parts", "RX", "volts", "more"), 1),
        (("parts", "nobody"), None),
        (("parts", "RX", "volts"), "two\nlines"),
    ],
)
def test_what_only_the_text_can_say_is_left_to_the_writer(path: tuple[str | int, ...], value: object) -> None:
    """Quoted and shared values, ways that lead nowhere, words that no file may hold."""
    assert grafted(_tree(), [Change(path, value)]) is None
