"""The store of kept results: small files in the user's cache folder, found by a hash of all they rest on.

Nothing needs it. A folder that cannot be written, a full disk, a file that is damaged or belongs to somebody
else: the result is computed as if nothing had been kept. What is kept is JSON, for the user's eyes alone
(folder 0700, files 0600), written whole or not at all, and bounded: what was not used for longest goes first.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import stat
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

__all__ = [
    "MOST_BYTES",
    "MOST_ENTRIES",
    "NO_CACHE",
    "entry_key",
    "is_wanted",
    "kept_folder",
    "put",
    "store_left_alone",
    "take",
]

NO_CACHE: Final = "FARPRESS_NO_CACHE"
"""Environment variable: set to anything but nothing, nothing is kept and nothing kept is looked at."""

MOST_ENTRIES: Final = 256
"""Entries kept at most; our choice."""

MOST_BYTES: Final = 100_000_000
"""Bytes kept at most, all entries together; our choice."""

LARGEST_BYTES: Final = 20_000_000
"""Largest entry; our choice, five times the largest job file."""

_END: Final = ".kept.json"


def kept_folder() -> Path:
    """Where results are kept: the user's cache folder as the operating system calls it.

    XDG Base Directory Specification on Linux: `$XDG_CACHE_HOME`, else `~/.cache`.
    """
    if sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
        return base / "farpress" / "cache"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches" / "farpress"
    given = os.environ.get("XDG_CACHE_HOME", "")  # the specification: a relative path is no path
    base = Path(given) if given and Path(given).is_absolute() else Path.home() / ".cache"
    return base / "farpress"


def is_wanted() -> bool:
    """Whether the user wants results kept: `NO_CACHE` is not set."""
    return not os.environ.get(NO_CACHE)


@contextmanager
def store_left_alone() -> Iterator[None]:
    """Nothing is looked up and nothing kept, in this process, as if the user had said so by `NO_CACHE`."""
    before = os.environ.get(NO_CACHE)
    os.environ[NO_CACHE] = "1"
    try:
        yield
    finally:
        if before is None:
            del os.environ[NO_CACHE]
        else:
            os.environ[NO_CACHE] = before


def entry_key(*parts: str | bytes) -> str:
    """A name for what rests on some texts and bytes: another one for any other parts."""
    digest = hashlib.sha256()
    for part in parts:
        data = part.encode("utf-8", "surrogatepass") if isinstance(part, str) else part
        digest.update(f"{len(data)}:".encode())
        digest.update(data)
    return digest.hexdigest()


def take(key: str, *, folder: Path | None = None) -> Any:
    """What was kept under a key, plain JSON; None where nothing usable is there. A bad entry is removed.

    Args:
        key: from `entry_key`.
        folder: where it was kept; `kept_folder` where none is named.
    """
    try:
        file = (folder or kept_folder()) / f"{key}{_END}"
        status = file.lstat()
    except (OSError, RuntimeError):  # no such entry; or no home
        return None
    try:
        if not _is_ours(status, file=True) or not _is_ours(file.parent.lstat(), file=False):
            raise ValueError("somebody else may have written it")
        head, _, body = file.read_bytes().partition(b"\n")
        if head != _head(key, body):
            raise ValueError("it is not what was written")
        value = json.loads(body)
        with contextlib.suppress(OSError):
            os.utime(file)  # used now: the last to go
    except (OSError, ValueError, RecursionError):
        _remove(file)
        return None
    return value


def put(key: str, value: object, *, folder: Path | None = None) -> bool:
    """Keep plain JSON under a key, if that can be done.

    Args:
        key: from `entry_key`.
        value: what is kept.
        folder: where; `kept_folder` where none is named.

    Returns:
        Whether it is kept; it never is where the disk is full or may not be written.
    """
    name = ""
    try:
        body = json.dumps(value, ensure_ascii=False, separators=(",", ":")).encode("utf-8", "surrogatepass")
        if len(body) > LARGEST_BYTES:
            return False
        folder = _own_folder(folder or kept_folder())
        name = str(folder / f".{os.urandom(8).hex()}.new")
        handle = os.open(name, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)  # for its owner's eyes only
        with os.fdopen(handle, "wb") as stream:
            stream.write(_head(key, body) + b"\n" + body)
        Path(name).replace(folder / f"{key}{_END}")
        _bound(folder)
    except (OSError, TypeError, ValueError, RuntimeError, RecursionError):
        if name:
            _remove(Path(name))
        return False
    return True


def _head(key: str, body: bytes) -> bytes:
    return hashlib.sha256(key.encode() + b"\n" + body).hexdigest().encode()


def _own_folder(folder: Path) -> Path:
    """The folder, made if it is not there.

    Raises:
        OSError: it cannot be made, or others may write into it.
    """
    folder.parent.mkdir(parents=True, exist_ok=True)
    folder.mkdir(mode=0o700, exist_ok=True)
    if not _is_ours(folder.lstat(), file=False):
        raise PermissionError(f"{folder} is open to others")
    return folder


def _is_ours(status: os.stat_result, *, file: bool) -> bool:
    """Whether it is a plain file, or a folder, of this user that nobody else can read or write."""
    if not (stat.S_ISREG(status.st_mode) if file else stat.S_ISDIR(status.st_mode)):
        return False
    if not hasattr(os, "getuid"):
        return True  # rights are not said by these bits there; the folder lies in the user's own
    return status.st_uid == os.getuid() and not status.st_mode & 0o077


def _bound(folder: Path) -> None:
    """Remove what was not used for longest until the rest is within the bounds."""
    entries = []
    for file in folder.iterdir():
        with contextlib.suppress(OSError):
            status = file.lstat()
            entries.append((status.st_mtime_ns, status.st_size, file))
    entries.sort(reverse=True)
    total = 0
    for place, (_, size, file) in enumerate(entries):
        total += size
        if place >= MOST_ENTRIES or (total > MOST_BYTES and place > 0):
            _remove(file)


def _remove(file: Path) -> None:
    with contextlib.suppress(OSError):
        file.unlink()
