"""The lost-fob sheet: what the fob opens, where it is still known, what is done first, and the proof that it
is gone.
"""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Final

from farpress.case.case import OutputAt
from farpress.case.driven import alarm, driven_of
from farpress.case.local_time import NO_ZONE, clock_name, in_zone, paper_zone
from farpress.domain.acts import FobLost
from farpress.domain.cautions import CAUTIONS
from farpress.domain.event import Event
from farpress.domain.register import Fob, FobState
from farpress.keys.lost import lost_plan
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.holders import group_presses
from farpress.papers.typesetting.paper import (
    Block,
    Cautions,
    Cell,
    Column,
    Fields,
    Paper,
    PaperField,
    PaperTable,
    Section,
    Signatures,
    Text,
    Tick,
    Ticks,
)
from farpress.sources import Citation, Mark

__all__ = ["paper"]

_ROUND: Final = (
    Citation(
        "shortest weighted exposure over the roads of the job, six minutes a receiver", mark=Mark.CHOICE
    ),
)


def paper(basis: Basis) -> Paper:
    """One sheet for each lost fob; without one, a form and what a fob of each group gives away."""
    lost = [
        fob
        for label, fob in sorted(basis.register.fobs.items())
        if (label == basis.lost if basis.lost is not None else fob.state is FobState.LOST)
    ]
    sections = [
        section for number, fob in enumerate(lost) for section in _sheet(basis, fob, is_first=number == 0)
    ]
    if not lost:
        sections = [
            Section(
                "Report",
                (
                    Fields(
                        (
                            PaperField("Label", None),
                            PaperField("Reported on, at, by", None),
                            PaperField("Lost between which places and times", None),
                            PaperField("Taken down by", None),
                        )
                    ),
                    Text(
                        "No fob is recorded as lost. This form serves for the first one; the tables tell what"
                        " a fob of each group gives away.",
                        is_note=True,
                    ),
                ),
            ),
            Section("What a fob of each group gives away", (_by_group(basis),)),
            Section("Visits", (_visits((), 5),)),
            *_closing(basis),
        ]
    return Paper(
        "lost-fob-sheet",
        "Lost-fob sheet",
        "For the register keeper and the firm, in the minute the telephone rings: what is exposed, what is"
        " blocked at once, which receivers must be visited.",
        (
            Section(
                "First",
                (
                    Cautions((CAUTIONS["lost fob"],)),
                    Ticks(
                        (
                            Tick(
                                "Is it really lost? Ask where it was last used, and try the car and the other"
                                " jacket."
                            ),
                            Tick("Functions that unset or open: block at the panel or on the spot, today."),
                            Tick("Issue another fob, never the same number."),
                        )
                    ),
                ),
            ),
            *sections,
        ),
    )


def _sheet(basis: Basis, fob: Fob, *, is_first: bool) -> list[Section]:
    report, lost = next(
        (entry for entry in reversed(basis.happened(FobLost)) if entry[1].fob == fob.label), (None, None)
    )
    functions = tuple(dict.fromkeys(function for functions in fob.buttons.values() for function in functions))
    group = basis.case.job.groups.get(fob.group)
    if not functions and group is not None:
        functions = basis.case.job.functions_of(group)
    outputs = [output for function in functions for output in basis.case.outputs_of(function)]
    rows: list[tuple[Cell | str | None, ...]] = [
        (
            learned.receiver,
            learned.output,
            learned.button,
            learned.slot or None,
            _what(basis, f"{learned.receiver}/{learned.output}"),
            Cell("deleted", "holds") if not learned.is_known else Cell("still known", "fails"),
            _when(basis, learned.deleted_at),
            learned.evidence or None,
        )
        for learned in fob.learned
    ]
    columns = (
        Column("receiver", 0.9),
        Column("output", 0.4),
        Column("button", 0.4),
        Column("slot", 0.4),
        Column("what it gives away", 1.4),
        Column("deleted", 0.6),
        Column("on, at (local)" if basis.case.job.time_zone else "on, at (UTC)", 0.7),
        Column("evidence, by", 1),
    )
    return [
        Section(
            f"Fob {fob.label}",
            (
                Fields(
                    (
                        PaperField(
                            "Reported",
                            (
                                f"{_when(basis, report.moment)} ({clock_name(basis.case.job)})"
                                if report is not None
                                else None
                            ),
                            "when the loss was reported",
                        ),
                        PaperField(
                            "Lost between",
                            (lost.between or None if lost is not None else None),
                            "where and when it was last seen",
                        ),
                        PaperField(
                            "Type, serial", " ".join(word for word in (fob.type, fob.serial) if word) or None
                        ),
                        PaperField("Group", fob.group or None),
                        PaperField("Cell of", fob.cell_date or None),
                        PaperField("Last heard", _when(basis, max(fob.heard.values(), default=""))),
                    )
                ),
                Text(
                    f"It gives away: {', '.join(functions) or 'nothing that is written down'}."
                    + (
                        " It UNSETS an alarm: treat it as a lost key."
                        if any(_unsets(basis, output) for output in outputs)
                        else ""
                    ),
                    is_strong=True,
                ),
            ),
            is_on_new_page=not is_first,
        ),
        Section(
            f"Where {fob.label} is learned",
            (
                PaperTable(
                    f"learned {fob.label}"[:31],
                    columns,
                    tuple(rows),
                    empty="Nowhere that is recorded: look at every receiver of the table of groups.",
                ),
            ),
        ),
        Section(
            f"Visits for {fob.label}",
            (
                _visits(tuple(dict.fromkeys(learned.receiver for learned in fob.known_at)), 2),
                *_round(basis, fob, report),
            ),
        ),
        *_closing(basis),
    ]


