"""A dirty list: every problem with its row, then all of it or nothing."""

from __future__ import annotations

from pathlib import Path

import pytest

from farpress.domain.acts import FobLearned
from farpress.errors import InputError
from farpress.keys.importing import import_rows, plan_import
from farpress.keys.problems import Problem, told_together
from farpress.keys.table import read_table
from helpers.keys_book import branches, with_lost_fob

HEAD = "Fob No.;Serial;First name;Surname;Company;Rights;Learned at;Slot;Valid until\n"
GOOD = (
    HEAD + "BM-101;AA01;Ilva;Brandt;Brindlemark;temps;oakmire/O1;21;31.12.2026\n\n BM-102"
    " ;AA02;Zoë\u200b;O’Hara-Łuck;Brindlemark;TEMPS;oakmire/O1;22;2026-12-31\nBM-103;;;;;;;;\n"
)


def _problems(folder: Path, text: str) -> list[Problem]:
    file = folder / "list.csv"
    file.write_text(text, encoding="utf-8")
    with with_lost_fob(folder) as book:
        before = book.record.events()
        plan = plan_import(read_table(file), book.register, book.people, book.case)
        if plan.problems:
            with pytest.raises(InputError, match="nothing was written"):
                import_rows(book, read_table(file))
            assert book.record.events() == before
        return list(plan.problems)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_a_list_in_order_is_taken_over(tmp_path: Path, encoding: str) -> None:
    """Blank rows, odd spaces, invisible characters, another spelling of the group: put in order without a
    word.
    """
    file = tmp_path / "list.csv"
    file.write_bytes(GOOD.encode(encoding))
    with branches(tmp_path) as book:
        import_rows(book, read_table(file))
        fobs = book.register.fobs

        assert sorted(fobs) == ["BM-101", "BM-102", "BM-103"]
        assert [person.name for person in book.people.values()] == ["Ilva Brandt", "Zoë O’Hara-Łuck"]
        assert fobs["BM-102"].valid_to == "2026-12-31"
        assert fobs["BM-102"].buttons == {"1": ("oakmire gate",)}
        assert [(one.receiver, one.output, one.slot) for one in fobs["BM-101"].known_at] == [
            ("oakmire/O1", "1", "21")
        ]
        assert fobs["BM-103"].state == "spare"
        assert book.record.snapshot_agrees(job=book.job), (
            "the register kept after the list is the one the log gives"
        )
        with book.record._reading() as connection:
            assert connection.exec_driver_sql("SELECT count(*) FROM snapshot").scalar() == 1


@pytest.mark.long
def test_every_problem_is_listed_with_its_row(tmp_path: Path) -> None:
    """One of each kind; rows are counted as a spreadsheet counts them."""
    rows = [
        "BM-047-P;;A;B;;;;;",
        ";AA;C;D;;;;;",
        "BM-110;3c01a7;;;;;;;",
        "BM-111;;E;F;;fiters;;;",
        "BM-112;;G;H;;temps;oakmire/O1;101;",
        "BM-113;;I;J;;temps;vessing/V9;1;",
        "BM-114;;K;L;;;;;03/04/2027",
        "BM-115;;M;N;;temps;oakmire/O1;30;",
        "BM-115;;M;X;;temps;oakmire/O1;30;",
        "BM-116;;;;;;;7;",
        "BM-117;;O;P;;temps;sarnbeck/S1;2;",
        f"BM-118;{'9' * 300};;;;;;;",
        "???;;;;;;;;",
        "BM-119;;Q;R;;;;;30.02.2027",
    ]
    found = [(problem.row, problem.column) for problem in _problems(tmp_path, HEAD + "\n".join(rows))]

    assert found == [
        (2, "fob"),
        (3, "fob"),
        (4, "serial"),
        (5, "group"),
        (6, "slot"),
        (7, "receiver"),
        (8, "valid to"),
        (10, "fob"),
        (10, "person"),
        (11, "slot"),
        (12, "receiver"),
        (13, "serial"),
        (14, "fob"),
        (15, "valid to"),
    ]


@pytest.mark.parametrize("text", ["", "colour;size\nred;3\n", "Fob;Name\n", "\n\n\n"])
def test_a_list_that_is_none_is_said_to_be_none(tmp_path: Path, text: str) -> None:
    """No head, or a head and nothing under it."""
    (problem,) = _problems(tmp_path, text)

    assert problem.row == 0


