"""The faults of a job file as text for a terminal: place, source line, caret, what to do."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from farpress.errors import Fault, JobFileError

__all__ = ["faults_text", "remarks_text"]


def faults_text(error: JobFileError, *, columns: int = 80) -> str:
    """All faults of an error, each with its source line where it has one.

    Args:
        error: what `read_job` raised.
        columns: width of the terminal [characters]; at least 40.
    """
    width = max(columns, 40)
    count = len(error.faults)
    names = list(dict.fromkeys(fault.file for fault in error.faults))
    head = (
        f"{', '.join(names) or 'the job'} cannot be used: {count} fault{'s' if count != 1 else ''}. Nothing"
        " was calculated."
    )
    blocks = [_block(fault, width) for fault in error.faults]
    if not any(fault.line for fault in error.faults):
        return "\n\n".join(blocks)  # not about a line of the file: the sentence says it all
    return "\n\n".join([textwrap.fill(head, width), *blocks])


def remarks_text(remarks: Sequence[Fault], *, columns: int = 80) -> str:
    """Remarks on a job that was read, each with its source line."""
    return "\n\n".join(_block(remark, max(columns, 40)) for remark in remarks) + "\n"


def _block(fault: Fault, width: int) -> str:
    place = f"line {fault.line}, column {fault.column}" if fault.line else ""
    head = ": ".join(part for part in (place, fault.path) if part) or fault.file
    if len(head) > width:
        head = head[: width - 1] + "…"
    lines = [head]
    if fault.line and fault.given.strip():
        lines += _shown(fault, width)
    sentence = fault.says[:1].upper() + fault.says[1:] if fault.says[:1] not in "'" else fault.says
    if not sentence.endswith((".", "?", "!")):
        sentence += "."
    lines.append(textwrap.fill(_printable(sentence), width, initial_indent="  ", subsequent_indent="  "))
    return "\n".join(lines)


def _shown(fault: Fault, width: int) -> list[str]:
    """The source line, or the stretch of it around the column, and a caret below."""
    number = f"{fault.line:>4} | "
    room = width - len(number)
    text, column = _printable(fault.given.rstrip()), fault.column - 1
    start = 0
    if len(text) > room:
        start = min(max(column - room // 2, 0), max(len(text) - room, 0))
    piece = text[start : start + room]
    if start and len(piece) > 1:
        piece = "…" + piece[1:]
    if start + room < len(text):
        piece = piece[:-1] + "…"
    caret = " " * (len(number) - 2) + "| " + " " * min(max(column - start, 0), room - 1) + "^"
    return [number + piece, caret]


def _printable(text: str) -> str:
    spaced = text.replace("\t", " ").replace("\n", " ")
    return "".join(sign if sign.isprintable() else "�" for sign in spaced)