def _round(basis: Basis, fob: Fob, report: Event | None) -> tuple[Block, ...]:
    """The order in which to go, so that dangerous rights end soonest; from the report, at once."""
    if not fob.known_at:
        return ()
    moment = (
        in_zone(report.moment, paper_zone(basis.case.job)).replace(microsecond=0)
        if report is not None
        else datetime.combine(basis.day or date(2000, 1, 3), time(8))
    )
    plan = lost_plan(basis.case, fob, leave=moment)
    rows: list[tuple[Cell | str | None, ...]] = [
        (
            f"{number}",
            visit.premises,
            "; ".join(_with_slots(path, slots) for path, slots in visit.receivers.items()),
            ", ".join(visit.functions),
            Cell(f"{visit.exposed_h:.1f} h", "", _ROUND),
            "; ".join(visit.meanwhile) or "nothing from here",
            None,
        )
        for number, visit in enumerate(plan.visits, 1)
    ]
    columns = (
        Column("no.", 0.25),
        Column("premises", 0.7),
        Column("receivers, slots", 1.3),
        Column("functions", 1.2),
        Column("exposed until done", 0.6, True),
        Column("until then", 1.6),
        Column("done at", 0.5),
    )
    doubts = (*plan.doubts, *(() if basis.case.job.time_zone else (NO_ZONE,)))
    more = f" {' '.join(doubts)}" if doubts else ""
    return (
        PaperTable(
            f"round {fob.label}"[:31], columns, tuple(rows), title="The round, most dangerous rights first"
        ),
        Text(
            f"{plan.says} From {plan.start}, {plan.drive_min:.0f} min of driving if somebody leaves when the"
            f" loss is reported.{more}",
            is_note=True,
        ),
        Ticks(tuple(Tick(f"{visit.premises}: {line}") for visit in plan.visits for line in visit.sheet)),
    )


def _when(basis: Basis, moment: str) -> str | None:
    """A moment of the record, by the clock of the premises."""
    return f"{in_zone(moment, paper_zone(basis.case.job)):%Y-%m-%d %H:%M}" if moment else None


def _with_slots(path: str, slots: tuple[str, ...]) -> str:
    return f"{path}, slot {' and '.join(slots)}" if slots else path


def _visits(receivers: tuple[str, ...], blank: int) -> PaperTable:
    rows: list[tuple[Cell | str | None, ...]] = [(receiver, None, None, None, None) for receiver in receivers]
    return PaperTable(
        "visits",
        (
            Column("receiver"),
            Column("by, when", 0.8),
            Column("done", 1.1),
            Column("tried with which fob", 0.9),
            Column("evidence: photograph, list, signature", 1.2),
        ),
        tuple(rows),
        blank_rows=blank,
    )


def _closing(basis: Basis) -> list[Section]:
    return [
        Section(
            "Told and closed",
            (
                Ticks(
                    (
                        Tick("Insurer told, if the fob unsets or opens"),
                        Tick("Tenant or customer told"),
                        Tick("Register corrected, new fob issued and signed for"),
                    )
                ),
                Fields(
                    (
                        PaperField("Insurer", basis.case.job.details.insurer, "whom to tell"),
                        PaperField("Closed on, after how many hours", None),
                    )
                ),
                Signatures((("Register keeper", "the fob is known nowhere any more"),)),
            ),
        )
    ]


def _by_group(basis: Basis) -> PaperTable:
    rows: list[tuple[Cell | str | None, ...]] = []
    for name, group in basis.case.job.groups.items():
        functions = tuple(
            dict.fromkeys(function for press in group_presses(group) for function in press.functions)
        )
        outputs = [output for function in functions for output in basis.case.outputs_of(function)]
        rows.append(
            (
                name,
                ", ".join(functions) or "nothing",
                "yes" if any(_unsets(basis, output) for output in outputs) else "no",
                ", ".join(dict.fromkeys(output.receiver_path for output in outputs)) or "none",
            )
        )
    return PaperTable(
        "groups",
        (
            Column("group", 0.8),
            Column("functions given away", 2),
            Column("unsets an alarm", 0.6),
            Column("receivers to visit", 1.4),
        ),
        tuple(rows),
        empty="No group is described yet.",
    )


def _unsets(basis: Basis, output: OutputAt) -> bool:
    kinds = {basis.case.job.functions[name].kind for name in output.functions}
    return bool(kinds & {"unset", "set and unset"}) and any(
        alarm(load) for load in driven_of(basis.case, output)
    )


def _what(basis: Basis, path: str) -> str:
    output = basis.case.output(path)
    return ", ".join(output.functions) if output is not None and output.functions else "not in the job"
