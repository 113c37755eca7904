"""The chains of an assessment as text, for a terminal or an e-mail.

One block for each promise: its links drawn in their order, then the weakest one in
words. Shape and word carry the verdict; colour only repeats it. Pure text: it prints
nothing, so it can be piped, tested and pasted.
"""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Iterator
from typing import TYPE_CHECKING, Final, NamedTuple

from farpress.domain.finding import Verdict

if TYPE_CHECKING:
    from farpress.domain.finding import Assessment, Chain, Finding

__all__ = ["chain_table"]


class _Drawing(NamedTuple):
    """How one verdict is drawn: before a link's name and, in colour, with which pen."""

    line: str
    plain: str
    pen: str


_DRAWN: Final = {
    Verdict.HOLDS: _Drawing("━━", "==", "1"),
    Verdict.THIN: _Drawing("──", "--", "33"),
    Verdict.OPEN: _Drawing("╌╌", "..", "36"),
    Verdict.FAILS: _Drawing("━╳━", "=X=", "1;31"),
}
_MEANING: Final = {
    Verdict.HOLDS: "holds",
    Verdict.THIN: "thin: holds, but within the doubt of the numbers",
    Verdict.OPEN: "open: measure or ask",
    Verdict.FAILS: "fails",
}
_PLAIN_SIGNS: Final = {"−": "-", "–": "-", "—": "-", "·": "|", "±": "+/-", "≤": "<=", "≥": ">=", "²": "2", "…": "...", "×": "x", "Ω": "ohm", "µ": "u", "°": "deg",
                       "“": '"', "”": '"', "‘": "'", "’": "'"}  # fmt: skip


def chain_table(assessment: Assessment, width: int = 80, colour: bool = False, plain: bool = False, everything: bool = False) -> str:
    """Draw every promise as a chain, name its weakest link, list what else fails.

    Args:
        assessment: what to draw.
        width: columns to keep within, at least 40.
        colour: repeat the verdicts in terminal colours.
        plain: only ASCII signs, for a terminal that cannot show others.
        everything: list every finding after the promises, those that hold too.

    Returns:
        Lines without an end of line after the last.
    """
    page = _Page(max(width, 40), colour, plain)
    lines = [*page.head(assessment), ""]
    for chain in assessment.promises:
        lines += [*page.promise(chain), ""]
    lines += page.every(assessment) if everything else page.others(assessment)
    lines += page.counts(assessment)
    text = "\n".join(lines)
    return _to_ascii(text) if plain else text


