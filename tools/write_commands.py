"""Write docs/reference/commands.md: the help of every command, as it prints it."""

from __future__ import annotations

from survey import ROOT, commands

PAGE = ROOT / "docs" / "reference" / "commands.md"


def render() -> str:
    """The whole page."""
    lines = ["# Commands", "", "Written by `tools/write_commands.py` from `--help`; not edited by hand.", ""]
    for name, text in commands():
        lines += [
            f"## {name}",
            "",
            "```text",
            *(line.rstrip() for line in text.rstrip().splitlines()),
            "```",
            "",
        ]
    return "\n".join(lines).rstrip() + "\n"


if __name__ == "__main__":
    PAGE.write_text(render(), encoding="utf-8")
    print(PAGE.relative_to(ROOT))
