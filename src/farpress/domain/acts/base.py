"""What every act of the record has in common: a kind, fields with a type, and nothing else when written."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, ClassVar, Literal, TypeAlias

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, StrictBool, ValidationError

from farpress.errors import InputError

__all__ = [
    "Act",
    "Buttons",
    "ButtonsIfGiven",
    "ClientId",
    "Day",
    "Fingerprint",
    "FobLabel",
    "Grip",
    "Mark",
    "Minutes",
    "OnlyTrue",
    "PadDb",
    "ReceiverPath",
    "Subject",
    "TestId",
    "UnknownAct",
    "Words",
]


class Act(BaseModel):
    """One thing that happened, with typed fields; a frozen value, one class a kind.

    Made in the program it is checked at once, and a field that its kind does not have is
    refused. Read from a record it may have more: fields of a later version are kept in
    `model_extra`.
    """

    # a class is built when it is first used: a record has few of the kinds, and assessing asks for two
    model_config = ConfigDict(frozen=True, extra="allow", defer_build=True, coerce_numbers_to_str=True)

    kind: ClassVar[str]
    """As it stands in the record."""

    def __init__(self, **fields: Any) -> None:
        """Take the fields of this kind.

        Raises:
            InputError: fields missing or unknown, or values that do not fit; all at once.
        """
        faults = [f"'{name}' is not a field of it" for name in fields if name not in type(self).model_fields]
        try:
            super().__init__(**fields)
        except ValidationError as error:
            faults = [_fault_text(type(self), fault) for fault in error.errors(include_url=False)] + faults
        if faults:
            allowed = ", ".join(type(self).model_fields) or "none"
            raise InputError(f"'{self.kind}' cannot be recorded: {'; '.join(faults)}. Its fields: {allowed}.")

    # what is read from a record is validated without this way of making one: see `read_act`
    __init__.__pydantic_base_init__ = True  # type: ignore[attr-defined]

    @classmethod
    def meaning(cls) -> str:
        """The kind in a sentence, without its full stop."""
        return (cls.__doc__ or cls.kind).splitlines()[0].removesuffix(".")

    def body(self) -> dict[str, object]:
        """Plain values as they are recorded: what was given; empty text and None are left out."""
        return {
            name: value
            for name, value in self.model_dump(exclude_unset=True).items()
            if value is not None and value != ""
        }


@dataclass(frozen=True)
class UnknownAct:
    """An entry that this version cannot read: kept, printed and passed on as it is, and used for nothing.

    Attributes:
        kind: as recorded.
        fields: its plain values.
        because: why it cannot be read, in a sentence.
    """

    kind: str
    fields: Mapping[str, object]
    because: str


def _fault_text(cls: type[Act], fault: Any) -> str:
    name = str(fault["loc"][0]) if fault["loc"] else ""
    meaning = cls.model_fields[name].description if name in cls.model_fields else ""
    words = f" ({meaning})" if meaning else ""
    if fault["type"] == "missing":
        return f"'{name}' is missing{words}"
    return f"'{name}'{words} is {fault['input']!r}: {fault['msg'][:1].lower()}{fault['msg'][1:]}"


def _functions(value: object) -> object:
    return (value,) if isinstance(value, str) else value


_ButtonTable: TypeAlias = dict[str, Annotated[tuple[str, ...], BeforeValidator(_functions)]]
Buttons: TypeAlias = Annotated[_ButtonTable, Field(description="button → function, or a list of functions")]
ButtonsIfGiven: TypeAlias = Annotated[
    _ButtonTable | None, Field(description="button → function, or a list of functions; none: as before")
]
ClientId: TypeAlias = Annotated[
    str | None, Field(description="id given by the phone, so that a second sending is not counted")
]
Day: TypeAlias = Annotated[str, Field(description="date, as 2027-03-01")]
Fingerprint: TypeAlias = Annotated[str, Field(description="of the job file")]
FobLabel: TypeAlias = Annotated[str, Field(description="label")]
Grip: TypeAlias = Annotated[
    Literal["in hand", "in pocket", "in car"] | None, Field(description="in hand, in pocket, in car")
]
Mark: TypeAlias = Annotated[str, Field(description="mark of a person")]
Minutes: TypeAlias = Annotated[float | None, Field(description="time spent [min]")]
OnlyTrue: TypeAlias = StrictBool
"""True, and nothing that only looks like it: what it does cannot be taken back."""
PadDb: TypeAlias = Annotated[float | None, Field(description="pad in the way [dB]")]
ReceiverPath: TypeAlias = Annotated[str, Field(description="premises/receiver")]
Subject: TypeAlias = Annotated[str, Field(description="subject, as 'place:larkfen/street'")]
TestId: TypeAlias = Annotated[str, Field(description="id of the test in the plan")]
Words: TypeAlias = Annotated[str, Field(description="words")]
