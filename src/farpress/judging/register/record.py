"""Findings from the record beside the job: what was really given out, lost, learned.

Part of the judgements on the register; judged as of the last entry of the record, so that
the same job and the same record give the same findings. Without a record: none.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING, Final

from farpress.case.citations import CHOICE, GIVEN, PRESSES
from farpress.domain.cautions import CAUTIONS, LOCAL_CODES
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import FobRef, ReceiverRef
from farpress.domain.register import FobState
from farpress.judging.check import AT_MOST, Check, Estimate, Limit
from farpress.judging.register.counters import IGNORED_SHARE
from farpress.phrases import listed, plural
from farpress.sources import Citation, Mark

if TYPE_CHECKING:
    from farpress.case.case import Case
    from farpress.domain.register import FobRegister
    from farpress.keys.memory_matters import Matter
    from farpress.record.persons import PersonEntry

__all__ = ["DIFFERENCES", "LEAVERS", "OLD_NAMES", "STILL_OBEYED", "SWALLOWED_NEXT", "judge"]

_NONE: Final = Limit(0.0, (CHOICE,))
"""No such thing is tolerated; our choice."""


def _counted(code: str, says: str, unit: str, mends: str, stake: Stake = Stake.DUTY) -> Check:
    return Check(code, Link.REGISTER, says, unit=unit, bound=AT_MOST, limit=_NONE, stake=stake, mends=mends)


STILL_OBEYED: Final = _counted(
    "REG-10",
    "Lost or blocked fobs that a receiver still obeys, by the record.",
    "fobs",
    "Each deleted, with evidence, at each receiver.",
    Stake.PROMISE,
)
LEAVERS: Final = _counted(
    "REG-11",
    "Fobs of people who left, and fobs nobody can be named for, by the record.",
    "fobs",
    "The fobs taken back, or deleted.",
)
DIFFERENCES: Final = _counted(
    "REG-12",
    "What receivers know against what the register says, by the record.",
    "differences",
    "Each difference found out, and the memory or the register set right.",
)
OLD_NAMES: Final = _counted(
    "REG-13",
    "Names kept longer than they may be, by the record.",
    "names",
    "The names taken out of the record.",
)
SWALLOWED_NEXT: Final = Check(
    "REG-14",
    Link.REGISTER,
    "First presses that will be swallowed, by when each fob was last heard.",
    bound=AT_MOST,
    limit=Limit(IGNORED_SHARE, (CHOICE,)),
    advice=True,
    mends="Two presses in a row; or the fob learned again, where it was away for too long.",
)
"""A second press in a row is accepted: comfort. A fob that is forgotten is more, and fails."""

RECORD: Final = Citation("record of the job", mark=Mark.GIVEN)

TOLD: Final = 5
"""Open deletions told one by one; our choice, the commands list all."""


def judge(case: Case) -> Iterator[Finding]:
    """All findings from the record beside the job file."""
    from farpress.record.store import FILE_NAME

    if case.folder is None:
        return
    folder = case.folder if case.folder.is_dir() else case.folder.parent
    if not (folder / FILE_NAME).is_file():
        return
    from farpress.record.persons import persons
    from farpress.record.store import open_record

    with open_record(folder) as record:
        register, people = record.register(job=case.job.job), persons(record, job=case.job.job)
    if register.as_of:
        yield from _judged(case, register, people)


def _judged(case: Case, register: FobRegister, people: dict[str, PersonEntry]) -> Iterator[Finding]:
    from farpress.keys.due import check_register, due_matters

    now = _now(case, register)
    due, wrong = due_matters(register, people, case, now=now), check_register(register, people, case, now=now)
    as_of = f"as of {now.date().isoformat()}"
    yield _deletions(register, [matter for matter in due if matter.kind == "deletion open"], as_of)
    yield _matters(
        LEAVERS,
        "people",
        [matter for matter in wrong if matter.kind in ("leaver", "nobody")],
        "Every fob that is out has a holder who belongs there",
        register,
        as_of,
    )
    yield _matters(
        DIFFERENCES,
        "memories",
        [matter for matter in wrong if matter.kind in ("ghost", "orphan", "double", "beyond rights")],
        "Receivers and register agree, as far as memories were read",
        register,
        as_of,
    )
    yield _matters(
        OLD_NAMES,
        "names",
        [matter for matter in due if matter.kind == "retention ended"],
        "No name is kept longer than it may be",
        register,
        as_of,
    )
    yield from _counters(case, register, now, as_of)


def _now(case: Case, register: FobRegister) -> datetime:
    """The later of the record's last entry and the date on the papers."""
    last = datetime.fromisoformat(register.as_of.replace("Z", "+00:00"))
    try:
        dated = datetime.fromisoformat(case.job.details.date or "").replace(tzinfo=last.tzinfo)
    except ValueError:
        return last
    return max(last, dated)


