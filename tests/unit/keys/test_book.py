"""What happens to a fob is recorded once, in order, and the answer says what comes next."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from farpress.domain.acts import MemoryRead
from farpress.domain.register import FobState
from farpress.errors import InputError, JobFileError
from farpress.keys.book import open_register
from farpress.keys.due import check_register, due_matters
from farpress.keys.export import csv_text, label_rows, register_table, xlsx_bytes
from farpress.keys.find import find_fob
from farpress.keys.importing import plan_import
from farpress.keys.memory import record_heard, record_memory
from farpress.keys.telling import told
from helpers.keys_book import branches, with_lost_fob
from survey import ROOT


def soon() -> datetime:
    """A minute from now: after whatever a test has put down, whenever it runs."""
    return datetime.now(UTC) + timedelta(minutes=1)


def test_a_fob_is_given_out_once(tmp_path: Path) -> None:
    """A second holder, an unknown group, an unknown person are refused with what to do."""
    with with_lost_fob(tmp_path) as book:
        with pytest.raises(InputError, match=r"BM-047-P is issued \(Ondric Vale\)"):
            book.issue("bm047", pool="visitors")
        with pytest.raises(InputError, match="Closest: fitters"):
            book.issue("BM-048-N", person="Ondric Vale", group="fiters")
        with pytest.raises(InputError, match=r"nobody called 'Ondrik Vale'.*Closest: Ondric Vale"):
            book.issue("BM-048-N", person="Ondrik Vale", group="fitters")
        with pytest.raises(InputError, match="a person, or a pool"):
            book.issue("BM-048-N")
        assert book.register.fobs["BM-048-N"].state is FobState.SPARE


def test_a_misread_label_is_said_to_be_misread(tmp_path: Path) -> None:
    """The check character tells a slip from an unknown fob."""
    with with_lost_fob(tmp_path) as book:
        assert find_fob(book.register, "bm 047").label == "BM-047-P"
        with pytest.raises(InputError, match=r"after BM074 comes H.*Closest: BM-047-P"):
            find_fob(book.register, "BM-074-P")


def test_a_fob_that_nobody_recorded_as_learned_may_open_where_it_is_meant_to(tmp_path: Path) -> None:
    """Issued, and not a word of where it was learned: every receiver of its buttons; a spare: none."""
    with branches(tmp_path) as book:
        book.receive("BM-047-P", "BM-048-N", type="F4")
        book.issue("BM-047-P", person="Ondric Vale", group="fitters", new_person=True)
        meant = book.meant_at("BM-047-P")
        book.learn("BM-047-P", meant[0], slot="7")
        book.lost("BM-047-P")

        assert len(meant) > 1
        assert book.meant_at("BM-047-P") == meant[1:]
        assert book.meant_at("BM-048-N") == ()


def test_a_loss_is_closed_only_with_evidence_for_every_receiver(tmp_path: Path) -> None:
    """Five receivers, five proofs; the last one closes it, and the proofs stand in the record."""
    with with_lost_fob(tmp_path) as book:
        said = book.lost("BM-047-P", between="Lowdrift and Vessing").says
        assert (
            "oakmire/O1 (slot 101), vessing/V1 (slot 102), vessing/V2 (slot 103), lowdrift/L1 (slot 104),"
            " sarnbeck/S1 (slot 105)" in said[1]
        )
        with pytest.raises(InputError, match="only with evidence"):
            book.delete("BM-047-P", receiver="oakmire/O1", evidence=" ")
        receivers = ["oakmire/O1", "vessing/V1", "vessing/V2", "lowdrift/L1", "sarnbeck/S1"]
        for receiver in receivers[:-1]:
            done = book.delete("BM-047-P", receiver=receiver, evidence=f"slot empty at {receiver}")
            assert [event.kind for event in done.events] == ["fob deleted"]
        assert [
            one.kind
            for one in due_matters(book.register, book.people, book.case, now=soon())
            if one.urgent == 0
        ] == ["deletion open"]
        done = book.delete("BM-047-P", receiver="sarnbeck/S1", evidence="pressed ten times, nothing")

        assert [event.kind for event in done.events] == ["fob deleted", "loss closed"]
        assert all(f"{receiver}: " in str(done.events[1].particulars["evidence"]) for receiver in receivers)
        assert [
            one for one in due_matters(book.register, book.people, book.case, now=soon()) if one.urgent == 0
        ] == []
        with pytest.raises(InputError, match="learned nowhere any more"):
            book.delete("BM-047-P", receiver="oakmire/O1", evidence="again")


@pytest.mark.long
def test_an_open_loss_is_late_after_the_hours_of_the_job(tmp_path: Path) -> None:
    """The example allows twenty-four hours."""
    with with_lost_fob(tmp_path) as book:
        book.lost("BM-047-P")
        (matter,) = (
            one
            for one in due_matters(book.register, book.people, book.case, now=soon() + timedelta(hours=30))
            if one.kind == "deletion open"
        )

    assert "30 h open, 6 h more than allowed" in matter.says


def test_a_slot_is_not_given_twice(tmp_path: Path) -> None:
    """Learning over another fob is noticed."""
    with with_lost_fob(tmp_path) as book:
        book.issue("BM-048-N", pool="temps", group="temps")
        with pytest.raises(InputError, match="Slot 101 of oakmire/O1 is taken by BM-047-P"):
            book.learn("BM-048-N", "oakmire/O1", slot="101")
        with pytest.raises(InputError, match="no button for sarnbeck/S1"):
            book.learn("BM-048-N", "sarnbeck/S1", slot="9")
        with pytest.raises(InputError, match="no receiver 'oakmire/O9'"):
            book.learn("BM-048-N", "oakmire/O9")


def test_the_check_finds_what_does_not_fit(tmp_path: Path) -> None:
    """Ghost, orphan, double serial, leaver, rights and what is learned, missing buttons: one of each."""
    with with_lost_fob(tmp_path) as book:
        assert [
            (one.kind, one.about) for one in check_register(book.register, book.people, book.case, now=soon())
        ] == [("unknown records", "oakmire/O1"), ("unknown records", "vessing/V2")]
        book.receive("BM-049-L", serial="3C01A7")
        book.issue("BM-048-N", person="Ilva Brandt", group="temps", new_person=True)
        book.learn("BM-048-N", "vessing/V1", outputs=[("4", "1")], slot="7")
        book.record.append(
            MemoryRead(
                receiver="vessing/V1",
                records=[{"slot": "7"}, {"slot": "8", "serial": "FFFF"}, {"slot": "9", "fob": "BM-049-L"}],
            ),
            job=book.job,
            by="fitter",
        )
        book.people_left(["Ondric Vale"], on=date(2026, 11, 20))
        found = {
            (one.kind, one.about) for one in check_register(book.register, book.people, book.case, now=soon())
        }

    assert found == {
        ("double", "BM-047-P"),
        ("ghost", "vessing/V1 serial FFFF, slot 8"),
        ("ghost", "vessing/V1 BM-049-L"),
        ("orphan", "vessing/V1 BM-047-P"),
        ("leaver", "BM-047-P"),
        ("beyond rights", "BM-048-N"),
        ("not learned", "BM-048-N"),
        ("unknown records", "oakmire/O1"),
        ("unknown records", "vessing/V2"),
    }


def test_a_list_read_out_of_a_receiver_is_laid_beside_the_register(tmp_path: Path) -> None:
    """By label, serial or slot; another slot than the register's is dangerous; what the job calls unknown is
    answered by a list.
    """
    with with_lost_fob(tmp_path) as book:
        said = record_memory(
            book,
            "oakmire/O1",
            [["Serial", "Slot", "Key no"], ["3c01a7", "", "BM 047"], ["FFFF", "8", ""], ["", "", ""]],
        ).says
        assert said[0].startswith("oakmire/O1 holds 2 records; 1 thing to attend to")
        assert "serial FFFF, slot 8" in said[1]
        assert "unknown records" not in {
            one.kind
            for one in check_register(book.register, book.people, book.case, now=soon())
            if one.about == "oakmire/O1"
        }
        (wrong,) = record_memory(book, "vessing/V1", [["label", "slot"], ["BM-047-P", "4"]]).says[1:]
        assert "lies in slot 4" in wrong
        assert "would delete another fob" in wrong
        book.lost("BM-047-P")
        (gone,) = record_memory(book, "vessing/V1", [["label", "slot"]]).says[1:]
        assert "it is lost, so record its deletion" in gone
        before = book.record.events()
        with pytest.raises(
            InputError,
            match=(
                r"2 problems; nothing was written.(.|\n)*row 2: It names no fob(.|\n)*row 4: It stands in row"
                r" 3 already"
            ),
        ):
            record_memory(book, "vessing/V1", [["slot", "output"], ["", "1"], ["4", "1"], ["4", "1"]])
        with pytest.raises(InputError, match="No row is a head"):
            record_memory(book, "vessing/V1", [["a", "b"]])
        with pytest.raises(InputError, match="closest: vessing/V1"):
            record_memory(book, "vessing/V11", [["slot"]])
        assert book.record.events() == before


def test_what_was_heard_starts_the_counter_anew(tmp_path: Path) -> None:
    """Only a fob that the register has there; else it is said what to record first."""
    with with_lost_fob(tmp_path) as book:
        book.receive("BM-049-L")
        record_heard(book, "vessing/V1", ["bm047"])
        assert set(book.register.fobs["BM-047-P"].heard) == {"vessing/V1"}
        with pytest.raises(InputError, match="BM-049-L is learned nowhere"):
            record_heard(book, "vessing/V1", ["BM-047-P", "BM-049-L"])
        assert len(book.record.events(kinds=["fob heard"])) == 1, "all or nothing"


@pytest.mark.parametrize(
    "text",
    [
        "job: Quenby Water",
        "job: Quenby Water   # chosen",
        "job: 'Quenby: Water'",
        "job: Quenby\n  Water",
        "job: Müller- und Söhne-Werk 3",
        "job: &name Quenby",
        "job: Smith's house",
        "job: Q3",
    ],
)
def test_the_register_of_a_job_is_found_by_the_name_in_its_file(tmp_path: Path, text: str) -> None:
    """However the name is written, the same as the reader's."""
    example = (ROOT / "examples" / "brindlemark" / "job.yaml").read_text("utf-8")
    (tmp_path / "job.yaml").write_text(example.replace("job: Brindlemark Timber & Fittings", text), "utf-8")
    with open_register(tmp_path) as book:
        assert book.case is not None
        assert book.job == book.case.job.job


