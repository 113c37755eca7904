"""Write docs/sources.md: every document a calculation cites, and how we know it."""

from __future__ import annotations

from farpress.sources import cited
from survey import ROOT, calculations, table_cell

PAGE = ROOT / "docs" / "sources.md"


def render() -> str:
    """The whole page."""
    used: dict[tuple[str, str, str, str], list[str]] = {}
    for name, function in calculations().items():
        for one in cited(function):
            key = (one.document, one.edition, one.place, str(one.mark))
            used.setdefault(key, []).append(name.removeprefix("farpress.core."))
    lines = [
        "# Sources of the calculations",
        "",
        "Written by `tools/write_sources.py` from the citations in the code; not edited by hand. The last",
        "column says how the figure or formula came to us: *read*, *read in a copy*, *from memory*,",
        "*computed*, *our choice*, *common practice, no source*. Values of the catalogue carry their own",
        "source beside each value; `farpress assess` prints the sources each finding used.",
        "",
        "| Document | Edition | Place | Used by | How we know |",
        "| --- | --- | --- | --- | --- |",
    ]
    for (document, edition, place, mark), names in sorted(used.items()):
        where = ", ".join(f"`{name}`" for name in sorted(set(names)))
        lines.append(
            f"| {table_cell(document)} | {table_cell(edition)} | {table_cell(place)} | {where} | {mark} |"
        )
    return "\n".join(lines).rstrip() + "\n"


if __name__ == "__main__":
    PAGE.write_text(render(), encoding="utf-8")
    print(PAGE.relative_to(ROOT))
