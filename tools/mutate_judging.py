"""Change one limit, doubt, factor or sign in judging at a time, and see whether a test notices.

    python tools/mutate_judging.py --count 120 --seed 7

For each change a copy of the tree is judged by the tests of the changed module's room, the kernel's own and
the frozen findings; the first that fails kills it. By hand, as it takes a while: about ten seconds a change.
Prints every survivor with its line; nothing in the tree itself is changed.
"""

from __future__ import annotations

import argparse
import ast
import os
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
JUDGING = ROOT / "src" / "farpress" / "judging"


@dataclass(frozen=True)
class Mutant:
    """One change of one line.

    Attributes:
        file: changed.
        line, column, end: where, line from 1, columns from 0.
        was, now: the text there.
    """

    file: Path
    line: int
    column: int
    end: int
    was: str
    now: str

    def __str__(self) -> str:
        return f"{self.file.relative_to(ROOT)}:{self.line}: {self.was} -> {self.now}"


def mutants() -> list[Mutant]:
    """Every change there could be, in the order of files and lines."""
    return [
        mutant
        for path in sorted(JUDGING.rglob("*.py"))
        for mutant in _in(path, path.read_text(encoding="utf-8"))
    ]


def _in(path: Path, text: str) -> Iterator[Mutant]:
    lines = text.splitlines()
    for node in ast.walk(ast.parse(text)):
        if (
            isinstance(node, ast.Constant)
            and isinstance(node.value, float)
            and not isinstance(node.value, bool)
        ):
            if node.value in (0.0, 100.0, 1000.0, 60.0, 3600.0) or node.lineno != node.end_lineno:
                continue  # zero, and factors of units, which every figure hangs on
            was = lines[node.lineno - 1][node.col_offset : node.end_col_offset]
            yield Mutant(
                path, node.lineno, node.col_offset, node.end_col_offset or 0, was, f"{node.value * 1.3!r}"
            )
        elif isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add | ast.Sub | ast.Mult | ast.Div):
            if isinstance(node.left, ast.Constant) and isinstance(node.left.value, str):
                continue
            found = _operator(lines, node)
            if found is not None:
                yield Mutant(path, *found)


def _operator(lines: list[str], node: ast.BinOp) -> tuple[int, int, int, str, str] | None:
    """The sign between two numbers on one line, and the one that is put in its place."""
    left, right = node.left, node.right
    if left.end_lineno != right.lineno or left.end_col_offset is None:
        return None
    between = lines[right.lineno - 1][left.end_col_offset : right.col_offset]
    swapped = {"+": "-", "-": "+", "*": "/", "/": "*"}
    sign = between.strip()
    if sign not in swapped:
        return None
    column = left.end_col_offset + between.index(sign)
    return right.lineno, column, column + 1, sign, swapped[sign]


def main() -> int:
    """Draw so many changes, try each, and say how many were noticed."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--count", type=int, default=120)
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--room", default="", help="only modules whose path has these words")
    asked = parser.parse_args()
    known = [mutant for mutant in mutants() if asked.room in str(mutant.file)]
    chosen = random.Random(asked.seed).sample(known, min(asked.count, len(known)))
    survivors = []
    with tempfile.TemporaryDirectory() as folder:
        tree = Path(folder) / "tree"
        shutil.copytree(
            ROOT,
            tree,
            ignore=shutil.ignore_patterns(".venv", ".git", "__pycache__", ".*_cache", ".hypothesis"),
        )
        for number, mutant in enumerate(sorted(chosen, key=str), start=1):
            is_killed = _is_killed(tree, mutant)
            survivors += [] if is_killed else [mutant]
            print(f"{number:4}/{len(chosen)} {'killed' if is_killed else 'SURVIVED'} {mutant}", flush=True)
    killed = len(chosen) - len(survivors)
    print(f"\n{killed} of {len(chosen)} killed, {100.0 * killed / max(len(chosen), 1):.1f} %")
    return 1 if survivors else 0


def _is_killed(tree: Path, mutant: Mutant) -> bool:
    target = tree / mutant.file.relative_to(ROOT)
    before = target.read_text(encoding="utf-8")
    lines = before.splitlines(keepends=True)
    line = lines[mutant.line - 1]
    lines[mutant.line - 1] = line[: mutant.column] + mutant.now + line[mutant.end :]
    target.write_text("".join(lines), encoding="utf-8")
    try:
        room = Path("tests/unit/judging", *mutant.file.relative_to(JUDGING).parts[:-1])
        frozen = "tests/frozen/test_findings_frozen.py"
        return not (
            _passes(tree, [frozen]) and _passes(tree, [str(room), "tests/unit/judging/test_check.py"])
        )
    finally:
        target.write_text(before, encoding="utf-8")


def _passes(tree: Path, tests: list[str]) -> bool:
    words = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", "-p", "no:xdist", *tests]
    surroundings = os.environ | {"PYTHONPATH": str(tree / "src"), "PYTHONDONTWRITEBYTECODE": "1"}
    return subprocess.run(words, cwd=tree, env=surroundings, capture_output=True, check=False).returncode == 0


if __name__ == "__main__":
    sys.exit(main())
