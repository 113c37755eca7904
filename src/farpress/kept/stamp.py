"""What a kept result was made with: version, files of the package, libraries and interpreter.

A developer's edit, another version or an installed library gives another stamp, and what was kept under the
old one is never looked at again. Only names, sizes and times are read, no file is opened.
"""

from __future__ import annotations

import hashlib
import os
import sys
from functools import cache
from pathlib import Path
from typing import Final

from farpress.version import __version__

__all__ = ["program_stamp"]

_PACKAGE: Final = Path(__file__).resolve().parent.parent


@cache
def program_stamp(package: Path = _PACKAGE) -> str:
    """The program as it is, in hexadecimal; empty where its files cannot be looked at, as in an archive.

    Args:
        package: the folder of the package.
    """
    digest = hashlib.sha256(f"{__version__} {sys.version} {sys.platform} {_machine()}".encode())
    try:
        for name, size, written_ns in _files(str(package)):
            digest.update(f"{name}\0{size}\0{written_ns}\n".encode("utf-8", "surrogatepass"))
        for folder in sorted({folder for folder in sys.path if folder.endswith("-packages")}):
            digest.update(f"{folder}\0{_written_ns(folder)}\n".encode("utf-8", "surrogatepass"))
    except OSError:
        return ""
    return digest.hexdigest()


def _machine() -> str:
    return " ".join((os.uname().machine, os.uname().nodename)) if hasattr(os, "uname") else ""


def _files(folder: str) -> list[tuple[str, int, int]]:
    """Name, size and time of every file below a folder, what Python makes of modules aside; sorted."""
    found: list[tuple[str, int, int]] = []
    ahead = [folder]
    while ahead:
        with os.scandir(ahead.pop()) as entries:
            for entry in entries:
                if entry.is_dir():
                    if entry.name != "__pycache__":
                        ahead.append(entry.path)
                elif not entry.name.endswith(".pyc"):
                    status = entry.stat()
                    found.append((entry.path, status.st_size, status.st_mtime_ns))
    return sorted(found)


def _written_ns(folder: str) -> int:
    """When something was last installed into a folder or taken out of it; 0 where it is not there."""
    return Path(folder).stat().st_mtime_ns if Path(folder).is_dir() else 0
