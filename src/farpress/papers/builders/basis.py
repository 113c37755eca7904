"""What every paper is made from: the job, its judgements, and what the record knows.

Read once for a whole pack. The record is only read where there is one; looking for papers
never makes a record.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING, TypeVar, cast

from farpress.case.case import Case
from farpress.dates import day_wanted
from farpress.domain.acts import Act
from farpress.domain.event import Event, happened
from farpress.domain.finding import Assessment, Finding, Link, Verdict, worst
from farpress.domain.refs import OutputRef, Ref, SupplyRef, refs_of
from farpress.domain.register import FobRegister
from farpress.errors import InputError
from farpress.judging.standings import standings_of, why_barred
from farpress.overview.standing import Standing
from farpress.papers.typesetting.paper import Cell, Head
from farpress.papers.typesetting.texts import Texts, texts_in
from farpress.sources import Citation, Mark

A = TypeVar("A", bound=Act)

if TYPE_CHECKING:
    from farpress.domain.job import PaperLanguage
    from farpress.proving.proof import OutputProof
    from farpress.proving.tests import ProvingPlan
    from farpress.rehearsal.power import PowerRow

__all__ = ["Basis", "make_basis"]


def _quiet(what: str) -> None:
    """Tell nobody."""


@dataclass(frozen=True)
class Basis:
    """Everything a paper may draw on.

    Attributes:
        case: the job with its equipment.
        assessment: its judgements.
        texts: the language of the cards.
        day: the date to print; None leaves a line to write on.
        events: of the record, in the order of time; empty without a record.
        register: drawn from them.
        names: mark of a person → name, as far as still kept.
        before: an earlier version of the job, for the change order.
        lost: label of the fob that the lost-fob sheet is about; None for every fob reported lost.
        tell: told what takes long within a paper; may raise to cancel.
    """

    case: Case
    assessment: Assessment
    texts: Texts
    day: date | None = None
    events: tuple[Event, ...] = ()
    register: FobRegister = field(default_factory=FobRegister)
    names: Mapping[str, str] = field(default_factory=dict)
    before: Case | None = None
    lost: str | None = None
    tell: Callable[[str], None] = _quiet

    @cached_property
    def plan(self) -> ProvingPlan:
        """The plan of trials, made from the job alone."""
        from farpress.proving.plan import proving_plan

        return proving_plan(self.case)

    @cached_property
    def proofs(self) -> dict[str, OutputProof]:
        """What the record proves, output by output."""
        from farpress.proving.proof import proof_of

        return proof_of(self.case, self.events, plan=self.plan)

    @cached_property
    def standings(self) -> dict[str, Standing]:
        """How each output stands: its worst word once, for every paper."""
        return standings_of(self.case, self.assessment)

    @cached_property
    def barred(self) -> dict[str, str]:
        """Path of each output that must not be wired, set, tried or explained → why, in a few words."""
        return {path: why_barred(standing) for path, standing in self.standings.items() if standing.is_barred}

    def sheet(self, path: str) -> Cell:
        """The worst word of an output with the number of its sheet, for every paper that speaks of it."""
        number = list(self.standings).index(path) + 1
        text = f"BARRED, sheet {number}" if path in self.barred else f"sheet {number}"
        return Cell(text, str(self.standings[path].verdict))

    @cached_property
    def power_cuts(self) -> tuple[PowerRow, ...]:
        """The table of a power cut, for every paper that shows it."""
        from farpress.rehearsal.power import power_cut_table

        return tuple(power_cut_table(self.case))

    @cached_property
    def given(self) -> tuple[Citation, ...]:
        """Source of what the job file says: whose survey, of which day."""
        details = self.case.job.details
        who = f" by {details.prepared_by}" if details.prepared_by else ""
        return (
            Citation(
                "job file", place=f"survey of {_day(details.date) or 'a day not given'}{who}", mark=Mark.GIVEN
            ),
        )

    def given_at(self, *path: str | int) -> tuple[Citation, ...]:
        """Source of one value of the job file: its line, where the job was read from a file.

        Args:
            path: keys of the file or names of fields, as "groups", "parents", "buttons".
        """
        document = self.case.document
        if document is None:
            return self.given
        return (replace(self.given[0], place=f"{document.source.file}, line {document.line_of(path)}"),)

    @cached_property
    def read(self) -> tuple[Citation, ...]:
        """Source of what was read on site at the survey."""
        return (
            Citation(
                "reading taken on site",
                place=_day(self.case.job.details.date) or "day not given",
                mark=Mark.MEASURED,
            ),
        )

    @cached_property
    def recorded(self) -> tuple[Citation, ...]:
        """Source of what stands in the record."""
        return (
            Citation(
                "record of the job",
                place=f"as of {_day(self.register.as_of[:10])}" if self.register.as_of else "empty",
                mark=Mark.MEASURED if self.events else Mark.GIVEN,
            ),
        )

    @property
    def head(self) -> Head:
        """Head of every page; the papers themselves are in English."""
        details = self.case.job.details
        return Head(
            job=self.case.job.job,
            fingerprint=self.case.fingerprint,
            version=self.assessment.version,
            date=texts_in("en").date(self.day) if self.day is not None else details.date,
            issue=details.issue,
            prepared_by=details.prepared_by,
            installer=details.installer,
            telephone=details.telephone,
            day=self.day if self.day is not None else _known_day(details.date),
        )

    @property
    def head_in_language(self) -> Head:
        """Head of cards and labels, its date in their language."""
        return replace(self.head, date=self.texts.date(self.day)) if self.day is not None else self.head

    def of_code(self, *codes: str) -> tuple[Finding, ...]:
        """Findings of some codes, in the order of the assessment."""
        return tuple(finding for code in codes for finding in self._by_code.get(code, ()))

    def about(self, *subjects: Ref, links: Iterable[Link] | None = None) -> tuple[Finding, ...]:
        """Findings that name any of these subjects, of some links only if given."""
        wanted = set(links) if links is not None else None
        return tuple(
            finding
            for finding in self.assessment.findings
            if (wanted is None or finding.link in wanted) and not set(subjects).isdisjoint(finding.subjects)
        )

    def fed(self, thing: Ref, supply: SupplyRef) -> tuple[Finding, ...]:
        """The volts of a receiver, device or panel on its own feeder, not over a contact, as judged."""
        return tuple(
            finding
            for finding in self.of_code("SUP-01")
            if {thing, supply} <= set(finding.subjects) and not refs_of(OutputRef, finding.subjects)
        )

    def happened(self, kind: type[A]) -> tuple[tuple[Event, A], ...]:
        """Events of one kind with their acts, in the order of time."""
        return tuple(happened(self.events, kind))

    def entries(self, *kinds: type[Act]) -> tuple[Event, ...]:
        """Events of some kinds, those too whose act this version cannot read."""
        names = {kind.kind for kind in kinds}
        return tuple(event for event in self.events if event.kind in names)

    @cached_property
    def _by_code(self) -> dict[str, list[Finding]]:
        found: dict[str, list[Finding]] = {}
        for finding in self.assessment.findings:
            found.setdefault(finding.code, []).append(finding)
        return found

    def judged(self, findings: Iterable[Finding], text: str = "") -> Cell:
        """A cell with the worst verdict of some findings; their sentence where it is not "holds" and no text
        is given.

        Without findings the cell says that nothing was judged.
        """
        found = list(findings)
        if not found:
            return Cell(text or "not judged", "unknown")
        verdict = worst(finding.verdict for finding in found)
        says = text or (
            ""
            if verdict is Verdict.HOLDS
            else next(finding.says for finding in found if finding.verdict is verdict)
        )
        return Cell(
            says,
            str(verdict),
            tuple(
                dict.fromkeys(
                    source for finding in found if finding.verdict is verdict for source in finding.sources
                )
            ),
        )


def make_basis(
    case: Case,
    *,
    language: str = "en",
    day: date | None = None,
    before: Case | None = None,
    lost: str | None = None,
    without: bool = False,
    progress: Callable[[str], None] | None = None,
) -> Basis:
    """Judge the job and read its record, if there is one.

    Args:
        case: the job; what its record knows is joined again, as of now.
        language: of the user cards.
        day: the date to print.
        before: an earlier version of the job.
        lost: label of a lost fob.
        without: without the name of anybody who holds a fob, as an auditor gets it.
        progress: told what is being done; may raise to cancel.

    Raises:
        InputError: an unknown language; a lost fob that the record does not know.
        RecordError: the record cannot be read.
    """
    from farpress.case.evidence import with_evidence
    from farpress.judging.assess import assess
    from farpress.papers.builders.nameless import marks_of, said_without_names, without_names

    texts = texts_in(language, case.job.translations.get(cast("PaperLanguage", language)))
    events, register, names = _record(case)
    case = with_evidence(case, events)
    before = with_evidence(before, events) if before is not None else None
    marks = marks_of(case.job, names.values())
    if without:
        case, register = without_names(case, events, register, marks)
        before = without_names(before, events, register, marks)[0] if before is not None else None
        names = {}
    assessment = assess(case, progress=progress)
    if without:
        assessment = said_without_names(assessment, marks)
    if lost is not None and lost not in register.fobs:
        known = ", ".join(sorted(register.fobs)[:12])
        raise InputError(
            f"The record knows no fob '{lost}'. {f'It knows {known}.' if known else 'It knows no fob yet.'}"
        )
    return Basis(case, assessment, texts, day, events, register, names, before, lost)


def _record(case: Case) -> tuple[tuple[Event, ...], FobRegister, dict[str, str]]:
    from farpress.record.persons import persons
    from farpress.record.register import draw_register
    from farpress.record.store import FILE_NAME, open_record

    folder = case.folder.parent if case.folder is not None and case.folder.is_file() else case.folder
    if folder is None or not (folder / FILE_NAME).is_file():
        return (), FobRegister(), {}
    with open_record(folder) as record:
        events = record.events(job=case.job.job)
        return (
            events,
            draw_register(events),
            {mark: person.name for mark, person in persons(record, job=case.job.job).items()},
        )


def _known_day(written: str | None) -> date | None:
    """A date of the job; None where it is none, or is written so that it has no day."""
    try:
        return day_wanted(written) if written else None
    except InputError:
        return None


def _day(written: str | None) -> str:
    """A date of the job in words, or as it was written."""
    day = _known_day(written)
    return texts_in("en").date(day) if day is not None else written or ""
