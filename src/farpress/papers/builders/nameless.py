"""A job without the names of those who hold fobs: not in a list, not in a group's name, not in a remark.

The job is renamed before it is judged, so that no finding, promise or test says a name; marks stay the same
through every paper of one pack.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from pydantic import BaseModel

from farpress.case.case import Case
from farpress.case.door import case_of
from farpress.domain.event import Event
from farpress.domain.finding import Assessment, Finding
from farpress.domain.job import Job
from farpress.domain.register import FobRegister

__all__ = ["Marks", "marks_of", "said_without_names", "without_names"]

_LEAST: Final = 3
"""Letters of a part of a name that is looked for alone; shorter ones are parts of other words."""


@dataclass(frozen=True)
class Marks:
    """What stands in place of a name.

    Attributes:
        people: name → "H-001".
        groups: name of a group that says somebody's name → "G1".
    """

    people: Mapping[str, str]
    groups: Mapping[str, str]

    def text(self, words: str) -> str:
        """A text with every name of a holder, and every part of one, as its mark.

        Example:
            >>> Marks({"Ana Bell": "H-001"}, {"ana": "G1"}).text("answered by Ana; group ana")
            'answered by H-001; group G1'
        """
        if words in self.groups:
            return self.groups[words]
        for name, mark in self.people.items():
            words = words.replace(name, mark)
        for part, mark in self._parts.items():
            words = re.sub(rf"\b{re.escape(part)}\b", mark, words)
        for name, mark in self.groups.items():
            words = re.sub(rf"(?<!\w){re.escape(name)}(?!\w)", mark, words)
        return words

    @property
    def _parts(self) -> dict[str, str]:
        found: dict[str, str] = {}
        for name, mark in self.people.items():
            for part in name.split():
                if len(part) >= _LEAST and part[0].isupper():
                    found.setdefault(part, mark)
        return found


def marks_of(job: Job, others: Iterable[str] = ()) -> Marks:
    """Marks for everybody that the job or the record names, and for groups that are called after somebody."""
    named = [*job.people, *(person for group in job.groups.values() for person in group.people), *others]
    people = {name: f"H-{number:03d}" for number, name in enumerate(dict.fromkeys(named), 1)}
    parts = {part.casefold() for name in people for part in name.split() if len(part) >= _LEAST}
    called = [name for name in job.groups if parts & set(re.findall(r"\w+", name.casefold()))]
    return Marks(people, {name: f"G{number}" for number, name in enumerate(called, 1)})


def without_names(
    case: Case, events: tuple[Event, ...], register: FobRegister, marks: Marks
) -> tuple[Case, FobRegister]:
    """The same job and register with marks in place of names.

    Args:
        case: a job.
        events: of its record, joined again to what is renamed.
        register: drawn from them.
        marks: what stands in place of names.
    """
    from farpress.catalogue.store import load_catalogue

    job: Job = _renamed(case.without_evidence().job, marks)
    fobs = {
        label: replace(fob, group=marks.groups.get(fob.group, fob.group))
        for label, fob in register.fobs.items()
    }
    if case.document is None:
        return replace(case, job=job), replace(register, fobs=fobs)
    renamed = case_of(case.document, load_catalogue(), events=events, folder=case.folder, job=job)
    return renamed, replace(register, fobs=fobs)


def said_without_names(assessment: Assessment, marks: Marks) -> Assessment:
    """The same judgements, their sentences with marks: what the record adds has names of its own."""
    told = {id(found): _said(found, marks) for found in assessment.findings}
    chains = tuple(
        replace(
            chain,
            links=tuple(
                replace(
                    link,
                    findings=tuple(told.get(id(found)) or _said(found, marks) for found in link.findings),
                )
                for link in chain.links
            ),
        )
        for chain in assessment.promises
    )
    return replace(assessment, findings=tuple(told.values()), promises=chains)


def _said(finding: Finding, marks: Marks) -> Finding:
    text = marks.text
    return replace(
        finding,
        about=text(finding.about),
        says=text(finding.says),
        because=text(finding.because),
        remedies=tuple(
            replace(remedy, does=text(remedy.does), effect=text(remedy.effect)) for remedy in finding.remedies
        ),
        asks=tuple(replace(ask, says=text(ask.says)) for ask in finding.asks),
    )


def _renamed(value: Any, marks: Marks) -> Any:
    match value:
        case str():
            return marks.text(value)
        case BaseModel():
            return value.model_copy(
                update={name: _renamed(getattr(value, name), marks) for name in type(value).model_fields}
            )
        case dict():
            return {_renamed(key, marks): _renamed(member, marks) for key, member in value.items()}
        case tuple():
            return tuple(_renamed(member, marks) for member in value)
        case list():
            return [_renamed(member, marks) for member in value]
    return value
