"""An assessment as JSON, for programs: the same findings, the same words, sorted.

Its shape is written down in docs/reference/assessment.schema.json. The same assessment
gives the same text to the byte; numbers are kept to six significant digits, so that two
machines agree.
"""

from __future__ import annotations

import json
import math
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from farpress.domain.finding import Assessment, Chain, Finding

__all__ = ["SCHEMA", "assessment_json"]

SCHEMA: Final = 2
"""Version of the shape; version 1, with "open" for "unknown", is still written when asked for."""


def assessment_json(assessment: Assessment, *, version: int = SCHEMA) -> str:
    """The assessment as indented JSON with sorted keys, without an end of line after the last.

    Findings are sorted by code and what they are about; promises and their links keep
    the order of the job. A link names its findings as "code about".

    Args:
        assessment: what to write.
        version: of the shape, 1 or 2.
    """
    data = {
        "schema": SCHEMA,
        "job": assessment.job,
        "fingerprint": assessment.fingerprint,
        "version": assessment.version,
        "verdict": str(assessment.verdict),
        "findings": [
            _finding(finding)
            for finding in sorted(assessment.findings, key=lambda judged: (judged.code, judged.about))
        ],
        "promises": [_promise(chain) for chain in assessment.promises],
    }
    if version == 1:
        data = _first_version(data)
    return json.dumps(data, indent=2, sort_keys=True, ensure_ascii=False, allow_nan=False)


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "code": finding.code,
        "link": str(finding.link),
        "verdict": str(finding.verdict),
        "about": finding.about,
        "value": _six_digits(finding.value),
        "limit": _six_digits(finding.limit),
        "unit": finding.unit,
        "margin": _six_digits(finding.margin),
        "doubt": _six_digits(finding.doubt),
        "says": finding.says,
        "because": finding.because,
        "remedies": [
            {
                "by": "change" if remedy.changes else "person",
                "does": remedy.does,
                "effect": remedy.effect,
                "changes": [
                    {"path": list(change.path), "value": _plain(change.value)} for change in remedy.changes
                ],
            }
            for remedy in finding.remedies
        ],
        "sources": [
            {
                "document": source.document,
                "edition": source.edition,
                "place": source.place,
                "mark": str(source.mark),
            }
            for source in sorted(set(finding.sources))
        ],
        "subjects": sorted({subject.tag for subject in finding.subjects}),
        "cause": finding.cause.tag if finding.cause is not None else None,
        "stake": str(finding.stake),
        "bars": finding.bars,
        "halts": finding.halts,
        "advice": finding.advice,
        "asks": [{"says": ask.says, "who": str(ask.who), "minutes": ask.minutes} for ask in finding.asks],
    }


_NEW_IN_TWO: Final = frozenset({"schema", "cause", "stake", "bars", "halts", "advice", "asks", "by"})


def _first_version(value: Any) -> Any:
    """The shape of version 1: what came later left out, "open" for "unknown"."""
    if isinstance(value, dict):
        return {
            key: "open" if key == "verdict" and inner == "unknown" else _first_version(inner)
            for key, inner in value.items()
            if key not in _NEW_IN_TWO
        }
    return [_first_version(inner) for inner in value] if isinstance(value, list) else value


def _promise(chain: Chain) -> dict[str, Any]:
    weakest = chain.weakest
    return {
        "id": chain.id,
        "says": chain.says,
        "importance": chain.importance,
        "verdict": str(chain.verdict),
        "weakest": weakest.key if weakest is not None else None,
        "links": [
            {
                "link": str(link.link),
                "verdict": str(link.verdict),
                "findings": sorted(finding.key for finding in link.findings),
            }
            for link in chain.links
        ],
    }


def _six_digits(number: float | None) -> float | None:
    """Six significant digits; None where there is no finite number, which JSON cannot hold."""
    if number is None or not math.isfinite(number):
        return None
    return float(f"{float(number):.6g}") + 0.0  # + 0.0 turns -0.0 into 0.0


def _plain(value: object) -> object:
    match value:
        case float():
            return _six_digits(value)
        case None | bool() | int() | str():
            return value
        case dict():
            return {str(key): _plain(entry) for key, entry in value.items()}
        case list() | tuple():
            return [_plain(entry) for entry in value]
    return str(value)
