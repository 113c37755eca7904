"""Findings from the record beside the job: what was really given out, lost, learned.

Part of the judgements on the register; judged as of the last entry of the record, so that
the same job and the same record give the same findings. Without a record: none.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Final

from farpress.case.citations import CHOICE, GIVEN, PRESSES
from farpress.domain.cautions import CAUTIONS, LOCAL_CODES
from farpress.domain.finding import Finding, Link, Remedy, Verdict
from farpress.domain.refs import ReceiverRef
from farpress.phrases import plural
from farpress.sources import Citation, Mark

if TYPE_CHECKING:
    from farpress.case.case import Case
    from farpress.domain.register import FobRegister
    from farpress.keys.memory_matters import Matter
    from farpress.record.persons import PersonEntry

__all__ = ["CODES", "judge"]

CODES: Final[dict[str, str]] = {
    "REG-10": "Lost or blocked fobs that a receiver still obeys, by the record.",
    "REG-11": "Fobs of people who left, and fobs nobody can be named for, by the record.",
    "REG-12": "What receivers know against what the register says, by the record.",
    "REG-13": "Names kept longer than they may be, by the record.",
    "REG-14": "First presses that will be swallowed, by when each fob was last heard.",
}

RECORD: Final = Citation("record of the job", mark=Mark.GIVEN)


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

    now = datetime.fromisoformat(register.as_of.replace("Z", "+00:00"))
    due, wrong = due_matters(register, people, case, now=now), check_register(register, people, case, now=now)
    as_of = f"as of {register.as_of[:10]}"
    open_ones = [one for one in due if one.kind == "deletion open"]
    lost = [one for one in open_ones if one.urgent == 0]
    receivers = sorted({one.receiver for matter in open_ones for one in register.fobs[matter.about].known_at})
    subjects = tuple(ReceiverRef(path) for path in receivers)
    if open_ones:
        says = (
            f"{_some(len(lost), 'lost fob')} and"
            f" {_some(len(open_ones) - len(lost), 'blocked or destroyed one')} still work at"
            f" {', '.join(path for path in receivers)} ({as_of})."
        )
        yield Finding(
            "REG-10",
            Link.REGISTER,
            Verdict.FAILS,
            "deletions",
            says,
            f"{' '.join(one.says for one in open_ones[:5])} {CAUTIONS['lost fob']} {LOCAL_CODES}",
            float(len(open_ones)),
            0.0,
            "fobs",
            -float(len(open_ones)),
            remedies=(Remedy("Delete with evidence at each receiver: 'farpress keys plan' gives the round"),),
            sources=(RECORD, CHOICE),
            subjects=subjects,
        )
    else:
        well = "No lost or blocked fob is learned anywhere"
        yield _well("REG-10", "deletions", "fob", well, as_of, register.unread)
    yield from _counted(
        "REG-11",
        "people",
        [one for one in wrong if one.kind in ("leaver", "nobody")],
        "fob",
        "Every fob that is out has a holder who belongs there",
        as_of,
        register.unread,
    )
    yield from _counted(
        "REG-12",
        "memories",
        [one for one in wrong if one.kind in ("ghost", "orphan", "double", "beyond rights")],
        "difference",
        "Receivers and register agree, as far as memories were read",
        as_of,
        register.unread,
    )
    yield from _counted(
        "REG-13",
        "names",
        [one for one in due if one.kind == "retention ended"],
        "name",
        "No name is kept longer than it may be",
        as_of,
        register.unread,
    )
    yield from _counters(case, register, now, as_of)


def _well(code: str, about: str, word: str, well: str, as_of: str, unread: int) -> Finding:
    """Nothing is wrong, as far as every entry of the record could be read."""
    if unread:
        entries = plural(unread, "entry", "entries")
        return Finding(
            code,
            Link.REGISTER,
            Verdict.UNKNOWN,
            about,
            f"{well}, as far as this version can read the record; {entries} it cannot ({as_of}).",
            "What those entries changed is not in the register: judge it with the version that wrote them.",
            sources=(RECORD,),
        )
    return Finding(
        code,
        Link.REGISTER,
        Verdict.HOLDS,
        about,
        f"{well} ({as_of}).",
        "",
        0.0,
        0.0,
        f"{word}s",
        0.0,
        sources=(RECORD,),
    )


def _counted(
    code: str, about: str, matters: Sequence[Matter], word: str, well: str, as_of: str, unread: int
) -> Iterator[Finding]:
    if not matters:
        yield _well(code, about, word, well, as_of, unread)
        return
    # names stay out of findings: they go into papers that not everybody may read
    kinds = sorted({one.kind for one in matters})
    says = f"{_some(len(matters), word)} to attend to ({', '.join(kinds)}; {as_of})."
    verdict = Verdict.FAILS if code == "REG-13" or any(one.urgent == 0 for one in matters) else Verdict.THIN
    yield Finding(
        code,
        Link.REGISTER,
        verdict,
        about,
        says,
        "'farpress keys check' and 'farpress keys due' list each of them.",
        float(len(matters)),
        0.0,
        f"{word}s",
        -float(len(matters)),
        sources=(RECORD, CHOICE),
    )


def _counters(case: Case, register: FobRegister, now: datetime, as_of: str) -> Iterator[Finding]:
    from farpress.keys.counters import RISK, exposures

    by_receiver: dict[str, list[float]] = {}
    dead: dict[str, int] = {}
    for one in exposures(register, {}, case, now=now):
        if one.heard and one.ignored_share is not None:
            by_receiver.setdefault(one.receiver, []).append(one.ignored_share)
            dead[one.receiver] = dead.get(one.receiver, 0) + ((one.dead_share or 0.0) > RISK)
    for receiver, shares in sorted(by_receiver.items()):
        late = sum(share > RISK for share in shares)
        verdict = Verdict.HOLDS if not late else Verdict.FAILS if dead[receiver] else Verdict.THIN
        says = (
            f"{late} of {len(shares)} fobs that were heard at {receiver} have been elsewhere for so long that"
            f" their next press there may be swallowed ({as_of})."
        )
        because = f"Worst chance {max(shares):.0%}; {RISK:.0%} is taken as tolerable." + (
            f" {dead[receiver]} may have to be learned again." if dead[receiver] else ""
        )
        remedies = (Remedy("Say on the card: at this receiver press twice"),) if late else ()
        yield Finding(
            "REG-14",
            Link.REGISTER,
            verdict,
            receiver,
            says,
            because,
            max(shares),
            RISK,
            "",
            RISK - max(shares),
            remedies=remedies,
            sources=(RECORD, GIVEN, PRESSES, CHOICE),
            subjects=(ReceiverRef(receiver),),
        )


def _some(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"
