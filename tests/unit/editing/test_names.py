"""Names changed throughout a job and taken back; what hangs on an entry, found by reading it without."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from farpress.catalogue.store import load_catalogue
from farpress.editing.hanging import removal_of
from farpress.editing.renaming import recorded_under, renamed_text
from farpress.errors import InputError
from farpress.jobfile.merging import with_changes
from farpress.jobfile.reader import read_job_text
from farpress.jobfile.starter import starter_text
from farpress.jobfile.text_to_values import values_of
from farpress.record.store import open_record
from helpers.project import EXAMPLES

KNOWN = load_catalogue().known_names()
TEXT = starter_text("Alder")
HOUSE = (EXAMPLES / "larkfen-house" / "job.yaml").read_text(encoding="utf-8")
ROOMS = ("receivers", "devices", "panels", "supplies", "places", "levels")
Path_ = tuple[str | int, ...]


def named(values: Any) -> Iterator[Path_]:
    """Every entry with a name of its own."""
    for table in ("functions", "groups", "people", "parts", "premises"):
        for name in values.get(table, {}):
            yield (table, name)
    for premises, house in values["premises"].items():
        for room in ROOMS:
            for name in house.get(room, {}):
                yield ("premises", premises, room, name)


def texts(value: Any, key: str = "") -> Iterator[str]:
    """Every key and text, remarks for people aside."""
    if isinstance(value, dict):
        for inner, member in value.items():
            yield str(inner)
            yield from texts(member, str(inner))
    elif isinstance(value, list):
        for member in value:
            yield from texts(member, key)
    elif key not in ("says", "address"):
        yield str(value)


@pytest.mark.parametrize("path", list(named(values_of(TEXT))), ids=str)
def test_a_name_changed_and_changed_back_leaves_every_letter(path: Path_) -> None:
    """Remarks and order too; between the two the job reads, and the old name points nowhere."""
    new = renamed_text(TEXT, path, "Zed 9 x", known=KNOWN)
    quoted = renamed_text(TEXT, path, "Zed: 9", known=KNOWN)

    assert new != TEXT
    read_job_text(new, known=KNOWN)
    assert renamed_text(new, (*path[:-1], "Zed 9 x"), str(path[-1]), known=KNOWN) == TEXT
    assert values_of(quoted.replace("Zed: 9", "Zed 9 x")) == values_of(new)


@pytest.mark.parametrize("path", [("premises", "larkfen"), ("premises", "larkfen", "receivers", "R2")])
def test_all_uses_follow_in_a_larger_job(path: Path_) -> None:
    """Paths of outputs, readings and visits name it, remarks for people aside."""
    word = re.compile(rf"\b{path[-1]}\b")
    new = renamed_text(HOUSE, path, "Q7", known=KNOWN)

    assert any(word.search(text) for text in texts(values_of(HOUSE)))
    assert not any(word.search(text) for text in texts(values_of(new)))
    assert renamed_text(new, (*path[:-1], "Q7"), str(path[-1]), known=KNOWN) == HOUSE


def test_a_name_that_is_taken_or_none_is_refused() -> None:
    """In words, with nothing changed."""
    path = next(path for path in named(values_of(HOUSE)) if path[0] == "groups")
    other = next(name for name in values_of(HOUSE)["groups"] if name != path[-1])
    for name, says in ((other, "already"), (" ", "Give it a name"), ("a/b", "cannot be called")):
        target = path if name != "a/b" else ("premises", "larkfen", "receivers", "R1")
        with pytest.raises(InputError, match=says):
            renamed_text(HOUSE, target, name, known=KNOWN)


@pytest.mark.parametrize(
    "path", [path for path in named(values_of(TEXT)) if path[0] != "premises" or path[1:2]]
)
def test_what_is_taken_out_takes_along_what_hangs_on_it(path: Path_) -> None:
    """The job reads afterwards; it names the entry nowhere."""
    values = values_of(TEXT)
    if path == ("premises", next(iter(values["premises"]))):
        with pytest.raises(InputError, match="cannot be without"):
            removal_of(values, path, known=KNOWN)
        return
    removal = removal_of(values, path, known=KNOWN)
    left = with_changes(values, removal.changes)

    assert path not in list(named(left))
    assert all(place != path for place, _ in removal.along)


def test_a_function_goes_with_its_promises_and_buttons() -> None:
    """Each entry once, what stays of a group stays."""
    values = values_of(HOUSE)
    removal = removal_of(values, ("functions", "path lights"), known=KNOWN)
    tables = [place[0] for place, _ in removal.along]
    promised = sum(promise["function"] == "path lights" for promise in values["promises"])

    assert promised > 1
    assert tables.count("promises") == promised
    assert "groups" in tables
    left = with_changes(values, removal.changes)
    assert set(left["groups"]) == set(values["groups"])


def test_the_record_is_asked_before_a_name_is_changed(tmp_path: Path) -> None:
    """What was learned at a receiver stays under its name; of a supply the record knows nothing."""
    from farpress.domain.acts import FobLearned, FobReceived

    assert recorded_under(tmp_path, "J", ("premises", "house", "receivers", "R1")) == 0
    with open_record(tmp_path) as record:
        record.append(FobReceived(fob="L-1", type="F4"), job="J", by="installer")
        record.append(
            FobLearned(fob="L-1", receiver="house/R1", output=1, button="1", slot=1), job="J", by="installer"
        )

    assert recorded_under(tmp_path, "J", ("premises", "house", "receivers", "R1")) == 1
    assert recorded_under(tmp_path, "J", ("premises", "house", "receivers", "R")) == 0
    assert recorded_under(tmp_path, "J", ("premises", "house", "supplies", "main")) == 0
