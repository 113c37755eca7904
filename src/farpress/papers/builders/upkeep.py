"""The maintenance plan and the log book: what is looked at when, by whom, against which value; and what
happened.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Final

from farpress.domain.acts import CheckDone, TrialDone
from farpress.domain.cautions import CAUTIONS
from farpress.domain.refs import DeviceRef, OutputRef, PanelRef, ReceiverRef, Ref, SupplyRef, refs_of
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.log_words import LOGGED, is_logged, left_as, log_words, reason_of
from farpress.papers.builders.words import quantity
from farpress.papers.typesetting.paper import (
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
)
from farpress.sources import Citation, Mark
from farpress.upkeep.due import done_task, due_list
from farpress.upkeep.tried import safeguards_tried

__all__ = ["log_book", "maintenance_plan"]

_INTERVAL: Final = Citation(
    "intervals of maintenance",
    place="the maker's instructions and the insurer's demands come first",
    mark=Mark.PRACTICE,
)

_LIFE: Final = Citation(
    "life of cells and batteries, as in the cell plan and the design proposal", mark=Mark.COMPUTED
)

Row = tuple[Cell | str | None, ...]


def maintenance_plan(basis: Basis) -> Paper:
    """Tasks, intervals, who, baseline and limit."""
    columns = (
        Column("task", 1.6),
        Column("every", 0.6),
        Column("who", 0.6),
        Column("baseline", 1.1),
        Column("limit, then act", 1.2),
        Column("tools", 0.8),
    )
    return Paper(
        "maintenance-plan",
        "Maintenance plan",
        "For the customer and the firm: who looks at what, how often, and from which value on something must"
        " be done.",
        (
            Section("The user", (PaperTable("user", columns, tuple(_user(basis))),)),
            Section("The firm", (PaperTable("firm", columns, tuple(_firm(basis))),)),
            Section("Levels to compare with", (_levels(basis),)),
            Section(
                "Licensed and competent persons",
                (
                    PaperTable(
                        "licensed",
                        columns,
                        tuple(_licensed(basis)),
                        empty="Nothing here needs a licensed person; local rules may say otherwise.",
                    ),
                    Cautions((CAUTIONS["mains"], CAUTIONS["deference"])),
                ),
            ),
            Section("Due within a year", (_due(basis),)),
        ),
        missing=(
            ()
            if basis.happened(TrialDone)
            else ("Baseline of the presses: no trial is recorded; prove first, then compare",)
        ),
    )


def _due(basis: Basis) -> PaperTable:
    """What the firm and others come for, by date, from the record; without a date of the paper lines to write
    on.
    """
    found = (
        []
        if basis.day is None
        else [
            due
            for due in due_list(basis.case, basis.register, basis.events, today=basis.day, months=12)
            if due.who != "customer"
        ]
    )
    found = sorted(
        (turn for due in found for turn in due.each()), key=lambda due: (due.on, due.premises, due.id)
    )
    rows: list[Row] = [
        (_by_when(due.on, basis.day), due.premises, due.does, due.because, due.who, None) for due in found
    ]
    columns = (
        Column("due", 0.5, sources=(_INTERVAL, _LIFE)),
        Column("premises", 0.6),
        Column("what", 1.6, sources=(_INTERVAL,)),
        Column("why then", 1.6, sources=(_INTERVAL, _LIFE)),
        Column("by", 0.6),
        Column("done on, entry", 0.6),
    )
    return PaperTable(
        "due", columns, tuple(rows), empty="Nothing within a year.", blank_rows=6 if basis.day is None else 2
    )


def _by_when(on: date, today: date | None) -> str:
    """The day something is due; what is overdue is due now, and says since when."""
    if today is None or on >= today:
        return on.isoformat()
    return f"now, since {on.isoformat()}"


def _every(text: str) -> Cell:
    return Cell(text, "", (_INTERVAL,))


def _user(basis: Basis) -> Iterator[Row]:
    if any(function.kind == "call" for function in basis.case.job.functions.values()):
        yield (
            "Call for help: press at its place, somebody comes, write the time down",
            _every("week"),
            "user",
            "as proven",
            "no answer within the agreed time: ring the firm",
            "none",
        )
    for path, part in basis.case.equipment.devices.items():
        if part.sheet.traits.is_leaf:
            yield (
                safeguards_tried(path, part.sheet),
                _every("month"),
                "user",
                "stops or turns at once",
                "does not: out of use, ring the firm",
                "test stick, test block" if part.sheet.safeguards else "none",
            )
    for finding in basis.of_code("DEV-04"):
        yield (
            f"{finding.about}: opens by hand from inside, without fob, key or power",
            _every("month"),
            "user",
            Cell(finding.says, str(finding.verdict), finding.sources),
            "does not: ring at once",
            "none",
        )
    yield (
        "Fobs: none is missing, none is cracked, labels can be read",
        _every("month"),
        "user",
        "as the register",
        "missing: report it the same day",
        "register",
    )


def _firm(basis: Basis) -> Iterator[Row]:
    yield (
        "Presses from the worst places, counted",
        _every("12 months"),
        "firm",
        "proving record",
        "fewer heard than the baseline shows: find out why",
        "test fob, pad",
    )
    for finding in basis.of_code("SUP-04"):
        (ref,) = refs_of(SupplyRef, finding.subjects)
        supply = basis.case.job.premises[ref.premises.path].supplies.get(ref.name)
        changed = supply.battery.changed if supply is not None and supply.battery is not None else None
        yield (
            f"Battery of {ref}: under load, mains off; change it when due",
            _every("12 months"),
            "firm",
            Cell(f"last changed {changed}", "", basis.given) if changed else None,
            basis.judged([finding], finding.says),
            "multimeter, load",
        )
    for finding in basis.of_code("SUP-01"):
        if finding.value is not None and finding.limit is not None:
            yield (
                f"Volts at {_fed_end(basis, finding.subjects)}, everything on",
                _every("12 months"),
                "firm",
                Cell(f"{finding.value:.4g} V worst case, computed", str(finding.verdict), finding.sources),
                Cell(f"{finding.limit:.4g} V", "", finding.sources),
                "multimeter",
            )
    for premises, house in basis.case.job.premises.items():
        for name, loop in house.tamper_loops.items():
            legs = ", ".join(f"{leg} {quantity(ohms, 'resistance')}" for leg, ohms in loop.legs.items())
            yield (
                f"Tamper loop {premises}/{name}, leg by leg; tap each joint",
                _every("12 months"),
                "firm",
                Cell(legs, "", basis.read),
                "a leg that has risen or jumps: remake its joints",
                "multimeter",
            )
    for finding in basis.of_code("CON-06"):
        if finding.value is not None:
            yield (
                f"Contact {finding.about}: operations so far",
                _every("12 months"),
                "firm",
                Cell(
                    f"about {finding.value:,.0f} operations to be expected",
                    str(finding.verdict),
                    finding.sources,
                ),
                "change the receiver before",
                "record",
            )
    yield (
        "Every output: supply off and on three times",
        _every("12 months"),
        "firm",
        "proving record, table of power cuts",
        "anything moves, waters, heats or sounds: out of use",
        "none",
    )
    yield (
        "Register against receivers: ghosts, leavers, room",
        _every("6 months"),
        "firm, register keeper",
        "key register",
        "a record nobody can name: delete it",
        "register",
    )


def _levels(basis: Basis) -> PaperTable:
    rows: list[Row] = [
        (
            reading.receiver,
            reading.place,
            f"{reading.level_dbm:g} dBm"
            if reading.level_dbm is not None
            else f"{reading.heard} of {reading.of}",
            reading.held or "",
            None,
            None,
        )
        for reading in basis.case.without_evidence().job.readings
    ]
    columns = (
        Column("receiver"),
        Column("place"),
        Column("read at the survey", sources=basis.read),
        Column("fob", 0.6),
        Column("read today", 0.7),
        Column("date, by", 0.8),
    )
    return PaperTable(
        "levels",
        columns,
        tuple(rows),
        empty="No level was read. Read a few at handover: without a baseline a slow loss goes unseen.",
        blank_rows=0 if rows else 4,
    )


def _licensed(basis: Basis) -> Iterator[Row]:
    if basis.of_code("SAFE-07"):
        yield (
            "Mains side: test as national rules demand",
            _every("as national rules demand"),
            "licensed person",
            "electrical test certificate",
            "as national rules",
            "as the rules demand",
        )
    for path, part in basis.case.equipment.devices.items():
        if part.sheet.traits.is_leaf:
            yield (
                f"{path}: force and overtravel, with a calibrated instrument",
                _every("12 months, or as its maker says"),
                "competent person",
                Cell(f"{part.sheet.force_n:g} N at the closing edge", "", part.cite("force_n"))
                if part.sheet.force_n is not None
                else None,
                "as the standard for powered doors and gates demands",
                "force instrument",
            )


def log_book(basis: Basis) -> Paper:
    """The log book: what is recorded, and room for what is written by hand."""
    day = basis.day
    ahead = due_list(basis.case, basis.register, basis.events, today=day, months=12) if day else ()
    next_day = {due.id: due.on.isoformat() for due in ahead}
    rows: list[Row] = [
        (
            event.moment[:10],
            event.moment[11:16],
            event.by,
            reason_of(event),
            log_words(event),
            left_as(event),
            next_day.get(done_task(event.act), "") if isinstance(event.act, CheckDone) else "",
        )
        for event in basis.entries(*LOGGED)
        if is_logged(event)
    ]
    columns = (
        Column("date", 0.5),
        Column("time (UTC)", 0.4),
        Column("person", 0.6),
        Column("reason", 0.7),
        Column("found, done, parts, readings", 2.2),
        Column("left safe, limited or out of use", 0.8),
        Column("next date, signature", 0.8),
    )
    return Paper(
        "log-book",
        "Log book",
        "Stays at the premises. Everything that happens to the installation stands here: visits, faults,"
        " changes, losses, false alarms with their cause, power cuts.",
        (
            Section(
                "Installation",
                (
                    Fields(
                        (
                            PaperField(
                                "Whom to ring", basis.case.job.details.telephone, "telephone of the firm"
                            ),
                            PaperField(
                                "Register keeper",
                                basis.case.job.details.data_kept_by,
                                "who keeps the key register",
                            ),
                            PaperField("Where this book lies", None),
                            PaperField("Where the hand releases and switches are", None),
                        )
                    ),
                ),
            ),
            Section(
                "Entries",
                (
                    Text(
                        "Reasons: periodic, fault, change, loss, power cut, false alarm. Write what was found"
                        " before writing what was done.",
                        is_note=True,
                    ),
                    PaperTable("entries", columns, tuple(rows), blank_rows=16),
                ),
            ),
            Section(
                "Closed",
                (Signatures((("This book ends here", "the next one begins with the state left above"),)),),
            ),
        ),
        is_wide=True,
    )


def _fed_end(basis: Basis, subjects: tuple[Ref, ...]) -> str:
    """Where the meter is held: "R1", "wicket over output 3 of R1", "coil of K1 at output 3 of R1"."""
    outputs = refs_of(OutputRef, subjects)
    for end in subjects:
        if isinstance(end, ReceiverRef | DeviceRef | PanelRef):
            over = "".join(f" over output {ref.number} of {ref.receiver.name}" for ref in outputs)
            return f"{end.name}{over}"
    output = basis.case.output(outputs[0].path)
    relay = output.output.via if output is not None else None
    return f"coil of {relay} at output {outputs[0].number} of {outputs[0].receiver.name}"
