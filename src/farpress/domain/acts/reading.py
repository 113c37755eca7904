"""Read an act out of a record, and make one by the name of its kind; nobody else looks into a body.

The kind stands in a column of its own, so it chooses the class; then the fields are read as
that class says. A record is never rewritten, so everything that version 0.1 took is still
read: a field that does not fit counts as its readers counted it then.
"""

from __future__ import annotations

import json
import types
from collections.abc import Mapping
from typing import Any, Final, TypeAlias, Union, get_args, get_origin

from pydantic import ValidationError

from farpress.domain.acts.base import Act, UnknownAct
from farpress.domain.acts.firm import (
    BackupMade,
    BackupRestored,
    JobArchived,
    JobChanged,
    JobCheckedIn,
    JobCheckedOut,
    JobReopened,
    JobShelved,
    JobVersion,
    MemberAdded,
    MemberChanged,
    NameTakenOut,
    PartDoubted,
    PersonalDataGiven,
)
from farpress.domain.acts.fobs import (
    CellChanged,
    FobBlocked,
    FobDeleted,
    FobDestroyed,
    FobFound,
    FobHandedIn,
    FobHeard,
    FobIssued,
    FobLearned,
    FobLost,
    FobReceived,
    FobReleased,
    ListTaken,
    ListUndone,
    LossClosed,
    LowCell,
    MemoryRead,
    PersonAdded,
    PersonDeleted,
    PersonLeft,
    PersonSealed,
    ReceiptSigned,
    ReceiverReplaced,
    RightsChanged,
)
from farpress.domain.acts.site import (
    BatteryChanged,
    CheckDone,
    ClockBehind,
    FaultAnswered,
    FaultClosed,
    FaultReported,
    Note,
    PaperHandedOver,
    ReadingTaken,
    SettingMade,
    TrialDone,
    Visit,
)
from farpress.errors import InputError

__all__ = ["ACT_KINDS", "AnyAct", "FobAct", "act_named", "read_act"]

FobAct: TypeAlias = (
    FobReceived
    | FobIssued
    | RightsChanged
    | ReceiptSigned
    | FobHandedIn
    | FobLost
    | FobFound
    | FobBlocked
    | FobReleased
    | LossClosed
    | FobDestroyed
    | FobLearned
    | FobDeleted
    | FobHeard
    | CellChanged
    | LowCell
)
"""Acts that change what the register says about one fob."""

_SiteAct: TypeAlias = (
    ReadingTaken
    | TrialDone
    | CheckDone
    | ClockBehind
    | FaultReported
    | FaultAnswered
    | FaultClosed
    | Visit
    | ReceiverReplaced
    | MemoryRead
    | BatteryChanged
    | SettingMade
    | PaperHandedOver
    | JobChanged
    | Note
)

_FirmAct: TypeAlias = (
    PersonAdded
    | ListTaken
    | ListUndone
    | PersonLeft
    | PersonSealed
    | PersonDeleted
    | JobShelved
    | JobVersion
    | JobArchived
    | JobReopened
    | JobCheckedOut
    | JobCheckedIn
    | MemberAdded
    | MemberChanged
    | PersonalDataGiven
    | NameTakenOut
    | PartDoubted
    | BackupMade
    | BackupRestored
)

AnyAct: TypeAlias = FobAct | _SiteAct | _FirmAct | UnknownAct
"""Every act there is; the kind tells them apart."""

ACT_KINDS: Final[Mapping[str, type[Act]]] = {
    cls.kind: cls for cls in get_args(AnyAct) if cls is not UnknownAct
}
"""Kind as recorded → its class."""


def read_act(kind: str, text: str) -> AnyAct:
    """An act as it stands in a record; never an error.

    Args:
        kind: as recorded.
        text: its body, as JSON.

    Returns:
        The act; fields of a later version are kept in it. An `UnknownAct` where the kind is
        not known here, or a field without which it says nothing is missing or unreadable.

    Examples:
        >>> read_act("fob lost", '{"fob":"A1","between":"street and yard"}').between
        'street and yard'
        >>> read_act("fob cloned", '{"fob":"A1"}').because
        "this version does not know the kind 'fob cloned'"
    """
    cls = ACT_KINDS.get(kind)
    if cls is None:
        return UnknownAct(kind, _plain(text), f"this version does not know the kind '{kind}'")
    try:
        return cls.model_validate_json(text)  # type: ignore[return-value]
    except ValidationError as error:
        return _as_far_as_readable(cls, _plain(text), error)


def act_named(kind: str, fields: Mapping[str, Any]) -> Act:
    """A new act by the name of its kind.

    Raises:
        InputError: no such kind, fields missing or unknown, or values that do not fit; all at once.
    """
    import difflib

    if kind not in ACT_KINDS:
        close = difflib.get_close_matches(kind, ACT_KINDS, n=1)
        hint = f" Closest: {close[0]!r}." if close else ""
        raise InputError(f"There is no event '{kind}'.{hint} There are: {', '.join(sorted(ACT_KINDS))}.")
    return ACT_KINDS[kind](**fields)


def _plain(text: str) -> Mapping[str, object]:
    try:
        value = json.loads(text)
    except ValueError:
        value = None
    return value if isinstance(value, dict) else {"body": text}


def _as_far_as_readable(cls: type[Act], body: Mapping[str, object], error: ValidationError) -> AnyAct:
    """Fields that do not fit as the readers of version 0.1 took them: words for whatever stood there, no for
    what is not clearly yes, nothing for a number that is none.
    """
    kept = dict(body)
    for fault in error.errors(include_url=False, include_input=False):
        name = str(fault["loc"][0]) if fault["loc"] else ""
        field = cls.model_fields.get(name)
        if field is None or fault["type"] == "missing":
            what = f"'{name}' is missing" if field is not None else "its body is no table of fields"
            return UnknownAct(cls.kind, body, f"{what} in '{cls.kind}'")
        allowed = _members(field.annotation)
        if str in allowed and body[name] is not None:
            kept[name] = str(body[name])
        elif str in allowed and field.is_required():
            kept[name] = ""
        elif bool in allowed and field.is_required():
            kept[name] = False
        elif not field.is_required():
            kept.pop(name, None)
        else:
            return UnknownAct(cls.kind, body, f"'{name}' in '{cls.kind}' cannot be read")
    try:
        return cls.model_validate(kept)  # type: ignore[return-value]
    except ValidationError:
        return UnknownAct(cls.kind, body, f"'{cls.kind}' cannot be read")


def _members(annotation: Any) -> tuple[Any, ...]:
    return get_args(annotation) if get_origin(annotation) in (Union, types.UnionType) else (annotation,)
