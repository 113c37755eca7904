"""A file is there whole, or as it was before; a new one is for its owner's eyes only."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from farpress.errors import InputError
from farpress.kept.whole_file import put_whole


def test_a_file_is_put_with_its_folder_for_its_owner_only(tmp_path: Path) -> None:
    """Photos show what is in a house."""
    target = tmp_path / "seen" / "gate.jpg"
    put_whole(target, b"picture")

    assert target.read_bytes() == b"picture"
    assert os.name != "posix" or target.stat().st_mode & 0o777 == 0o600
    assert list(target.parent.iterdir()) == [target]


def test_whoever_may_read_it_may_go_on(tmp_path: Path) -> None:
    """The rights of a file that is replaced stay."""
    target = tmp_path / "job.yaml"
    target.write_bytes(b"old")
    target.chmod(0o640)
    put_whole(target, b"new")

    assert target.read_bytes() == b"new"
    assert os.name != "posix" or target.stat().st_mode & 0o777 == 0o640


def test_a_full_disk_leaves_what_was_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Told in words, with nothing half-written beside it."""
    target = tmp_path / "job.yaml"
    target.write_bytes(b"old")

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(InputError, match=r"No space left on device.*as it was"):
        put_whole(target, b"new")

    assert target.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [target]
