"""The key register, and its copy without names: who holds which fob, and where each button is learned."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from farpress.domain.acts import FobIssued
from farpress.domain.cautions import CAUTIONS, DUTIES
from farpress.domain.register import FobState
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.holders import HeldFob, Holder, holders_of
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
from farpress.sources import Citation

__all__ = ["paper", "paper_without_names"]


def paper(basis: Basis) -> Paper:
    """The register with its table of persons, for whoever keeps it."""
    return _paper(basis, with_names=True)


def paper_without_names(basis: Basis) -> Paper:
    """A working copy: the same entries, no person's name in it."""
    return _paper(basis, with_names=False)


_MANY: Final = 3
"""Fobs for each kind of buttons from which these are told in a table of their own; our choice."""


def _paper(basis: Basis, *, with_names: bool) -> Paper:
    holders = holders_of(basis)
    marks = {holder.key: f"H-{number:03d}" for number, holder in enumerate(holders, 1)}
    details = basis.case.job.details
    persons: tuple[Section, ...] = ()
    if with_names:
        rows: list[tuple[Cell | str | None, ...]] = [
            (
                marks[holder.key],
                holder.name or ("pool, nobody in particular" if holder.is_pool else None),
                holder.organisation,
                holder.place,
            )
            for holder in holders
        ]
        columns = (
            Column("holder", 0.4),
            Column("name", 1.5),
            Column("organisation", 1.2),
            Column("place in the group", 0.7),
        )
        persons = (
            Section(
                "Persons: kept apart from the fobs",
                (
                    Text(
                        "Take this table out before the register is shown or copied to anybody who need not"
                        " know names.",
                        is_note=True,
                    ),
                    PaperTable("persons", columns, tuple(rows), empty="Nobody holds a fob yet."),
                ),
                is_on_new_page=True,
            ),
        )
    title = "Key register" if with_names else "Key register, copy without names"
    return Paper(
        "key-register" if with_names else "key-register-without-names",
        title,
        (
            "For whoever keeps the register."
            if with_names
            else (
                "For working with and for an auditor: no name of a person is in it; the table of persons"
                " stays with whoever keeps the register."
            )
        ),
        (
            Section(
                "Whoever keeps it",
                (
                    Fields(
                        (
                            PaperField(
                                "Kept by", details.data_kept_by, "who keeps the register and answers for it"
                            ),
                            PaperField("Until", details.data_kept_until, "until when names are kept"),
                            PaperField(
                                "As of",
                                basis.register.as_of[:10] or None,
                                "no fob is recorded yet: what follows is the plan",
                            ),
                            PaperField(
                                "Entries",
                                f"{sum(len(holder.fobs) for holder in holders)} held,"
                                f" {_stock(basis)} in stock or gone",
                            ),
                        )
                    ),
                    Cautions((CAUTIONS["data"], CAUTIONS["lost fob"], DUTIES["register"])),
                    Signatures((("Register keeper", "the entries agree with the fobs and the receivers"),)),
                ),
            ),
            Section("Fobs held", _fobs(basis, holders, marks)),
            Section("Spare, lost, handed in, destroyed", (_others(basis),)),
            Section("Where each button is learned", (_learned(basis),)),
            *persons,
        ),
        is_wide=True,
    )


def _stock(basis: Basis) -> int:
    return sum(
        1 for fob in basis.register.fobs.values() if fob.state not in (FobState.ISSUED, FobState.BLOCKED)
    )


def _fobs(basis: Basis, holders: tuple[Holder, ...], marks: dict[str, str]) -> tuple[PaperTable, ...]:
    """The fobs; where many have the same buttons, those are told once, in a table of their own before it."""
    fobs_held = [fob for holder in holders for fob in holder.fobs]
    told = [_buttons(basis, fob) for fob in fobs_held]
    alike = {words: f"map {number}" for number, words in enumerate(dict.fromkeys(told), 1)}
    if len(told) < _MANY * len(alike):
        alike = {}
    maps = tuple(
        (
            name,
            f"{told.count(words)}",
            Cell(
                words,
                "",
                _of_map(basis, [fob for fob, says in zip(fobs_held, told, strict=True) if says == words]),
                is_for_row=True,
            ),
        )
        for words, name in alike.items()
    )
    rows: list[tuple[Cell | str | None, ...]] = []
    issuers = {issued.fob: event.by for event, issued in basis.happened(FobIssued)}
    for holder in holders:
        for fob in holder.fobs:
            entry = fob.entry
            rows.append(
                (
                    Cell(
                        fob.label,
                        "",
                        basis.given_at("groups", fob.group) if entry is None else basis.recorded,
                        is_for_row=True,
                    ),
                    "planned, not issued" if entry is None else str(entry.state),
                    marks[holder.key],
                    holder.organisation,
                    ", ".join(_premises(basis, fob)),
                    _type(basis, fob),
                    None if entry is None else entry.serial or None,
                    alike.get(_buttons(basis, fob)) or _buttons(basis, fob),
                    (
                        None
                        if entry is None
                        else " ".join(
                            word for word in (entry.issued_at[:10], issuers.get(fob.label, "")) if word
                        )
                        or None
                    ),
                    None if entry is None else entry.signed_at[:10] or None,
                    (
                        ""
                        if entry is None
                        else " to ".join(date for date in (entry.valid_from, entry.valid_to) if date)
                    ),
                    (
                        None
                        if entry is None
                        else " ".join(word for word in (entry.cell, entry.cell_date) if word) or None
                    ),
                    "" if entry is None else max(entry.heard.values(), default="")[:10],
                    "",
                )
            )
    columns = (
        Column("label", 1.0 if alike else 0.62),
        Column("state", 0.95 if alike else 0.55),
        Column("holder", 0.45),
        Column("organisation", 1.3 if alike else 0.65),
        Column("premises", 0.5),
        Column("type", 0.35),
        Column("serial", 0.45),
        Column("buttons: see above", 0.5) if alike else Column("button: function at receiver/output", 2),
        Column("issued, by", 0.55),
        Column("receipt signed", 0.55),
        Column("valid", 0.5),
        Column("cell, of", 0.5),
        Column("last seen", 0.5),
        Column("remarks", 0.6),
    )
    fobs = PaperTable("fobs", columns, tuple(rows), empty="Nobody holds a fob yet.")
    if not alike:
        return (fobs,)
    return (
        PaperTable(
            "button maps",
            (
                Column("map", 0.25),
                Column("fobs", 0.2, True),
                Column("button: function at receiver/output", 4),
            ),
            maps,
            title="Which buttons work what",
        ),
        replace(fobs, title="Fob by fob"),
    )