def test_a_fault_in_the_job_file_keeps_nobody_from_reporting_a_loss(tmp_path: Path) -> None:
    """Found, reported lost, looked up; what needs the file says its faults."""
    with with_lost_fob(tmp_path) as book:
        pass
    file = tmp_path / "branches" / "job.yaml"
    file.write_text(file.read_text("utf-8").replace("region: europe", "region: moon"), "utf-8")
    with open_register(tmp_path / "branches") as book:
        assert book.search("vale")[0].label == "BM-047-P"
        assert "vessing/V1" in " ".join(book.lost("BM-047").says)
        with pytest.raises(JobFileError):
            book.issue("BM-048-N", pool="x", group="temps")


def test_dates_that_are_none_and_days_that_have_passed(tmp_path: Path) -> None:
    """A cell of month 13 is refused; a validity that has ended is said."""
    with with_lost_fob(tmp_path) as book:
        with pytest.raises(InputError, match="2026-13"):
            book.receive("BM-049-L", cell_date="2026-13")
        book.receive("BM-049-L", cell_date="2026-11")
        assert "has passed" in " ".join(book.issue("BM-049-L", pool="visitors", valid_to="2020-01-31").says)


def test_a_name_is_kept_as_long_as_the_rule_says_and_then_forgotten(tmp_path: Path) -> None:
    """Ninety days after leaving; while a fob is out the name stays."""
    with with_lost_fob(tmp_path) as book:
        said = book.people_left(["Ondric Vale"], on=date(2026, 6, 1)).says
        assert said[0] == "Ondric Vale left on 2026-06-01. The name is kept until 2026-08-30."
        assert "Call in BM-047-P" in said[1]
        with pytest.raises(InputError, match="still holds BM-047-P"):
            book.delete_person("Ondric Vale")
        (stays,) = book.delete_people_due(date(2026, 8, 31)).says
        assert stays.startswith("Ondric Vale still holds BM-047-P and stays")
        book.hand_in("BM-047-P")
        assert book.delete_people_due(date(2026, 8, 30)).says == ()
        (proof,) = book.delete_people_due(date(2026, 8, 31)).says

        assert "proves it" in proof
        assert book.people == {}
        assert any("a deleted name" in told(event, book.people) for event in book.events_of("BM-047"))
        assert book.record.breaches() == ()


