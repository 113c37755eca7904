"""Fast loops kept between runs: what is kept is what is run, and what is damaged is made anew."""

from __future__ import annotations

from pathlib import Path

import pytest

from farpress.core.reach import ways_compiled
from farpress.core.reach.typed import code as typed_code
from farpress.kept import store
from farpress.reach import map_loops
from farpress.reach.map_loops import KEPT_LOOPS, LOOPS, warm_up


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Results may be kept, in a folder of their own; nothing is built yet."""
    monkeypatch.delenv(store.NO_CACHE)
    monkeypatch.delenv(LOOPS, raising=False)
    monkeypatch.setattr(store, "kept_folder", lambda: tmp_path / "kept")
    monkeypatch.setattr(ways_compiled, "BUILT", [])
    return tmp_path / "kept"


@pytest.mark.long
def test_loops_are_built_once_and_then_taken_from_where_they_are_kept(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The second process builds nothing; one whose copy is damaged does."""
    built = list[int]()

    def counted(text: str) -> bytes:
        built.append(len(text))
        return typed_code.built(text)

    monkeypatch.setattr(ways_compiled, "built", counted)

    warm_up()
    ways_compiled.BUILT.clear()
    warm_up()
    assert len(built) == 1

    entry = max(folder.glob("*.kept.json"), key=lambda file: file.stat().st_size)
    entry.write_bytes(entry.read_bytes()[:-9])
    ways_compiled.BUILT.clear()
    warm_up()
    assert len(built) == 2


def test_nothing_is_looked_for_before_any_loops_were_kept(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """To find out what they would be called takes as long as a dozen ways; once some were kept it is done."""
    looked = list[object]()
    monkeypatch.setattr(ways_compiled, "look_for", looked.append)
    for is_kept in (False, True):
        monkeypatch.setattr(map_loops, "_asked", [])
        if is_kept:
            KEPT_LOOPS.put("loops", b"code")
        for _ in range(map_loops._FEWEST):
            map_loops.look_for_loops()
        assert looked == [KEPT_LOOPS] * is_kept


def test_what_is_not_machine_code_is_not_taken_for_it(folder: Path) -> None:
    """Something else under the same name, or nothing."""
    assert KEPT_LOOPS.take("loops") is None
    KEPT_LOOPS.put("loops", b"\x00code")
    assert KEPT_LOOPS.take("loops") == b"\x00code"
    for other in ({"a": 1}, "no base 64!"):
        store.put(store.entry_key("loops", "loops"), other)
        assert KEPT_LOOPS.take("loops") is None


def test_nothing_is_kept_where_the_user_wants_nothing_kept(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`FARPRESS_NO_CACHE` holds for loops too."""
    monkeypatch.setenv(store.NO_CACHE, "1")
    KEPT_LOOPS.put("loops", b"code")
    assert not folder.exists()
    assert KEPT_LOOPS.take("loops") is None


def test_a_folder_for_loops_alone_is_used_where_no_results_are_kept(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Named in full; a name that hangs on where one stands is none, and nothing is kept."""
    monkeypatch.setenv(store.NO_CACHE, "1")
    monkeypatch.setenv(LOOPS, "loops")
    KEPT_LOOPS.put("loops", b"code")
    assert KEPT_LOOPS.take("loops") is None

    monkeypatch.setenv(LOOPS, str(tmp_path / "loops"))
    KEPT_LOOPS.put("loops", b"code")
    assert KEPT_LOOPS.take("loops") == b"code"
    assert len(list((tmp_path / "loops").iterdir())) == 2  # the code, and that there is some
    assert not folder.exists()
    (tmp_path / "loops").chmod(0o755)
    assert KEPT_LOOPS.take("loops") is None
