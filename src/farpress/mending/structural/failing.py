"""Which outputs findings of some checks fail for: where a structural change is tried."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from farpress.domain.finding import Finding, Verdict
from farpress.domain.refs import OutputRef, refs_of

__all__ = ["failing_outputs"]


def failing_outputs(findings: Iterable[Finding], codes: Collection[str]) -> tuple[str, ...]:
    """Paths of the outputs that findings of these checks fail for, each once, in the findings' order."""
    paths = (
        ref.path
        for finding in findings
        if finding.code in codes and finding.verdict is Verdict.FAILS
        for ref in refs_of(OutputRef, finding.subjects)
    )
    return tuple(dict.fromkeys(paths))
