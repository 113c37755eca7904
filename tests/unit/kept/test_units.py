"""Units of work: made once for each key, in memory and from one run to the next."""

from __future__ import annotations

from pathlib import Path

import pytest

from farpress.kept import units as kept_units
from farpress.kept.plain import Plain
from farpress.kept.units import Units, bring, carry


@pytest.fixture
def units(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Units[object]:
    """Some units, and a cache folder of their own."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setattr("farpress.kept.store.sys.platform", "linux")
    monkeypatch.setattr(kept_units, "_EVERY", {})
    monkeypatch.setattr(kept_units, "_BROUGHT", {})
    return Units("some", most=3, plain=Plain())


def _anew() -> Units[object]:
    """As another process has them."""
    return Units("some", most=3, plain=Plain())


def never() -> object:
    """For what must not be made again."""
    pytest.fail("it was made again")


def test_a_unit_is_made_once(units: Units[object]) -> None:
    """The same key, the very same value."""
    value = (1.5,)

    assert units.once("a", lambda: value) is value
    assert units.once("a", never) is value
    assert units.made == 1


def test_what_fails_is_not_kept(units: Units[object]) -> None:
    """Cancelled or refused, it is made when it is asked for again."""
    with pytest.raises(ZeroDivisionError):
        units.once("a", lambda: 1 / 0)

    assert units.once("a", lambda: 2) == 2


def test_memory_is_bounded(units: Units[object]) -> None:
    """The oldest goes first."""
    for number in range(4):
        units.once(str(number), lambda number=number: number)

    assert units.once("3", never) == 3
    assert units.once("0", lambda: "again") == "again"


def test_units_come_from_the_last_run(units: Units[object]) -> None:
    """What was used, and only that, is there in the next process under the same key."""
    units.once("before", lambda: 0)
    bring("job")
    units.once("a", lambda: (1, 2))
    units.once("b", lambda: None)
    carry("job")

    units = _anew()
    bring("job")
    assert units.once("a", never) == (1, 2)
    assert units.once("before", lambda: "not used") == "not used"

    units = _anew()
    bring("another job")
    assert units.once("a", lambda: 3) == 3


def test_what_is_no_longer_used_is_dropped(units: Units[object]) -> None:
    """A bundle holds what its last run used; without anything new it stays as it is."""
    bring("job")
    units.once("a", lambda: 1)
    carry("job")
    units = _anew()
    bring("job")
    carry("job")
    bring("job")
    units.once("a", never)
    units.once("b", lambda: 2)
    units.forget()
    bring("job")
    units.once("b", lambda: 2)
    carry("job")

    units = _anew()
    bring("job")
    assert units.once("b", never) == 2
    assert units.once("a", lambda: 9) == 9


def test_a_bundle_of_another_shape_is_passed_over(
    units: Units[object], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever it holds, units are made."""
    for bundle in (7, [], {"some": 7}, {"some": {"a": ["object"]}}, {"other": {}}):
        monkeypatch.setattr(kept_units, "take", lambda _, bundle=bundle: bundle)
        units = _anew()
        bring("job")
        assert units.once("a", lambda: "made") == "made"


def test_what_cannot_be_written_is_not_carried(units: Units[object]) -> None:
    """No error: the next run makes it again."""
    bring("job")
    units.once("a", object)
    carry("job")

    units = _anew()
    bring("job")
    assert units.once("a", lambda: 1) == 1
