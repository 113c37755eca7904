"""Questions over all jobs: who and what is known where, and who may do what.

What the record tells (learned, not deleted) stands beside what the job files say (designed).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from farpress.case.case import Case
from farpress.domain.register import Fob, FobRegister
from farpress.errors import FarpressError
from farpress.firm.judging import Question, case_of_text
from farpress.firm.shelf import Firm
from farpress.record.persons import persons

__all__ = ["Known", "Right", "Unread", "cases_of", "knows", "names_like", "registers_of", "rights"]


@dataclass(frozen=True)
class Unread:
    """A job that could not be read, and why."""

    job: str
    says: str


@dataclass(frozen=True)
class Known:
    """One output that obeys somebody's fob, or is meant to.

    Attributes:
        job, receiver, output: where ("premises/receiver" and number).
        fob: label; empty where only the design says so.
        holder: name or pool; empty if nobody is known.
        state: of the fob, or "designed".
        functions: what the press does there.
    """

    job: str
    receiver: str
    output: str
    fob: str
    holder: str
    state: str
    functions: tuple[str, ...]


@dataclass(frozen=True)
class Right:
    """What one person, or a group without names, may do at a job."""

    job: str
    person: str
    group: str
    functions: tuple[str, ...]
    premises: tuple[str, ...]


def knows(firm: Firm, term: str) -> tuple[Known, ...]:
    """Every output that obeys a fob (by label or serial) or a person (by name), over all jobs that are not
    archived.

    Args:
        firm: whose shelf.
        term: small and capital letters are one.
    """
    firm.may("look")
    wanted = " ".join(term.split()).casefold()
    found: list[Known] = []
    for job, register, names in registers_of(firm):
        for fob in register.fobs.values():
            holder = names.get(fob.person, fob.pool)
            if wanted in (fob.label.casefold(), fob.serial.casefold(), holder.casefold()) and wanted:
                found += [
                    Known(
                        job,
                        learned.receiver,
                        learned.output,
                        fob.label,
                        holder,
                        str(fob.state),
                        _functions(fob, learned.button),
                    )
                    for learned in fob.known_at
                ]
    named = {name: jobs for name, jobs in firm.shelf.names("person").items() if name.casefold() == wanted}
    for name, jobs in named.items():
        for case in cases_of(firm, jobs, []):
            found += _designed(case, name)
    return tuple(sorted(found, key=lambda known: (known.job, known.receiver, known.output, known.fob)))


def names_like(firm: Firm, term: str, *, most: int = 5) -> tuple[str, ...]:
    """Labels, serials and names on the shelf that a term may have meant; the term itself, as it is written
    there, comes first.

    Args:
        firm: whose shelf.
        term: what was asked for.
        most: how many.
    """
    import difflib

    firm.may("look")
    wanted = " ".join(term.split()).casefold()
    known = {name.casefold(): name for name in firm.shelf.names("person")}
    for _, register, names in registers_of(firm):
        for fob in register.fobs.values():
            known |= {
                text.casefold(): text
                for text in (fob.label, fob.serial, names.get(fob.person, fob.pool))
                if text
            }
    words = {word for name in known for word in (name, *name.split())}
    alike = difflib.get_close_matches(wanted, words, n=most, cutoff=0.7)
    near = [name for name in known if wanted and wanted in name] + [
        name for word in alike for name in known if word == name or word in name.split()
    ]
    return tuple(known[name] for name in dict.fromkeys([*(name for name in near if name == wanted), *near]))[
        :most
    ]


def rights(
    firm: Firm, *, person: str = "", job: str = "", unread: list[Unread] | None = None
) -> Iterator[Right]:
    """Who may do what, job by job, as the job files say; one person or one job only if asked."""
    firm.may("look")
    named = ("person", person) if person else None
    jobs = (job,) if job else tuple(entry.job for entry in firm.shelf.entries(named=named))
    for case in cases_of(firm, jobs, unread if unread is not None else []):
        for name, group in case.job.groups.items():
            functions = case.job.functions_of(group)
            premises = tuple(
                dict.fromkeys(
                    output.premises for function in functions for output in case.outputs_of(function)
                )
            )
            for who in group.people or ("",):
                if not person or who == person:
                    yield Right(case.job.job, who, name, functions, premises)


def cases_of(firm: Firm, jobs: tuple[str, ...], unread: list[Unread]) -> Iterator[Case]:
    """The jobs as they stand, one at a time; those that cannot be read are added to `unread`."""
    for job in jobs:
        try:
            yield case_of_text(firm.shelf.version(job).text, firm.evidence(job), Question())
        except FarpressError as error:
            unread.append(Unread(job, str(error).splitlines()[-1]))


def registers_of(firm: Firm) -> Iterator[tuple[str, FobRegister, dict[str, str]]]:
    """Job, its register, and mark → name, for every job that is not archived and whose record holds a fob."""
    from sqlalchemy import select

    from farpress.record.tables import EVENT

    with firm.shelf.reading() as connection:
        has_fobs = set(
            connection.execute(select(EVENT.c.job).distinct().where(EVENT.c.kind.like("fob %"))).scalars()
        )
    everybody: dict[str, dict[str, str]] = {}
    for mark, named in persons(firm.shelf.record).items():
        everybody.setdefault(named.job, {})[mark] = named.name
    for entry in firm.shelf.entries():
        if entry.job in has_fobs:
            yield entry.job, firm.shelf.record.register(job=entry.job), everybody.get(entry.job, {})


def _functions(fob: Fob, button: str) -> tuple[str, ...]:
    return tuple(fob.buttons.get(button, ()))


def _designed(case: Case, person: str) -> list[Known]:
    found = []
    for group in case.job.groups.values():
        if person in group.people:
            for function in case.job.functions_of(group):
                found += [
                    Known(
                        case.job.job, output.receiver_path, output.number, "", person, "designed", (function,)
                    )
                    for output in case.outputs_of(function)
                ]
    return found
