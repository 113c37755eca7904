"""The summary of an assessment on paper: every promise, its chain, its weakest link.

One value in, one PDF out; it reads no job file and no clock. It judges nothing: what
stands here stands in the findings.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from farpress.papers.render import named, number_text
from farpress.papers.typeset import typeset
from farpress.sources import together

if TYPE_CHECKING:
    from farpress.domain.finding import Assessment, Chain, Finding

__all__ = ["CAUTIONS", "summary_pdf"]

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
    data = _summary_data(assessment) | {"fingerprint": assessment.fingerprint, "date": date or ""}
    return typeset("summary.typ", data, paper=paper, what="The summary")


def _summary_data(assessment: Assessment) -> dict[str, Any]:
    findings = assessment.findings
    return {
        "job": named(assessment.job),
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
        "id": named(chain.id),
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
        "number": number_text(finding),
        "remedies": [remedy.does.rstrip(".") + (f": {remedy.effect.rstrip('.')}" if remedy.effect else "") for remedy in finding.remedies],
        "sources": list(together(finding.sources)),
    }


def _source(document: str, edition: str, place: str) -> str:
    return f"{document}{f' ({edition})' if edition else ''}{f', {place}' if place else ''}"
