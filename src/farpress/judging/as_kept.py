"""An assessment as plain JSON values and back, nothing lost: for results kept from one run to the next.

Not for programs of others: `as_json` is. Here floats keep all their digits, equal citations are written once,
and promises name their findings by number.
"""

from __future__ import annotations

from typing import Any

from farpress.domain.finding import (
    Ask,
    Assessment,
    Chain,
    ChainLink,
    Change,
    Finding,
    Link,
    Remedy,
    Stake,
    Verdict,
    Who,
)
from farpress.domain.refs import ref_from_tag
from farpress.sources import Citation, Mark

__all__ = ["as_kept", "from_kept"]


def as_kept(assessment: Assessment) -> dict[str, Any]:
    """The assessment as plain JSON.

    Raises:
        TypeError: it holds a value that JSON cannot give back as it was.
    """
    citations: dict[Citation, int] = {}
    numbers: dict[int, int] = {}
    findings: list[list[Any]] = []
    for finding in assessment.findings:
        numbers[id(finding)] = len(findings)
        findings.append(_finding(finding, citations))
    promises = [
        [
            chain.id,
            chain.says,
            chain.importance,
            [chain.group, chain.function, chain.place],
            [
                [str(link.link), str(link.verdict), [numbers[id(finding)] for finding in link.findings]]
                for link in chain.links
            ],
        ]
        for chain in assessment.promises
    ]
    return {
        "job": assessment.job,
        "fingerprint": assessment.fingerprint,
        "version": assessment.version,
        "findings": findings,
        "promises": promises,
        "words": {ref.tag: says for ref, says in assessment.words.items()},
        "citations": [
            [citation.document, citation.edition, citation.place, str(citation.mark)]
            for citation in citations
        ],
    }


def from_kept(data: dict[str, Any]) -> Assessment:
    """The assessment that was written.

    Raises:
        ValueError, KeyError, TypeError, IndexError: it is no such thing.
    """
    citations = tuple(
        Citation(document, edition, place, Mark(mark)) for document, edition, place, mark in data["citations"]
    )
    findings = tuple(_finding_from(entry, citations) for entry in data["findings"])
    promises = tuple(
        Chain(
            name,
            says,
            importance,
            tuple(
                ChainLink(Link(link), Verdict(verdict), tuple(findings[number] for number in numbers))
                for link, verdict, numbers in links
            ),
            *who_what_where,
        )
        for name, says, importance, who_what_where, links in data["promises"]
    )
    words = {ref_from_tag(tag): says for tag, says in data["words"].items()}
    return Assessment(data["job"], data["fingerprint"], data["version"], findings, promises, words)


def _finding(finding: Finding, citations: dict[Citation, int]) -> list[Any]:
    return [
        finding.code,
        str(finding.link),
        str(finding.verdict),
        finding.about,
        finding.says,
        finding.because,
        [_number(number) for number in (finding.value, finding.limit, finding.margin, finding.doubt)],
        finding.unit,
        [
            [
                remedy.does,
                remedy.effect,
                [[list(change.path), _value(change.value)] for change in remedy.changes],
            ]
            for remedy in finding.remedies
        ],
        [citations.setdefault(source, len(citations)) for source in finding.sources],
        [subject.tag for subject in finding.subjects],
        [[ask.says, str(ask.who), ask.minutes] for ask in finding.asks],
        finding.cause.tag if finding.cause is not None else None,
        str(finding.stake),
        [finding.bars, finding.halts, finding.advice],
    ]


def _finding_from(entry: list[Any], citations: tuple[Citation, ...]) -> Finding:
    code, link, verdict, about, says, because, numbers, unit, remedies, sources, subjects, asks, *rest = entry
    value, limit, margin, doubt = numbers
    cause, stake, (bars, halts, advice) = rest
    return Finding(
        code=code,
        link=Link(link),
        verdict=Verdict(verdict),
        about=about,
        says=says,
        because=because,
        value=value,
        limit=limit,
        unit=unit,
        margin=margin,
        doubt=doubt,
        remedies=tuple(
            Remedy(does, effect, tuple(Change(tuple(path), _value_from(wanted)) for path, wanted in changes))
            for does, effect, changes in remedies
        ),
        sources=tuple(citations[number] for number in sources),
        subjects=tuple(ref_from_tag(tag) for tag in subjects),
        asks=tuple(Ask(text, Who(who), minutes) for text, who, minutes in asks),
        cause=ref_from_tag(cause) if cause is not None else None,
        stake=Stake(stake),
        bars=bars,
        halts=halts,
        advice=advice,
    )


def _number(number: float | None) -> float | int | None:
    if number is None or type(number) in (int, float, bool):
        return number
    if isinstance(number, float):
        return float(number)  # a float of numpy is one
    raise TypeError(f"{number!r} is no number")


def _value(value: object) -> Any:
    """A value of a change; what JSON has no sign for as a list of its kind and its content."""
    if value is None or type(value) in (str, int, float, bool):
        return value
    if isinstance(value, dict):
        return ["dict", [[key, _value(inner)] for key, inner in value.items()]]
    if isinstance(value, list | tuple):
        return ["list" if isinstance(value, list) else "tuple", [_value(inner) for inner in value]]
    if isinstance(value, float):
        return float(value)
    raise TypeError(f"{value!r} is not kept")


def _value_from(value: Any) -> object:
    if not isinstance(value, list):
        return value
    kind, content = value
    if kind == "dict":
        return {key: _value_from(inner) for key, inner in content}
    inner = [_value_from(element) for element in content]
    return inner if kind == "list" else tuple(inner)
