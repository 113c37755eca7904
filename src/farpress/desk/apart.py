"""What is computed beside the serving of pages: judgements, reach, papers, searches. Plain values in, plain
values out.

Each function takes the job as a snapshot: a worker keeps the last few it has read, and the
links of radio with what was computed for them. What only the work itself needs is imported where
it is done: the serving process never loads it.
"""

from __future__ import annotations

import contextlib
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final

from farpress.case.case import Case
from farpress.domain.finding import Assessment
from farpress.errors import InputError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from farpress.reach.ask import PromisedLink
    from farpress.reach.radio_budget import Pressed, RadioLink
    from farpress.reach.radio_link import Radio
    from farpress.rehearsal.rules import RuleResult

__all__ = [
    "MapWish",
    "PaperWish",
    "ReachPicture",
    "Snapshot",
    "budget",
    "case_of_snapshot",
    "drawn",
    "judged",
    "printed",
    "promised",
    "searched",
    "tried",
    "warmed",
]

TRIED_S: Final = 0.1
"""Remedies are tried for so long at a time; our choice, a newer change waits no longer."""


class _Later(Exception):
    """Enough was tried for now."""


KEPT: Final = 6
"""Our choice: a few jobs, and the states before the last changes."""


@dataclass(frozen=True)
class Snapshot:
    """A job file as it was: its folder, its text and the text's fingerprint."""

    folder: Path
    text: str
    fingerprint: str

    @classmethod
    def of(cls, case: Case) -> Snapshot:
        """Of a case that was read from a file."""
        assert case.folder is not None
        assert case.document is not None
        return cls(case.folder, case.document.source.text, case.fingerprint)


@dataclass(frozen=True)
class MapWish:
    """Which map the plan shows.

    Attributes:
        premises, receiver: where; every receiver that the group works, without a receiver.
        level: name of a level; None for the open ground.
        cells: across and up.
        area: west, south, east, north [m].
        aerial: another place of the receiver's aerial; where it is, if None.
        group, held: whose fob, and how it is held.
        presses: within how many.
        shows: "chance" of being heard, share of promises "kept", or "level" over the needed one.
    """

    premises: str
    receiver: str
    level: str | None
    cells: tuple[int, int]
    area: tuple[float, float, float, float]
    aerial: tuple[float, ...] | None = None
    group: str | None = None
    held: Pressed = "in hand"
    presses: int = 1
    shows: str = "chance"


@dataclass(frozen=True)
class ReachPicture:
    """A map for the plan.

    Attributes:
        values: what is shown: a share, or dB; (rows, columns), NaN where nobody stands.
        group, receivers: whose fob, and who shall hear it.
        promises: how many promises of the group are counted.
        notes: what is missing or assumed.
        says: why there is no map; empty where there is one.
    """

    values: NDArray[np.float64] | None
    group: str = ""
    receivers: tuple[str, ...] = ()
    promises: int = 0
    notes: tuple[str, ...] = ()
    says: str = ""


@dataclass(frozen=True)
class PaperWish:
    """Which papers, and how.

    Attributes:
        kinds: names of papers, see `chosen_kinds`.
        size: of the sheet.
        language: of the cards.
        day: the date to print; None leaves a line to write on.
        lost: label of the fob that the lost-fob sheet is about.
        packed: with tables, in one ZIP, also where it is one file.
        without: without the name of anybody who holds a fob.
    """

    kinds: tuple[str, ...]
    size: str = "a4"
    language: str = "en"
    day: date | None = None
    lost: str | None = None
    packed: bool = False
    without: bool = False


_State = tuple[Path, str, tuple[tuple[int, int], ...]]
"""Folder, fingerprint of the job file, and size and time of the record's files."""

_cases: dict[_State, Case] = {}


def judged(snapshot: Snapshot) -> Assessment:
    """The job judged, with its record as it is now, without looking for what would mend it; see `tried`."""
    from farpress.judging.assess import assess
    from farpress.judging.check import without_remedies

    with without_remedies():
        return assess(case_of_snapshot(snapshot))


def tried(snapshot: Snapshot) -> Assessment | None:
    """Remedies tried for a moment: the assessment with those that help once all are tried, None before.

    What was tried stays with the case, so that whoever asks again goes on where this ended.
    """
    from farpress.judging.assess import assess
    from farpress.judging.remedies.shown import with_shown_remedies

    case, until, copies = case_of_snapshot(snapshot), time.monotonic() + TRIED_S, 0

    def look(done: int, of: int) -> None:
        nonlocal copies
        if copies and time.monotonic() >= until:
            raise _Later
        copies += 1

    try:
        return with_shown_remedies(case, case.once(assess), progress=look)
    except _Later:
        return None


def drawn(snapshot: Snapshot, wish: MapWish) -> ReachPicture:
    """A map over one level; see `reach_together`, and `reach_map` for an aerial that is dragged."""
    import numpy as np

    from farpress.reach.ask import MapRequest, reach_map
    from farpress.reach.together import reach_together

    case, radio = case_of_snapshot(snapshot), _radio(snapshot)
    request = MapRequest(group=wish.group, held=wish.held, area=wish.area, presses=wish.presses)
    try:
        if wish.aerial is not None:
            moved = reach_map(
                case,
                wish.premises,
                wish.receiver,
                level=wish.level,
                cells=wish.cells,
                aerial_at=wish.aerial,
                request=request,
                radio=radio,
            )
            shown = moved.margin_db if wish.shows == "level" else moved.chance
            return ReachPicture(
                np.where(moved.stands & np.isfinite(shown), shown, np.nan),
                moved.group,
                (wish.receiver,),
                notes=tuple(moved.notes[:3]),
            )
        made = reach_together(
            case,
            wish.premises,
            level=wish.level,
            cells=wish.cells,
            request=request,
            receiver=wish.receiver or None,
            radio=radio,
        )
    except InputError as error:  # something is still to be entered: no fault of the request
        return ReachPicture(None, says=str(error))
    values = {"chance": made.chance, "kept": made.kept, "level": made.margin_db}[wish.shows]
    if values is None:
        return ReachPicture(
            None, says=f"Nothing is promised to {made.group} that {' and '.join(made.receivers)} would hear."
        )
    return ReachPicture(
        np.where(made.stands & np.isfinite(values), values, np.nan),
        made.group,
        made.receivers,
        made.promises,
        tuple(made.notes[:3]),
    )


