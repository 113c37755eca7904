"""The summary of an assessment on paper: every promise, its chain, its weakest link.

One value in, one PDF out; it reads no job file and no clock. It judges nothing: what
stands here stands in the findings.
"""

from __future__ import annotations

import json
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from farpress.errors import InputError, PaperError
from farpress.papers.faces import FAMILIES, NO_GLYPH, fonts, printable
from farpress.sources import together

if TYPE_CHECKING:
    from farpress.domain.finding import Assessment, Chain, Finding

__all__ = ["CAUTIONS", "PAPERS", "summary_pdf"]

PAPERS: Final = {"a4": "a4", "letter": "us-letter"}
"""Paper sizes on offer, and what the typesetter calls them."""

CAUTIONS: Final = (
    "A radio link is convenient, not certain. A press may be missed, delayed or blocked by other transmitters. "
    "Whoever presses watches what moves until it has stopped.",
    "Radio is never a safety function. Nobody's way out, no emergency stop and no safety input may depend on it.",
    "These figures come from the sources named below and from what the job file says; measure on site before relying on them. "
    "“From memory” and “our choice” mean exactly that.",
    "National wiring rules, fire and building law, machinery rules and the insurer's and police requirements come before this paper. "
    "Work on mains, on escape routes and at the alarm panel belongs to those licensed for it.",
)
"""Printed on every summary; our own words."""

_WORDS = {"holds": "holds", "thin": "thin", "open": "open", "fails": "fails"}
_GROUPS = (
    ("fails", "What fails"),
    ("open", "What is not known yet"),
    ("thin", "What holds only just"),
)


def summary_pdf(assessment: Assessment, *, paper: str = "a4", date: str | None = None) -> bytes:
    """Set the summary of an assessment.

    Args:
        assessment: what to print.
        paper: "a4" or "letter".
        date: printed in the title block as it is given; None leaves the field empty.

    Returns:
        A tagged PDF (PDF/UA-1); the same arguments give the same bytes.

    Raises:
        InputError: an unknown paper size.
        PaperError: the paper could not be set.
    """
    if paper not in PAPERS:
        raise InputError(f"There is no paper size '{paper}'; there are {' and '.join(PAPERS)}.")
    data = _printable(_summary_data(assessment)) | {
        "fingerprint": assessment.fingerprint,
        "families": list(FAMILIES),
        "paper": PAPERS[paper],
        "date": printable(date or ""),
    }
    try:
        return _set(data)
    except PaperError:
        # a glyph that exists but does not go with its neighbour: keep to plain characters rather than give no paper
        return _set(_plain(data))


def _set(data: Any) -> bytes:
    import typst

    template = resources.files("farpress.papers") / "templates" / "summary.typ"
    with resources.as_file(template) as path:
        compiler = typst.Compiler(input=str(path), root=str(Path(path).parent), font_paths=fonts(), ignore_system_fonts=True)
        try:
            made = compiler.compile(format="pdf", sys_inputs={"data": json.dumps(data, ensure_ascii=False)}, pdf_standards="ua-1", timestamp=0)
        except typst.TypstError as error:
            raise PaperError(f"The summary could not be set: {error.message}") from error
    if not isinstance(made, bytes):
        raise PaperError("The summary could not be set: the typesetter gave no single document.")
    return made


def _summary_data(assessment: Assessment) -> dict[str, Any]:
    findings = assessment.findings
    return {
        "job": _named(assessment.job),
        "fingerprint": assessment.fingerprint,
        "version": assessment.version,
        "verdict": str(assessment.verdict),
        "counts": [
            {
                "verdict": verdict,
                "word": word,
                "promises": sum(chain.verdict == verdict for chain in assessment.promises),
                "findings": sum(finding.verdict == verdict for finding in findings),
            }
            for verdict, word in _WORDS.items()
        ],
        "promises": [_promise_data(chain) for chain in assessment.promises],
        "groups": [
            {"verdict": verdict, "title": title, "findings": [_finding_data(finding) for finding in findings if finding.verdict == verdict]}
            for verdict, title in _GROUPS
        ],
        "sources": [{"text": _source(citation.document, citation.edition, citation.place), "mark": str(citation.mark)} for citation in assessment.sources],
        "cautions": list(CAUTIONS),
    }


def _promise_data(chain: Chain) -> dict[str, Any]:
    weakest = chain.weakest
    return {
        "id": _named(chain.id),
        "says": chain.says if chain.says != chain.id else "",
        "importance": chain.importance,
        "verdict": str(chain.verdict),
        "links": [{"name": str(link.link), "verdict": str(link.verdict)} for link in chain.links],
        "weakest": _finding_data(weakest) if weakest is not None else None,
    }


def _finding_data(finding: Finding) -> dict[str, Any]:
    return {
        "code": finding.code,
        "link": str(finding.link),
        "verdict": str(finding.verdict),
        "about": finding.about,
        "says": finding.says,
        "because": finding.because,
        "number": _number(finding),
        "remedies": [remedy.does.rstrip(".") + (f": {remedy.effect.rstrip('.')}" if remedy.effect else "") for remedy in finding.remedies],
        "sources": list(together(finding.sources)),
    }


def _named(name: str) -> str:
    """A heading must not be empty."""
    return name if printable(name).replace("\u200b", "").strip() else "(without a name)"


def _number(finding: Finding) -> str:
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


def _source(document: str, edition: str, place: str) -> str:
    return f"{document}{f' ({edition})' if edition else ''}{f', {place}' if place else ''}"


def _printable(data: Any) -> Any:
    match data:
        case str():
            return printable(data)
        case dict():
            return {key: _printable(value) for key, value in data.items()}
        case list():
            return [_printable(value) for value in data]
    return data


def _plain(data: Any) -> Any:
    match data:
        case str():
            return "".join(character if character <= "ž" or character in "–—“”‘’·−≤≥±\u200b" else NO_GLYPH for character in data)
        case dict():
            return {key: value if key == "families" else _plain(value) for key, value in data.items()}
        case list():
            return [_plain(value) for value in data]
    return data
