"""Pages made from the code are current, and every code and command is on one."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

import write_checks
import write_commands
import write_job_file
import write_messages
import write_sources
from helpers.source_trees import nodes_of
from survey import codes, commands

WRITTEN = [write_messages, write_commands, write_sources, write_job_file]
CODE = re.compile(r"(?:FOB|AIR|RCV|OUT|CON|SUP|DEV|PAN|REG|RULE|SAFE|KNOW|GAP)-\d\d")


@pytest.mark.parametrize("page", WRITTEN, ids=lambda page: page.PAGE.name)
def test_the_page_is_current(page: object) -> None:
    """If this fails, run `python tools/write_docs.py`."""
    path: Path = page.PAGE  # type: ignore[attr-defined]

    assert path.is_file(), f"{path.name} is missing: run python tools/write_docs.py"
    assert path.read_text(encoding="utf-8") == page.render()  # type: ignore[attr-defined]


@pytest.mark.long
def test_every_code_has_a_page_that_is_current() -> None:
    """Limit, thin edge, stake and an example of each check; if this fails, run `tools/write_docs.py`."""
    written = {path.stem: path.read_text(encoding="utf-8") for path in write_checks.FOLDER.glob("*.md")}

    assert written == write_checks.pages()


def test_a_code_means_one_thing() -> None:
    """No two steps use the same code, and each has the form "AIR-01" and a sentence."""
    found = [code for code, _, _ in codes()]

    assert sorted(set(found)) == found
    assert [code for code in found if not CODE.fullmatch(code)] == []
    assert [code for code, says, _ in codes() if len(says.split()) < 4] == []


@pytest.mark.long
def test_a_finding_has_a_code_of_its_module() -> None:
    """Every code written in a step of the job is explained in some table of codes."""
    known = {code for code, _, _ in codes()}
    used = {
        node.value
        for node in nodes_of()
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and CODE.fullmatch(node.value)
    }

    assert used - known == set()


def test_every_command_has_help_with_an_example() -> None:
    """The help of each command shows one call that can be copied."""
    bare = [name for name, text in commands() if " " in name and "farpress " not in text.partition("\n")[2]]

    assert bare == []
