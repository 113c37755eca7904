"""The validation page: numbers in print, and ours beside them.

A record is one comparison that a test in tests/reference made with `Printed`. This
module only turns records into a page and compares two pages; gathering them is the
business of tests/conftest.py.
"""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from decimal import Context, Decimal
from itertools import groupby
from pathlib import Path

from survey import ROOT, calculations, checked_calculations, table_cell

__all__ = ["PAGE", "Record", "comparing_modules", "judgements", "read_records", "render", "write_records"]

PAGE = ROOT / "docs" / "validation" / "index.md"


@dataclass(frozen=True, order=True)
class Record:
    """One number in print compared with ours.

    Attributes:
        document: first line of the test module's docstring.
        test: the test, as "test_iec_60228.py::test_name[id]".
        place: which comparison within the test, counted from 0.
        printed: the digits as they stand in print.
        computed: ours.
        agrees: whether ours would have been printed so.
        why: why the page itself is held to be wrong; empty where it is not.
    """

    document: str
    test: str
    place: int
    printed: str
    computed: float
    agrees: bool
    why: str = ""


def comparing_modules() -> list[str]:
    """The modules of tests/reference that compare with digits in print; the others make no record."""
    modules = sorted((ROOT / "tests" / "reference").rglob("test_*.py"))
    return [
        str(path.relative_to(ROOT))
        for path in modules
        if "helpers.printed" in path.read_text(encoding="utf-8")
    ]


def render(records: list[Record]) -> str:
    """The page; ours is shown to two digits beyond print."""
    calculated, checked = calculations(), checked_calculations()
    unchecked = sorted(set(calculated) - checked)
    agree = sum(record.agrees for record in records)
    lines = [
        "# Our numbers beside numbers in print",
        "",
        (
            "Written by `tools/write_validation.py`, which runs `tests/reference`; not edited by hand."
            " *Printed* is"
        ),
        (
            "copied digit by digit from the document; *ours* is shown to two digits more. *Agrees* means that"
            " ours,"
        ),
        (
            "rounded to the printed digits, is the printed number. Where the page itself is wrong, the row"
            " says why."
        ),
        "",
        (
            f"{agree} of {len(records)} printed numbers agree, from"
            f" {len({record.document for record in records})} documents. {len(calculated) - len(unchecked)}"
            f" of {len(calculated)} public calculations are checked against a document."
        ),
        "",
    ]
    for document, group in groupby(sorted(records), key=lambda record: record.document):
        lines += [
            f"## {document}",
            "",
            "| Check | Printed | Ours | Difference | Verdict |",
            "| --- | ---: | ---: | ---: | --- |",
        ]
        lines += list(dict.fromkeys(_row(record) for record in group))
        lines.append("")
    lines += ["## Not yet checked against a document", ""]
    lines += [f"- `{name.removeprefix('farpress.core.')}`" for name in unchecked] or [
        "Every public calculation is."
    ]
    return "\n".join(lines).rstrip() + "\n"


def judgements(page: str) -> list[str]:
    """The page without our own digits, which may differ in the last place between machines."""
    kept = []
    for line in page.splitlines():
        cells = line.split(" | ")
        kept.append(
            " | ".join([*cells[:2], *cells[4:]]) if line.startswith("| ") and len(cells) == 5 else line
        )
    return kept


def write_records(records: list[Record], path: Path) -> None:
    """Keep records for another process."""
    path.write_text(json.dumps([asdict(record) for record in records]), encoding="utf-8")


def read_records(path: Path) -> list[Record]:
    """Records that another process kept."""
    return [Record(**one) for one in json.loads(path.read_text(encoding="utf-8"))]


def _row(record: Record) -> str:
    exponent = Decimal(record.printed).as_tuple().exponent
    last = Decimal(1).scaleb(int(exponent) - 2)
    ours = Decimal(record.computed).quantize(last, context=Context(prec=400))
    difference = ours - Decimal(record.printed)
    verdict = ("agrees" if record.agrees else "**differs**") + (f"; {record.why}" if record.why else "")
    name = (
        record.test.partition("::")[2].removeprefix("test_").replace("_", " ").replace("[", ": ").rstrip("]")
    )
    return f"| {table_cell(name)} | {record.printed} | {ours:f} | {difference:+f} | {table_cell(verdict)} |"
