"""Judge one job file's text and say what matters in a few lines: the work of one worker.

Works without a shelf and without a folder, so that it runs in any process on any machine.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from farpress.case.case import Case
from farpress.case.door import case_of
from farpress.catalogue.dependent import laid_over
from farpress.catalogue.flat import fields_by_key, flatten, part_from_flat
from farpress.catalogue.store import Catalogue, load_catalogue
from farpress.domain.event import Event
from farpress.domain.finding import Assessment, ChainLink
from farpress.domain.job import Job
from farpress.domain.parts import PART_KINDS
from farpress.errors import FarpressError, InputError, JobFileError
from farpress.jobfile.reader import read_job_text
from farpress.jobfile.source import fingerprint_of
from farpress.judging.as_json import assessment_json
from farpress.judging.assess import assess
from farpress.sources import Citation, Mark

__all__ = ["Question", "case_of_text", "evidence_mark", "judge_text"]

DOUBTED = Citation("the firm's own experience", place="value worse than the data sheet's", mark=Mark.GIVEN)
"""Source of a value that a firm sets against a data sheet."""


@dataclass(frozen=True)
class Question:
    """A job as it stands, or with some values of one part otherwise.

    Attributes:
        part: name of a part of the catalogue or of the jobs' own; empty for the job as it is.
        values: key as in a job file → value with its unit, as {"sensitivity": "-97 dBm"}.
    """

    part: str = ""
    values: Mapping[str, str] = field(default_factory=dict)


def judge_text(text: str, events: tuple[Event, ...], question: Question | None = None) -> dict[str, Any]:
    """A job's result in a few lines, plain JSON.

    Args:
        text: of the job file.
        events: presses and levels of its record.
        question: what is asked otherwise than as the job stands.

    Returns:
        fingerprint of the text, mark of the evidence; and either "broken": a list of sentences, or
        verdict, number of findings by verdict, for each promise its verdict, its weakest finding and
        what that says, and the digest of the whole assessment as JSON.
    """
    fingerprint = fingerprint_of(text.encode("utf-8", "surrogatepass"))
    rests_on = {"fingerprint": fingerprint, "evidence": evidence_mark(events)}
    try:
        assessment = assess(case_of_text(text, events, question or Question()))
    except JobFileError as error:
        return rests_on | {"broken": [str(fault) for fault in error.faults]}
    except FarpressError as error:
        return rests_on | {"broken": str(error).splitlines()}
    except Exception as error:  # a slip of ours in one job must not stop the other thousand
        return rests_on | {
            "broken": [
                f"it could not be judged, which is a fault of the program: {type(error).__name__}: {error}"
            ]
        }
    return rests_on | _short(assessment)


def case_of_text(text: str, events: tuple[Event, ...], question: Question) -> Case:
    """The case of a job given as text, with the values of one part changed if asked.

    Raises:
        JobFileError: the job has faults.
        InputError: the values do not fit the part.
    """
    catalogue = load_catalogue()
    document = read_job_text(text, known=catalogue.known_names())
    job = document.job
    if question.part:
        job, catalogue = _doubted(job, catalogue, question)
    return case_of(document, catalogue, events=events, job=job)


def evidence_mark(events: Iterable[Event]) -> str:
    """Names the presses and levels a result rests on; empty where there are none."""
    digests = "".join(event.digest for event in events)
    return hashlib.sha256(digests.encode()).hexdigest()[:16] if digests else ""


def _short(assessment: Assessment) -> dict[str, Any]:
    counts: dict[str, int] = {}
    for finding in assessment.findings:
        counts[str(finding.verdict)] = counts.get(str(finding.verdict), 0) + 1
    promises = {}
    for chain in assessment.promises:
        weakest = chain.weakest
        promises[chain.id] = {
            "verdict": str(chain.verdict),
            "says": chain.says,
            "weakest": weakest.key if weakest is not None else "",
            "because": weakest.says if weakest is not None else "",
            "links": {str(link.link): [str(link.verdict), _decisive(link)] for link in chain.links},
        }
    whole = hashlib.sha256(assessment_json(assessment).encode()).hexdigest()
    return {
        "verdict": str(assessment.verdict),
        "findings": dict(sorted(counts.items())),
        "promises": promises,
        "digest": whole,
    }


def _decisive(link: ChainLink) -> str:
    """What the worst finding of a link says."""
    worst = max(link.findings, key=lambda finding: (finding.verdict.rank, finding.key), default=None)
    return worst.says if worst is not None else ""


def _doubted(job: Job, catalogue: Catalogue, question: Question) -> tuple[Job, Catalogue]:
    """Job and catalogue with the values of a part changed wherever the part is described."""
    own = job.parts.get(question.part)
    if own is not None:
        changed = _validated(type(own), own.kind, question, {"kind": own.kind})
        given = {name: getattr(changed, name) for name in changed.model_fields_set if name != "kind"}
        job = job.model_copy(update={"parts": {**job.parts, question.part: own.model_copy(update=given)}})
    for kind, parts in catalogue.parts.items():
        part = parts.get(question.part)
        if part is None or (own is not None and own.kind == kind):
            continue
        sheet = PART_KINDS[kind]
        below = flatten(part.sheet, sheet, lambda fields, part=part: part.origins[".".join(fields)])  # type: ignore[misc]
        above = flatten(_validated(sheet, kind, question, {}), sheet, lambda _: DOUBTED)
        made = part_from_flat(part.name, part.says, sheet, laid_over(kind, below, above))
        catalogue = replace(catalogue, parts={**catalogue.parts, kind: {**parts, question.part: made}})
    return job, catalogue


def _validated(model: Any, kind: str, question: Question, more: Mapping[str, str]) -> Any:
    from pydantic import ValidationError

    known = fields_by_key(model)
    unknown = sorted(key for key in question.values if key not in known)
    if unknown:
        import difflib

        near = {key: difflib.get_close_matches(key, known, n=1) for key in unknown}
        faults = "; ".join(
            f"'{key}'{f' (closest: {near[key][0]!r})' if near[key] else ''}" for key in unknown
        )
        raise InputError(f"A {kind} has no {faults}.")
    try:
        return model.model_validate({**more, **question.values})
    except ValidationError as error:
        raise InputError(
            "; ".join(f"{'.'.join(map(str, fault['loc']))}: {fault['msg']}" for fault in error.errors()) + "."
        ) from error
