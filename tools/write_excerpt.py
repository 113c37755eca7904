"""Write into the README what the house prints: what must stop, the first of what to mend, some promises."""

from __future__ import annotations

import sys
from pathlib import Path

from click.testing import CliRunner

from farpress.cli.main import cli

ROOT = Path(__file__).parents[1]
BEGIN, END = "<!-- excerpt -->\n```text\n", "\n```\n<!-- /excerpt -->"


def excerpt(printed: list[str]) -> list[str]:
    """Lines of the first page that stand in the README; `...` stands for what is left out."""
    mend = next(number for number, line in enumerate(printed) if line.startswith("MEND"))
    promises = next(number for number, line in enumerate(printed) if line.startswith("PROMISES"))
    legend = next(line for line in printed if line.startswith("━━ holds"))
    return [*printed[: mend + 3], "...", *printed[promises : promises + 7], "...", legend]


def main() -> int:
    """Replace the excerpt."""
    house = str(ROOT / "examples" / "larkfen-house")
    printed = CliRunner().invoke(cli, ["assess", house]).stdout.splitlines()
    file = ROOT / "README.md"
    before, _, rest = file.read_text(encoding="utf-8").partition(BEGIN)
    after = rest.partition(END)[2]
    file.write_text(before + BEGIN + "\n".join(excerpt(printed)) + END + after, encoding="utf-8")
    print("README.md")
    return 0


if __name__ == "__main__":
    sys.exit(main())
