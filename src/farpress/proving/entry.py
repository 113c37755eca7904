"""Enter results of the proving plan, one by one from a phone or many from a table.

Everything is looked at first; one wrong row, and nothing is written. Each entry may carry
an id given by the phone, and is then written once however often it is sent.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, TypeAlias

from farpress.domain.acts import CheckDone, Quantity, ReadingTaken, TrialDone
from farpress.domain.event import Event, happened
from farpress.domain.refs import PremisesRef
from farpress.errors import InputError
from farpress.proving.tests import ProvingPlan, ProvingTest
from farpress.table_cells import harmless, unharmed

if TYPE_CHECKING:
    from farpress.record.store import Record

__all__ = ["COLUMNS", "RESULT_KINDS", "TrialEntry", "enter", "entries_from_csv", "plan_csv"]

COLUMNS: Final = (
    "test",
    "about",
    "does",
    "expected",
    "presses",
    "heard",
    "pad_db",
    "passed",
    "value",
    "unit",
    "fob",
    "remark",
    "client_id",
)
"""Columns of the table; those to fill in begin with "presses"."""

RESULT_KINDS: Final = (TrialDone.kind, CheckDone.kind, ReadingTaken.kind)
"""Kinds of events that results of a plan are."""

_Result: TypeAlias = TrialDone | CheckDone | ReadingTaken

_QUANTITIES: Final[dict[str, Quantity]] = {
    "s": "seconds",
    "V": "volts",
    "ohm": "ohms",
    "A": "amperes",
    "m": "metres",
    "dBm": "level",
}
"""Unit of a test → what is measured in it."""

_BELOW_ZERO: Final = frozenset({"dBm", "V"})
"""Units of readings that may be below zero: a level, and volts the other way round."""

_YES: Final = frozenset({"yes", "y", "passed", "pass", "ok", "true", "1"})
_NO: Final = frozenset({"no", "n", "failed", "fail", "not ok", "false", "0"})


@dataclass(frozen=True)
class TrialEntry:
    """One result.

    Attributes:
        test: number or id of the test.
        presses, heard: of a test that counts presses.
        pad_db: pad in the way; None or 0 for none [dB].
        passed: of a check.
        value: of a measurement, in the unit of the test.
        anew: something was mended, earlier presses of this test do not count any more.
        fob, remark, client_id: label, words, the phone's own id; empty for none.
        row: row of the table it stands in, for messages; 0 for none.
    """

    test: str
    presses: int | None = None
    heard: int | None = None
    pad_db: float | None = None
    passed: bool | None = None
    value: float | None = None
    fob: str = ""
    remark: str = ""
    client_id: str = ""
    row: int = 0
    anew: bool = False


def enter(record: Record, plan: ProvingPlan, entries: Iterable[TrialEntry], *, by: str) -> tuple[Event, ...]:
    """Write results into the record: all of them, or none.

    Args:
        record: of the job.
        plan: whose tests they are.
        entries: what was found.
        by: who found it: a role or a person's mark.

    Returns:
        The events written; entries that the record knows by their `client_id` are left out.

    Raises:
        InputError: every fault of every entry, with its row.
        RecordError: the record refused; nothing was written.
    """
    from farpress.record.look import read_events

    faults: list[str] = []
    acts: list[_Result] = []
    for entry in entries:
        test = plan.find(entry.test)
        where = f"row {entry.row}: " if entry.row else ""
        if test is None:
            faults.append(f"{where}{_no_test(entry.test, plan)}")
            continue
        wrong = _wrong(entry, test)
        if wrong:
            faults.append(f"{where}{test.number} ({test.id}): {wrong}")
        else:
            acts.append(_act(entry, test))
    if faults:
        raise InputError(
            f"{len(faults)} result{'s' if len(faults) != 1 else ''} cannot be used; nothing was written.\n"
            + "\n".join(faults)
        )
    with record.transaction(
        job=plan.job, by=by
    ) as work:  # looked up and written with nobody in between: a phone may send twice at once
        written = read_events(work.connection, job=plan.job, kinds=RESULT_KINDS) if acts else ()
        known = {result.client_id for _, result in happened(written, TrialDone, CheckDone, ReadingTaken)}
        for act in acts:
            if not act.client_id or act.client_id not in known:
                work.append(act)
                known.add(act.client_id)
    return tuple(work.events)


def _no_test(name: str, plan: ProvingPlan) -> str:
    import difflib

    close = difflib.get_close_matches(
        name, [*(test.id for test in plan.tests), *(test.number for test in plan.tests)], n=2, cutoff=0.5
    )
    return f"there is no test '{name}' in this plan" + (
        f"; closest: {', '.join(repr(name) for name in close)}"
        if close
        else "; 'farpress proving plan' lists them"
    )


def _wrong(entry: TrialEntry, test: ProvingTest) -> str:
    """What is wrong with an entry; empty if nothing."""
    if test.kind == "presses":
        if entry.presses is None or entry.heard is None:
            return "how many presses, and how many of them were heard, is wanted (as heard 12 of 12)"
        if not 1 <= entry.presses <= 10_000:
            return f"{entry.presses} presses were given; 1 to 10,000 are allowed (our choice)"
        if not 0 <= entry.heard <= entry.presses:
            return f"{entry.heard} heard of {entry.presses} presses; not more can be heard than were pressed"
        if entry.pad_db is not None and not 0.0 <= entry.pad_db <= 60.0:
            return f"a pad of {entry.pad_db:g} dB was given; 0 to 60 dB are allowed (our choice)"
        return ""
    if test.kind == "check":
        return "" if entry.passed is not None else "passed or failed is wanted"
    if entry.value is None:
        return f"a number in {test.unit} is wanted"
    if not -1e6 < entry.value < 1e9 or (entry.value < 0.0 and test.unit not in _BELOW_ZERO):
        lowest = "" if test.unit in _BELOW_ZERO else "; a length, a time or a resistance is 0 or more"
        return f"{entry.value:g} {test.unit} is no reading{lowest}"
    return ""


def _act(entry: TrialEntry, test: ProvingTest) -> _Result:
    """A result that fits its test, as it is recorded."""
    client_id = entry.client_id or None
    if test.kind == "check":
        return CheckDone(
            test=test.id,
            passed=bool(entry.passed),
            about=next((ref.tag for ref in test.subjects), ""),
            expected=test.expected,
            found=entry.remark,
            client_id=client_id,
        )
    if test.kind == "measure":
        what = _QUANTITIES[test.unit]
        return ReadingTaken(
            test=test.id,
            what=what,
            where=(test.subjects[0] if test.subjects else PremisesRef(test.premises)).tag,
            receiver=test.receiver,
            value=entry.value if entry.value is not None else math.nan,
            unit=test.unit,
            held=(test.held or None) if what == "level" else None,
            pad_db=entry.pad_db or None,
            client_id=client_id,
        )
    again = {"anew": True} if entry.anew else {}
    return TrialDone(
        test=test.id,
        presses=entry.presses or 0,
        heard=entry.heard or 0,
        place=test.place,
        receiver=test.receiver,
        pad_db=entry.pad_db or 0.0,
        held=test.held or None,
        fob=entry.fob,
        promise=next(iter(test.promises), ""),
        remark=entry.remark,
        client_id=client_id,
        **again,
    )


def plan_csv(plan: ProvingPlan) -> str:
    """The plan as a table to fill in: one row for each test, empty columns for what is found."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for test in plan.tests:
        presses = test.presses.presses if test.presses is not None else ""
        pad = f"{test.presses.pad_db:g}" if test.presses is not None and test.presses.method == "pad" else ""
        writer.writerow(
            [
                harmless(text)
                for text in (
                    test.number,
                    test.id,
                    test.does,
                    test.expected,
                    str(presses),
                    "",
                    pad,
                    "",
                    "",
                    test.unit,
                    "",
                    "",
                    "",
                )
            ]
        )
    return "\ufeff" + out.getvalue()


