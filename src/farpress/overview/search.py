"""What a person asks about: a concern by its number, a check by its code, a thing by its name, or a word."""

from __future__ import annotations

from collections.abc import Iterable

from farpress.domain.finding import Assessment, Finding
from farpress.errors import InputError
from farpress.overview.page import FirstPage
from farpress.phrases import closest

__all__ = ["findings_about"]


def findings_about(wanted: str, page: FirstPage, assessment: Assessment) -> tuple[Finding, ...]:
    """Findings that somebody asks for, the worst first.

    Args:
        wanted: a number of the page, a code as "AIR-01", a thing as "larkfen/R1/1" or "R1", or a word of a
            promise or of what is judged.
        page: the first page of the assessment.
        assessment: all findings.

    Raises:
        InputError: nothing is called so; the message says what comes closest.
    """
    text = wanted.strip()
    found = _by_number(text, page) or _by_code(text, assessment) or _by_name(text, assessment)
    found = found or _by_word(text, assessment)
    if not found:
        raise InputError(_nothing(text, page, assessment))
    once = {(finding.identity, finding.link): finding for finding in found}
    return tuple(sorted(once.values(), key=lambda finding: (-finding.verdict.rank, finding.key)))


def _by_number(text: str, page: FirstPage) -> tuple[Finding, ...]:
    number = int(text) if text.isdecimal() and text.isascii() else 0
    return page.concerns[number - 1].findings if 0 < number <= len(page.concerns) else ()


def _by_code(text: str, assessment: Assessment) -> tuple[Finding, ...]:
    return tuple(finding for finding in assessment.findings if finding.code == text.upper())


def _by_name(text: str, assessment: Assessment) -> tuple[Finding, ...]:
    """Findings on a thing or on what is part of it, and all of the promises to, of or from what is named."""
    wanted = text.casefold()
    own = [
        finding
        for finding in assessment.findings
        if any(_is_called(wanted, ref.path.casefold()) for ref in finding.subjects)
    ]
    chains = [
        chain
        for chain in assessment.promises
        if wanted
        in (chain.id.casefold(), chain.group.casefold(), chain.function.casefold(), chain.place.casefold())
    ]
    return (*own, *(finding for chain in chains for link in chain.links for finding in link.findings))


def _is_called(wanted: str, path: str) -> bool:
    local = path.partition("/")[2] or path
    return any(name == wanted or name.startswith(f"{wanted}/") for name in (path, local))


def _by_word(text: str, assessment: Assessment) -> tuple[Finding, ...]:
    """Findings whose name holds a word, and all of the promises that hold it."""
    wanted = text.casefold()
    if not wanted:
        return ()
    own = [finding for finding in assessment.findings if wanted in finding.about.casefold()]
    chains = [chain for chain in assessment.promises if wanted in chain.id.casefold()]
    return (*own, *(finding for chain in chains for link in chain.links for finding in link.findings))


def _nothing(text: str, page: FirstPage, assessment: Assessment) -> str:
    names = dict.fromkeys(
        (
            *(finding.code for finding in assessment.findings),
            *(
                name
                for finding in assessment.findings
                for ref in finding.subjects
                for name in _names(ref.path)
            ),
        )
    )
    numbers = f"a number from 1 to {len(page.concerns)}, " if page.concerns else ""
    return (
        f"Nothing in this job is called '{text}'{closest(text, names)}. Name {numbers}a code as AIR-01,"
        " a thing as R1/1, or a word of a promise."
    )


def _names(path: str) -> Iterable[str]:
    return (path, path.partition("/")[2] or path)
