"""A folder that a copy is being put into: one that a cut or a kill left half full is taken over, no other.

What is to arrive is noted in the folder before its first file and struck out after its last. A folder that
still has the note holds nothing of anybody's own as long as all its files stand on it with the content they
came with.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path
from typing import Final

from farpress.errors import InputError

__all__ = ["arriving", "require_free"]

NOTE: Final = ".arriving.json"
"""Name of the note; a job folder's own files never begin with a point."""

ANY: Final = "*"
"""In place of a digest: any content, for what is joined with what comes and not replaced."""


def require_free(folder: Path, job: str) -> None:
    """Refuse a folder that has something in it, other than what an earlier try for the same job left.

    Raises:
        InputError: it is no folder, or has files that the earlier try did not bring.
    """
    if not folder.exists():
        return
    if not folder.is_dir():
        raise InputError(f"{folder} is a file; give a new folder for the copy.")
    there = {path.relative_to(folder).as_posix(): path for path in folder.rglob("*") if path.is_file()}
    if not there and not any(folder.iterdir()):
        return
    noted_job, noted = _noted(folder)
    own = sorted(path for path, file in there.items() if not _was_brought(path, file, noted))
    if noted_job == job and not own:
        return
    if noted_job == job:
        raise InputError(
            f"{folder} has a copy of '{job}' that was broken off, and {', '.join(own[:5])} beside it. Move"
            " that away and try again, or give a new folder."
        )
    raise InputError(f"{folder} is not empty; give a new folder for the copy.")


@contextmanager
def arriving(
    folder: Path, job: str, *, files: Mapping[str, bytes], joined: Iterable[str] = ()
) -> Iterator[None]:
    """While files arrive in a new folder; what an earlier try left and this one does not bring is removed.

    Args:
        folder: new, or one that `require_free` lets pass.
        job: whose copy it is.
        files: path below the folder -> content, as they will be written.
        joined: paths of files that are joined rather than replaced, whose content is not known beforehand.
    """
    folder.mkdir(parents=True, exist_ok=True)
    _, earlier = _noted(folder)
    coming = {path: [sha256(content).hexdigest()] for path, content in files.items()} | {
        path: [ANY] for path in (*joined, NOTE)
    }
    both = {path: coming.get(path, []) + earlier.get(path, []) for path in {*coming, *earlier}}
    note = folder / NOTE
    note.write_text(json.dumps({"job": job, "paths": both}, ensure_ascii=False), encoding="utf-8")
    for path in folder.rglob("*"):
        name = path.relative_to(folder).as_posix()
        if path.is_file() and name not in coming and _was_brought(name, path, earlier):
            path.unlink()
    yield
    note.unlink()


def _was_brought(path: str, file: Path, noted: Mapping[str, list[str]]) -> bool:
    """Whether a file is as an earlier try brought it, or was still being written when that was broken off."""
    name = path.rpartition("/")[2]
    if name.startswith(".") and name.endswith(".new"):
        return True
    digests = noted.get(path, [])
    return ANY in digests or (bool(digests) and sha256(file.read_bytes()).hexdigest() in digests)


def _noted(folder: Path) -> tuple[str, dict[str, list[str]]]:
    """Job, and path -> digests, of a copy that was broken off; empty where there is none."""
    try:
        value = json.loads((folder / NOTE).read_text(encoding="utf-8"))
        return str(value["job"]), {str(path): list(map(str, of)) for path, of in value["paths"].items()}
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return "", {}