def test_a_replaced_receiver_forgets_and_is_said_so(tmp_path: Path) -> None:
    """What was learned there counts as deleted, unless it was carried over."""
    with with_lost_fob(tmp_path) as book:
        assert "1 fob carried over" in book.replace_receiver("vessing/V1", copied=True).says[1]
        assert {one.receiver for one in book.register.fobs["BM-047-P"].known_at} >= {"vessing/V1"}
        book.replace_receiver("vessing/V1", why="water")

        assert {one.receiver for one in book.register.fobs["BM-047-P"].known_at} == {
            "oakmire/O1",
            "vessing/V2",
            "lowdrift/L1",
            "sarnbeck/S1",
        }
        assert [event.kind for event in book.events_of("BM-047")][-2:] == [
            "receiver replaced",
            "receiver replaced",
        ]


def test_rights_are_copied_by_kind_to_the_same_button(tmp_path: Path) -> None:
    """Who opens gate and door at Oakmire opens them at Vessing; nothing is written by a dry run."""
    with branches(tmp_path) as book:
        book.receive("BM-001")
        book.issue(
            "BM-001",
            pool="temps",
            buttons={"1": ["oakmire gate"], "3": ["oakmire lights"], "2": ["dock 1 up"]},
        )
        dry = book.copy_rights("oakmire", "vessing", dry_run=True)
        assert dry.events == ()
        assert any("vessing gate on button 1, vessing lights on button 3" in one for one in dry.says)
        assert any("nothing of the kind of dock 1 up" in one for one in dry.says)
        book.copy_rights("oakmire", "vessing")

        assert book.register.fobs["BM-001"].buttons == {
            "1": ("oakmire gate", "vessing gate"),
            "3": ("oakmire lights", "vessing lights"),
            "2": ("dock 1 up",),
        }
        with pytest.raises(InputError, match="no premises 'vesing'"):
            book.copy_rights("oakmire", "vesing")


