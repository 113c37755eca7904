"""A person's data over all jobs: given out whole, and deleted so that not a byte of the name is left."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path
from typing import Any

import pytest

from farpress.domain.acts import FobIssued, Note
from farpress.errors import InputError
from farpress.firm.moves import check_in, check_out
from farpress.firm.privacy import forget, personal_data
from farpress.firm.shelf import Firm, start_firm
from farpress.record.persons import add_person
from farpress.record.store import open_record
from survey import ROOT

pytestmark = pytest.mark.long

NAME = "Pim Vardel"


@pytest.fixture
def firm(record_address: str, tmp_path: Path) -> Firm:
    """Larkfen House with two versions that name the cleaner, once in the record's list of names too, and
    another job without.
    """
    firm, _ = start_firm(record_address)
    firm.add(ROOT / "examples" / "larkfen-house")
    firm.add(ROOT / "examples" / "brindlemark")
    check_out(firm, "Larkfen House", tmp_path / "first")
    path = tmp_path / "first" / "job.yaml"
    path.write_text(
        path.read_text()
        .replace("role: cleaner on Tuesday and Friday", "role: cleaner on Monday")
        .replace("grade: 2 ", "grade: 1 ")
    )
    check_in(firm, tmp_path / "first", says=f"{NAME} comes on Mondays now")
    person = add_person(firm.shelf.record, NAME, job="Larkfen House", by="me", contact="01632 960 987")
    firm.shelf.record.append(FobIssued(fob="F007", person=person.mark), job="Larkfen House", by="me")
    return firm


def _raw(address: str, firm: Firm, tmp_path: Path) -> bytes:
    """Everything the database holds: the bytes of its files, or what pg_dump reads out of the server."""
    if "://" in address:
        done = subprocess.run(["pg_dump", "--inserts", address], capture_output=True, check=True)
        return done.stdout
    firm.close()
    return b"".join(path.read_bytes() for path in sorted(Path(address).parent.glob(f"{Path(address).name}*")))


def test_everything_kept_is_given_out(firm: Firm) -> None:
    """Lines of the job file, versions, the name with its particulars, the fob and its events; and it is noted
    that this was done.
    """
    found = personal_data(firm, "pim vardel")["jobs"]

    assert list(found) == ["Larkfen House"]
    one: dict[str, Any] = found["Larkfen House"]
    assert one["versions"] == [1, 2]
    assert any("cleaner on Monday" in line for line in one["lines"])
    assert [name["contact"] for name in one["names"]] == ["01632 960 987"]
    assert one["fobs"] == ["F007"]
    json.dumps(found)
    assert firm.shelf.record.events()[-1].kind == "personal data given"
    with pytest.raises(InputError, match="Nobody called"):
        personal_data(firm, "Nobody Atall")


def test_not_a_byte_of_the_name_is_left(firm: Firm, record_address: str, tmp_path: Path) -> None:
    """In the raw files of the database there is no trace of it, except where the proof says so; the job reads
    and its chain holds.
    """
    before = firm.shelf.record.events()
    found = _raw(record_address, firm, tmp_path).count(NAME.encode())
    assert found > 4

    proof = forget(firm, NAME)

    assert proof.versions == 2
    assert firm.shelf.record.events()[: len(before)] == before, "the log is only added to"
    assert firm.shelf.record.breaches() == ()
    assert firm.find(["vardel"]) == ()
    assert forget_is_unknown(firm)
    text = firm.shelf.version("Larkfen House").text
    assert NAME not in text
    assert proof.marks["Larkfen House"] in text
    from farpress.firm.facts import read_text

    assert read_text(text).faults == ()
    assert firm.shelf.version("Larkfen House").says == f"{proof.marks['Larkfen House']} comes on Mondays now"
    assert proof.remaining == ()
    assert NAME.encode() not in _raw(record_address, firm, tmp_path)


def test_a_remark_with_the_name_is_named(firm: Firm) -> None:
    """An event cannot be changed: the proof says where the name still stands, once."""
    firm.shelf.record.append(Note(says=f"{NAME} has the key of the shed"), job="Larkfen House", by="me")

    (place,) = forget(firm, NAME).remaining

    assert "in the event 'note'" in place
    assert "cannot be changed" in place


def forget_is_unknown(firm: Firm) -> bool:
    """The register's list knows nobody of the name any more."""
    from farpress.record.persons import persons

    return all(one.name != NAME for one in persons(firm.shelf.record).values())


def test_a_clean_job_leaves_no_byte_at_all(record_address: str, tmp_path: Path) -> None:
    """Where nobody wrote the name into a remark, nothing remains anywhere."""
    firm, _ = start_firm(record_address)
    firm.add(ROOT / "examples" / "larkfen-house")
    add_person(firm.shelf.record, NAME, job="Larkfen House", by="me")

    proof = forget(firm, NAME)

    assert proof.remaining == ()
    assert NAME.encode() not in _raw(record_address, firm, tmp_path)
    assert b"pim vardel" not in _raw(record_address, firm, tmp_path)


def test_a_copy_from_before_does_not_bring_the_name_back(firm: Firm, tmp_path: Path) -> None:
    """The copy was changed: it is asked which name it was; then its change comes and the name does not. An
    unchanged copy comes back as it is.
    """
    changed, unchanged = tmp_path / "changed", tmp_path / "unchanged"
    check_out(firm, "Larkfen House", changed)
    check_out(firm, "Larkfen House", unchanged)
    path = changed / "job.yaml"
    path.write_text(path.read_text().replace("region: europe", "region: north america"))

    proof = forget(firm, NAME)
    assert {job for job, _ in proof.copies} == {"Larkfen House"}

    assert not check_in(firm, unchanged).is_new
    assert NAME not in (unchanged / "job.yaml").read_text()
    with pytest.raises(InputError, match="--taken-out") as refused:
        check_in(firm, changed)
    mark = proof.marks["Larkfen House"]
    assert mark in str(refused.value)
    check_in(firm, changed, taken_out={NAME: mark})
    text = firm.shelf.version("Larkfen House").text
    assert "region: north america" in text
    assert NAME not in text
    assert NAME not in path.read_text()


def test_a_plan_with_the_name_is_named(firm: Firm, tmp_path: Path) -> None:
    """A drawing cannot be rewritten: the proof lists it."""
    check_out(firm, "Larkfen House", tmp_path / "x")
    (tmp_path / "x" / "plan.svg").write_text(f"<svg><text>key box of {NAME}</text></svg>")
    check_in(firm, tmp_path / "x")

    assert any("plan.svg" in place for place in forget(firm, NAME).remaining)


@pytest.mark.parametrize("name", ["", "ab", "\0\0\0\0", "  x "])
def test_a_scrap_of_a_name_is_refused(firm: Firm, name: str) -> None:
    """Else "ab" would be taken out of every word."""
    with pytest.raises(InputError, match="three letters"):
        forget(firm, name)


def test_only_whole_names_go(firm: Firm, tmp_path: Path) -> None:
    """ "Mirela Ostrovane" goes, "Dorian Ostrovane" stays, and a job whose own name holds it is refused
    whole.
    """  # noqa: D210
    with open_record(tmp_path / "unused.sqlite"):
        forget(firm, "Mirela Ostrovane")
        text = firm.shelf.version("Larkfen House").text

        assert "Dorian Ostrovane" in text
        assert "Mirela Ostrovane" not in text
        with pytest.raises(InputError, match="name of the job"):
            forget(firm, "Larkfen House")
        assert "Larkfen House" in firm.shelf.version("Larkfen House").text
