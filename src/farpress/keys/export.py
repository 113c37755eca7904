"""The register as tables for a spreadsheet, with names or without, and as labels."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Final

from farpress.core.keys.label import check_character
from farpress.domain.register import FobRegister
from farpress.errors import InputError
from farpress.keys.button_text import buttons_text
from farpress.keys.find import holder_of
from farpress.table_cells import harmless

if TYPE_CHECKING:
    from farpress.record.persons import PersonEntry

__all__ = ["csv_text", "label_rows", "register_table", "xlsx_bytes"]

HEADS: Final = (
    "fob",
    "serial",
    "type",
    "state",
    "person",
    "organisation",
    "group",
    "pool",
    "valid from",
    "valid to",
    "issued",
    "signed",
    "lost",
    "back",
    "buttons",
    "receiver",
    "output",
    "button",
    "slot",
    "learned",
    "deleted",
    "evidence",
    "cell date",
    "last heard",
    "remark",
)


def register_table(
    register: FobRegister, people: Mapping[str, PersonEntry], *, names: bool = True
) -> list[list[str]]:
    """One row for each fob and place where it is or was learned; without names a person is a mark."""
    rows = [list(HEADS)]
    for _, fob in sorted(register.fobs.items()):
        holder = fob.person
        if names and holder:
            holder = holder_of(fob, people)
        heard = max(fob.heard.values(), default="")[:10]
        head = [
            fob.label,
            fob.serial,
            fob.type,
            str(fob.state),
            holder,
            fob.organisation,
            fob.group,
            fob.pool,
            fob.valid_from,
            fob.valid_to,
            fob.issued_at[:10],
            fob.signed_at[:10],
            fob.lost_at[:10],
            fob.back_at[:10],
            buttons_text(fob.buttons),
        ]
        for entry in fob.learned or (None,):
            place = (
                [
                    entry.receiver,
                    entry.output,
                    entry.button,
                    entry.slot,
                    entry.at[:10],
                    entry.deleted_at[:10],
                    entry.evidence,
                ]
                if entry is not None
                else [""] * 7
            )
            rows.append([*head, *place, fob.cell_date, heard, fob.remark])
    return rows


def csv_text(table: Iterable[Sequence[str]]) -> str:
    """CSV as spreadsheets read it; a cell that would be taken for a formula gets an apostrophe before it."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\r\n").writerows([harmless(cell) for cell in row] for row in table)
    return out.getvalue()


def xlsx_bytes(table: Sequence[Sequence[str]], *, title: str = "register") -> bytes:
    """An XLSX workbook with one sheet, text only; the same table gives the same bytes."""
    from farpress.papers.typesetting.spreadsheet import TableSheet, sheets_xlsx

    titles, *rows = [tuple(_printable(cell) for cell in row) for row in table] or [()]
    return sheets_xlsx(title, (TableSheet(title, titles, tuple(rows)),), frozen_columns=1)


def label_rows(*, prefix: str, first: int, count: int, digits: int = 3) -> tuple[str, ...]:
    """New labels with their check characters: "BM-047-P".

    Raises:
        InputError: a prefix that is not letters and digits, or a number that has no place in the digits.
    """
    if count < 1 or first < 0 or not 1 <= digits <= 9:
        raise InputError("Give at least one label, a first number that is not negative, and 1 to 9 digits.")
    if len(str(first + count - 1)) > digits:
        raise InputError(
            f"{first + count - 1} has more than {digits} digits; ask for more digits, so that all labels are"
            " equally long."
        )
    bare = [
        f"{prefix}-{number:0{digits}}" if prefix else f"{number:0{digits}}"
        for number in range(first, first + count)
    ]
    return tuple(f"{label}-{check_character(label)}" for label in bare)


def _printable(text: str) -> str:
    """Without signs that cannot be printed."""
    return text if text.isprintable() else "".join(sign for sign in text if sign.isprintable())
