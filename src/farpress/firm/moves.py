"""A job between the firm and a laptop: a copy goes out, and comes back with both sides' changes.

Nothing is locked while a copy is out. On the way back the job file is merged value by value
(or refused with both versions shown), files beside it one by one, and the two records are
joined by the union of their chains. Coming back twice, or after a crash in the middle, does
no harm.
"""

from __future__ import annotations

import hashlib
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from farpress.domain.acts import JobCheckedIn, NameTakenOut
from farpress.domain.event import happened
from farpress.errors import InputError, JobFileError
from farpress.firm.arriving import require_free
from farpress.firm.facts import ReadJob, read_text
from farpress.firm.parcel import Parcel, parcel_of_folder, parcel_of_shelf, put_into
from farpress.firm.shelf import Firm
from farpress.jobfile.merging import Clash, MergeRefused, differences, merge_values
from farpress.jobfile.source import FILE_NAME, read_source
from farpress.jobfile.text_to_values import values_of
from farpress.jobfile.writer import apply_changes
from farpress.record.shelf_rows import ShelfVersion, add_version_event, job_in, put_version, version_in
from farpress.record.union import take_in, take_in_names

__all__ = ["Back", "check_in", "check_out", "receive"]


@dataclass(frozen=True)
class Back:
    """A copy that came back.

    Attributes:
        job, version: what is newest on the shelf now.
        is_new: this return made that version.
        merged: both sides had changed the job.
        events_taken, events_given: events new to the firm, and new to the folder.
    """

    job: str
    version: int
    is_new: bool
    merged: bool
    events_taken: int
    events_given: int


def check_out(firm: Firm, job: str, folder: Path) -> ShelfVersion:
    """Make a folder with a copy of a job: the newest version, its files, and its record.

    Raises:
        InputError: no such job, or something is in the folder already.
    """
    firm.may("check out")
    require_free(folder, job)
    out = firm.shelf.give_out(job, by=firm.who.mark)
    put_into(folder, parcel_of_shelf(firm.shelf, job, ticket=out.ticket), replaces=None, by=firm.who.mark)
    return firm.shelf.version(job)


def check_in(
    firm: Firm,
    folder: Path,
    *,
    says: str = "",
    made_on: int | None = None,
    with_faults: bool = False,
    taken_out: Mapping[str, str] | None = None,
) -> Back:
    """Bring a copy back; afterwards firm and folder hold the same.

    Args:
        firm: where to.
        folder: the copy.
        says: what was done, in words.
        made_on: the version the copy was made from, where its ticket is lost.
        with_faults: take a job file with faults, if nobody else changed the job meanwhile.
        taken_out: name → mark, for names that were taken out of the job since the copy went out.

    Raises:
        MergeRefused: both sides changed the same values; both versions are in it, nothing was written.
        JobFileError: the job has faults, or the two sides' changes do not fit together.
        RecordError: the two records have forked.
        InputError: the job is not on the shelf, or it is not known what the copy was made from.
    """
    parcel = parcel_of_folder(folder, made_on=made_on)
    back = receive(firm, parcel, says=says, with_faults=with_faults, taken_out=taken_out)
    given = put_into(
        folder,
        parcel_of_shelf(firm.shelf, parcel.job, ticket=parcel.ticket),
        replaces=parcel,
        by=firm.who.mark,
    )
    return replace(back, events_given=given)


def receive(
    firm: Firm,
    parcel: Parcel,
    *,
    says: str = "",
    with_faults: bool = False,
    taken_out: Mapping[str, str] | None = None,
) -> Back:
    """Take a parcel in, in one transaction: events, names, and a new version if there is one. Errors as for
    `check_in`.
    """
    from sqlalchemy import update

    from farpress.record.shelf_tables import CHECKOUT

    base, mine = _base(firm, parcel), read_text(parcel.text)
    if mine.name != parcel.job:
        raise InputError(f"The parcel is of '{parcel.job}', but its job file is called '{mine.name}'.")
    mine = _without_names(firm, parcel, base, mine, taken_out or {})
    with firm.shelf.record.transaction(job=parcel.job, by=firm.who.mark) as work:
        entry = job_in(work.connection, parcel.job)
        head = version_in(work.connection, parcel.job, entry.head) if entry is not None else None
        assert entry is not None
        assert head is not None
        new = take_in(work.connection, parcel.events, job=parcel.job)
        take_in_names(work.connection, parcel.names, job=parcel.job, new=new, news_there=False)
        text, merged = _merged_text(base, mine, head, with_faults=with_faults)
        digests = {path: hashlib.sha256(data).hexdigest() for path, data in parcel.files.items()}
        paths = _merged_files(base.files, digests, head.files)
        is_new = text.fingerprint != head.fingerprint or paths != dict(head.files)
        firm.may("design" if is_new else "record")
        if is_new:
            contents = {
                path: parcel.files[path] if digests.get(path) == digest else firm.shelf.content(digest)
                for path, digest in paths.items()
            }
            add_version_event(work, entry, text.fingerprint, merged=merged)
            put_version(
                work,
                text.text,
                text.fingerprint,
                text.facts,
                files=contents,
                says=says,
                moment=work.events[-1].moment,
                number=entry.head + 1,
            )
        number = entry.head + 1 if is_new else entry.head
        if is_new or new:
            work.append(JobCheckedIn(version=number, events=len(new), ticket=parcel.ticket))
        if parcel.ticket:
            moment = work.events[-1].moment if work.events else "unchanged"
            work.connection.execute(
                update(CHECKOUT)
                .where(CHECKOUT.c.ticket == parcel.ticket, CHECKOUT.c.back_at == "")
                .values(back_at=moment)
            )
    return Back(parcel.job, number, is_new, merged, len(new), 0)


