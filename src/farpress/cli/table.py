"""The chains of an assessment as text, for a terminal or an e-mail.

One block for each promise: its links drawn in their order, then the weakest one in
words. Shape and word carry the verdict; colour only repeats it. Pure text: it prints
nothing, so it can be piped, tested and pasted.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import TYPE_CHECKING, Final, NamedTuple

from farpress.cli.marks import MARKS
from farpress.cli.text import to_ascii, wrapped
from farpress.domain.finding import Verdict
from farpress.overview.alike import chains_alike, findings_alike
from farpress.sources import together

if TYPE_CHECKING:
    from farpress.domain.finding import Assessment, Chain, Finding

__all__ = ["chain_table", "explained", "painted"]


_PENS: Final = {Verdict.HOLDS: "1", Verdict.THIN: "33", Verdict.UNKNOWN: "36", Verdict.FAILS: "1;31"}
"""ANSI pens (ECMA-48, select graphic rendition) that repeat the verdict where colours are shown."""

_MOST_LINES: Final = 4
"""Sources that take more lines than these are named by number; our choice."""

_MEANING: Final = {
    Verdict.HOLDS: "holds",
    Verdict.THIN: "thin: holds, within the numbers' doubt",
    Verdict.UNKNOWN: "unknown: measure or ask",
    Verdict.FAILS: "fails",
}


def chain_table(assessment: Assessment, width: int = 80, plain: bool = False) -> str:
    """Draw every promise as a chain, name its weakest link, list every finding.

    Args:
        assessment: what to draw.
        width: columns to keep within, at least 40.
        plain: only ASCII signs, for a terminal that cannot show others.

    Returns:
        Lines without an end of line after the last.
    """
    page = _Page(max(width, 40), plain, {})
    lines = [*page.head(assessment), ""]
    for first, *others in chains_alike(assessment.promises):
        lines += [*page.promise(first), *page.likewise([other.id for other in others]), ""]
    lines += page.every(assessment)
    lines += page.sources()
    lines += page.counts(assessment)
    return "\n".join(lines)


def explained(findings: Sequence[Finding], width: int = 80, plain: bool = False) -> str:
    """Findings in full: words, figures, reason, remedies, questions, sources; what holds as one line each.

    Args:
        findings: the worst first.
        width: columns to keep within, at least 40.
        plain: only ASCII signs.
    """
    page = _Page(max(width, 40), plain, {})
    lines: list[str] = []
    weak = [finding for finding in findings if finding.verdict is not Verdict.HOLDS]
    for first, *others in findings_alike(weak or findings):
        lines += [*page.titled(first), *page.likewise([other.about for other in others]), ""]
    well = [finding for finding in findings if finding.verdict is Verdict.HOLDS] if weak else []
    for finding in well:
        lines += page.wrap(f"{page.mark(finding.verdict)} {finding.code} {finding.says}", "", "   ")
    lines += ["", *page.sources()] if well and page.numbers else page.sources()
    return "\n".join(lines).rstrip("\n")


def painted(text: str) -> str:
    """The same with the verdicts' signs in terminal colours."""
    return _PAINTED.sub(_painted, text)


