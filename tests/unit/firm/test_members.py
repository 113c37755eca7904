"""Who may do what: roles are held to, keys are asked for, and the record knows marks only."""

from __future__ import annotations

from pathlib import Path

import pytest

from farpress.domain.acts import Note
from farpress.domain.role import NEEDED, Role
from farpress.errors import InputError
from farpress.firm.shelf import Firm, open_firm, start_firm
from farpress.record.members import add_member, change_member, enter, members, require_role


@pytest.fixture
def firm(record_address: str) -> Firm:
    """A shelf with a manager."""
    return start_firm(record_address, name="Hesper Marrow")[0]


def test_the_first_member_is_a_manager(record_address: str) -> None:
    """Else nobody could add the others."""
    firm, _ = start_firm(record_address)

    with pytest.raises(InputError, match="first member"):
        add_member(firm.shelf.record, "Pim", Role.READER, by=firm.who)
    assert members(firm.shelf.record) == ()


def test_a_key_opens_and_a_wrong_one_does_not(firm: Firm) -> None:
    """Capital letters and the newline of a paste do not matter; a wrong or missing key does."""
    record = firm.shelf.record
    made, key = add_member(record, "Torvin Ashgrove", Role.KEEPER, by=firm.who, key=True)

    assert enter(record, "torvin ashgrove", f" {key.upper()}\n") == made
    with pytest.raises(InputError, match="is wrong"):
        enter(record, "Torvin Ashgrove", key[:-1] + ("a" if key[-1] != "a" else "b"))
    with pytest.raises(InputError, match="is missing"):
        enter(record, "Torvin Ashgrove")
    with pytest.raises(InputError, match="say who you are"):
        enter(record, "")
    with record._reading() as connection:
        assert key not in str([tuple(row) for row in connection.exec_driver_sql("SELECT * FROM member")])


@pytest.mark.parametrize("role", list(Role))
def test_a_role_is_held_to(role: Role, firm: Firm) -> None:
    """What the table of rights says is what is allowed, and no more."""
    made, _ = add_member(firm.shelf.record, f"a {role}", role, by=firm.who)

    allowed = set()
    for what in NEEDED:
        try:
            require_role(made, what)
        except InputError:
            continue
        allowed.add(what)

    assert ("lead" in allowed) == (role is Role.MANAGER)
    assert ("design" in allowed) == (role in (Role.INSTALLER, Role.MANAGER))
    assert ("record" in allowed) == (role is not Role.READER)
    assert "look" in allowed


def test_a_reader_changes_nothing(firm: Firm, record_address: str, tmp_path: Path) -> None:
    """Every door to a change is tried."""
    from farpress.firm.due import set_road
    from farpress.firm.moves import check_out
    from farpress.firm.privacy import forget, personal_data
    from survey import ROOT

    firm.add(ROOT / "examples" / "larkfen-house")
    add_member(firm.shelf.record, "Ina", Role.READER, by=firm.who)
    reader = (
        open_firm(record_address, name="Ina")
        if Path(record_address).exists() or "://" in record_address
        else firm
    )
    before = firm.shelf.record.events()

    for attempt in (
        lambda: reader.add(ROOT / "examples" / "brindlemark"),
        lambda: reader.archive("Larkfen House"),
        lambda: check_out(reader, "Larkfen House", tmp_path / "x"),
        lambda: set_road(reader, "A", "B", minutes=3),
        lambda: forget(reader, "Pim Vardel"),
        lambda: personal_data(reader, "Pim Vardel"),
        lambda: add_member(reader.shelf.record, "Me", Role.MANAGER, by=reader.who),
    ):
        with pytest.raises(InputError, match="A reader may not"):
            attempt()
    assert [entry.job for entry in reader.find(["quillfen"])] == ["Larkfen House"]
    assert firm.shelf.record.events() == before


def test_a_keeper_brings_back_the_record_but_not_the_design(
    firm: Firm, record_address: str, tmp_path: Path
) -> None:
    """A copy in which only the record changed is taken; one with another job file is refused whole."""
    from farpress.firm.moves import check_in, check_out
    from farpress.record.store import open_record
    from survey import ROOT

    firm.add(ROOT / "examples" / "larkfen-house")
    add_member(firm.shelf.record, "Kei", Role.KEEPER, by=firm.who)
    keeper = open_firm(record_address, name="Kei")
    check_out(keeper, "Larkfen House", tmp_path / "x")
    with open_record(tmp_path / "x") as record:
        record.append(Note(says="cell changed at the gate"), job="Larkfen House", by="keeper")

    assert check_in(keeper, tmp_path / "x").events_taken == 1
    path = tmp_path / "x" / "job.yaml"
    path.write_text(path.read_text().replace("grade: 2", "grade: 1"))
    with pytest.raises(InputError, match="A keeper may not add a job, change a job file"):
        check_in(keeper, tmp_path / "x")


def test_who_leaves_is_a_mark_only(firm: Firm) -> None:
    """The name goes, what they did stays; the last manager cannot go."""
    made, _ = add_member(firm.shelf.record, "Torvin Ashgrove", Role.MANAGER, by=firm.who)
    change_member(firm.shelf.record, "Torvin Ashgrove", by=firm.who, leaves=True)

    assert [one.name for one in members(firm.shelf.record) if one.mark == made.mark] == [""]
    with pytest.raises(InputError, match="only manager"):
        change_member(firm.shelf.record, "Hesper Marrow", by=firm.who, role=Role.READER)
    assert "Torvin" not in str([event.particulars for event in firm.shelf.record.events()])