def budget(
    snapshot: Snapshot,
    premises: str,
    receiver: str,
    point: tuple[float, float],
    level: str | None,
    group: str | None,
    aerial: tuple[float, ...] | None,
) -> RadioLink:
    """The budget at a point; see `budget_at`."""
    from farpress.reach.ask import MapRequest, budget_at, reach_map

    case, radio = case_of_snapshot(snapshot), _radio(snapshot)
    x, y = point
    try:
        cell = reach_map(
            case,
            premises,
            receiver,
            level=level,
            cells=(2, 2),
            request=MapRequest(area=(x - 0.01, y - 0.01, x + 0.01, y + 0.01)),
            radio=radio,
        )
        inside = bool(cell.indoors.any())
    except InputError:
        inside = False  # what is missing stands in the budget itself
    return budget_at(
        case,
        premises,
        receiver,
        point,
        level=level if inside else None,
        group=group,
        aerial_at=aerial,
        radio=radio,
    )


def promised(
    snapshot: Snapshot, premises: str, receiver: str, aerial: tuple[float, ...] | None
) -> list[PromisedLink]:
    """Every promise that a receiver has to hear, at its place; see `promised_links`."""
    from farpress.reach.ask import promised_links

    return list(
        promised_links(
            case_of_snapshot(snapshot), premises, receiver, aerial_at=aerial, radio=_radio(snapshot)
        )
    )


def printed(snapshot: Snapshot, wish: PaperWish, tell: Callable[[int, int, str], None]) -> tuple[str, bytes]:
    """Papers with the job and its record as they are now: "pdf" or "zip", and its bytes; empty where there is
    nothing to print.

    Args:
        snapshot: the job.
        wish: which papers.
        tell: told (done, of, what comes now); may raise to cancel.
    """
    from farpress.papers.builders.basis import make_basis
    from farpress.papers.builders.make import make_papers
    from farpress.papers.typesetting.bundle import bundle

    basis = make_basis(
        case_of_snapshot(snapshot),
        language=wish.language,
        day=wish.day,
        lost=wish.lost,
        without=wish.without,
        progress=lambda what: tell(0, 0, what),
    )
    files = {
        paper.name: paper.content
        for paper in make_papers(basis, wish.kinds, size=wish.size, progress=tell)
        if wish.packed or paper.name.endswith(".pdf")
    }
    if len(files) == 1 and not wish.packed:
        return "pdf", next(iter(files.values()))
    return ("zip", bundle(files)) if files else ("", b"")


def searched(
    snapshot: Snapshot, number: int | None, budget: int, tell: Callable[[str], None]
) -> list[RuleResult]:
    """One rule, or all that always holds, searched for a story that breaks it; see `every_rule`."""
    from farpress.judging.rules.every import every_rule

    found = every_rule(
        case_of_snapshot(snapshot), budget=budget, rules=None if number is None else (number,), progress=tell
    )
    return [result for result in found if number is not None or result.number is None]


def warmed(snapshot: Snapshot) -> float:
    """Make the first map quick: what is compiled once is compiled before anybody asks. Gives the seconds it
    took.
    """
    from farpress.reach.ask import MapRequest, reach_map
    from farpress.reach.map_loops import warm_up

    begun = time.perf_counter()
    warm_up()
    case = case_of_snapshot(snapshot)
    for premises, house in case.job.premises.items():
        for receiver in house.receivers:
            with contextlib.suppress(InputError):
                reach_map(
                    case,
                    premises,
                    receiver,
                    level=None,
                    cells=(4, 4),
                    request=MapRequest(compile_it=True),
                    radio=_radio(snapshot),
                )
                return time.perf_counter() - begun
    return time.perf_counter() - begun


def case_of_snapshot(snapshot: Snapshot) -> Case:
    """The job with its record as it is now; the last few are kept."""
    key = _state_of(snapshot)
    if key not in _cases:
        from farpress.case.door import case_of
        from farpress.case.evidence import evidence_in
        from farpress.catalogue.store import load_catalogue
        from farpress.jobfile.reader import read_job_text

        catalogue = load_catalogue()
        document = read_job_text(snapshot.text, known=catalogue.known_names())
        events = evidence_in(snapshot.folder, document.job.job)
        _cases[key] = case_of(document, catalogue, folder=snapshot.folder, events=events)
        while len(_cases) > KEPT:
            del _cases[next(iter(_cases))]
    return _cases[key]


def _state_of(snapshot: Snapshot) -> _State:
    """What a case rests on: the job file, and the record as it is now."""
    from farpress.case.evidence import record_stamp

    return snapshot.folder, snapshot.fingerprint, record_stamp(snapshot.folder)


def _radio(snapshot: Snapshot) -> Radio:
    from farpress.reach.radio_link import radio_of

    return radio_of(case_of_snapshot(snapshot))