def test_states_that_do_not_follow_are_refused(tmp_path: Path) -> None:
    """Only a lost fob is found, only a blocked one released, a lost one is not destroyed."""
    with with_lost_fob(tmp_path) as book:
        for change in (book.found, book.release, book.destroy):
            with pytest.raises(InputError, match="BM-047-P is issued"):
                change("BM-047-P")
        book.block("BM-047-P")
        book.release("BM-047-P")
        book.lost("BM-047-P")
        assert "learn it again" not in " ".join(book.found("BM-047-P").says)
        assert book.register.fobs["BM-047-P"].state is FobState.ISSUED


def test_the_register_is_exported_with_and_without_names(tmp_path: Path) -> None:
    """Without names only marks; a cell cannot become a formula; XLSX is read back by another library's
    reader.
    """
    from io import BytesIO

    from openpyxl import load_workbook

    with with_lost_fob(tmp_path) as book:
        book.issue("BM-048-N", person="=HYPERLINK(0)", new_person=True)
        table, bare = (
            register_table(book.register, book.people),
            register_table(book.register, book.people, names=False),
        )
        mark = book.register.fobs["BM-047-P"].person
    sheet = load_workbook(BytesIO(xlsx_bytes(table))).active

    assert [[cell or "" for cell in row] for row in sheet.iter_rows(values_only=True)] == table
    assert all(cell.data_type != "f" for row in sheet.iter_rows() for cell in row)
    assert xlsx_bytes(table) == xlsx_bytes(table)
    odd = load_workbook(BytesIO(xlsx_bytes([["fob"], ["#N/A"], ["00\x00\x1b7"], ["x" * 40_000]]))).active
    assert [(cell.value[:4], cell.data_type) for cell in odd["A"]] == [
        ("fob", "s"),
        ("#N/A", "s"),
        ("007", "s"),
        ("xxxx", "s"),
    ]
    assert odd["A4"].value.endswith("x…")
    assert "'=HYPERLINK(0)" in csv_text(table)
    assert "Ondric" not in csv_text(bare)
    assert mark in csv_text(bare)


def test_labels_have_their_check_character() -> None:
    """As many as asked for, equally long."""
    assert label_rows(prefix="BM", first=47, count=2) == ("BM-047-P", "BM-048-N")
    with pytest.raises(InputError, match="more than 3 digits"):
        label_rows(prefix="BM", first=995, count=10)


