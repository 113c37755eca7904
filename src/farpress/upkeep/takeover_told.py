"""What comes of an installation taken over: what must stop, what to mend, what to ask, why presses fail."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Final

from farpress.case.case import Case
from farpress.case.local_time import zone_of
from farpress.domain.finding import Assessment, Finding, Verdict
from farpress.faults.ask import About, FaultHunt, match_complaint, open_hunt
from farpress.faults.noise_diary import Diary, noise_diary, noted_from_events
from farpress.judging.assess import assess
from farpress.keys.book import RegisterBook
from farpress.keys.due import check_register
from farpress.keys.memory_matters import Matter
from farpress.phrases import listed, plural

__all__ = ["LikelyCause", "Told", "told_of"]

SHOWN: Final = 12
"""Lines of each kind that are told; the rest is counted. Our choice: one screen."""

_SEEN_ON_SITE: Final = ("AIR-02", "SUP-32")
"""Checks that hold what was read beside what is drawn."""

_LIKELY: Final = 0.05
_CAUSES: Final = 4


@dataclass(frozen=True)
class LikelyCause:
    """Where presses fail, and the likeliest reasons with their chances."""

    where: str
    why: tuple[tuple[float, str], ...]
    next: str


@dataclass(frozen=True)
class Told:
    """What to do on Monday morning, as sentences, the gravest first.

    Attributes:
        stop: fobs that still open and should not, and what is dangerous.
        mend: what was read and does not fit, and what the presses show.
        ask: what nobody knows yet.
        causes: of presses that fail.
    """

    stop: tuple[str, ...]
    mend: tuple[str, ...]
    ask: tuple[str, ...]
    causes: tuple[LikelyCause, ...]


def told_of(case: Case, book: RegisterBook, *, missing: Sequence[str], today: date) -> Told:
    """What the record and the job say together after a takeover.

    Args:
        case: opened after it, so that what was read on site is evidence.
        book: the register.
        missing: tables that were not found.
        today: for ages of cells.
    """
    assessment = assess(case)
    if book.record.is_there:
        register, people, events = book.register, book.people, book.record.events(job=book.job)
        matters = check_register(register, people, case, now=datetime.now(UTC))
    else:
        register, events, matters = None, (), ()
    diary = noise_diary(noted_from_events(events, zone_of(case.job)))
    causes = tuple(_causes(case, assessment, diary, register, today)) if diary.hours else ()
    return Told(
        tuple(_stop(matters, assessment)),
        tuple(_mend(matters, assessment, diary)),
        tuple(_ask(case, assessment, missing)),
        causes,
    )


def _stop(matters: Sequence[Matter], assessment: Assessment) -> Iterator[str]:
    yield from _some([matter.says for matter in matters if matter.urgent == 0])
    yield from _some(
        [finding.says for finding in assessment.findings if finding.verdict is Verdict.FAILS and finding.bars]
    )


def _mend(matters: Sequence[Matter], assessment: Assessment, diary: Diary) -> Iterator[str]:
    if diary.hours:
        yield from diary.says
    read = [
        f"{finding.says} {finding.because}".strip()
        for finding in assessment.findings
        if finding.code in _SEEN_ON_SITE and finding.verdict in (Verdict.FAILS, Verdict.THIN)
    ]
    yield from _some(read)
    yield from _some([matter.says for matter in matters if matter.urgent > 0])


def _ask(case: Case, assessment: Assessment, missing: Sequence[str]) -> Iterator[str]:
    lacks = {
        "fobs": "Ask who has which fob: there is no list.",
        "memory": "Read out what each receiver holds: unknown fobs open as long as nobody looks.",
        "leavers": "Ask who left and did not give a fob back.",
        "readings": "Read a level from each place at its receiver, and the volts at each receiver.",
        "presses": "Have every press noted for a week, those that work too, with the time and the place.",
    }
    yield from (lacks[table] for table in missing)
    unknown = [finding for finding in assessment.findings if finding.verdict is Verdict.UNKNOWN]
    asked: dict[str, list[Finding]] = {}
    for finding in unknown:
        for ask in finding.asks:
            asked.setdefault(ask.says, []).append(finding)
    ordered = sorted(asked, key=lambda says: (-len(asked[says]), says))
    yield from _some(ordered)


def _causes(
    case: Case, assessment: Assessment, diary: Diary, register: object, today: date
) -> Iterator[LikelyCause]:
    """The likeliest causes where something stands out, or for all presses."""
    from farpress.domain.register import FobRegister

    known = register if isinstance(register, FobRegister) else None
    abouts = []
    for found in diary.always:
        if found.kind == "place":
            place = _place_of(case, found.name)
            if place:
                abouts.append((f"from {found.name}", About(place=place[1], premises=place[0])))
        elif known is not None:
            label = next((name for name in known.fobs if name.casefold() == found.name), "")
            abouts.append((f"with {label or found.name}", About(fob=label)))
    if diary.worst or not abouts:
        hours = listed([f"{hour:02d}:00" for hour in diary.worst])
        abouts.append((f"at {hours}" if hours else "anywhere", About()))
    if not any(hour.failures for hour in diary.hours):
        return
    for where, about in abouts[:SHOWN]:
        complaint = match_complaint(_complaint(about))[0].complaint
        hunt = open_hunt(
            case, complaint, about, findings=assessment.findings, register=known, today=today, diary=diary
        )
        yield _cause(where, hunt)


def _complaint(about: About) -> str:
    """What a customer would say of it."""
    if about.place:
        return f"works at the gate, not from the {about.place}"
    return "one fob works badly, others well" if about.fob else "sometimes it does not work"


def _cause(where: str, hunt: FaultHunt) -> LikelyCause:
    likely = [suspect for suspect in hunt.causes() if suspect.chance >= _LIKELY][:_CAUSES]
    why = tuple((suspect.chance, " ".join((suspect.cause.says, *suspect.because[:1]))) for suspect in likely)
    return LikelyCause(where, why, hunt.step().says)


def _place_of(case: Case, name: str) -> tuple[str, str] | None:
    """Premises and place by a name in small letters, with or without its premises."""
    for premises, house in case.job.premises.items():
        for place in house.places:
            if name in (place.casefold(), f"{premises}/{place}".casefold()):
                return premises, place
    return None


def _some(says: Sequence[str]) -> Iterator[str]:
    """The first of some sentences, each once, and how many more there are."""
    every = tuple(dict.fromkeys(says))
    yield from every[:SHOWN]
    if len(every) > SHOWN:
        yield f"{plural(len(every) - SHOWN, 'more line', 'more lines')} of this kind."
