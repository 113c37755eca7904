"""A job goes to a laptop and comes back: both sides' changes are joined, or refused, and nothing is lost."""

from __future__ import annotations

from pathlib import Path

import pytest

from farpress.domain.acts import FobLost, FobReceived, Note
from farpress.errors import InputError, JobFileError, RecordError
from farpress.firm import parcel as parcel_module
from farpress.firm.arriving import require_free
from farpress.firm.moves import check_in, check_out
from farpress.firm.shelf import Firm, open_firm, start_firm
from farpress.jobfile.merging import MergeRefused
from farpress.record.persons import add_person, delete_person, persons
from farpress.record.store import open_record
from make_jobs import made_job

pytestmark = pytest.mark.long

JOB = made_job(3)


@pytest.fixture
def firm(record_address: str, tmp_path: Path) -> Firm:
    """A shelf with one job on it, on each of the two databases."""
    firm, _ = start_firm(record_address)
    folder = tmp_path / "first"
    (folder / "plans").mkdir(parents=True)
    (folder / "job.yaml").write_text(JOB.text)
    (folder / "plans" / "ground.svg").write_bytes(b"<svg>ground</svg>")
    with open_record(folder) as record:
        record.append(FobReceived(fob="F001"), job=JOB.name, by="installer")
    firm.add(folder)
    return firm


def _edit(folder: Path, before: str, after: str) -> None:
    path = folder / "job.yaml"
    text = path.read_text()
    assert before in text
    path.write_text(text.replace(before, after, 1))


def test_a_job_arrives_with_its_record_and_its_plans(firm: Firm, tmp_path: Path) -> None:
    """What was in the folder is on the shelf, and in a copy made from it."""
    version = check_out(firm, JOB.name, tmp_path / "laptop")

    assert version.number == 1
    assert (tmp_path / "laptop" / "job.yaml").read_text() == JOB.text
    assert (tmp_path / "laptop" / "plans" / "ground.svg").read_bytes() == b"<svg>ground</svg>"
    with open_record(tmp_path / "laptop") as record:
        assert record.events(job=JOB.name)[0].particulars == {"fob": "F001"}
        assert record.breaches() == ()
    assert [out.version for out in firm.shelf.outs()] == [1]


def test_changes_of_two_laptops_are_joined(firm: Firm, tmp_path: Path) -> None:
    """Each laptop changed something else, in the file and in the record: both are on the shelf and, after
    another return, on both laptops.
    """
    one, two = tmp_path / "one", tmp_path / "two"
    check_out(firm, JOB.name, one)
    check_out(firm, JOB.name, two)
    _edit(one, "region: europe", "region: north america")
    _edit(two, "farpress: 1", "farpress: 1\ngrade: 2   # asked by the insurer")
    with open_record(one) as record:
        record.append(FobLost(fob="F001"), job=JOB.name, by="installer")
    with open_record(two) as record:
        record.append(Note(says="gate greased"), job=JOB.name, by="keeper")

    first = check_in(firm, one)
    second = check_in(firm, two)
    third = check_in(firm, one)

    assert (first.is_new, first.merged, second.is_new, second.merged) == (True, False, True, True)
    assert (third.is_new, third.events_taken) == (False, 0)
    text = firm.shelf.version(JOB.name).text
    assert "region: north america" in text
    assert "grade: 2" in text
    assert (one / "job.yaml").read_text() == (two / "job.yaml").read_text() == text
    assert "# made up for trials" in text, "remarks survive a merge"
    for folder in (one, two):
        with open_record(folder) as record:
            assert {"fob lost", "note"} <= {event.kind for event in record.events(job=JOB.name)}
            assert record.breaches() == ()
    assert firm.shelf.record.breaches() == ()


