"""What a job speaks of, so that it is found on the shelf: people, parts, receivers, towns.

A job file with faults is searched by its words; what it names is known once it reads well.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from farpress.catalogue.names import asked_builds, asked_parts
from farpress.catalogue.store import load_catalogue
from farpress.domain.job import Job
from farpress.errors import FarpressError, Fault, InputError, JobFileError
from farpress.jobfile.reader import JobDocument, read_job_text
from farpress.jobfile.source import decode, fingerprint_of
from farpress.record.shelf_rows import Facts

__all__ = ["ReadJob", "people_of", "read_text", "towns_of"]


@dataclass(frozen=True)
class ReadJob:
    """A job file's text with what could be read of it.

    Attributes:
        name: the job's name, the key on the shelf.
        text, fingerprint: of the file.
        facts: for searching.
        document: the job; None where the file has faults.
        faults: all of them.
    """

    name: str
    text: str
    fingerprint: str
    facts: Facts
    document: JobDocument | None
    faults: tuple[Fault, ...]


def read_text(text: str) -> ReadJob:
    """Read a job file as far as it goes.

    Raises:
        JobFileError: not even its name can be read.
    """
    fingerprint = fingerprint_of(text.encode("utf-8", "surrogatepass"))
    try:
        document = read_job_text(text, known=load_catalogue().known_names())
    except JobFileError as error:
        values = _plain_values(text)
        name = values.get("job") if isinstance(values, dict) else None
        if name is None or not str(name).strip():
            raise
        return ReadJob(
            str(name).strip(), text, fingerprint, Facts(words=_words(values, keys=True)), None, error.faults
        )
    return ReadJob(document.job.job, text, fingerprint, _facts(document), document, ())


def people_of(job: Job) -> tuple[str, ...]:
    """Every person named in a job: of the people, of the groups; each once, in the order of the file."""
    names = [*job.people, *(name for group in job.groups.values() for name in group.people)]
    return tuple(dict.fromkeys(names))


def towns_of(job: Job) -> dict[str, str]:
    """Premises → town: the last part of the address that has letters, else of the customer's; empty if there
    is neither.
    """
    return {
        name: _town(house.address) or _town(job.details.address or "") for name, house in job.premises.items()
    }


def _town(address: str) -> str:
    parts = [part.strip() for part in address.split(",")]
    return next((part for part in reversed(parts[1:]) if any(sign.isalpha() for sign in part)), "")


def _facts(document: JobDocument) -> Facts:
    job = document.job
    named = {("person", name) for name in people_of(job)}
    named |= {("part", part.name) for part in asked_parts(job)} | {("part", name) for name in job.parts}
    named |= {("part", own.like) for own in job.parts.values() if own.like}
    named |= {("build", build.name) for build in asked_builds(job)}
    named |= {("premises", name) for name in job.premises}
    named |= {
        ("receiver", f"{place}/{name}") for place, house in job.premises.items() for name in house.receivers
    }
    named |= {
        ("device", f"{place}/{name}") for place, house in job.premises.items() for name in house.devices
    }
    named |= {("function", name) for name in job.functions} | {("group", name) for name in job.groups}
    named |= {("organisation", organisation) for organisation in _organisations(job)}
    named |= {("town", town) for town in towns_of(job).values() if town}
    from farpress.jobfile.node import plain

    return Facts(
        job.details.customer or "",
        job.details.address or "",
        _words([*(name for _, name in sorted(named)), plain(document.tree)]),
        frozenset(named),
    )


def _organisations(job: Job) -> set[str]:
    found = {group.organisation for group in job.groups.values()} | {
        person.organisation for person in job.people.values()
    }
    return {name for name in found if name}


def _words(values: Any, *, keys: bool = False) -> str:
    """Every text of a file (and its keys) in small letters, each once: what a search looks through."""
    found: dict[str, None] = {}

    def gather(value: Any) -> None:
        if isinstance(value, dict):
            for key, inner in value.items():
                if keys:
                    found[str(key).casefold()] = None
                gather(inner)
        elif isinstance(value, list):
            for inner in value:
                gather(inner)
        elif isinstance(value, str) and not _is_number(value):
            found[value.casefold()] = None

    gather(values)
    return "\n".join(found)


def _is_number(text: str) -> bool:
    return text.replace(".", "", 1).lstrip("+-").isdigit()


def _plain_values(text: str) -> Any:
    from farpress.jobfile.node import plain
    from farpress.jobfile.text_to_tree import text_to_tree

    try:
        tree, _ = text_to_tree(decode(text.encode("utf-8", "surrogatepass"), None))
    except (FarpressError, InputError):
        return None
    return plain(tree) if tree is not None else None
