"""Each field that is read of a case is noted, and each that differs between two cases is named so."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from typing import Any

import pytest

from farpress.case.after import CaseAfter
from farpress.case.case import Case
from farpress.case.changed import tried_with
from farpress.case.differences import differences
from farpress.case.door import open_job
from farpress.case.reads import CASE, WHOLE, ReadKey, Reads, aside, noted
from farpress.case.watched import watched_case
from farpress.domain.finding import Change
from farpress.domain.quantity import Model
from farpress.errors import FarpressError
from helpers.project import EXAMPLES
from helpers.random_edits import random_changes

HOUSE = "job\0premises\0larkfen"


@pytest.fixture(scope="module")
def case() -> Case:
    """An example."""
    return open_job(EXAMPLES / "larkfen-house")


def _every(reads: Reads) -> set[ReadKey]:
    return set(reads.keys).union(*(_every(other) for other in reads.through))


def _leaves(value: Any, place: str) -> Iterator[tuple[str, str]]:
    """Every plain value below a place, as text, and the shape of every table and list."""
    if isinstance(value, Model):
        for name, inner in vars(value).items():
            yield from _leaves(inner, f"{place}\0{name}")
    elif isinstance(value, dict | tuple):
        pairs = value.items() if isinstance(value, dict) else enumerate(value)
        yield place, " ".join(map(str, value)) if isinstance(value, dict) else str(len(value))
        for key, inner in pairs:
            yield from _leaves(inner, f"{place}\0{key}")
    else:
        yield place, repr(value)


def _differing(before: Case, after: Case) -> set[str]:
    found = set()
    for one, other, place in (
        (before.job, after.job, "job"),
        *(
            (getattr(before.equipment, kind)[name].sheet, part.sheet, f"equipment\0{kind}\0{name}")
            for kind in ("receivers", "devices", "panels", "supplies", "fobs")
            for name, part in getattr(after.equipment, kind).items()
            if name in getattr(before.equipment, kind)
        ),
    ):
        first, second = dict(_leaves(one, place)), dict(_leaves(other, place))
        found |= {leaf for leaf in first.keys() & second.keys() if first[leaf] != second[leaf]}
        found |= {leaf for leaf in first.keys() ^ second.keys() if leaf.rpartition("\0")[0] in first}
    return found


def _is_named(leaf: str, keys: frozenset[ReadKey]) -> bool:
    return any(f"{leaf}\0".startswith(f"{place}\0{field}\0") for place, field in keys if field != WHOLE)


def test_every_field_that_differs_is_named(case: Case) -> None:
    """After changes of every kind, held against both jobs written out leaf by leaf."""
    tried = 0
    for changes in islice(random_changes(case, seed=11), 40):
        try:
            after = tried_with(case, changes)
        except FarpressError:
            continue
        keys = differences(case, after)
        for leaf in _differing(case, after):
            assert _is_named(leaf, keys), (changes, leaf)
            tried += 1
            parents = leaf.split("\0")
            assert any(("\0".join(parents[:depth]), WHOLE) in keys for depth in range(1, len(parents)))
    assert tried > 20


def test_equal_cases_differ_in_nothing(case: Case) -> None:
    """Only what looks at files is never the same."""
    again = open_job(EXAMPLES / "larkfen-house")
    assert again.job is not case.job
    assert {place for place, _ in differences(case, again)} == {CASE}


def test_a_nought_below_nought_is_another_number(case: Case) -> None:
    """Both are equal, and written otherwise."""
    house = case.job.premises["larkfen"]
    places = {name: place.model_copy(update={"at": (0.0, 0.0)}) for name, place in house.places.items()}
    zero = _with(case, places=places)
    first = next(iter(places))
    below = _with(case, places=places | {first: places[first].model_copy(update={"at": (-0.0, 0.0)})})
    assert (f"{HOUSE}\0places\0{first}", "at") in differences(zero, below)


def _with(case: Case, **update: Any) -> Case:
    house = case.job.premises["larkfen"].model_copy(update=update)
    return case.with_job(case.job.model_copy(update={"premises": {**case.job.premises, "larkfen": house}}))


def test_what_is_looked_at_is_noted(case: Case) -> None:
    """A field under its place; a model as a whole where it is compared, copied out or gone through."""
    reader = watched_case(case)
    with noted() as reads:
        box = reader.job.premises["larkfen"].receivers["R1"]
        assert box.at == case.job.premises["larkfen"].receivers["R1"].at
    place = f"{HOUSE}\0receivers\0R1"
    assert reads.keys == {("job", "premises"), (HOUSE, "receivers"), (place, "at")}
    for look in (
        lambda: box == case.job.premises["larkfen"].receivers["R1"],
        lambda: case.job.premises["larkfen"].receivers["R1"] == box,
        lambda: repr(box),
        lambda: dict(box),
        lambda: vars(box),
        lambda: box.model_dump(),
    ):
        with noted() as reads:
            assert look()
        assert (place, WHOLE) in reads.keys
    with noted() as reads:
        assert isinstance(box, Model)
    assert not reads.keys


def test_a_copy_with_another_value_notes_where_it_comes_from(case: Case) -> None:
    """What is read of the copy is read of the original, and the copying itself reads nothing."""
    box = watched_case(case).job.premises["larkfen"].receivers["R1"]
    with noted() as reads:
        copied = box.model_copy(update={"at": (1.0, 2.0, 3.0)})
    assert not reads.keys
    with noted() as reads:
        assert copied.at == (1.0, 2.0, 3.0)
        assert copied.fed is box.fed
    assert {name for _, name in reads.keys} == {"at", "fed"}
    plain = case.job.premises["larkfen"].receivers["R1"].model_copy(update={"at": (1.0, 2.0, 3.0)})
    assert copied == plain
    assert repr(copied) == repr(plain)


def test_parts_are_noted_by_name_and_value_by_value(case: Case) -> None:
    """One that is asked for under its name, all of a kind where they are gone through."""
    reader = watched_case(case)
    with noted() as reads:
        part = reader.equipment.receivers["larkfen/R1"]
        assert part.sheet == case.equipment.receivers["larkfen/R1"].sheet
        part.cite("sensitivity_dbm")
        assert "nobody" not in reader.equipment.devices
    place = "equipment\0receivers"
    assert {(place, "larkfen/R1"), (f"{place}\0larkfen/R1", WHOLE)} <= reads.keys
    assert (f"{place}\0larkfen/R1\0origins", "sensitivity_dbm") in reads.keys
    assert ("equipment\0devices", "nobody") in reads.keys
    with noted() as reads:
        assert list(reader.equipment.relays)
    assert reads.keys == {("equipment\0relays", WHOLE)}


def test_whoever_asks_for_what_is_kept_has_read_it(case: Case) -> None:
    """Also the second one, for whom nothing is made any more."""
    reader = watched_case(case)
    for _ in range(2):
        with noted() as reads:
            assert reader.output("larkfen/R1/1") is not None
        assert (HOUSE, "receivers") in _every(reads)


def test_what_is_read_for_a_remedy_is_apart(case: Case) -> None:
    """A copy on which something is tried needs no remedies, and is not judged again for them."""
    reader = watched_case(case)
    with noted() as reads:
        assert reader.job.job
        with aside():
            assert reader.job.rules
    assert reads.keys == {("job", "job")}
    assert reads.besides.keys == {("job", "rules")}


def _some(reader: Case, name: str) -> int:
    return sum(wall.along != () for wall in reader.job.premises[name].walls)


def test_what_is_found_again_lets_what_rests_on_it_stand(case: Case) -> None:
    """A wall moved leaves their number as it is; a wall more does not."""
    made: list[int] = []

    def judge(reader: Case) -> tuple[int, ...]:
        def make() -> tuple[int, ...]:
            made.append(1)
            return tuple(reader.found(_some, name) for name in reader.job.premises)

        return reader.kept(("walls",), make)

    first = watched_case(case)
    taken = first.after({}, frozenset(), is_noting=True, offers=True)
    judge(first)
    assert sum(made) == 1
    walls = case.job.premises["larkfen"].walls
    moved = _with(case, walls=(walls[0].model_copy(update={"along": walls[1].along}), *walls[1:]))
    fewer = _with(case, walls=walls[1:])
    assert (f"{HOUSE}\0walls\00", "along") not in differences(case, fewer)
    for after, times in ((moved, 1), (fewer, 2)):
        reader: CaseAfter = watched_case(after)
        reader.after(taken.all_the_same(), differences(case, after), is_noting=True, offers=True)
        assert judge(reader) == tuple(len(house.walls) for house in after.job.premises.values())
        assert sum(made) == times


def test_a_change_is_a_change_of_what_it_names(case: Case) -> None:
    """A single value of the file gives its own field, its part's, and the places round it."""
    change = Change(("premises", "larkfen", "receivers", "R1", "outputs", "1", "says"), "another word")
    named = {(place, name) for place, name in differences(case, tried_with(case, (change,))) if name != WHOLE}
    assert {(place, name) for place, name in named if place != CASE} == {
        (f"{HOUSE}\0receivers\0R1\0outputs\x001", "says")
    }