def test_the_same_value_changed_twice_is_refused_with_both(firm: Firm, tmp_path: Path) -> None:
    """The second to come back is told both values; shelf and folder stay as they were."""
    one, two = tmp_path / "one", tmp_path / "two"
    check_out(firm, JOB.name, one)
    check_out(firm, JOB.name, two)
    _edit(one, "region: europe", "region: north america")
    (two / "job.yaml").write_text((two / "job.yaml").read_text().replace("region: europe\n", ""))
    check_in(firm, one)
    before = (two / "job.yaml").read_text()

    with pytest.raises(MergeRefused, match="region") as refused:
        check_in(firm, two)

    assert [(clash.mine, clash.theirs) for clash in refused.value.clashes] == [(None, "north america")]
    assert firm.shelf.entry(JOB.name).head == 2
    assert (two / "job.yaml").read_text() == before


def test_changes_that_only_together_make_no_sense_are_refused(firm: Firm, tmp_path: Path) -> None:
    """One takes a function away, the other promises it anew: sound apart, not together."""
    one, two = tmp_path / "one", tmp_path / "two"
    check_out(firm, JOB.name, one)
    check_out(firm, JOB.name, two)
    _edit(one, "    places:\n", "    places:\n      back yard: {at: [3, 3]}\n")
    check_in(firm, one)
    three = tmp_path / "three"
    check_out(firm, JOB.name, three)
    _edit(three, "      back yard: {at: [3, 3]}\n", "")
    check_in(firm, two)
    _edit(two, "promises:\n", "promises:\n  - {to: family, function: open gate 1, from: back yard}\n")
    check_in(firm, three)

    with pytest.raises(JobFileError, match="each side's changes are sound alone"):
        check_in(firm, two)


def test_a_folder_copied_by_hand_and_used_twice_is_refused(firm: Firm, tmp_path: Path) -> None:
    """Two events with one number: which is true cannot be known, so nothing is written."""
    import shutil

    one, two = tmp_path / "one", tmp_path / "two"
    check_out(firm, JOB.name, one)
    with open_record(one) as record:
        record.append(Note(says="first"), job=JOB.name, by="installer")
    shutil.copytree(one, two)
    for folder, says in ((one, "left"), (two, "right")):
        with open_record(folder) as record:
            record.append(Note(says=says), job=JOB.name, by="installer")
    check_in(firm, one)
    before = firm.shelf.record.events()

    with pytest.raises(RecordError, match=r"forked at event 2.*copied"):
        check_in(firm, two)

    assert firm.shelf.record.events() == before


def test_a_changed_event_is_refused(firm: Firm, tmp_path: Path) -> None:
    """A record that somebody edited does not enter the firm's."""
    from sqlalchemy import text

    check_out(firm, JOB.name, tmp_path / "one")
    with open_record(tmp_path / "one") as record:
        record.append(Note(says="as it was"), job=JOB.name, by="installer")
        with record._writing() as connection:
            connection.execute(text("DROP TRIGGER event_no_update"))
            connection.execute(text("UPDATE event SET body = replace(body, 'as it was', 'as I like')"))

    with pytest.raises(RecordError, match="was changed after it was written"):
        check_in(firm, tmp_path / "one")


def test_names_go_along_and_stay_deleted(firm: Firm, tmp_path: Path) -> None:
    """A name entered on the laptop reaches the firm; one deleted there never comes back."""
    one = tmp_path / "one"
    check_out(firm, JOB.name, one)
    with open_record(one) as record:
        kept = add_person(record, "Pim Vardel", job=JOB.name, by="installer")
        gone = add_person(record, "Brask Holm", job=JOB.name, by="installer")
    check_in(firm, one)
    delete_person(firm.shelf.record, gone.mark, job=JOB.name, by="manager")

    check_in(firm, one)

    assert set(persons(firm.shelf.record, job=JOB.name)) == {kept.mark}
    with open_record(one) as record:
        assert set(persons(record, job=JOB.name)) == {kept.mark}


