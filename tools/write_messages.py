"""Write docs/reference/messages.md: every code of a finding and what it is about."""

from __future__ import annotations

from itertools import groupby

from survey import ROOT, codes, table_cell

PAGE = ROOT / "docs" / "reference" / "messages.md"
LINKS = {
    "FOB": "The fob",
    "AIR": "The air between fob and receiver",
    "RCV": "The receiver",
    "OUT": "The output and its timing",
    "CON": "The contact",
    "SUP": "Cable and supply",
    "DEV": "The driven device",
    "PAN": "The alarm panel",
    "REG": "The register",
    "RULE": "Rules: what must never happen",
    "SAFE": "Safety",
    "KNOW": "What must be known",
    "GAP": "Links nobody could judge",
}


def render() -> str:
    """The whole page."""
    lines = [
        "# Findings, by code",
        "",
        "Written by `tools/write_messages.py` from the code; not edited by hand.",
        "",
        "A finding is one judgement: it **holds**, is **thin** (holds, but within the doubt of the",
        "numbers), is **unknown** (something is not known yet) or **fails**. Its code says what kind of",
        "judgement it is and stays the same from version to version.",
        "",
    ]
    order = list(LINKS)
    by_link = sorted(
        codes(), key=lambda one: (order.index(_prefix(one)) if _prefix(one) in order else len(order), one)
    )
    for prefix, group in groupby(by_link, key=_prefix):
        lines += [f"## {LINKS.get(prefix, prefix)}", "", "| Code | What it judges |", "| --- | --- |"]
        lines += [f"| [{code}](checks/{code}.md) | {table_cell(says)} |" for code, says, _ in group]
        lines.append("")
    return "\n".join(lines).rstrip() + "\n"


def _prefix(code: tuple[str, str, str]) -> str:
    return code[0].partition("-")[0]


if __name__ == "__main__":
    PAGE.write_text(render(), encoding="utf-8")
    print(PAGE.relative_to(ROOT))
