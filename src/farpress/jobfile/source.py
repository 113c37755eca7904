"""The text of a job file: found, measured, decoded, and cut into lines.

Everything that can be wrong with a file before its first word is read is said here:
missing, a folder, too large, not text, another encoding. Nothing here knows YAML.
"""

from __future__ import annotations

import hashlib
import re
import stat
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Final, NoReturn

from farpress.errors import Fault, JobFileError

__all__ = ["FILE_NAME", "LARGEST_BYTES", "Source", "decode", "fingerprint_of", "job_path", "read_source"]

FILE_NAME: Final = "job.yaml"
"""Name of the job file in its folder."""

LARGEST_BYTES: Final = 4_000_000
"""Our choice: about thirty times the job of the largest example; larger is a mistake."""

LINE_ENDS: Final = re.compile("\r\n|[\n\r\x85\u2028\u2029]")
"""What counts as the end of a line: YAML 1.1, production 'b-char' (libyaml counts lines so)."""


@dataclass(frozen=True)
class Source:
    """The text of a job file and where it came from.

    Attributes:
        file: name for messages, relative to the job folder.
        path: where it lies; None for a text made by a program.
        text: decoded, without byte order mark, line ends as in the file.
        fingerprint: see `fingerprint_of`.
        has_mark: the file begins with a UTF-8 byte order mark.
    """

    file: str
    path: Path | None
    text: str
    fingerprint: str
    has_mark: bool = False

    @cached_property
    def lines(self) -> list[str]:
        """The lines without their ends; line n of a message is element n - 1."""
        return LINE_ENDS.split(self.text)

    def fault(self, line: int, column: int, path: str, says: str) -> Fault:
        """A fault of this file with its source line; line and column counted from 1."""
        given = self.lines[line - 1] if 0 < line <= len(self.lines) else ""
        return Fault(self.file, line, column, path, says, given)


def read_source(folder: Path) -> Source:
    """The text of the job file in a folder (or of the file itself).

    Raises:
        JobFileError: there is no such file, or it cannot be the text of a job.
    """
    path = job_path(folder)
    try:
        size = path.stat().st_size
        if size > LARGEST_BYTES:
            _refuse(
                path,
                f"the file has {size / 1e6:.1f} MB, but a job file has at most {LARGEST_BYTES / 1e6:.0f} MB"
                " (our choice). Is this the right file? Fobs and readings by the thousand belong in the"
                " record, not in the job file",
            )
        with path.open("rb") as stream:
            data = stream.read(LARGEST_BYTES + 1)
    except OSError as error:
        _refuse(
            path, f"the file cannot be read: {error.strerror or error}. Look at its owner and permissions"
        )
    return decode(data, path)


def job_path(folder: Path) -> Path:
    """The job file that a folder or path means.

    Raises:
        JobFileError: nothing is there, it is no plain file, or it leads out of its folder.
    """
    if "\0" in str(folder):
        raise JobFileError([Fault(FILE_NAME, 0, 0, "", "a path cannot hold a NUL character")])
    try:
        path = folder / FILE_NAME if folder.is_dir() else folder
        if not path.exists():
            if path.name == FILE_NAME and path.parent.is_dir():
                _refuse(
                    path,
                    f"there is no {FILE_NAME} in {path.parent}. 'farpress new FOLDER' writes a first one",
                )
            _refuse(path, f"there is no file or folder {path}. 'farpress new FOLDER' makes a job folder")
        if not stat.S_ISREG(path.stat().st_mode):
            _refuse(path, f"{path} is not a file; a job folder holds its job in a plain file {FILE_NAME}")
        if path.is_symlink() and not path.resolve().is_relative_to(path.parent.resolve()):
            _refuse(
                path,
                f"{path.name} is a link that leads out of its folder, to {path.resolve()}. Give that folder"
                " itself, or copy the file",
            )
    except OSError as error:
        _refuse(folder, f"{folder} cannot be looked at: {error.strerror or error}")
    return path


def decode(data: bytes, path: Path | None, *, file: str = FILE_NAME) -> Source:
    """Bytes to text, strictly UTF-8.

    Raises:
        JobFileError: too large, another encoding, or not text at all.
    """
    name = path.name if path is not None else file

    def refuse(line: int, column: int, says: str) -> NoReturn:
        raise JobFileError([Fault(name, line, column, "", says)])

    if len(data) > LARGEST_BYTES:
        refuse(
            0,
            0,
            f"the file has more than {LARGEST_BYTES / 1e6:.0f} MB, the most a job file may have (our choice)",
        )
    for start, encoding in (
        (b"\xff\xfe\x00\x00", "UTF-32"),
        (b"\x00\x00\xfe\xff", "UTF-32"),
        (b"\xff\xfe", "UTF-16"),
        (b"\xfe\xff", "UTF-16"),
    ):
        if data.startswith(start):
            refuse(
                1,
                1,
                f"the file is saved as {encoding}; save it as UTF-8 (in the editor: Save as, encoding UTF-8)",
            )
    has_mark = data.startswith(b"\xef\xbb\xbf")
    body = data[3:] if has_mark else data
    if b"\0" in body:
        line, column = _place(body, body.index(b"\0"))
        refuse(
            line, column, "this is not a text file (it holds NUL bytes). A job file is plain text in UTF-8"
        )
    try:
        text = body.decode("utf-8")
    except UnicodeDecodeError as error:
        line, column = _place(body, error.start)
        refuse(
            line,
            column,
            f"the file is not UTF-8: byte 0x{body[error.start]:02x} fits no character. It may be saved in an"
            " older encoding such as Latin-1; save it as UTF-8 (in the editor: Save as, encoding UTF-8)",
        )
    return Source(name, path, text, fingerprint_of(data), has_mark)


def fingerprint_of(data: bytes) -> str:
    """SHA-256 of a job file's bytes, in hexadecimal.

    A byte order mark is left out and every line end counts as a line feed, so that a
    copy through another operating system keeps its fingerprint. Comments and spaces
    count: a fingerprint says which *file* a paper was made from, and whether the file
    on disk is still the one that was read.
    """
    body = data.removeprefix(b"\xef\xbb\xbf").replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    return hashlib.sha256(body).hexdigest()


def _place(body: bytes, offset: int) -> tuple[int, int]:
    before = body[:offset].replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    return before.count(b"\n") + 1, len(before[before.rfind(b"\n") + 1 :].decode("utf-8", "replace")) + 1


def _refuse(path: Path, says: str) -> NoReturn:
    raise JobFileError([Fault(path.name or FILE_NAME, 0, 0, "", says)])
