"""How one output stands: its worst word once, what bars it, what can hurt somebody, what must be found out.

Every paper, card, drawing and page asks here whether an output may be used; nobody chooses codes alone.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from farpress.domain.finding import Assessment, Finding, Stake, Verdict, worst
from farpress.domain.refs import OutputRef, Ref, refs_of
from farpress.overview.headlines import figures, headline

__all__ = ["Standing", "is_stop", "standing_of", "stops_of", "told_of"]


@dataclass(frozen=True)
class Standing:
    """Judgements of one output and of what it works.

    Attributes:
        output: which.
        findings: each once, the worst first.
    """

    output: OutputRef
    findings: tuple[Finding, ...]

    @property
    def verdict(self) -> Verdict:
        """The worst word; unknown where nothing was judged."""
        return worst(found.verdict for found in self.findings) if self.findings else Verdict.UNKNOWN

    @property
    def barred_by(self) -> tuple[Finding, ...]:
        """What nobody may accept."""
        return tuple(found for found in self.findings if found.bars)

    @property
    def waits_for(self) -> tuple[Finding, ...]:
        """What can hurt somebody and fails, or is not known; without what bars it."""
        return tuple(found for found in self.findings if is_stop(found) and not found.bars)

    @property
    def is_barred(self) -> bool:
        """Not to be wired, set, tried, explained on a card or accepted."""
        return bool(self.barred_by)

    @property
    def may_be_used(self) -> bool:
        """Whether nothing bars it and nobody can be hurt as far as is known."""
        return not self.barred_by and not self.waits_for

    def of_word(self, verdict: Verdict) -> tuple[Finding, ...]:
        """Its findings with one word."""
        return tuple(found for found in self.findings if found.verdict is verdict)

    def of_code(self, *codes: str) -> tuple[Finding, ...]:
        """Its findings of some checks, the worst first."""
        return tuple(found for found in self.findings if found.code in codes)


def is_stop(finding: Finding) -> bool:
    """Whether nothing may be handed over with it: it bars, or can hurt somebody and fails or is not known."""
    is_bad = finding.verdict in (Verdict.FAILS, Verdict.UNKNOWN)
    return finding.bars or (finding.stake is Stake.HARM and is_bad)


def stops_of(assessment: Assessment) -> tuple[Finding, ...]:
    """What stands against handing over, what bars first."""
    found = [finding for finding in assessment.findings if is_stop(finding)]
    return tuple(sorted(found, key=lambda f: (not f.bars, -f.verdict.rank, f.key)))


def standing_of(assessment: Assessment, output: OutputRef, works: Iterable[Ref] = ()) -> Standing:
    """Gather what concerns one output.

    Args:
        assessment: all findings.
        output: which.
        works: what it works; findings about that count unless they name other outputs.
    """
    driven = tuple(works)
    found = [
        finding
        for finding in assessment.findings
        if finding.touches(output) or (finding.touches(*driven) and not refs_of(OutputRef, finding.subjects))
    ]
    ordered = sorted(found, key=lambda f: (not f.bars, -f.verdict.rank, f.stake.rank, f.key))
    return Standing(output, tuple(ordered))


def told_of(findings: Iterable[Finding]) -> tuple[tuple[str, tuple[Finding, ...]], ...]:
    """Findings in a few words with their figures, those of one check together: (words, findings)."""
    by_code: dict[str, list[Finding]] = {}
    for finding in findings:
        by_code.setdefault(finding.code, []).append(finding)
    return tuple(
        (f"{headline(code)}{f': {numbers}' if (numbers := figures(found)) else ''}", tuple(found))
        for code, found in by_code.items()
    )