class _Page(NamedTuple):
    width: int
    plain: bool
    numbers: dict[str, int]
    """Sources that findings name by number, in the order they were first named."""

    def head(self, assessment: Assessment) -> Iterator[str]:
        yield from self.wrap(f"{assessment.job}: {assessment.verdict}", "", "  ")
        if not assessment.promises:
            yield "No promises yet: nothing was judged from thumb to moving leaf."

    def promise(self, chain: Chain) -> Iterator[str]:
        """Who, what, from where; the links; the weakest of them in words."""
        should = "" if chain.importance == "must" else f" ({chain.importance})"
        words = f" ({chain.says})" if chain.says and chain.says != chain.id else ""
        yield from self.wrap(
            f"{self.mark(chain.verdict)} {chain.id}{words}{should}: {chain.verdict}", "", "   "
        )
        yield from self.drawing(chain)
        weakest = chain.weakest
        if weakest is not None:
            yield from self.wrap(f"weakest: {weakest.link}, {weakest.code}: {weakest.says}", "   ", "   ")
        else:
            yield from self.wrap("No link of this promise could be judged.", "   ", "   ")

    def drawing(self, chain: Chain) -> Iterator[str]:
        """The links in their order, wrapped between links and never inside one."""
        row = "  "
        for link in chain.links:
            piece = f" {self.mark(link.verdict)} {link.link}"
            if len(row) + len(piece) > self.width:
                yield row
                row = "  "
            row += piece
        if chain.links:
            yield row

    def finding(self, finding: Finding) -> Iterator[str]:
        yield from self.wrap(finding.says, "   ", "   ")
        number = _number(finding)
        if number:
            yield from self.wrap(f"{number}.", "   ", "   ")
        if finding.because:
            yield from self.wrap(f"why    {finding.because}", "   ", "          ")
        for place, remedy in enumerate(finding.remedies[:2]):
            effect = f": {remedy.effect}" if remedy.effect else ""
            by_hand = "" if remedy.changes or finding.verdict is Verdict.UNKNOWN else "by hand: "
            yield from self.wrap(
                f"{'or    ' if place else 'remedy'} {by_hand}{remedy.does.rstrip('.')}{effect}",
                "   ",
                "          ",
            )
        for question in finding.asks:
            yield from self.wrap(f"ask    {question.says} ({question.who})", "   ", "          ")
        if finding.sources:
            yield from self.named(together(finding.sources))

    def named(self, texts: Sequence[str]) -> list[str]:
        """Few sources in full; many by their numbers in the list at the end, with how they are known."""
        lines = self.wrap(f"source {'; '.join(texts)}", "   ", "          ")
        if len(lines) <= _MOST_LINES:
            return lines
        numbers = sorted({self.numbers.setdefault(text, len(self.numbers) + 1) for text in texts})
        marks = Counter(text.rpartition(" [")[2].removesuffix("]") for text in texts)
        known = "; ".join(f"{count} {mark}" for mark, count in marks.most_common())
        return self.wrap(f"source {_ranges(numbers)}: {known}", "   ", "          ")

    def sources(self) -> Iterator[str]:
        """What the numbers stand for."""
        if self.numbers:
            yield "Sources by number"
        wide = len(str(len(self.numbers))) + 4
        for text, number in self.numbers.items():
            yield from self.wrap(f"{f'[{number}]':>{wide}} {text}", "", " " * (wide + 1))
        if self.numbers:
            yield ""

    def titled(self, finding: Finding) -> Iterator[str]:
        yield from self.wrap(
            f"{self.mark(finding.verdict)} {finding.code} {finding.about}: {finding.verdict}", "", "   "
        )
        yield from self.finding(finding)

    def every(self, assessment: Assessment) -> Iterator[str]:
        """All findings, one after the other; those that say the same of another thing by their names."""
        if assessment.findings:
            yield "Every finding"
        for first, *others in findings_alike(assessment.findings):
            yield from self.titled(first)
            yield from self.likewise([other.about for other in others])
        yield ""

    def likewise(self, names: Sequence[str]) -> Iterator[str]:
        """What else it holds for, word for word but for the names."""
        if names:
            yield from self.wrap(f"likewise {'; '.join(names)}", "   ", "          ")

    def counts(self, assessment: Assessment) -> Iterator[str]:
        for verdict in Verdict:
            promises = sum(chain.verdict is verdict for chain in assessment.promises)
            findings = sum(finding.verdict is verdict for finding in assessment.findings)
            numbers = (
                f"{promises:4} promise{'s' if promises != 1 else ' '} {findings:5}"
                f" finding{'s' if findings != 1 else ' '}"
            )
            yield from self.wrap(f"{self.mark(verdict):3} {numbers}  {_MEANING[verdict]}", "", " " * 34)
        yield f"fingerprint {assessment.fingerprint[:16]}, Farpress {assessment.version}"

    def mark(self, verdict: Verdict) -> str:
        return to_ascii(MARKS[verdict]) if self.plain else MARKS[verdict]

    def wrap(self, text: str, first: str, rest: str) -> list[str]:
        return wrapped(to_ascii(text) if self.plain else text, self.width, first, rest)


def _ranges(numbers: Sequence[int]) -> str:
    """Numbers in brackets, those in a row by the first and the last.

    Example:
        >>> _ranges([1, 2, 3, 7])
        '[1] to [3], [7]'
    """
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(
        f"[{run[0]}] to [{run[-1]}]" if len(run) > 2 else ", ".join(f"[{number}]" for number in run)
        for run in runs
    )


_PAINTED: Final = re.compile("|".join(sorted(MARKS.values(), key=len, reverse=True)))


def _painted(mark: re.Match[str]) -> str:
    pen = next(pen for verdict, pen in _PENS.items() if MARKS[verdict] == mark[0])
    return f"\x1b[{pen}m{mark[0]}\x1b[0m"


def _number(finding: Finding) -> str:
    unit = f" {finding.unit}" if finding.unit else ""
    parts = [
        f"{name} {_figure(number)}{unit}"
        for name, number in (("value", finding.value), ("limit", finding.limit), ("margin", finding.margin))
        if number is not None
    ]
    # what floats leave behind is no doubt
    is_doubtful = (
        finding.doubt and finding.margin is not None and finding.doubt > _SEEN * abs(finding.value or 0)
    )
    doubt = f" ± {_figure(finding.doubt, 2)}{unit}" if is_doubtful and finding.doubt else ""
    return ", ".join(parts) + doubt


_SEEN: Final = 1e-6
"""A doubt that is a smaller part of its value is nobody's; our choice."""


def _figure(number: float, digits: int = 4) -> str:
    """With so many digits and without a power of ten, as people write it.

    >>> _figure(86400.0), _figure(54614.2), _figure(0.0000213), _figure(-2.87513), _figure(1.6e-7, 2)
    ('86,400', '54,610', '0.0000213', '-2.875', '0.00000016')
    """
    short = f"{number:.{digits}g}"
    if "e" not in short:
        return short
    rounded = Decimal(short)
    return f"{rounded:,f}" if abs(number) >= 1.0 else f"{rounded:f}"
