"""Acts of the firm: jobs on its shelf, members, personal data, backups."""

from __future__ import annotations

from typing import Annotated, Any, ClassVar, Literal

from pydantic import Field

from farpress.domain.acts.base import Act, Fingerprint, Mark, Words

__all__ = [
    "BackupMade",
    "BackupRestored",
    "JobArchived",
    "JobChanged",
    "JobCheckedIn",
    "JobCheckedOut",
    "JobReopened",
    "JobShelved",
    "JobVersion",
    "MemberAdded",
    "MemberChanged",
    "NameTakenOut",
    "PartDoubted",
    "PersonalDataGiven",
]

_Number = Annotated[int, Field(description="number")]
_Ticket = Annotated[str, Field(description="of the copy")]
_Role = Literal["reader", "keeper", "installer", "manager"]
_Digest = Annotated[str, Field(description="of its content")]


class JobChanged(Act):
    """The job file changed."""

    kind: ClassVar[str] = "job changed"
    before: Annotated[str, Field(description="fingerprint")]
    after: Annotated[str, Field(description="fingerprint")]
    changes: Annotated[tuple[str, ...], Field(description="list of what changed")] = ()


class JobShelved(Act):
    """A job was put on the firm's shelf."""

    kind: ClassVar[str] = "job shelved"
    version: _Number
    fingerprint: Fingerprint


class JobVersion(Act):
    """A job on the shelf has a new version."""

    kind: ClassVar[str] = "job version"
    version: _Number
    fingerprint: Fingerprint
    parent: Annotated[int, Field(description="number of the version before")]
    merged: Annotated[bool, Field(description="true where two sides' changes were joined")] = False


class JobArchived(Act):
    """A job was put away; it is kept."""

    kind: ClassVar[str] = "job archived"
    why: Words = ""


class JobReopened(Act):
    """A job that was put away is worked on again."""

    kind: ClassVar[str] = "job reopened"


class JobCheckedOut(Act):
    """A copy of a job went to a laptop."""

    kind: ClassVar[str] = "job checked out"
    ticket: _Ticket
    version: _Number


class JobCheckedIn(Act):
    """A laptop's copy came back."""

    kind: ClassVar[str] = "job checked in"
    ticket: _Ticket = ""
    version: Annotated[int, Field(description="number of the version now")]
    events: Annotated[int, Field(description="number taken in")]


class MemberAdded(Act):
    """Somebody works for the firm."""

    kind: ClassVar[str] = "member added"
    member: Mark
    role: Annotated[_Role, Field(description="reader, keeper, installer or manager")]


class MemberChanged(Act):
    """What a member may do changed, or a member left."""

    kind: ClassVar[str] = "member changed"
    member: Mark
    role: Annotated[_Role | None, Field(description="reader, keeper, installer or manager")] = None
    state: Annotated[Literal["active", "left"] | None, Field(description="active or left")] = None
    lock: Annotated[bool, Field(description="true where a new key was made")] = False


class PersonalDataGiven(Act):
    """Somebody was given all that is kept about a person."""

    kind: ClassVar[str] = "personal data given"
    person: Mark = ""
    jobs: Annotated[int, Field(description="number of jobs")]


class NameTakenOut(Act):
    """A person's name was taken out of the job's files, all versions of them."""

    kind: ClassVar[str] = "name taken out"
    person: Mark
    versions: Annotated[int, Field(description="number of versions")]
    remaining: Annotated[
        int, Field(description="number of places where it still stands, all listed in the proof")
    ]


class PartDoubted(Act):
    """A part was said to be worse than its data sheet."""

    kind: ClassVar[str] = "part doubted"
    part: Annotated[str, Field(description="name")]
    values: Annotated[dict[str, Any], Field(description="key → value")]
    jobs: Annotated[int, Field(description="number judged anew")]
    changed: Annotated[int, Field(description="number of promises that change")]


class BackupMade(Act):
    """Everything was written to one file."""

    kind: ClassVar[str] = "backup made"
    digest: _Digest
    rows: _Number


class BackupRestored(Act):
    """Everything was read from one file."""

    kind: ClassVar[str] = "backup restored"
    digest: _Digest
    rows: _Number
