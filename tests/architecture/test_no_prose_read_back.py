"""What the program says is for people: nothing looks into its sentences to decide something."""

from __future__ import annotations

import ast
from collections.abc import Iterator

import pytest

from helpers.source_trees import SOURCE, source_files, tree_of

SENTENCES = frozenset({"says", "because", "about"})
LOOKING = frozenset(
    {
        "startswith",
        "endswith",
        "split",
        "rsplit",
        "partition",
        "rpartition",
        "removeprefix",
        "removesuffix",
        "replace",
        "find",
        "index",
        "count",
    }
)


ALLOWED = {
    "papers/builders/cards.py": "the customer's own words of a place, so that a card does not say them twice",
    "record/union.py": "a field of a file, read as it was written",
    "rehearsal/timeline.py": "the kind of a track, a word of three",
}
"""No sentences of ours."""

STILL_LOOKING: frozenset[str] = frozenset()
"""To be mended: the list only gets shorter."""


def _is_sentence(node: ast.expr) -> bool:
    return isinstance(node, ast.Attribute) and node.attr in SENTENCES


def looks(tree: ast.AST) -> Iterator[int]:
    """Lines where a sentence is searched, cut or compared with a text."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            called = node.func
            if isinstance(called, ast.Attribute):
                if called.attr in LOOKING and _is_sentence(called.value):
                    yield node.lineno
                if called.attr in ("match", "search", "fullmatch") and any(map(_is_sentence, node.args)):
                    yield node.lineno
        elif isinstance(node, ast.Compare):
            for operator, right in zip(node.ops, node.comparators):
                if isinstance(operator, ast.In | ast.NotIn) and _is_sentence(right):
                    yield node.lineno
                texts = [
                    side for side in (node.left, right) if isinstance(side, ast.Constant | ast.JoinedStr)
                ]
                if (
                    isinstance(operator, ast.Eq | ast.NotEq)
                    and any(map(_is_sentence, (node.left, right)))
                    and any(getattr(text, "value", None) != "" for text in texts)
                ):
                    yield node.lineno


@pytest.mark.long
def test_nobody_looks_into_a_sentence() -> None:
    """`in x.says`, `x.because.startswith`, `x.about == "..."`: a typed value belongs there."""
    places = [
        (str(path.relative_to(SOURCE)), line) for path in source_files() for line in looks(tree_of(path))
    ]

    assert [place for place in places if place[0] not in STILL_LOOKING | set(ALLOWED)] == []
    assert {file for file, _ in places} >= STILL_LOOKING, "mended: take it off the list"
