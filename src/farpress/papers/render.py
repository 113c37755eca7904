"""Any paper of the model as a PDF: blocks become plain values for the one template.

Figures carry numbers that lead to the list of sources at the end; a dagger marks what is
from memory, our own choice or common practice.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, Final

from farpress.domain.finding import Chain, Finding
from farpress.papers.faces import printable
from farpress.papers.paper import (
    Block,
    Cautions,
    Cell,
    Drawing,
    Field,
    Fields,
    Findings,
    Head,
    Paper,
    Promises,
    Signatures,
    Table,
    Text,
    Ticks,
)
from farpress.papers.typeset import typeset
from farpress.sources import Citation, Mark

__all__ = ["named", "number_text", "paper_pdf", "ranges_text"]

UNSURE: Final = frozenset({Mark.MEMORY, Mark.CHOICE, Mark.PRACTICE})
"""Marks that get a dagger: check before relying on the figure."""


def paper_pdf(paper: Paper, head: Head, *, size: str = "a4") -> bytes:
    """Set a paper.

    Args:
        paper: what to print.
        head: job, version, date and firm, for the head of every page.
        size: "a4" or "letter".

    Returns:
        A tagged PDF (PDF/UA-1); equal arguments give equal bytes.

    Raises:
        InputError: an unknown paper size.
        PaperError: the paper could not be set.
    """
    numbers = _Sources(paper)
    data = {
        "job": named(head.job),
        "fingerprint": head.fingerprint,
        "version": head.version,
        "date": head.date,
        "issue": head.issue,
        "prepared_by": head.prepared_by,
        "installer": head.installer,
        "telephone": head.telephone,
        "title": paper.title,
        "purpose": paper.purpose,
        "is_wide": paper.is_wide,
        "missing": list(paper.all_missing()),
        "sections": [
            {"title": section.title, "is_on_new_page": section.is_on_new_page, "is_turned": section.is_turned, "blocks": [_block(block, numbers) for block in section.blocks]}
            for section in paper.sections
        ],
        "sources": numbers.listed(),
    }
    return typeset("paper.typ", data, paper=size, what=f"The {paper.title.lower()}")


class _Sources:
    """Numbers of the sources of one paper; the places of one document stand under one number."""

    def __init__(self, paper: Paper) -> None:
        self._places: dict[tuple[str, str, Mark], list[str]] = {}
        for citation in _cited(paper):
            places = self._places.setdefault((citation.document, citation.edition, citation.mark), [])
            if citation.place and citation.place not in places:
                places.append(citation.place)
        self._numbers = {key: number for number, key in enumerate(self._places, 1)}

    def refs(self, sources: Iterable[Citation]) -> str:
        """As "[1, 4–6]†", with a dagger if one of them is unsure; empty without sources."""
        found = {key for one in sources if (key := (one.document, one.edition, one.mark)) in self._numbers}
        sign = "†" if any(key[2] in UNSURE for key in found) else ""
        return f"[{ranges_text(self._numbers[key] for key in found)}]{sign}" if found else ""

    def listed(self) -> list[dict[str, str]]:
        """The list at the end."""
        return [
            {"number": f"{self._numbers[key]}{'†' if key[2] in UNSURE else ''}", "text": _document(key[0], key[1], places), "mark": str(key[2])}
            for key, places in self._places.items()
        ]


def _document(document: str, edition: str, places: list[str]) -> str:
    return f"{document}{f' ({edition})' if edition else ''}{f', {_joined(places)}' if places else ''}"


def _joined(places: list[str]) -> str:
    """Lines of one file together: "job.yaml, lines 47, 48, 96"."""
    lines: dict[str, list[int]] = {}
    others = []
    for place in places:
        file, found, number = place.rpartition(", line ")
        if found and number.isdigit():
            lines.setdefault(file, []).append(int(number))
        else:
            others.append(place)
    several = [f"{file}, line{'s' if len(found) > 1 else ''} {ranges_text(found)}" for file, found in lines.items()]
    return "; ".join([*others, *several])


def ranges_text(numbers: Iterable[int]) -> str:
    """Numbers in order, neighbours drawn together: "1, 4–6"."""
    parts: list[list[int]] = []
    for number in sorted(set(numbers)):
        if parts and number == parts[-1][-1] + 1:
            parts[-1].append(number)
        else:
            parts.append([number])
    return ", ".join(f"{part[0]}–{part[-1]}" if len(part) > 1 else str(part[0]) for part in parts)


def _cited(paper: Paper) -> Iterator[Citation]:
    for block in paper.blocks():
        match block:
            case Table(rows=rows):
                yield from (source for row in rows for cell in row if isinstance(cell, Cell) for source in cell.sources)
            case Fields(fields=fields):
                yield from (source for field in fields for source in field.sources)
            case Findings(findings=findings):
                yield from (source for one in findings for source in one.sources)
            case Promises(chains=chains):
                yield from (source for chain in chains if chain.weakest for source in chain.weakest.sources)


def _block(block: Block, numbers: _Sources) -> dict[str, Any]:
    match block:
        case Table():
            return _table(block, numbers)
        case Fields(fields=fields, columns=columns):
            return {"kind": "fields", "columns": columns, "fields": [_field(one, numbers) for one in fields]}
        case Text(text=text, is_note=is_note, is_strong=is_strong):
            return {"kind": "text", "text": text, "is_note": is_note, "is_strong": is_strong}
        case Findings(findings=findings, empty=empty):
            return {"kind": "findings", "empty": empty, "findings": [_finding(one, numbers) for one in findings]}
        case Promises(chains=chains):
            return {"kind": "promises", "promises": list(_promises(chains, numbers))}
        case Cautions(sentences=sentences):
            return {"kind": "cautions", "sentences": list(sentences)}
        case Ticks(items=items):
            return {"kind": "ticks", "items": [{"text": one.text, "done": one.done} for one in items]}
        case Signatures(roles=roles):
            return {"kind": "signatures", "roles": [{"role": role, "says": says} for role, says in roles]}
        case Drawing(svg=svg, alt=alt, caption=caption, width_share=width_share):
            return {"kind": "drawing", "svg": svg, "alt": alt, "caption": caption, "width": width_share}


def _table(table: Table, numbers: _Sources) -> dict[str, Any]:
    return {
        "kind": "table",
        "title": table.title,
        "empty": table.empty,
        "blank_rows": table.blank_rows,
        "columns": [{"title": one.title, "share": one.share, "is_number": one.is_number} for one in table.columns],
        "rows": [[_cell(cell, numbers) for cell in row] for row in table.rows],
    }


def _cell(cell: Cell | str | None, numbers: _Sources) -> dict[str, Any]:
    if not isinstance(cell, Cell):
        return {"text": cell, "verdict": "", "refs": ""}
    return {"text": cell.text, "verdict": cell.verdict, "refs": numbers.refs(cell.sources)}


def _field(field: Field, numbers: _Sources) -> dict[str, Any]:
    return {"label": field.label, "value": field.value, "is_missing": field.value is None and bool(field.ask), "refs": numbers.refs(field.sources)}


def _promises(chains: Iterable[Chain], numbers: _Sources) -> Iterator[dict[str, Any]]:
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


def _finding(finding: Finding, numbers: _Sources) -> dict[str, Any]:
    return {
        "code": finding.code,
        "link": str(finding.link),
        "verdict": str(finding.verdict),
        "about": finding.about,
        "says": finding.says,
        "because": finding.because,
        "number": number_text(finding),
        "remedies": [remedy.does.rstrip(".") + (f": {remedy.effect}" if remedy.effect else "") for remedy in finding.remedies],
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
