"""What the README shows is what the program prints."""

from __future__ import annotations

import pytest
from click.testing import CliRunner

from farpress.cli.main import cli
from survey import ROOT


@pytest.mark.long
def test_the_excerpt_is_what_the_house_prints() -> None:
    """Every line of the excerpt stands in the output, in this order; `...` stands for what is left out."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    shown = readme.partition("<!-- excerpt -->\n```text\n")[2].partition("\n```\n<!-- /excerpt -->")[0]
    printed = (
        CliRunner().invoke(cli, ["assess", str(ROOT / "examples" / "larkfen-house")]).output.splitlines()
    )

    rest = iter(printed)
    assert [line for line in shown.splitlines() if line != "..." and line not in rest] == []
