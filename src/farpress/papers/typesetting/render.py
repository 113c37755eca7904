"""Any paper of the model as a PDF: blocks become plain values for the one template.

Figures carry numbers that lead to the list of sources at the end; a dagger marks what is
from memory, our own choice or common practice.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from farpress.domain.finding import Chain, Finding
from farpress.papers.typesetting.faces import printable
from farpress.papers.typesetting.fixed_words import fixed_words
from farpress.papers.typesetting.paper import (
    Block,
    Cautions,
    Cell,
    Drawing,
    Drawings,
    Fields,
    Findings,
    Head,
    Paper,
    PaperField,
    PaperTable,
    Promises,
    Signatures,
    Text,
    Ticks,
)
from farpress.papers.typesetting.source_numbers import SourceNumbers
from farpress.papers.typesetting.texts import texts_in
from farpress.papers.typesetting.typeset import typeset
from farpress.sources import Mark

__all__ = ["named", "number_text", "paper_pdf"]


def paper_pdf(paper: Paper, head: Head, *, size: str = "a4") -> bytes:
    """Set a paper.

    Args:
        paper: what to print.
        head: job, version, date and firm, for the head of every page.
        size: "a4" or "letter".

    Returns:
        A tagged PDF (PDF/UA-1, and PDF/A-2a where the head has a day); equal arguments give equal bytes.

    Raises:
        InputError: an unknown paper size.
        PaperError: the paper could not be set.
    """
    numbers, texts = SourceNumbers(paper), texts_in(paper.language)
    data = {
        "lang": paper.language,
        "words": fixed_words(texts),
        "is_for_customer": paper.is_for_customer,
        "job": named(head.job),
        "fingerprint": head.fingerprint,
        "version": head.version,
        "date": head.date,
        "day": head.day_numbers,
        "issue": head.issue,
        "prepared_by": head.prepared_by,
        "installer": head.installer,
        "telephone": head.telephone,
        "title": paper.title,
        "purpose": paper.purpose,
        "is_wide": paper.is_wide,
        "missing": list(paper.all_missing()),
        "sections": [
            {
                "title": section.title,
                "is_on_new_page": section.is_on_new_page,
                "is_turned": section.is_turned,
                "blocks": [_block(block, numbers) for block in section.blocks],
            }
            for section in paper.sections
        ],
        "sources": [
            {"number": number, "text": text, "mark": texts.say(mark), "is_from_memory": mark == Mark.MEMORY}
            for number, text, mark in numbers.listed()
        ],
    }
    return typeset(
        "paper.typ",
        data,
        paper=size,
        what=f"The paper “{paper.title}”",
        closer=True,
        tight=paper.is_close and not paper.is_for_customer,
        one_page=paper.is_for_customer,
    )


def _block(block: Block, numbers: SourceNumbers) -> dict[str, Any]:
    match block:
        case PaperTable():
            return _table(block, numbers)
        case Fields(fields=fields, columns=columns):
            return {
                "kind": "fields",
                "columns": columns,
                "fields": [_field(field, numbers) for field in fields],
            }
        case Text(text=text, is_note=is_note, is_strong=is_strong):
            return {"kind": "text", "text": text, "is_note": is_note, "is_strong": is_strong}
        case Findings(findings=findings, empty=empty):
            return {
                "kind": "findings",
                "empty": empty,
                "findings": [_finding(finding, numbers) for finding in findings],
            }
        case Promises(chains=chains, empty=empty, is_brief=is_brief):
            return {
                "kind": "promises",
                "empty": empty,
                "is_brief": is_brief,
                "promises": list(_promises(chains, numbers)),
            }
        case Cautions(sentences=sentences):
            return {"kind": "cautions", "sentences": list(sentences)}
        case Ticks(items=items):
            return {"kind": "ticks", "items": [{"text": tick.text, "done": tick.done} for tick in items]}
        case Signatures(roles=roles):
            return {"kind": "signatures", "roles": [{"role": role, "says": says} for role, says in roles]}
        case Drawing():
            return _drawing(block)
        case Drawings(drawings=drawings):
            return {"kind": "drawings", "drawings": [_drawing(drawing) for drawing in drawings]}


def _drawing(drawing: Drawing) -> dict[str, Any]:
    return {
        "kind": "drawing",
        "svg": drawing.svg,
        "alt": drawing.alt,
        "caption": drawing.caption,
        "width": drawing.width_share,
    }


def _table(table: PaperTable, numbers: SourceNumbers) -> dict[str, Any]:
    return {
        "kind": "table",
        "title": table.title,
        "empty": table.empty,
        "blank_rows": table.blank_rows,
        "columns": [
            {
                "title": column.title,
                "share": column.share,
                "is_number": column.is_number,
                "refs": numbers.refs(column.sources),
            }
            for column in table.columns
        ],
        "rows": [[_cell(cell, numbers) for cell in row] for row in table.rows],
    }


def _cell(cell: Cell | str | None, numbers: SourceNumbers) -> dict[str, Any]:
    if not isinstance(cell, Cell):
        return {"text": cell, "verdict": "", "refs": ""}
    return {"text": cell.text, "verdict": cell.verdict, "refs": numbers.refs(cell.sources)}


def _field(field: PaperField, numbers: SourceNumbers) -> dict[str, Any]:
    return {
        "label": field.label,
        "value": field.value,
        "is_missing": field.value is None and bool(field.ask),
        "refs": numbers.refs(field.sources) if field.value is not None else "",
    }


def _promises(chains: Iterable[Chain], numbers: SourceNumbers) -> Iterator[dict[str, Any]]:
    """A weakest link that several promises share is told once; the others name it."""
    told: dict[str, str] = {}
    for chain in chains:
        weakest = chain.weakest
        before = told.get(weakest.key) if weakest is not None else None
        if weakest is not None:
            told.setdefault(weakest.key, chain.id)
        yield {
            "title": named(chain.id),
            "says": chain.says,
            "importance": chain.importance,
            "verdict": str(chain.verdict),
            "links": [{"name": str(link.link), "verdict": str(link.verdict)} for link in chain.links],
            "told": before,
            "weakest": _finding(weakest, numbers) if weakest is not None else None,
        }


def _finding(finding: Finding, numbers: SourceNumbers) -> dict[str, Any]:
    return {
        "code": finding.code,
        "link": str(finding.link),
        "verdict": str(finding.verdict),
        "about": finding.about,
        "says": finding.says,
        "because": finding.because,
        "number": number_text(finding),
        "remedies": [
            remedy.does.rstrip(".") + (f": {remedy.effect}" if remedy.effect else "")
            for remedy in finding.remedies
        ],
        "refs": numbers.refs(finding.sources),
    }


def number_text(finding: Finding) -> str:
    """Value, limit and margin with unit and doubt: "value 10.64 V, limit 10.8 V, margin −0.16 V ± 0.05 V"."""
    unit = f" {finding.unit}" if finding.unit else ""
    parts = [
        f"{name} {_signed(value)}{unit}"
        for name, value in (("value", finding.value), ("limit", finding.limit), ("margin", finding.margin))
        if value is not None
    ]
    if finding.margin is not None and finding.doubt:
        parts[-1] += f" ± {finding.doubt:.2g}{unit}"
    return ", ".join(parts)


def _signed(value: float) -> str:
    return f"{value:.4g}".replace("-", "−", 1) if value < 0 else f"{value:.4g}"


def named(name: str) -> str:
    """A name as a heading, which must not be empty."""
    return name if printable(name).replace("\u200b", "").strip() else "(without a name)"
