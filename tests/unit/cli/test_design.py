"""farpress design: variants beside each other, one in full, what to ask; for people and for programs."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from farpress.cli.main import cli
from helpers.wished_jobs import CHURCH, opened

pytestmark = pytest.mark.long


def test_three_variants_in_eighty_columns(tmp_path: Path) -> None:
    """Table, choices and caution stand within 80 columns, and the new folder is there."""
    opened(tmp_path / "church", CHURCH)
    asked = ["design", str(tmp_path / "church"), "--write", str(tmp_path / "new")]
    result = CliRunner().invoke(cli, asked, standalone_mode=False)
    lines = result.stdout.splitlines()

    assert result.return_value == 0
    assert max(map(len, lines)) <= 80
    assert any(line.split() == ["cheapest", "surest", "fewest", "boxes"] for line in lines)
    assert any("those licensed for it" in line or "panels: only by" in line for line in lines)
    assert (tmp_path / "new" / "job.yaml").is_file()


def test_one_variant_for_programs(tmp_path: Path) -> None:
    """JSON with its figures, its edits, and what had to be asked; a question makes the exit code 1."""
    opened(tmp_path / "church", CHURCH.replace(", mains: true", ""))
    asked = ["design", str(tmp_path / "church"), "--variant", "fewest", "--format", "json"]
    result = CliRunner().invoke(cli, asked, standalone_mode=False)
    told = json.loads(result.stdout)
    (variant,) = told["variants"]

    assert result.return_value == 1
    assert variant["variant"] == "fewest"
    assert variant["figures"]["boxes"] >= 1
    assert {tuple(change["path"][:2]) for made in variant["decisions"] for change in made["changes"]} >= {
        ("premises", "church"),
        ("functions", "door"),
        ("groups", "wardens"),
    }
    assert any("See whether mains is there" in ask["ask"] for ask in told["asks"])