def entries_from_csv(text: str) -> list[TrialEntry]:
    """Results from a table; rows in which nothing was filled in are left out.

    The columns may stand in any order; commas, semicolons or tabs part them, and decimals
    may have a comma.

    Raises:
        InputError: no column "test" or "about", or numbers that are none; every fault with its row.
    """
    clean = text.lstrip("\ufeff")
    lines = clean.splitlines()
    if not lines:
        raise InputError("the table is empty; write it with 'farpress proving csv' and fill it in")
    comma = max(",;\t", key=lines[0].count)
    rows = list(csv.reader(io.StringIO(clean), delimiter=comma))
    head = [cell.strip().casefold() for cell in rows[0]]
    if "test" not in head and "about" not in head:
        raise InputError(
            f"the first row has {', '.join(head) or 'nothing'}; a column 'test' (or 'about') is wanted, and"
            f" of these what was found: {', '.join(COLUMNS[4:])}"
        )
    entries, faults = [], []
    for number, row in enumerate(rows[1:], start=2):
        cells = {name: unharmed(cell.strip()) for name, cell in zip(head, row)}
        if not any(cells.get(name) for name in ("heard", "passed", "value")):
            continue
        wrong: list[str] = []
        entry = TrialEntry(
            cells.get("about", "") or cells.get("test", ""),
            _whole(cells, "presses", wrong),
            _whole(cells, "heard", wrong),
            _decimal(cells, "pad_db", wrong),
            _yes(cells, wrong),
            _decimal(cells, "value", wrong),
            cells.get("fob", ""),
            cells.get("remark", ""),
            cells.get("client_id", ""),
            number,
        )
        faults += [f"row {number}: {fault}" for fault in wrong]
        entries.append(entry)
    if faults:
        raise InputError(
            f"{len(faults)} cell{'s' if len(faults) != 1 else ''} cannot be read; nothing was written.\n"
            + "\n".join(faults)
        )
    return entries


def _decimal(cells: Mapping[str, str], name: str, wrong: list[str]) -> float | None:
    text = cells.get(name, "").replace(",", ".")
    if not text:
        return None
    try:
        value = float(text.split()[0])
    except ValueError:
        value = float("nan")
    if value != value:
        wrong.append(f"{name} is '{cells[name]}'; a number is wanted, as 11.3")
        return None
    return value


def _whole(cells: Mapping[str, str], name: str, wrong: list[str]) -> int | None:
    value = _decimal(cells, name, wrong)
    if value is not None and value != int(value):
        wrong.append(f"{name} is '{cells[name]}'; a whole number is wanted, as 12")
        return None
    return None if value is None else int(value)


def _yes(cells: Mapping[str, str], wrong: list[str]) -> bool | None:
    text = cells.get("passed", "").casefold()
    if not text:
        return None
    if text in _YES or text in _NO:
        return text in _YES
    wrong.append(f"passed is '{cells['passed']}'; yes or no is wanted")
    return None
