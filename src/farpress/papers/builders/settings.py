"""The settings schedule: what each receiver shall be set to, what was set, what was checked."""

from __future__ import annotations

from collections.abc import Iterator

from farpress.case.case import OutputAt
from farpress.case.signals import signals_of
from farpress.domain.acts import SettingMade
from farpress.domain.parts import Part, ReceiverSheet
from farpress.domain.premises import WORKS_NOTHING, ReceiverInput
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.holders import group_presses
from farpress.papers.builders.words import (
    after_power_words,
    cable_words,
    mode_words,
    place_words,
    quantity,
    works_words,
)
from farpress.papers.typesetting.paper import (
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

__all__ = ["paper"]


def paper(basis: Basis) -> Paper:
    """The settings schedule, one section a receiver."""
    sections = [
        _receiver(basis, premises, name)
        for premises, house in basis.case.job.premises.items()
        for name in house.receivers
    ]
    return Paper(
        "settings-schedule",
        "Settings schedule",
        "For whoever sets up: planned, set and checked side by side. Set nothing that is not planned; correct"
        " the plan first.",
        (
            *sections,
            Section(
                "Done",
                (
                    Signatures(
                        (
                            ("Set by", ""),
                            ("Checked by", "a second person, with the power switched off and on again"),
                        )
                    ),
                ),
            ),
        ),
        is_wide=True,
        missing=tuple(_unknown(basis)),
    )


def _receiver(basis: Basis, premises: str, name: str) -> Section:
    path = f"{premises}/{name}"
    box = basis.case.job.premises[premises].receivers[name]
    part = basis.case.equipment.receivers.get(path)
    made = {setting.output: (event, setting) for event, setting in basis.happened(SettingMade)}
    rows: list[tuple[Cell | str | None, ...]] = []
    for output in basis.case.outputs():
        if output.receiver_path != path:
            continue
        event, setting = made.get(output.path, (None, None))
        done = None
        if setting is not None:
            done = f"{setting.setting}{'' if setting.as_planned else ', not as planned'}"
        rows.append(
            (
                output.number,
                ", ".join(output.functions) or "no function",
                works_words(basis.case, output),
                "not to be set: barred" if output.path in basis.barred else mode_words(output.output),
                after_power_words(basis.case, output),
                basis.sheet(output.path),
                done,
                None if setting is None else setting.found or None,
                None if event is None else f"{event.moment[:10]} {event.by}",
            )
        )
    columns = (
        Column("output", 0.35),
        Column("function", 0.8),
        Column("works", 1.1),
        Column("planned: mode and time", 1.2, sources=basis.given),
        Column("planned: after power return", 0.6),
        Column("worst word", 0.7),
        Column("set", 0.7),
        Column("checked", 0.6),
        Column("date, initials", 0.6),
    )
    inputs: tuple[tuple[Cell | str | None, ...], ...] = tuple(
        (number, given.reads, _input_works(given), cable_words(given.cable), None, None)
        for number, given in box.inputs.items()
    )
    buttons = tuple(
        (
            Cell(group, "", basis.given_at("groups", group, "buttons", number), is_for_row=True),
            number,
            "held" if is_long else "short",
            function,
            output,
        )
        for group, number, is_long, function, output in _buttons(basis, path)
    )
    return Section(
        f"Receiver {path}",
        (
            Fields(
                (
                    PaperField(
                        "Part", part.says or part.name if part is not None else None, "which receiver it is"
                    ),
                    PaperField("Place", place_words(box.at), sources=basis.given),
                    PaperField("Firmware, serial number", None),
                    PaperField("Where the housing's key is", None),
                    PaperField(
                        "Protection of learning",
                        box.learn_access,
                        "tamper-protected housing, code or open: who can teach it a fob",
                    ),
                    PaperField(
                        "Memory",
                        (
                            f"{part.sheet.capacity} {part.sheet.capacity_counts or ''}"
                            if part is not None and part.sheet.capacity is not None
                            else None
                        ),
                        "how many fobs or buttons it holds",
                        _cited(part, "capacity", "capacity_counts"),
                    ),
                    PaperField(
                        "Deletes one fob by",
                        part.sheet.deletes_by if part is not None else None,
                        "slot, or fob in hand: record slots while learning",
                        _cited(part, "deletes_by"),
                    ),
                    PaperField(
                        "Press counts as ended after",
                        quantity(part.sheet.dropout_s, "time") if part is not None else None,
                        "the drop-out time, from its sheet",
                        _cited(part, "dropout_s"),
                    ),
                ),
                columns=4,
            ),
            PaperTable(f"outputs {name}", columns, tuple(rows), empty="No output is described."),
            PaperTable(
                f"inputs {name}",
                (
                    Column("input", 0.3),
                    Column("reads", 1.0),
                    Column("works", 0.7, sources=basis.given),
                    Column("cable", 1.2, sources=basis.given),
                    Column("set", 0.6),
                    Column("checked", 0.6),
                ),
                inputs,
                title="Inputs and acknowledgement",
                empty="None: the receiver is told nothing back.",
            ),
            *_signals(basis, premises, name),
            PaperTable(
                f"buttons {name}",
                (
                    Column("group"),
                    Column("button", 0.4),
                    Column("press", 0.4),
                    Column("function"),
                    Column("output", 0.6),
                ),
                buttons,
                title="Buttons to be learned",
                empty="No button is learned here.",
            ),
            Text(
                "Learn with nobody else pressing nearby: listen first, press, listen again. Close learning"
                " afterwards.",
                is_note=True,
            ),
        ),
    )


def _signals(basis: Basis, premises: str, name: str) -> Iterator[PaperTable]:
    """What the receiver tells of itself: over which terminals, where that goes, and who sees to it."""
    rows: list[tuple[Cell | str | None, ...]] = []
    for found in signals_of(basis.case):
        if (found.premises, found.receiver) != (premises, name):
            continue
        sheet, given = found.sheet, found.given
        rows.append(
            (
                found.name,
                sheet.form if sheet is not None else None,
                " and ".join(found.terminals),
                quantity(sheet.current_max_a, "current") if sheet is not None else None,
                given.works if given is not None else "nothing",
                cable_words(given.cable) if given is not None else "",
                given.tells if given is not None else "",
                None,
                None,
            )
        )
    if rows:
        columns = (
            Column("signal", 0.6),
            Column("form", 0.6),
            Column("terminals", 0.9),
            Column("most", 0.4),
            Column("works", 0.9, sources=basis.given),
            Column("cable", 1.0, sources=basis.given),
            Column("told to", 0.7, sources=basis.given),
            Column("tried", 0.4),
            Column("date, initials", 0.6),
        )
        yield PaperTable(f"signals {name}", columns, tuple(rows), title="The receiver's own signals")


def _input_works(given: ReceiverInput) -> str:
    """The output that a status input works; nothing where nobody says so or it is only told of."""
    if given.works in (None, WORKS_NOTHING):
        return "no output" if given.works else ""
    return f"output {given.works}"


def _cited(part: Part[ReceiverSheet] | None, *names: str) -> tuple[Citation, ...]:
    return part.cite(*names) if part is not None else ()


def _buttons(basis: Basis, path: str) -> list[tuple[str, str, bool, str, str]]:
    return [
        (name, press.button, press.is_long, function, f"{output.number}{_way(basis, output, function)}")
        for name, group in basis.case.job.groups.items()
        for press in group_presses(group)
        for function in press.functions
        for output in basis.case.outputs_of(function)
        if output.receiver_path == path
    ]


def _way(basis: Basis, output: OutputAt, function: str) -> str:
    """Which of a latch's two commands a button is learned for."""
    way = basis.case.job.functions[function].switches
    return f", switches {way or 'on or off: ask'}" if output.output.traits.has_two_buttons else ""


def _unknown(basis: Basis) -> list[str]:
    return [
        f"{output.path}: what the output does after the power returns: ask its maker, or switch the supply"
        " off three times and look"
        for output in basis.case.outputs()
        if after_power_words(basis.case, output) is None
    ]
