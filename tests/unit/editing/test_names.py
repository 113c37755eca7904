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


def test_a_renamed_thing_keeps_its_translation() -> None:
    """The name changes where its translation is given as well; another entry of that name keeps it."""
    words = "\ntranslations: {de: {garage-door: Garagentor, wicket: Gehtür}}\n"
    devices = ("premises", "larkfen", "devices")
    new = renamed_text(HOUSE + words, (*devices, "garage-door"), "barn", known=KNOWN)
    shared = renamed_text(HOUSE + words, (*devices, "wicket"), "postern", known=KNOWN)

    assert "{de: {barn: Garagentor, wicket: Gehtür}}" in new
    assert "{de: {garage-door: Garagentor, wicket: Gehtür}}" in shared  # the function is called so too


PANEL = "      panel: {part: house-panel,"
ZONED = (
    HOUSE.replace(
        PANEL,
        f"{PANEL} zones: {{attic: {{}}, at: {{}}}},"
        " areas: {upstairs: {zones: [attic]}, below: {zones: [at]}},",
    )
    .replace(
        "    tamper_loops:\n",
        "    cables:\n      W77: {part: cable-2x0.75, length: 3 m, cores:"
        " {'1': [panel.zone attic, gate.stop], '2': [panel.zone attic common, gate.stop common]}}\n"
        "    tamper_loops:\n",
        1,
    )
    .replace("rules:\n", "rules:\n  - {never: more than one inside, of: [panel.upstairs]}\n", 1)
    + "\nstories:\n  parents come home:\n    steps:\n"
    "      - '0 s: parents press 1; 2 s: parents hold 2 for 3 s'\n"
    "      - '3 s: somebody else of parents press 1; 4 s: into panel.upstairs; 5 s: under gate'\n"
    "      - '6 s: power off of larkfen/gate; 7 s: power off'\n"
    "    says: parents open the gate\n"
)
"""The house with zones, areas of the alarm and a kept story."""


@pytest.mark.parametrize(
    ("path", "uses"),
    [
        (("premises", "larkfen", "panels", "panel", "zones", "attic"), 4),  # key, area, both terminals
        (("premises", "larkfen", "panels", "panel", "zones", "at"), 2),
        (("premises", "larkfen", "panels", "panel", "areas", "upstairs"), 3),  # key, rule, story
    ],
    ids=str,
)
def test_areas_and_zones_are_followed_to_terminals_rules_and_stories(path: Path_, uses: int) -> None:
    """Their terminals may have any name, so that no reader misses the old one."""
    assert ZONED.count("attic") == 4
    new = renamed_text(ZONED, path, "loft 2", known=KNOWN)

    assert new.count("loft 2") == uses
    assert renamed_text(new, (*path[:-1], "loft 2"), str(path[-1]), known=KNOWN) == ZONED


@pytest.mark.parametrize(
    ("path", "said"),
    [
        (("groups", "parents"), ("parents press", "parents hold")),
        (("premises", "larkfen", "devices", "gate"), ("under gate", "larkfen/gate")),
        (("premises", "larkfen", "panels", "panel"), ("into panel.",)),
        (("premises", "larkfen"), ("larkfen/",)),
    ],
    ids=["group", "device", "panel", "premises"],
)
def test_kept_stories_follow_a_name_word_by_word(path: Path_, said: tuple[str, ...]) -> None:
    """A remark for people stays; the way back leaves every letter."""
    old = str(path[-1])
    new = renamed_text(ZONED, path, "Q7", known=KNOWN)
    story, before = (values_of(text)["stories"]["parents come home"] for text in (new, ZONED))
    wanted = " ".join(before["steps"])
    for words in said:
        assert words in wanted
        wanted = wanted.replace(words, words.replace(old, "Q7"))

    assert " ".join(story["steps"]) == wanted
    assert story["says"] == "parents open the gate"
    assert renamed_text(new, (*path[:-1], "Q7"), old, known=KNOWN) == ZONED


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