def test_two_books_cannot_give_out_one_fob(tmp_path: Path) -> None:
    """Two people at once: one succeeds, the other is told who has it."""
    from concurrent.futures import ThreadPoolExecutor

    from farpress.keys.book import open_register

    with branches(tmp_path) as book:
        for number in range(10):
            book.receive(f"X{number}")

    def give(pool: str) -> list[str]:
        taken = []
        with open_register(tmp_path / "branches") as mine:
            for number in range(10):
                try:
                    mine.issue(f"X{number}", pool=pool)
                    taken.append(f"X{number}")
                except InputError:
                    pass
        return taken

    with ThreadPoolExecutor(2) as pool:
        first, second = pool.map(give, ["a", "b"])

    assert sorted(first + second) == [f"X{number}" for number in range(10)]


@pytest.mark.parametrize(
    "words",
    [
        ["search", "vale"],
        ["check"],
        ["due"],
        ["verify"],
        ["history", "BM-047"],
        ["export", "TABLE"],
        ["plan", "BM-047"],
        ["counters"],
        ["issue", "BM-047", "--pool", "yard"],
        ["lost", "BM-047"],
        ["block", "BM-047"],
        ["person", "left", "Ondric Vale"],
        ["person", "forget", "--due"],
        ["copy-rights", "oakmire", "vessing"],
        ["import", "LIST"],
    ],
)
def test_asking_about_a_job_without_a_record_makes_none(tmp_path: Path, words: list[str]) -> None:
    """Neither a question nor a slip leaves a file; the answer says that there is no record, and how one
    begins.
    """
    from click.testing import CliRunner

    from farpress.cli.keys import command

    branches(tmp_path)
    job = tmp_path / "branches"
    (tmp_path / "list.csv").write_text("fob;name\nBM-047-P;Ondric Vale\n", encoding="utf-8")
    before = sorted(path.name for path in job.iterdir())
    at = 2 if words[0] == "person" else 1
    given = [
        {"TABLE": str(tmp_path / "out.csv"), "LIST": str(tmp_path / "list.csv")}.get(word, word)
        for word in words
    ]
    result = CliRunner().invoke(command, [*given[:at], str(job), *given[at:]])

    said = " ".join(f"{result.output} {result.exception or ''}".split())
    assert ("In order: 1 fobs" if words[0] == "import" else "There is no record yet") in said, said
    assert sorted(path.name for path in job.iterdir()) == before
    assert not (tmp_path / "out.csv").exists()


def test_the_first_entry_begins_the_record(tmp_path: Path) -> None:
    """One who looks before there is a record sees what another writes afterwards."""
    with branches(tmp_path) as early, open_register(tmp_path / "branches") as book:
        assert early.register.fobs == {}
        assert not early.record.is_there
        book.receive("BM-047-P")

        assert list(early.register.fobs) == ["BM-047-P"]
        assert early.record.is_there
        assert early.people == {}
        assert early.record.breaches() == ()


def test_a_type_that_nobody_knows_is_refused_with_all_other_faults(tmp_path: Path) -> None:
    """Types of the job and of the catalogue are listed, the closest named; nothing is written, not even the
    good labels.
    """
    with branches(tmp_path) as book:
        with pytest.raises(InputError) as refused:
            book.receive("BM-050", "??", "BM050", type="fob-44", cell_date="2026-13", serial="77")
        said = str(refused.value)
        assert said.startswith("5 problems; nothing was written.")
        for fault in (
            "'fob-44' is no type of fob. Closest: fob-4. There are F4 (in this job) or fob-",
            "'??' has none",
            "BM050 is given twice",
            "'2026-13-01' is not a date",
            "belongs to one fob",
        ):
            assert fault in said
        assert not book.record.is_there

        book.receive("BM-050", type="f4")
        book.receive("BM-051", type="fob-4")
        assert [fob.type for fob in book.register.fobs.values()] == ["F4", "fob-4"]
        with pytest.raises(InputError, match="BM-050 is in the register already"):
            book.receive("BM-052", "bm050")
        assert "BM-052" not in book.register.fobs

        plan = plan_import(
            [["fob", "type"], ["X1", "f4"], ["X2", "Brick"], ["X3", "Brick"]],
            book.register,
            book.people,
            book.case,
        )
        assert [(one.row, one.column) for one in plan.problems] == [(3, "type"), (4, "type")]
        assert "There are F4 (in this job)" in plan.problems[0].says
