"""Acts at the premises: what was measured, tried, mended, set and handed over."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import BeforeValidator, Field

from farpress.domain.acts.base import (
    Act,
    ClientId,
    Fingerprint,
    FobLabel,
    Grip,
    Minutes,
    OnlyTrue,
    PadDb,
    ReceiverPath,
    Subject,
    TestId,
    Words,
)

__all__ = [
    "BatteryChanged",
    "CheckDone",
    "ClockBehind",
    "FaultAnswered",
    "FaultClosed",
    "FaultReported",
    "Note",
    "PaperHandedOver",
    "Quantity",
    "ReadingTaken",
    "SettingMade",
    "TrialDone",
    "Visit",
]

_FaultId = Annotated[str, Field(description="id of the fault, as F0007")]
_Either = Annotated[str, Field(description="words or number")]


_Noted = Annotated[
    str, Field(description="local moment on paper, as 2026-11-25T07:05:12, where it was entered later")
]


def _truth(value: object) -> object:
    """Version 0.1 took words too."""
    return True if isinstance(value, str) and value.strip().casefold() in ("passed", "yes", "true") else value


Quantity = Literal["level", "noise", "ohms", "volts", "amperes", "seconds", "metres", "force", "count"]
"""What can be measured."""


class ReadingTaken(Act):
    """Something was measured."""

    kind: ClassVar[str] = "reading taken"
    what: Annotated[Quantity, Field(description="what was measured")]
    where: Subject
    receiver: ReceiverPath = ""
    value: Annotated[float, Field(description="number, in the unit beside it")]
    unit: Annotated[str, Field(description="unit")]
    pad_db: PadDb = None
    held: Grip = None
    instrument: Words = ""
    test: TestId = ""
    noted: _Noted = ""
    during: Annotated[str, Field(description="of volts: the function that was pressed meanwhile")] = ""
    client_id: ClientId = None


class TrialDone(Act):
    """Presses of a proving plan."""

    kind: ClassVar[str] = "trial done"
    test: TestId
    promise: Annotated[str, Field(description="promise")] = ""
    place: Annotated[str, Field(description="premises/place")] = ""
    receiver: ReceiverPath = ""
    presses: Annotated[int, Field(description="number")]
    heard: Annotated[int, Field(description="number")]
    pad_db: PadDb = None
    fob: FobLabel = ""
    held: Grip = None
    remark: Words = ""
    anew: Annotated[
        OnlyTrue,
        Field(description="true: something was mended, earlier presses of this test do not count any more"),
    ] = False
    noted: _Noted = ""
    client_id: ClientId = None


class CheckDone(Act):
    """A test with a yes or no."""

    kind: ClassVar[str] = "check done"
    test: TestId
    about: Subject = ""
    passed: Annotated[bool, BeforeValidator(_truth), Field(description="true or false")]
    expected: _Either = ""
    found: _Either = ""
    remark: Words = ""
    client_id: ClientId = None


class FaultReported(Act):
    """Somebody complained."""

    kind: ClassVar[str] = "fault reported"
    fault: _FaultId
    complaint: Annotated[str, Field(description="number of the complaint, and words")]
    about: Annotated[str, Field(description="subjects, as 'function:open gate; place:larkfen/street'")] = ""


class FaultAnswered(Act):
    """A question of the fault finding was answered."""

    kind: ClassVar[str] = "fault answered"
    fault: _FaultId
    test: Annotated[str, Field(description="id of the question")]
    answer: Annotated[str, Field(description="yes, no or words")]


class FaultClosed(Act):
    """Cause and cure of a fault."""

    kind: ClassVar[str] = "fault closed"
    fault: _FaultId
    cause: Words
    cure: Words
    minutes: Minutes = None


class Visit(Act):
    """Somebody was at the premises."""

    kind: ClassVar[str] = "visit"
    premises: Annotated[str, Field(description="name")]
    why: Words
    minutes: Minutes = None


class BatteryChanged(Act):
    """A supply's battery was changed."""

    kind: ClassVar[str] = "battery changed"
    supply: Annotated[str, Field(description="premises/supply")]
    part: Annotated[str, Field(description="part")] = ""


class SettingMade(Act):
    """A setting was made at a receiver."""

    kind: ClassVar[str] = "setting made"
    output: Annotated[str, Field(description="premises/receiver/number")]
    setting: Words
    as_planned: Annotated[bool, Field(description="true or false")]
    found: Words = ""


class PaperHandedOver(Act):
    """A paper was given to the customer."""

    kind: ClassVar[str] = "paper handed over"
    paper: Annotated[str, Field(description="name")]
    fingerprint: Fingerprint = ""


class Note(Act):
    """A remark."""

    kind: ClassVar[str] = "note"
    says: Words
    about: Subject = ""


class ClockBehind(Act):
    """The clock of the machine stood before the last entry: what follows keeps the order, not the time."""

    kind: ClassVar[str] = "clock behind"
    clock: Annotated[str, Field(description="moment in UTC, as the clock said")]
