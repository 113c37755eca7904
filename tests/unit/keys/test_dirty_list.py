"""Every kind of dirt of a customer's list: in its class, set aside with a reason, and the good rows taken."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farpress.domain.acts import ListTaken
from farpress.errors import InputError
from farpress.keys.book import RegisterBook
from farpress.keys.export import csv_text, register_table
from farpress.keys.importing import aside_table, import_rows, plan_good_rows, plan_import
from farpress.keys.list_undo import undo_list
from farpress.keys.problems import RowClass, counted, told_by_class, told_of_list
from farpress.keys.table import read_table
from farpress.table_cells import harmless, unharmed
from helpers.keys_book import branches

HEAD = "label,serial,holder,firm,receiver,button,output,slot,state,issued,valid_to,remark\r\n"
GOOD = [
    f"TQ-{number:03},B{number:03},Per Son {number},Firm,O1,1,O1-1,{number},issued,2024-01-02,2031-01-31,"
    for number in range(1, 41)
]


def _with(row: str, **changed: str) -> str:
    cells = next(csv.reader([row]))
    for name, value in changed.items():
        cells[HEAD.strip().split(",").index(name)] = value
    out = io.StringIO()
    csv.writer(out).writerow(cells)
    return out.getvalue().removesuffix("\r\n")


DIRT: dict[RowClass, list[tuple[int, dict[str, str]]]] = {
    RowClass.HOLDER: [(0, {"holder": ""}), (1, {"holder": "   "})],
    RowClass.RECEIVER: [(2, {"receiver": "O99"})],
    RowClass.BUTTON: [
        (3, {"button": "0"}),
        (4, {"button": "5"}),
        (5, {"button": "-1"}),
        (6, {"button": "1.5", "output": "O1-1.5"}),
        (7, {"output": "O1-9"}),
    ],
    RowClass.DATE: [
        (8, {"issued": "2025-02-31"}),
        (9, {"issued": "0000-00-00"}),
        (10, {"issued": "yesterday"}),
    ],
    RowClass.PERIOD: [(11, {"valid_to": "2019-06-30"})],
    RowClass.STILL_LEARNED: [(12, {"state": "lost", "remark": "NOT deleted in receiver"})],
    RowClass.FORMULA: [
        (13, {"holder": "=1+1"}),
        (14, {"holder": "@SUM(A1:A9)"}),
        (15, {"holder": "+49 170"}),
    ],
    RowClass.INVISIBLE: [
        (16, {"holder": "Bel\x07l"}),
        (17, {"holder": "Esc\x1b[31m Red"}),
        (18, {"holder": "A\u202eB"}),
    ],
    RowClass.LONG: [(19, {"holder": "x" * 5000})],
    RowClass.SLOT: [
        (20, {"slot": "-3"}),
        (21, {"slot": "1e3"}),
        (22, {"slot": "1,017"}),
        (23, {"slot": "３"}),
    ],
    RowClass.NO_SLOT: [(24, {"slot": ""})],
}
"""Class → which row of the good list is changed, and how."""


def dirty_list() -> tuple[bytes, Counter[RowClass]]:
    """A list with a mark and mixed ends of lines, and how many rows of each class were put into it."""
    rows: list[str | bytes] = list(GOOD)
    for changes in DIRT.values():
        for number, changed in changes:
            rows[number] = _with(GOOD[number], **changed)
    rows[25] = (
        GOOD[25].replace("Per Son 26", "Jürg \N{LATIN SMALL LETTER U WITH DIAERESIS}").encode("latin-1")
    )
    rows[26] = ",".join(GOOD[26].split(",")[:7])
    rows[27] = GOOD[27] + "x,y"
    rows[28] = _with(GOOD[28], holder="Line\nBreak")
    rows[29] = _with(GOOD[29], holder='Smith, Ab "Bo" سليم 李明 Łukasz')
    rows += [
        GOOD[30],
        _with(GOOD[31], holder="Zeno", slot="131"),
        _with(GOOD[32], label=" tq-033 ", slot="132"),
        _with(GOOD[33], label="TQ-O34", serial="C1", slot="133"),
        "",
        _with(GOOD[34], label="TQ-900", serial="C2"),
    ]
    text = HEAD.encode()
    for number, row in enumerate(rows):
        text += (row if isinstance(row, bytes) else row.encode()) + (b"\r\n" if number % 3 else b"\n")
    there = Counter({kind: len(changes) for kind, changes in DIRT.items()})
    there |= Counter(
        {
            RowClass.LETTERS: 1,
            RowClass.COLUMNS: 2,
            RowClass.COPY: 1,
            RowClass.HOLDERS: 1,
            RowClass.TWIN: 1,
            RowClass.LOOK_ALIKE: 1,
            RowClass.TAKEN: 1,
        }
    )
    return b"\xef\xbb\xbf" + text, there


@pytest.fixture
def book(tmp_path: Path) -> Iterator[RegisterBook]:
    """An empty register."""
    with branches(tmp_path) as opened:
        yield opened


@pytest.fixture
def table(tmp_path: Path) -> list[list[str]]:
    """The dirty list as it is read."""
    file = tmp_path / "list.csv"
    file.write_bytes(dirty_list()[0])
    return read_table(file)


def test_each_row_is_in_its_class(book: RegisterBook, table: list[list[str]]) -> None:
    """As many rows in each class as were put there, and no other; names of other scripts, quoted commas
    and line breaks are no faults.
    """
    plan = plan_import(table, book.register, book.people, book.case)

    found = Counter({kind: len(rows) for kind, rows in counted([*plan.problems, *plan.told]).items()})
    assert found == dirty_list()[1]
    assert plan.rows == 45
    assert all(problem.kind.stops for problem in plan.problems)
    assert not any(problem.kind.stops for problem in plan.told)


def test_problems_are_told_by_class_with_their_rows(book: RegisterBook, table: list[list[str]]) -> None:
    """One paragraph a class, the gravest first, nothing in it that a terminal would obey or cannot show."""
    plan = plan_import(table, book.register, book.people, book.case)
    told = told_of_list(plan.problems, plan.told)

    assert len(told) == len(dirty_list()[1])
    assert told[0].startswith("Lost or blocked, and a receiver still obeys it: 1 row (14).")
    assert any("in Windows-1252 (Latin-1) it would be 'Jürg ü'" in text for text in told)
    assert any("'Esc[U+001B][31m Red'" in text for text in told) or any("[U+0007]" in text for text in told)
    for text in told:
        assert text.isprintable()
        assert len(text) < 600


def test_good_rows_are_taken_and_the_others_set_aside(
    book: RegisterBook, table: list[list[str]], tmp_path: Path
) -> None:
    """Taken and set aside are the whole list; the bad rows come with reasons, and can be mended."""
    plan, aside = plan_good_rows(table, book.register, book.people, book.case)
    import_rows(book, table, name="list.csv", without=aside.keys())
    fobs = book.register.fobs

    kept = list(csv.reader(io.StringIO(csv_text(aside_table(table, aside)))))
    assert kept[0][:2] == ["row of the list", "why"]
    assert len(kept) - 1 + len(fobs) == 45
    assert len(fobs) == plan.fobs
    assert all(row[1] for row in kept)
    assert [row[4] for row in kept if row[0] == "27"] == ["Jürg ü"]
    # both rows of a conflict wait, of a copy only the second
    assert {"TQ-032", "TQ-033", "TQ-035", "TQ-900"}.isdisjoint(fobs)
    assert "TQ-031" in fobs
    assert fobs["TQ-013"].state == "lost"
    assert fobs["TQ-013"].remark == "NOT deleted in receiver"
    names = {person.name for person in book.people.values()}
    assert {"=1+1", "Esc Red", "Bell", 'Smith, Ab "Bo" سليم 李明 Łukasz', "Line Break"} <= names

    mended = tmp_path / "mended.csv"
    rows = [row for row in kept if row[0] in ("row of the list", "4")]
    rows[1][6] = "oakmire/O1"
    mended.write_text(csv_text(rows), encoding="utf-8-sig")
    assert plan_import(read_table(mended), book.register, book.people, book.case).ignored == ()
    import_rows(book, read_table(mended))
    assert "TQ-003" in book.register.fobs


def test_the_same_list_twice_adds_nothing(book: RegisterBook, table: list[list[str]]) -> None:
    """Every fob of it is in the register already: nothing is left that could be taken."""
    _, aside = plan_good_rows(table, book.register, book.people, book.case)
    import_rows(book, table, name="list.csv", without=aside.keys())
    before = book.record.events()
    plan, again = plan_good_rows(table, book.register, book.people, book.case)

    assert plan.entries == ()
    assert len(again) == 45
    with pytest.raises(InputError, match="No row is left"):
        import_rows(book, table, name="list.csv", without=again.keys())
    assert book.record.events() == before


def test_a_list_can_be_taken_back_until_something_else_happened(
    book: RegisterBook, table: list[list[str]]
) -> None:
    """Register and names are as before; the record keeps both. A fob that moved on stands in the way."""
    book.receive("BM-001")
    book.issue("BM-001", person="Per Son 31", organisation="Firm", new_person=True)
    before = register_table(book.register, book.people)
    _, aside = plan_good_rows(table, book.register, book.people, book.case)
    import_rows(book, table, name="list.csv", without=aside.keys())
    count = len(book.record.events())

    done = undo_list(book)
    assert "'list.csv'" in done.says[0]
    assert register_table(book.register, book.people) == before
    assert {person.name for person in book.people.values()} == {"Per Son 31"}
    assert len(book.record.events()) > count
    assert book.record.breaches() == ()
    assert book.record.snapshot_agrees(job=book.job)
    with pytest.raises(InputError, match="No list stands"):
        undo_list(book)

    import_rows(book, table, name="list.csv", without=aside.keys())
    assert len([event for event in book.record.events() if event.kind == ListTaken.kind]) == 2
    book.lost("TQ-040")
    with pytest.raises(InputError, match="since about TQ-040"):
        undo_list(book)


@pytest.mark.parametrize(
    ("encoding", "said"),
    [("cp1252", "windows-1252"), ("cp1250", "windows-1250"), ("utf-16", ""), ("utf-8", "")],
)
def test_letters_come_in_whatever_encoding_is_said(tmp_path: Path, encoding: str, said: str) -> None:
    """Nothing is guessed: without a word every such row is a problem, with the word the letters are right."""
    file = tmp_path / "list.csv"
    file.write_bytes("fob,name\nA1,Jörg Kühn\nA2,Ann\n".encode(encoding))

    assert read_table(file, encoding=said)[1] == ["A1", "Jörg Kühn"]
    if said:
        with branches(tmp_path) as book:
            plan = plan_import(read_table(file), book.register, book.people, book.case)
        assert [(problem.row, problem.kind) for problem in plan.problems] == [(2, RowClass.LETTERS)]


def test_an_encoding_that_does_not_fit_is_refused(tmp_path: Path) -> None:
    """With the byte and where it stands; an unknown one with the list of those there are."""
    file = tmp_path / "list.csv"
    file.write_bytes(b"fob,name\nA1,J\x81rg\n")
    with pytest.raises(InputError, match="byte 14 stands 0x81"):
        read_table(file, encoding="windows-1252")
    with pytest.raises(InputError, match="there are utf-8, windows-1252"):
        read_table(file, encoding="klingon")


def test_a_class_of_many_rows_is_cut_with_their_number(book: RegisterBook) -> None:
    """Rows that do not fit are counted; the example is the first."""
    rows = [["fob", "name", "receiver"], *([f"X{at}", "" if at % 2 else "A B", "O1"] for at in range(120))]
    told = told_by_class(plan_import(rows, book.register, book.people, book.case).problems)

    assert any(text.startswith("Issued or learned, and nobody holds it: 60 rows (3, 5, 7") for text in told)
    assert any(" and 36 more). First, row 3, person" in text for text in told)


@given(st.text(alphabet="'=+-@ \t\rax1", max_size=6))
def test_what_is_kept_from_being_computed_comes_back(text: str) -> None:
    """A cell that went out neutralised is read as it was, and begins with no sign of a formula on the way."""
    out = harmless(text)

    assert unharmed(out) == text
    assert out[:1] not in ("\t", "\r")
    assert out.strip()[:1] not in ("=", "+", "-", "@")
