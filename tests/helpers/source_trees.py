"""The source as trees of code: read once for all tests that look for something in it."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from helpers.project import ROOT

__all__ = ["SOURCE", "nodes_of", "source_files", "tree_of"]

SOURCE = ROOT / "src" / "farpress"


@cache
def source_files() -> tuple[Path, ...]:
    """Every module of the package, in the order of names."""
    return tuple(sorted(SOURCE.rglob("*.py")))


@cache
def tree_of(path: Path) -> ast.Module:
    """A file, parsed; not to be changed."""
    return ast.parse(path.read_text(encoding="utf-8"))


def nodes_of(*paths: Path) -> Iterator[ast.AST]:
    """Every part of these files; of the whole source where none is named."""
    for path in paths or source_files():
        yield from ast.walk(tree_of(path))
