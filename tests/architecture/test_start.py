"""start.py speaks to a person before anything is installed."""

from __future__ import annotations

import ast
import re
import subprocess
import sys

import pytest

from survey import ROOT

START = ROOT / "start.py"


def run(*words: str) -> subprocess.CompletedProcess[str]:
    """start.py with these words, in UTF-8."""
    return subprocess.run(
        [sys.executable, str(START), *words],
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
        cwd=ROOT,
    )


def test_alone_it_lists_what_it_can_do() -> None:
    """Without a word it does nothing and says what there is."""
    done = run()

    assert done.returncode == 0
    assert all(word in done.stdout for word in ("demo", "test", "setup", "--"))


@pytest.mark.parametrize("words", [("dmeo",), ("demo", "more"), ("--",)])
def test_an_unknown_word_is_answered_with_the_list(words: tuple[str, ...]) -> None:
    """A slip makes no environment and has exit code 2."""
    done = run(*words)

    assert done.returncode == 2
    assert "python3 start.py demo" in done.stdout


def test_an_old_python_reaches_the_sentence_about_it() -> None:
    """The file can be read by Python 3.7, so that the check of the version runs there."""
    tree = ast.parse(START.read_text(encoding="utf-8"), feature_version=(3, 7))
    first = [type(node).__name__ for node in tree.body[:4]]

    assert first == ["Expr", "ImportFrom", "Import", "If"]


def test_it_needs_the_standard_library_only() -> None:
    """Nothing that it imports has to be installed first."""
    tree = ast.parse(START.read_text(encoding="utf-8"))
    names = {
        alias.name.partition(".")[0]
        for node in ast.walk(tree)
        if isinstance(node, ast.Import)
        for alias in node.names
    }
    names |= {
        (node.module or "").partition(".")[0] for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)
    }

    assert names <= sys.stdlib_module_names | {"__future__", "importlinter"}


def test_pinned_versions_are_plain() -> None:
    """constraints.txt holds name==version, sorted, and every direct dependency."""
    lines = [
        line
        for line in (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
        if not line.startswith("#")
    ]
    names = [line.partition("==")[0] for line in lines]
    project = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    wanted = {
        re.sub(r"[-_.]+", "-", name).lower()
        for name in re.findall(
            r'^  "([A-Za-z][\w.-]*)', project.partition("[project.scripts]")[0], re.MULTILINE
        )
    }

    assert [line for line in lines if not re.fullmatch(r"[a-z0-9-]+==[\w.+!]+", line)] == []
    assert names == sorted(names)
    assert wanted - {"farpress"} <= set(names)