def _base(firm: Firm, parcel: Parcel) -> ShelfVersion:
    if parcel.version is not None:
        return firm.shelf.version(parcel.job, parcel.version)
    fingerprint = read_text(parcel.text).fingerprint
    same = [
        version
        for version in firm.shelf.versions(parcel.job)
        if fingerprint in (version.fingerprint, version.was)
    ]
    if same:
        return same[-1]
    raise InputError(
        f"This folder has no ticket of the shelf, so it is not known which version of '{parcel.job}' it was"
        " made from. Say it with --made-on N; 'farpress firm versions' lists them."
    )


def _without_names(
    firm: Firm, parcel: Parcel, base: ShelfVersion, mine: ReadJob, taken_out: Mapping[str, str]
) -> ReadJob:
    """The copy's job file without the names that were taken out of the shelf's since it went out."""
    from farpress.firm.privacy import replaced

    text = parcel.text
    for name, mark in taken_out.items():
        text = replaced(text, name, mark)
    if taken_out:
        return read_text(text)
    outdated = bool(parcel.fingerprint) and parcel.fingerprint != base.fingerprint
    if outdated and mine.fingerprint not in (parcel.fingerprint, base.fingerprint):
        marks = [
            taken.person
            for _, taken in happened(
                firm.shelf.record.events(job=parcel.job, kinds=(NameTakenOut.kind,)), NameTakenOut
            )
        ]
        raise InputError(
            f"A name was taken out of '{parcel.job}' on the shelf after this copy went out, and the copy was"
            " changed since. So that the name does not come back, say which it was: --taken-out"
            f" 'NAME={marks[-1] if marks else 'MARK'}'. Marks: {', '.join(marks)}."
        )
    return replace(mine, fingerprint=base.fingerprint) if outdated else mine


def _merged_text(
    base: ShelfVersion, mine: ReadJob, head: ShelfVersion, *, with_faults: bool
) -> tuple[ReadJob, bool]:
    """The job file with both sides' changes, and whether both had some."""
    if mine.fingerprint in (base.fingerprint, head.fingerprint):
        return read_text(head.text), False
    if head.fingerprint == base.fingerprint:
        if mine.faults and not with_faults:
            raise JobFileError(mine.faults)
        return mine, False
    if mine.faults:
        raise JobFileError(mine.faults)
    now = values_of(head.text)
    changes = differences(now, merge_values(values_of(base.text), values_of(mine.text), now))
    if not changes:
        return read_text(head.text), False
    with tempfile.TemporaryDirectory(prefix="farpress-") as name:
        copy = Path(name) / FILE_NAME
        copy.write_bytes(head.text.encode())
        apply_changes(copy, changes)
        merged = read_text(read_source(copy).text)
    if merged.faults:
        first = merged.faults[0]
        says = (
            "each side's changes are sound alone, but together the job has faults, so nothing was written."
            f" Mend it in the copy: {first.says}"
        )
        raise JobFileError([replace(first, says=says), *merged.faults[1:]])
    return merged, True


def _merged_files(
    base: Mapping[str, str], mine: Mapping[str, str], head: Mapping[str, str]
) -> dict[str, str]:
    merged: dict[str, str] = {}
    clashes = []
    for path in sorted({*base, *mine, *head}):
        before, here, there = base.get(path), mine.get(path), head.get(path)
        if here not in (before, there) and there != before:
            clashes.append(Clash((path,), before and before[:12], here and here[:12], there and there[:12]))
        chosen = there if here == before else here
        if chosen is not None:
            merged[path] = chosen
    if clashes:
        raise MergeRefused(clashes)
    return merged
