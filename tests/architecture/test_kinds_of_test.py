"""A quick run stays quick: what needs a browser, a database or a witness says so."""

from __future__ import annotations

import re
import tomllib

import pytest

from helpers.kinds import need
from survey import ROOT


@pytest.mark.parametrize("kind", ["browser", "database", "witness"])
def test_a_test_without_the_mark_gets_nothing_that_takes_long_to_start(kind: str) -> None:
    """The sentence names the test and how to mark it."""
    with pytest.raises(AssertionError, match=f"test_a_test_without_the_mark.*pytest.mark.{kind}"):
        need(kind)


@pytest.mark.witness
def test_a_test_with_the_mark_gets_it() -> None:
    """And nothing else."""
    need("witness")

    with pytest.raises(AssertionError, match="browser"):
        need("browser")


def test_a_quick_run_leaves_out_every_kind_that_is_declared() -> None:
    """A mark that is new is left out there too, or the list in start.py is out of date."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    declared = {line.partition(":")[0] for line in project["tool"]["pytest"]["ini_options"]["markers"]}
    quick = re.search(
        r'^QUICK = "not \((.*)\)"$', (ROOT / "start.py").read_text(encoding="utf-8"), re.MULTILINE
    )

    assert quick is not None
    assert set(quick[1].split(" or ")) == declared
