"""Photos and voice notes of a job, kept in its folder with the thing they show.

Each is a file with a small table beside it, so that what two laptops bring back joins without a clash, and
everything that copies the folder takes them along. What a file is, its first bytes say, never its name.
"""

from __future__ import annotations

import contextlib
import json
import re
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any, Final

from farpress.errors import InputError
from farpress.kept.whole_file import put_whole

__all__ = [
    "FOLDER",
    "MOST_BYTES",
    "SeenNote",
    "keep_seen",
    "kind_of_bytes",
    "seen_bytes",
    "seen_in",
    "take_seen_out",
]

FOLDER: Final = "seen"
"""Within the folder of the job."""

MOST_BYTES: Final = 12_000_000
"""Of one photo or note; our choice: a telephone's photo has a few megabytes, a minute of speech one."""

MOST_NOTES: Final = 400
"""Of one job; our choice."""

MOST_LETTERS: Final = 400
"""Of a remark; our choice."""

KINDS: Final = {
    "jpg": "image/jpeg",
    "png": "image/png",
    "webp": "image/webp",
    "ogg": "audio/ogg",
    "webm": "audio/webm",
    "m4a": "audio/mp4",
    "wav": "audio/wav",
    "mp3": "audio/mpeg",
}
"""End of a name \u2192 what it is served as (IANA media types)."""

_ID: Final = re.compile(r"[0-9a-f]{24}")


@dataclass(frozen=True)
class SeenNote:
    """A photo or a voice note.

    Attributes:
        id: made of its bytes and of what it shows.
        kind: end of its name, "jpg".
        shows: keys that lead to the thing in the job file.
        says: a remark.
        by, moment: who brought it, and when.
    """

    id: str
    kind: str
    shows: tuple[str, ...]
    says: str
    by: str
    moment: str

    @property
    def is_sound(self) -> bool:
        """It is heard, not seen."""
        return KINDS[self.kind].startswith("audio/")


def kind_of_bytes(data: bytes) -> str:
    r"""What a file is by its first bytes; empty for nothing that is kept.

    >>> kind_of_bytes(b"\x89PNG\r\n\x1a\n"), kind_of_bytes(b"<svg xmlns=")
    ('png', '')
    """
    if data[:3] == b"\xff\xd8\xff":
        return "jpg"
    if data[:8] == b"\x89PNG\r\n\x1a\n":
        return "png"
    if data[:4] == b"RIFF":
        return {b"WEBP": "webp", b"WAVE": "wav"}.get(data[8:12], "")
    if data[:4] == b"OggS":
        return "ogg"
    if data[:4] == b"\x1aE\xdf\xa3":
        return "webm"
    if data[4:8] == b"ftyp":
        return "m4a" if data[8:11] in (b"M4A", b"mp4", b"iso", b"M4B", b"3gp") else ""
    if data[:3] == b"ID3" or (len(data) > 2 and data[0] == 0xFF and data[1] & 0xE6 == 0xE2):
        return "mp3"
    return ""


def keep_seen(
    folder: Path, data: bytes, *, shows: tuple[str, ...], says: str, by: str, moment: str
) -> SeenNote:
    """Keep a photo or note beside a job.

    Args:
        folder: of the job.
        data: the file.
        shows: keys that lead to the thing.
        says: a remark.
        by, moment: who brings it, and when.

    Raises:
        InputError: it is empty, too large, none of the kinds that are kept, there are too many, the remark is
            too long, or nothing can be written.
    """
    kind = kind_of_bytes(data)
    if not kind:
        raise InputError(
            "This is neither a photo nor a sound that is kept: give a JPEG, PNG or WebP picture, or an Ogg,"
            " WebM, MPEG-4, WAV or MP3 sound."
        )
    if len(data) > MOST_BYTES:
        raise InputError(
            f"This file has {len(data) / 1e6:.1f} MB; at most {MOST_BYTES / 1e6:.0f} MB are kept. Take a"
            " smaller picture, or a shorter note."
        )
    there = list(seen_in(folder))
    if len(there) >= MOST_NOTES:
        raise InputError(f"There are {len(there)} photos and notes already; take some out first.")
    if len(says) > MOST_LETTERS:
        raise InputError(f"The remark has {len(says)} letters; {MOST_LETTERS} are kept. Make it shorter.")
    name = sha256(data + "\0".join(shows).encode()).hexdigest()[:24]
    note = SeenNote(name, kind, shows, says, by, moment)
    home = folder / FOLDER
    put_whole(home / f"{name}.{kind}", data)
    put_whole(home / f"{name}.json", json.dumps(asdict(note), ensure_ascii=False, indent=1).encode())
    return note


def seen_in(folder: Path) -> Iterator[SeenNote]:
    """Every photo and note of a job, the oldest first; what cannot be read is left out."""
    found = [_read(path) for path in sorted((folder / FOLDER).glob("*.json"))]
    yield from sorted((note for note in found if note is not None), key=lambda note: (note.moment, note.id))


def seen_bytes(folder: Path, name: str) -> tuple[bytes, str]:
    """A photo or note, and what it is served as by its own bytes.

    Raises:
        InputError: there is none of this name, or its file is none.
    """
    note = next((note for note in seen_in(folder) if note.id == name), None)
    data = b""
    if note is not None:
        with contextlib.suppress(OSError):
            data = (folder / FOLDER / f"{note.id}.{note.kind}").read_bytes()
    kind = kind_of_bytes(data)
    if not kind:
        raise InputError("There is no such photo or note (any more). Load the page again.")
    return data, KINDS[kind]


def take_seen_out(folder: Path, name: str) -> SeenNote:
    """Take a photo or note out for good.

    Raises:
        InputError: there is none of this name.
    """
    note = next((note for note in seen_in(folder) if note.id == name), None)
    if note is None:
        raise InputError("There is no such photo or note (any more). Load the page again.")
    (folder / FOLDER / f"{note.id}.json").unlink(missing_ok=True)
    (folder / FOLDER / f"{note.id}.{note.kind}").unlink(missing_ok=True)
    return note


def _read(path: Path) -> SeenNote | None:
    try:
        plain: Any = json.loads(path.read_text(encoding="utf-8"))
        shows = tuple(str(key) for key in plain["shows"])
        words = {key: str(plain[key]) for key in ("id", "kind", "says", "by", "moment")}
    except (OSError, ValueError, KeyError, TypeError):
        return None
    fits = words["id"] == path.stem and _ID.fullmatch(words["id"]) and words["kind"] in KINDS
    return SeenNote(shows=shows, **words) if fits else None
