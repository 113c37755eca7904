"""The firm's own working times: minutes for each task, and on which visit it is done."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final

from farpress.errors import InputError
from farpress.papers.typesetting.spreadsheet import TableSheet
from farpress.phrases import closest, listed
from farpress.quoting.figures import DecimalSign, figure_of, plain_figure
from farpress.quoting.list_rows import require_no_problem, rows_of_list
from farpress.quoting.needed import TASKS

__all__ = [
    "JOURNEY",
    "NORM_COLUMNS",
    "PATTERN_MARK",
    "Norm",
    "Norms",
    "norm_sheet",
    "norms_of_table",
    "pattern_norms",
]

JOURNEY: Final = "journey"
"""WorkTask of each visit: there and back."""

NORM_COLUMNS: Final[dict[str, tuple[str, ...]]] = {
    "task": ("task", "work"),
    "unit": ("unit", "per"),
    "minutes": ("minutes", "min"),
    "visit": ("visit",),
    "says": ("says", "remark"),
}
"""Column → heads that it may have."""

PATTERN_MARK: Final = "pattern; put your own figures"
"""Stands in every row of the invented pattern; a quotation says so where it is still there."""

MOST_MINUTES: Final = 10_000
"""Of one piece of a task; more is a slip. Our choice, four weeks of work."""

_PATTERN: Final = {
    "mount receiver": ("40", 2),
    "mount supply": ("35", 2),
    "fit battery": ("5", 2),
    "mount aerial": ("20", 2),
    "mount device": ("120", 2),
    "mount panel": ("90", 2),
    "mount box": ("15", 1),
    "make hole": ("25", 1),
    "lay cable": ("3", 1),
    "lay coax": ("3", 1),
    "end coax": ("10", 2),
    "connect core": ("2.5", 2),
    "fit relay": ("15", 2),
    "fit small part": ("4", 2),
    "label cable": ("1.5", 1),
    "label fob": ("1", 3),
    "set output": ("6", 2),
    "learn fob": ("2", 3),
    "try": ("5", 3),
    "show group": ("10", 3),
    "write papers": ("60", 3),
    JOURNEY: ("50", 0),
}
"""Invented: a form to fill in, and no firm's figures."""


@dataclass(frozen=True)
class Norm:
    """Minutes of one piece or metre of a task; on which visit it is done (0: on each)."""

    task: str
    minutes: Decimal
    visit: int = 1
    says: str = ""


@dataclass(frozen=True)
class Norms:
    """Norms by task; `ignored` are heads of columns that mean nothing here."""

    by_task: Mapping[str, Norm] = field(default_factory=dict)
    ignored: tuple[str, ...] = ()

    @property
    def is_pattern(self) -> bool:
        """Whether a row still has the pattern's mark."""
        return any(norm.says == PATTERN_MARK for norm in self.by_task.values())

    def visit_of(self, task: str) -> int:
        """The visit that a task is done on; the first where nobody says."""
        norm = self.by_task.get(task)
        return norm.visit if norm is not None and norm.visit else 1


def norms_of_table(table: Sequence[Sequence[str]], *, sign: DecimalSign = "") -> Norms:
    """Read a firm's norms.

    Args:
        table: cells as they stand in the file.
        sign: its decimal sign, where its owner says it.

    Raises:
        FirmListFaults: anything in it is wrong; every fault with its row and column.
    """
    rows = rows_of_list(table, NORM_COLUMNS, needed=("task", "minutes"))
    found: dict[str, tuple[int, Norm]] = {}
    for row in rows.rows:
        task = rows.need(row, "task", _task, f"tasks are {listed(_units())}")
        minutes = rows.need(
            row, "minutes", lambda text: _minutes(text, sign), "give minutes, or take the row out"
        )
        visit = rows.read(row, "visit", _visit)
        unit = row.cells.get("unit", "")
        if task is not None and unit and unit != _units()[task]:
            rows.say(
                row.number, "unit", f"'{task}' is counted by {_units()[task]}; here stands '{unit[:30]}'."
            )
        if task is None or minutes is None:
            continue
        if task in found:
            rows.say(row.number, "task", f"'{task}' stands in row {found[task][0]} already. Keep one row.")
        usual = 0 if task == JOURNEY else 1
        made = Norm(task, minutes, usual if visit is None else visit, row.cells.get("says", ""))
        found.setdefault(task, (row.number, made))
    require_no_problem(rows, "list of norms")
    return Norms({task: norm for task, (_, norm) in found.items()}, rows.ignored)


def pattern_norms() -> Norms:
    """Invented norms, each marked as such: a form to fill in."""
    return Norms(
        {task: Norm(task, Decimal(text), visit, PATTERN_MARK) for task, (text, visit) in _PATTERN.items()}
    )


def norm_sheet(norms: Norms) -> TableSheet:
    """Norms as a table, to be written and read again."""
    return TableSheet(
        "norms",
        ("task", "unit", "minutes", "visit", "says"),
        tuple(
            (norm.task, _units()[norm.task], norm.minutes, Decimal(norm.visit), norm.says or None)
            for norm in norms.by_task.values()
        ),
    )


def _units() -> dict[str, str]:
    return {task: known.unit for task, known in TASKS.items()} | {JOURNEY: "visit"}


def _task(text: str) -> str:
    name = text.casefold()
    if name not in _units():
        raise InputError(f"'{text[:40]}' is no task that is counted{closest(name, _units())}")
    return name


def _minutes(text: str, sign: DecimalSign) -> Decimal:
    minutes = figure_of(text, sign=sign)
    if not 0 <= minutes <= MOST_MINUTES:
        raise InputError(f"{plain_figure(minutes)} minutes; 0 to {MOST_MINUTES} are taken")
    return minutes


def _visit(text: str) -> int:
    if not (text.isascii() and text.isdigit()) or not 0 <= int(text) <= 9:
        raise InputError(f"'{text[:20]}' is no visit; write 1 to 9, or 0 for each visit")
    return int(text)
