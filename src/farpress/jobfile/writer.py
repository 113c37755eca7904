"""Write changes back into a job file: comments, order and every untouched line survive.

A value that becomes another value is replaced where it stands, to the character. Larger
changes go through a round trip, of the lines of their entry where these can stand alone, else
of the whole file; of its result only the lines that changed are taken over. Before the file is replaced the
result is read again and held
against what was asked for. The file is replaced in one step, or not at all.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Collection, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, NoReturn

from farpress.domain.finding import Change
from farpress.errors import Fault, JobFileError
from farpress.jobfile.formats import brought_over
from farpress.jobfile.node import Node, path_text, plain, plain_value
from farpress.jobfile.patching import ways_to_write
from farpress.jobfile.reader import read_job_text
from farpress.jobfile.source import Source, decode, job_path, read_source
from farpress.jobfile.text_to_tree import text_to_tree

__all__ = ["apply_changes", "put_text", "with_changes_made"]


def apply_changes(
    path: Path,
    changes: Sequence[Change],
    *,
    fingerprint: str | None = None,
    known: Mapping[str, Collection[str]] | None = None,
) -> str:
    """Make changes in the job file of a folder, all of them or none.

    Args:
        path: the job's folder, or its file.
        changes: in this order; a value of None removes the entry. The key of a path that
            is not there yet is added; an index one past the end of a list appends.
        fingerprint: of the file that the changes were thought for; None: whatever is there.
        known: names of the catalogue; given, the result must read without faults.

    Returns:
        Fingerprint of the file as it is now.

    Raises:
        JobFileError: the file was changed by somebody else meanwhile, a path leads nowhere,
            or the result would have faults. The file is as it was.
    """
    source = read_source(path)
    where = job_path(path).resolve()
    if fingerprint is not None and fingerprint != source.fingerprint:
        _refuse(
            source,
            "the file was changed on disk since it was read, so nothing was written. Read it again and repeat"
            " the change",
        )
    tree, faults = text_to_tree(source)
    if tree is None or faults:
        raise JobFileError(
            faults or [source.fault(1, 1, "", "the file is empty; there is nothing to change")]
        )
    result, _ = with_changes_made(source, tree, changes)
    data = (b"\xef\xbb\xbf" if source.has_mark else b"") + result.text.encode("utf-8")
    if known is not None:
        read_job_text(data, known=known, file=source.file)
    _replace(where, data, source)
    return result.fingerprint


def with_changes_made(source: Source, tree: Node, changes: Sequence[Change]) -> tuple[Source, Node]:
    """The text and tree of a job file after changes, with nothing written; see `apply_changes`.

    A file of an earlier format that gets something this one did not know says the newest one afterwards.

    Args:
        source, tree: the file as it is, without faults of form.
        changes: what to do, in this order.

    Raises:
        JobFileError: a path leads nowhere, or the change cannot be written so that it reads back the same.
    """
    wanted = plain(tree)
    for change in changes:
        _change(wanted, change, source)
    over = brought_over(wanted)
    if over is not None:
        _change(wanted, over, source)
        changes = (*changes, over)
    faults: list[Fault] = []
    for text in ways_to_write(source, tree, changes):
        result = decode(text.encode("utf-8"), source.path, file=source.file)
        after, faults = text_to_tree(result)
        if after is not None and not faults and plain(after) == wanted:
            return result, after
    says = (
        "the change could not be written so that it reads back the same, so nothing was written. Make it in"
        " the file by hand"
    )
    if any(node.shared for node in _every(tree)):
        says += ". Values used twice through '&' and '*' are the likely cause: write them out"
    raise JobFileError(faults or [source.fault(0, 0, "", says)])


def put_text(
    path: Path, text: str, *, fingerprint: str, known: Mapping[str, Collection[str]] | None = None
) -> str:
    """Put a whole text in the place of a job file, as when an earlier version is brought back.

    Args:
        path: the job's folder, or its file.
        text: the new text, without byte order mark.
        fingerprint: of the file that it shall replace.
        known: names of the catalogue; None where the text was read without faults just before.

    Returns:
        Fingerprint of the file as it is now.

    Raises:
        JobFileError: the file was changed meanwhile, or the text has faults. The file is as it was.
    """
    source = read_source(path)
    if fingerprint != source.fingerprint:
        _refuse(
            source,
            "the file was changed on disk since it was read, so nothing was written. Read it again and repeat"
            " the change",
        )
    data = (b"\xef\xbb\xbf" if source.has_mark else b"") + text.encode("utf-8")
    if known is not None:
        read_job_text(data, known=known, file=source.file)
    _replace(job_path(path).resolve(), data, source)
    return decode(data, None).fingerprint


def _change(top: Any, change: Change, source: Source) -> None:
    """Make one change in the values."""
    if not change.path:
        _refuse(source, "a change needs a path; the whole file is not replaced by one value")
    place: Any = top
    for index, key in enumerate(change.path[:-1]):
        if isinstance(place, dict):
            place = place.setdefault(str(key), {})
            if place is None:
                _refuse(
                    source, f"nothing stands at {path_text(change.path[: index + 1])} to change something in"
                )
        elif isinstance(place, list) and isinstance(key, int) and 0 <= key < len(place):
            place = place[key]
        else:
            _refuse(source, f"there is no {path_text(change.path[: index + 1])} in the file")
    last = change.path[-1]
    if isinstance(place, dict):
        if change.value is None:
            if str(last) not in place:
                _refuse(source, f"there is no {path_text(change.path)} to remove")
            del place[str(last)]
        else:
            place[str(last)] = plain_value(change.value)
    elif (
        isinstance(place, list)
        and isinstance(last, int)
        and 0 <= last <= len(place)
        and (last < len(place) or change.value is not None)
    ):
        if change.value is None:
            del place[last]
        elif last == len(place):
            place.append(plain_value(change.value))
        else:
            place[last] = plain_value(change.value)
    else:
        _refuse(source, f"there is no {path_text(change.path)} in the file")


def _every(node: Node) -> Iterator[Node]:
    yield node
    for child in [child for _, _, child in node.items.values()] + node.elements:
        yield from _every(child)


def _replace(where: Path, data: bytes, source: Source) -> None:
    """Put the new bytes in the place of the file in one step; on any failure the old file stays."""
    handle, name = -1, ""
    try:
        handle, name = tempfile.mkstemp(prefix=f".{where.name}.", suffix=".new", dir=where.parent)
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        Path(name).chmod(where.stat().st_mode & 0o777)
        if read_source(where).fingerprint != source.fingerprint:
            _refuse(
                source,
                "the file was changed on disk while the change was being made, so nothing was written. Read"
                " it again and repeat the change",
            )
        Path(name).replace(where)
        _sync_folder(where.parent)
    except OSError as error:
        raise JobFileError(
            [
                Fault(
                    source.file,
                    0,
                    0,
                    "",
                    f"the file could not be written: {error.strerror or error}. It is as it was",
                )
            ]
        ) from error
    finally:
        if name:
            Path(name).unlink(missing_ok=True)


def _sync_folder(folder: Path) -> None:
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _refuse(source: Source, says: str) -> NoReturn:
    raise JobFileError([Fault(source.file, 0, 0, "", says)])