class _Page(NamedTuple):
    width: int
    colour: bool
    plain: bool

    def head(self, assessment: Assessment) -> Iterator[str]:
        yield from self.wrap(f"{assessment.job}: {self.word(assessment.verdict)}", "", "  ")
        if not assessment.promises:
            yield "No promises yet: nothing was judged from thumb to moving leaf."

    def promise(self, chain: Chain) -> Iterator[str]:
        word = self.word(chain.verdict)
        should = "" if chain.importance == "must" else f" ({chain.importance})"
        yield from self.wrap(f"{self.link(chain.verdict)} {chain.says or chain.id}{should}: {word}", "", "   ")
        yield from self.drawing(chain)
        weakest = chain.weakest
        if weakest is not None and weakest.verdict is not Verdict.HOLDS:
            yield from self.finding(weakest, f"{weakest.link}: ")
        elif weakest is not None:
            yield from self.wrap(f"weakest: {weakest.link}: {weakest.says}", "   ", "   ")

    def drawing(self, chain: Chain) -> Iterator[str]:
        """The links in their order, wrapped between links and never inside one."""
        row, used = "  ", 2
        for link in chain.links:
            mark = self.mark(link.verdict)
            piece, length = f" {self.link(link.verdict)} {link.link}", len(mark) + len(link.link) + 2
            if used + length > self.width:
                yield row
                row, used = "  ", 2
            row, used = row + piece, used + length
        if chain.links:
            yield row

    def finding(self, finding: Finding, before: str = "") -> Iterator[str]:
        yield from self.wrap(f"{before}{finding.says}", "   ", "   ")
        number = _number(finding)
        if number:
            yield from self.wrap(f"{number}.", "   ", "   ")
        for place, remedy in enumerate(finding.remedies[:2]):
            effect = f": {remedy.effect}" if remedy.effect else ""
            yield from self.wrap(f"{'or    ' if place else 'remedy'} {remedy.does}{effect}", "   ", "          ")
        if finding.sources:
            yield from self.wrap(f"source {'; '.join(map(str, finding.sources[:3]))}", "   ", "          ")

    def others(self, assessment: Assessment) -> Iterator[str]:
        """Failing findings that belong to no promise."""
        told = {finding.key for chain in assessment.promises for link in chain.links for finding in link.findings}
        rest = [finding for finding in assessment.findings if finding.verdict is Verdict.FAILS and finding.key not in told]
        if not rest:
            return
        yield "Fails, beside the promises"
        for finding in rest:
            yield from self.wrap(f"{self.link(finding.verdict)} {finding.code} {finding.about}", "", "   ")
            yield from self.finding(finding)
        yield ""

    def every(self, assessment: Assessment) -> Iterator[str]:
        """All findings, one after the other."""
        if assessment.findings:
            yield "Every finding"
        for finding in assessment.findings:
            yield from self.wrap(f"{self.link(finding.verdict)} {finding.code} {finding.about}: {self.word(finding.verdict)}", "", "   ")
            yield from self.finding(finding)
        yield ""

    def counts(self, assessment: Assessment) -> Iterator[str]:
        for verdict in Verdict:
            promises = sum(chain.verdict is verdict for chain in assessment.promises)
            findings = sum(finding.verdict is verdict for finding in assessment.findings)
            mark = self.link(verdict) + " " * (3 - len(self.mark(verdict)))
            numbers = f"{promises:4} promise{'s' if promises != 1 else ' '} {findings:5} finding{'s' if findings != 1 else ' '}"
            yield f"{mark} {numbers}  {_MEANING[verdict]}"
        yield f"fingerprint {assessment.fingerprint[:16]}, Farpress {assessment.version}"

    def mark(self, verdict: Verdict) -> str:
        return _DRAWN[verdict].plain if self.plain else _DRAWN[verdict].line

    def link(self, verdict: Verdict) -> str:
        return self.painted(self.mark(verdict), verdict)

    def word(self, verdict: Verdict) -> str:
        return self.painted(str(verdict), verdict)

    def painted(self, text: str, verdict: Verdict) -> str:
        return f"\x1b[{_DRAWN[verdict].pen}m{text}\x1b[0m" if self.colour else text

    def wrap(self, text: str, first: str, rest: str) -> list[str]:
        """Wrapped to the width; escape codes of colour take no room and control characters go."""
        kept = "".join(one for one in text if one == "\x1b" or unicodedata.category(one) not in ("Cc", "Cs"))
        codes: list[str] = []
        if self.colour:
            kept, codes = _set_aside(kept)
        wrapped = textwrap.wrap(kept, self.width, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False) or [first.rstrip()]
        return _put_back(wrapped, codes)


_ASIDE = "\ue000"


def _set_aside(text: str) -> tuple[str, list[str]]:
    codes: list[str] = []
    out = ""
    while "\x1b[" in text:
        before, _, after = text.partition("\x1b[")
        code, _, text = after.partition("m")
        codes.append(f"\x1b[{code}m")
        out += before + _ASIDE
    return out + text.replace("\x1b", ""), codes


def _put_back(lines: list[str], codes: list[str]) -> list[str]:
    waiting = iter(codes)
    return ["".join(next(waiting, "") if one == _ASIDE else one for one in line) for line in lines]


def _number(finding: Finding) -> str:
    unit = f" {finding.unit}" if finding.unit else ""
    doubt = f" ± {finding.doubt:.2g}{unit}" if finding.doubt and finding.margin is not None else ""
    parts = [
        f"{name} {number:.4g}{unit}"
        for name, number in (("value", finding.value), ("limit", finding.limit), ("margin", finding.margin))
        if number is not None
    ]
    return ", ".join(parts) + doubt


def _to_ascii(text: str) -> str:
    signs = "".join(_PLAIN_SIGNS.get(one, one) for one in text)
    letters = unicodedata.normalize("NFKD", signs)
    return "".join(one if one < "\x7f" else "" if unicodedata.combining(one) else "?" for one in letters)