def test_coming_back_after_a_crash_in_the_middle_does_no_harm(
    firm: Firm, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The firm has the change, the folder was not brought up to date: the next return settles it."""
    import farpress.firm.moves as moves

    one = tmp_path / "one"
    check_out(firm, JOB.name, one)
    _edit(one, "region: europe", "region: north america")
    with monkeypatch.context() as patched:
        patched.setattr(moves, "put_into", lambda *_, **__: (_ for _ in ()).throw(KeyboardInterrupt))
        with pytest.raises(KeyboardInterrupt):
            check_in(firm, one)

    back = check_in(firm, one)

    assert (back.version, back.is_new) == (2, False)
    assert firm.shelf.entry(JOB.name).head == 2


def test_a_file_beside_the_job_is_joined_too(firm: Firm, tmp_path: Path) -> None:
    """New files of both sides are there; one changed on both sides is refused; one taken away is gone."""
    one, two = tmp_path / "one", tmp_path / "two"
    check_out(firm, JOB.name, one)
    check_out(firm, JOB.name, two)
    (one / "plans" / "upper.svg").write_bytes(b"upper")
    (two / "plans" / "roof.svg").write_bytes(b"roof")
    (two / "plans" / "ground.svg").unlink()
    check_in(firm, one)
    check_in(firm, two)

    assert sorted(firm.shelf.version(JOB.name).files) == ["plans/roof.svg", "plans/upper.svg"]
    (one / "plans" / "upper.svg").write_bytes(b"one")
    (two / "plans" / "upper.svg").write_bytes(b"two")
    check_in(firm, one)
    with pytest.raises(MergeRefused, match=r"plans/upper\.svg"):
        check_in(firm, two)
    assert not (one / "plans" / "ground.svg").exists()


def test_a_copy_without_a_ticket_says_what_is_missing(firm: Firm, tmp_path: Path) -> None:
    """A changed folder that was never checked out is not guessed about."""
    one = tmp_path / "one"
    check_out(firm, JOB.name, one)
    (one / "shelf.json").unlink()
    _edit(one, "region: europe", "region: north america")

    with pytest.raises(InputError, match="--made-on"):
        check_in(firm, one)
    assert check_in(firm, one, made_on=1).version == 2


def test_another_name_is_refused(firm: Firm, tmp_path: Path) -> None:
    """The name is the key of the record."""
    check_out(firm, JOB.name, tmp_path / "one")
    _edit(tmp_path / "one", JOB.name, "Another House")

    with pytest.raises(InputError, match="key of its record"):
        check_in(firm, tmp_path / "one")


def test_there_is_no_shelf_by_a_slip(tmp_path: Path) -> None:
    """A mistyped file is not made."""
    with pytest.raises(InputError, match="firm start"):
        open_firm(str(tmp_path / "frim.sqlite"))
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("written", [1, 2])
def test_a_copy_broken_off_is_taken_over_and_nothing_of_ones_own_is_lost(
    firm: Firm, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, written: int
) -> None:
    """Killed after each of its files: the same command finishes it; a file of one's own beside it, or one of
    its files changed since, is left and named.
    """
    laptop, count, write = tmp_path / "laptop", [0], parcel_module.put_whole

    def killed(target: Path, data: bytes) -> None:
        if count[0] == written:
            raise KeyboardInterrupt
        count[0] += 1
        write(target, data)

    monkeypatch.setattr(parcel_module, "put_whole", killed)
    with pytest.raises(KeyboardInterrupt):
        check_out(firm, JOB.name, laptop)
    monkeypatch.setattr(parcel_module, "put_whole", write)
    (laptop / ".job.yaml.abc.new").write_text("half of it")
    (laptop / "my notes.txt").write_text("mine")
    with pytest.raises(InputError, match=r"my notes\.txt"):
        check_out(firm, JOB.name, laptop)
    (laptop / "my notes.txt").unlink()
    plan = laptop / "plans" / "ground.svg"
    plan.write_bytes(b"drawn on")
    with pytest.raises(InputError, match=r"plans/ground\.svg"):
        check_out(firm, JOB.name, laptop)
    with pytest.raises(InputError, match="not empty"):
        require_free(laptop, "another job")
    plan.write_bytes(b"<svg>ground</svg>")
    check_out(firm, JOB.name, laptop)

    assert (laptop / "job.yaml").read_text() == JOB.text
    assert sorted(path.name for path in laptop.rglob("*") if path.name.startswith(".")) == []
    assert (laptop / "job.yaml").stat().st_mode & 0o777 == 0o600