def _deletions(register: FobRegister, matters: Sequence[Matter], as_of: str) -> Finding:
    lost = sum(matter.urgent == 0 for matter in matters)
    receivers = sorted({ref.receiver for matter in matters for ref in register.fobs[matter.about].known_at})
    says = _well("No lost or blocked fob is learned anywhere", register, as_of)
    if matters:
        says = (
            f"{plural(lost, 'lost fob')} and {plural(len(matters) - lost, 'blocked or destroyed one')} still"
            f" work at {', '.join(receivers)} ({as_of})."
        )
    unrecorded = [] if matters else _lost_unrecorded(register)
    asks = _asks(register)
    if unrecorded:
        says = (
            f"Whether every lost fob is deleted is not known: nobody recorded where {listed(unrecorded)}"
            f" was learned ({as_of})."
        )
        look = f"Look for {listed(unrecorded)} in the list of each receiver, and delete what is found."
        asks = (*asks, Ask(look, Who.INSTALLER, 10.0))
    told = " ".join(matter.says for matter in matters[:TOLD])
    return STILL_OBEYED.judge(
        about="deletions",
        cause=FobRef(matters[0].about) if matters else None,
        stake=Stake.HARM if lost else None,
        subjects=tuple(ReceiverRef(path) for path in receivers),
        says=says,
        because=f"{told} {CAUTIONS['lost fob']} {LOCAL_CODES}" if matters else _because(register),
        value=Estimate(None if unrecorded else float(len(matters))),
        asks=asks,
        remedies=(Remedy("Delete with evidence at each receiver: 'farpress keys plan' gives the round"),),
        sources=(RECORD,),
    )


def _lost_unrecorded(register: FobRegister) -> list[str]:
    """Lost fobs with buttons to work, of which no learning was ever recorded: they may open all the same."""
    return [
        fob.label
        for fob in register.fobs.values()
        if fob.state is FobState.LOST and fob.buttons and not fob.learned
    ]


def _matters(
    check: Check, about: str, matters: Sequence[Matter], well: str, register: FobRegister, as_of: str
) -> Finding:
    """Names stay out of findings: they go into papers that not everybody may read."""
    kinds = sorted({matter.kind for matter in matters})
    says = _well(well, register, as_of)
    if matters:
        number = plural(len(matters), check.unit.removesuffix("s"))
        says = f"{number} to attend to ({', '.join(kinds)}; {as_of})."
    listing = "'farpress keys check' and 'farpress keys due' list each of them."
    return check.judge(
        about=about,
        subjects=(),
        says=says,
        because=listing if matters else _because(register),
        value=Estimate(float(len(matters))),
        asks=_asks(register),
        remedies=(_MENDED[check.code],) if check.code in _MENDED else (),
        sources=(RECORD,),
    )


_MENDED: Final = {
    "REG-11": Remedy(
        "Take them back today, or delete them at every receiver: 'farpress keys plan' gives the round"
    ),
    "REG-13": Remedy(
        "Take the names out today: 'farpress keys person forget'; what happened stays, without them"
    ),
}


def _well(says: str, register: FobRegister, as_of: str) -> str:
    """Nothing is wrong, as far as every entry of the record could be read."""
    if not register.unread:
        return f"{says} ({as_of})."
    entries = plural(register.unread, "entry", "entries")
    return f"{says}, as far as this version can read the record; {entries} it cannot ({as_of})."


UNREAD: Final = Ask("Judge the register with the version that wrote those entries.", Who.INSTALLER, 10.0)


def _because(register: FobRegister) -> str:
    return f"What those entries changed is not in the register. {UNREAD.says}" if register.unread else ""


def _asks(register: FobRegister) -> tuple[Ask, ...]:
    return (UNREAD,) if register.unread else ()


def _counters(case: Case, register: FobRegister, now: datetime, as_of: str) -> Iterator[Finding]:
    from farpress.keys.counters import exposures

    ignored: dict[str, list[float]] = {}
    dead: dict[str, list[float]] = {}
    for exposure in exposures(register, {}, case, now=now):
        if exposure.heard and exposure.ignored_share is not None:
            ignored.setdefault(exposure.receiver, []).append(exposure.ignored_share)
            dead.setdefault(exposure.receiver, []).append(exposure.dead_share or 0.0)
    for receiver, shares in sorted(ignored.items()):
        late = sum(share > IGNORED_SHARE for share in shares)
        forgotten = sum(share > IGNORED_SHARE for share in dead[receiver])
        again = f" {forgotten} may have to be learned again." if forgotten else ""
        check = replace(SWALLOWED_NEXT, advice=False) if forgotten else SWALLOWED_NEXT
        yield check.judge(
            about=receiver,
            subjects=(ReceiverRef(receiver),),
            says=(
                f"{late} of {len(shares)} fobs that were heard at {receiver} have been elsewhere for so long"
                f" that their next press there may be swallowed ({as_of})."
            ),
            because=f"Worst chance {max(shares):.0%}; {IGNORED_SHARE:.0%} is taken as tolerable.{again}",
            value=Estimate(max(dead[receiver]) if forgotten else max(shares)),
            remedies=(Remedy("Say on the card: at this receiver press twice"),),
            sources=(RECORD, GIVEN, PRESSES),
        )
