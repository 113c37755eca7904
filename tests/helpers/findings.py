"""Picking findings out of a judgement."""

from __future__ import annotations

from collections.abc import Iterable

from farpress.domain.finding import Finding

__all__ = ["codes_of", "finding_of"]


def finding_of(findings: Iterable[Finding], code: str, about: str = "") -> Finding:
    """The only finding of a code whose subject contains `about`."""
    findings = list(findings)
    hits = [finding for finding in findings if finding.code == code and about in finding.about]
    assert len(hits) == 1, [finding.key for finding in findings]
    return hits[0]


def codes_of(findings: Iterable[Finding], *verdicts: str) -> set[str]:
    """Codes of the findings with these verdicts."""
    return {finding.code for finding in findings if finding.verdict.value in verdicts}