def _of_map(basis: Basis, fobs: list[HeldFob]) -> tuple[Citation, ...]:
    """Where buttons told so come from: the lines of their groups, the record for those issued with buttons of
    their own.
    """
    found = (
        source
        for fob in fobs
        for source in (
            basis.recorded
            if fob.entry is not None and fob.entry.buttons
            else basis.given_at("groups", fob.group, "buttons")
        )
    )
    return tuple(dict.fromkeys(found))


def _premises(basis: Basis, fob: HeldFob) -> tuple[str, ...]:
    """The branches at which its buttons work something."""
    outputs = (
        output
        for press in fob.presses
        for function in press.functions
        for output in basis.case.outputs_of(function)
    )
    return tuple(dict.fromkeys(output.premises for output in outputs))


def _type(basis: Basis, fob: HeldFob) -> str:
    group = basis.case.job.groups.get(fob.group)
    return (fob.entry.type if fob.entry is not None else "") or (group.fob if group is not None else "")


def _buttons(basis: Basis, fob: HeldFob) -> str:
    words = []
    for press in fob.presses:
        outputs = {function: basis.case.outputs_of(function) for function in press.functions}
        where = ", ".join(
            f"{function} at {' and '.join(output.path for output in its_outputs) or 'no output'}"
            for function, its_outputs in outputs.items()
        )
        words.append(f"{press.button}{' held' if press.is_long else ''}: {where}")
    return "; ".join(words) or "no button"


def _others(basis: Basis) -> PaperTable:
    rows: list[tuple[Cell | str | None, ...]] = [
        (
            Cell(fob.label, "", basis.recorded, is_for_row=True),
            str(fob.state),
            fob.type,
            fob.serial,
            fob.cell_date,
            fob.lost_at[:10],
            f"{len(fob.known_at)} buttons still known" if fob.known_at else "nowhere",
        )
        for _, fob in sorted(basis.register.fobs.items())
        if fob.state not in (FobState.ISSUED, FobState.BLOCKED)
    ]
    columns = (
        Column("label"),
        Column("state"),
        Column("type", 0.6),
        Column("serial"),
        Column("cell of", 0.7),
        Column("lost reported"),
        Column("learned"),
    )
    planned = [f"{name}: {group.spares}" for name, group in basis.case.job.groups.items() if group.spares]
    spares = f" Spares planned: {', '.join(planned)}." if planned else ""
    return PaperTable("others", columns, tuple(rows), empty=f"None recorded.{spares}")


def _learned(basis: Basis) -> PaperTable:
    rows: list[tuple[Cell | str | None, ...]] = [
        (
            Cell(fob.label, "", basis.recorded, is_for_row=True),
            learned.button,
            learned.receiver,
            learned.output,
            learned.slot or None,
            learned.at[:10],
            learned.deleted_at[:10],
            learned.evidence,
        )
        for _, fob in sorted(basis.register.fobs.items())
        for learned in fob.learned
    ]
    columns = (
        Column("label"),
        Column("button", 0.5),
        Column("receiver"),
        Column("output", 0.5),
        Column("slot", 0.5),
        Column("learned", 0.7),
        Column("deleted", 0.7),
        Column("evidence", 1.4),
    )
    return PaperTable(
        "learned",
        columns,
        tuple(rows),
        empty=(
            "No learning is recorded yet. Write down receiver, output and slot while you learn: a fob can"
            " only be deleted where it is known."
        ),
        blank_rows=0 if rows else 4,
    )