def test_a_spreadsheet_is_read_as_csv_is(tmp_path: Path) -> None:
    """Numbers and dates of cells become the same text."""
    from datetime import datetime

    from openpyxl import Workbook

    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row in (
        ["staff list", None],
        ["Label", "Name", "Slot", "Receiver", "Group", "Until"],
        [17.0, "Ilva Brandt", 21, "oakmire/O1", "temps", datetime(2026, 12, 31)],
    ):
        sheet.append(row)
    book.save(tmp_path / "list.xlsx")
    with branches(tmp_path) as register:
        import_rows(register, read_table(tmp_path / "list.xlsx"))
        fob = register.register.fobs["17"]

    assert (fob.valid_to, fob.known_at[0].slot) == ("2026-12-31", "21")


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("a.xlsx", b"PK\x03\x04nonsense"),
        ("a.xls", b"\xd0\xcf\x11\xe0" + b"0" * 50),
        ("a.csv", b"\xff\x00\x01" * 10),
    ],
)
def test_a_broken_file_is_refused_with_a_sentence(tmp_path: Path, name: str, data: bytes) -> None:
    """No traceback."""
    (tmp_path / name).write_bytes(data)
    with pytest.raises(InputError):
        read_table(tmp_path / name)


def test_one_fault_in_many_rows_is_told_once_with_all_its_rows(tmp_path: Path) -> None:
    """Rows as stretches; what there is where nothing is close; no fault that only follows from another; who
    stands twice is said.
    """
    with branches(tmp_path) as book:
        rows = [
            ["fob", "name", "group", "receiver", "slot"],
            *(
                [f"A{at}", f"Person {at}", "driver" if at not in (4, 7) else "drivers", "O1", str(at)]
                for at in range(2, 9)
            ),
            ["A9", "Person 9", "zzz", "V9", "9"],
        ]
        plan = plan_import(rows, book.register, book.people, book.case)
        told = told_together(plan.problems)

        assert (
            told[0] == "rows 2 to 3, 5 to 6 and 8, group: The job has no group 'driver'; closest: 'drivers'."
        )
        assert told[1].startswith("row 9, group: The job has no group 'zzz'; it has drivers, dock crew, ")
        assert told[2].startswith("row 9, receiver: The job has no receiver 'V9'; ")
        assert len(told) == 3

        rows = [
            ["fob", "name", "company", "group", "receiver"],
            ["A1", "Runa Holtby", "", "drivers", "o1"],
            ["A2", "Runa Holtby", "", "drivers", "oakmire/O1"],
            ["A3", "Runa Holtby", "Firm", "drivers", "O1"],
        ]
        plan = plan_import(rows, book.register, book.people, book.case)
        assert plan.problems == ()
        assert {act.receiver for act in plan.entries if isinstance(act, FobLearned)} == {"oakmire/O1"}, (
            "the only O1 of the job"
        )
        assert plan.notes[0].startswith(
            "Of one name with several fobs, and taken for one person each: Runa Holtby (A1, A2)."
        )
        assert len(plan.people) == 2


@pytest.mark.parametrize(
    ("row", "column", "says"),
    [
        ("BM-201;lots;A B;;;", "state", "'lots' is no state of a fob; closest: 'lost'"),
        ("BM-201;issued;;;;", "state", "issued, and to nobody"),
        ("BM-201;handed in;A B;;;", "state", "It is handed in, and A B has it"),
        ("BM-201;issued;A B;2026-11-01;;", "lost", "lost on 2026-11-01, and it is issued"),
        ("BM-201;;A B;;open the gate;", "buttons", "write it as '1: open gate"),
        ("BM-201;lost;A B;31/31/2026;;", "lost", "not a date that has one meaning"),
    ],
)
def test_a_state_that_contradicts_itself_is_a_problem(
    tmp_path: Path, row: str, column: str, says: str
) -> None:
    """Each with its row and column; nothing is written."""
    found = _problems(tmp_path, f"fob;state;person;lost;buttons;deleted\n{row}\n")

    assert [(problem.row, problem.column) for problem in found] == [(2, column)]
    assert says.casefold() in found[0].says.casefold()


def test_a_lost_fob_of_a_list_is_lost_here(tmp_path: Path) -> None:
    """With its day, where it is still learned, and what was deleted with its evidence."""
    file = tmp_path / "list.csv"
    file.write_text(
        "fob;state;person;group;lost;receiver;output;button;slot;learned;deleted;evidence\n"
        "BM-201;lost;A B;temps;2026-11-02;oakmire/O1;1;1;21;2026-01-05;;\n"
        "BM-201;lost;A B;temps;2026-11-02;oakmire/O1;1;1;20;2025-01-05;2025-06-07;pressed, nothing moved\n",
        encoding="utf-8",
    )
    with branches(tmp_path) as book:
        import_rows(book, read_table(file))
        fob = book.register.fobs["BM-201"]

    assert (fob.state, fob.lost_at[:10]) == ("lost", "2026-11-02")
    assert [(place.slot, place.at[:10]) for place in fob.known_at] == [("21", "2026-01-05")]
    assert [
        (place.slot, place.deleted_at[:10], place.evidence) for place in fob.learned if not place.is_known
    ] == [("20", "2025-06-07", "pressed, nothing moved")]
