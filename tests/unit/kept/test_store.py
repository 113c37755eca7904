"""The store of kept results: gives back what was put, believes nothing else, and is never needed."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from farpress.kept import store
from farpress.kept.stamp import program_stamp
from farpress.kept.store import entry_key, kept_folder, put, take

VALUE = {"a": [1, 2.5, None, True, "Grüße \udc80"], "b": float("inf")}


@pytest.fixture(autouse=True)
def _home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setattr(store.sys, "platform", "linux")


def _file(key: str) -> Path:
    return kept_folder() / f"{key}.kept.json"


def test_what_was_put_comes_back() -> None:
    """The same value under its key, and nothing under another."""
    assert put("k", VALUE)

    assert take("k") == VALUE
    assert take("other") is None


def test_only_the_user_may_look() -> None:
    """The folder is 0700 and the file 0600, whatever the umask lets through."""
    before = os.umask(0)
    try:
        put("k", VALUE)
    finally:
        os.umask(before)

    assert stat.S_IMODE(kept_folder().stat().st_mode) == 0o700
    assert stat.S_IMODE(_file("k").stat().st_mode) == 0o600


@pytest.mark.parametrize(
    "damage",
    [
        lambda data: data[:-1],
        lambda data: data.replace(b"2.5", b"2.6"),
        lambda data: b"",
        lambda data: b"\0" * len(data),
        lambda data: data + b"\n",
        lambda data: data.partition(b"\n")[2],
    ],
)
def test_a_damaged_entry_is_removed(damage: object) -> None:
    """One byte otherwise, and it is neither used nor left there."""
    put("k", VALUE)
    _file("k").write_bytes(damage(_file("k").read_bytes()))  # type: ignore[operator]

    assert take("k") is None
    assert not _file("k").exists()


def test_an_entry_under_another_name_is_not_believed() -> None:
    """An entry tells which key it was kept under."""
    put("k", VALUE)
    _file("k").rename(_file("other"))

    assert take("other") is None


def test_what_others_could_have_written_is_not_believed() -> None:
    """A file that others may write or read, a link, a folder in place of a file."""
    put("k", VALUE)
    _file("k").chmod(0o644)
    assert take("k") is None

    put("k", VALUE)
    _file("k").rename(kept_folder() / "elsewhere")
    _file("k").symlink_to(kept_folder() / "elsewhere")
    assert take("k") is None

    _file("k").mkdir(parents=True)
    assert take("k") is None
    assert not put("k", VALUE)


def test_a_folder_open_to_others_is_not_used() -> None:
    """Somebody else could put an entry there."""
    put("k", VALUE)
    kept_folder().chmod(0o777)

    assert take("k") is None
    assert not put("other", VALUE)


def test_nothing_is_kept_where_that_cannot_be_done(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file in place of the folder, a full disk, a value that is no JSON: no error, no half file."""
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "file"))
    assert not put("k", VALUE)
    assert take("k") is None

    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    assert not put("k", {"a": object()})

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fdopen", full)
    assert not put("k", VALUE)
    assert list(kept_folder().iterdir()) == []


def test_the_number_of_entries_is_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    """What was not used for longest goes first."""
    monkeypatch.setattr(store, "MOST_ENTRIES", 3)
    for number in range(3):
        put(f"k{number}", number)
        os.utime(_file(f"k{number}"), ns=(number, number))
    assert take("k0") == 0  # used now

    put("k3", 3)

    assert [take(f"k{number}") for number in range(4)] == [0, None, 2, 3]


def test_the_bytes_are_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    """All entries together keep within the bound, the newest whatever its size."""
    monkeypatch.setattr(store, "MOST_BYTES", 2500)
    for number in range(3):
        put(f"k{number}", "x" * 1000)
        os.utime(_file(f"k{number}"), ns=(number, number))
    assert [take(f"k{number}") is None for number in range(3)] == [True, False, False]

    monkeypatch.setattr(store, "LARGEST_BYTES", 1000)
    assert not put("large", "x" * 1000)


def test_a_relative_cache_folder_is_none(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """XDG Base Directory Specification: a path there is absolute; one that is not is passed over."""
    monkeypatch.setenv("XDG_CACHE_HOME", "here")
    monkeypatch.setenv("HOME", str(tmp_path))

    assert kept_folder() == tmp_path / ".cache" / "farpress"


def test_a_key_tells_its_parts_apart() -> None:
    """The same bytes cut otherwise are other parts."""
    assert entry_key("ab", "c") != entry_key("a", "bc")
    assert entry_key("ab", b"c") == entry_key(b"ab", "c")


def test_another_program_has_another_stamp(tmp_path: Path) -> None:
    """An edit that leaves the size, a new file, a file less; what Python makes of modules does not count."""
    (tmp_path / "room").mkdir()
    module = tmp_path / "room" / "module.py"
    module.write_text("A = 1\n")
    stamps = [program_stamp.__wrapped__(tmp_path)]
    module.write_text("A = 2\n")
    os.utime(module, ns=(1, 1))
    stamps.append(program_stamp.__wrapped__(tmp_path))
    (tmp_path / "room" / "data.yaml").write_text("")
    stamps.append(program_stamp.__wrapped__(tmp_path))
    module.unlink()
    stamps.append(program_stamp.__wrapped__(tmp_path))
    assert len(set(stamps)) == 4

    (tmp_path / "room" / "__pycache__").mkdir()
    (tmp_path / "room" / "__pycache__" / "module.pyc").write_text("")
    assert program_stamp.__wrapped__(tmp_path) == stamps[-1]


def test_what_cannot_be_looked_at_has_no_stamp(tmp_path: Path) -> None:
    """A package in an archive: nothing is kept then."""
    assert program_stamp.__wrapped__(tmp_path / "archive.zip") == ""
