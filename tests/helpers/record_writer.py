"""A program of its own that writes to a record: it is killed, or runs beside others.

Each entry's number is printed when, and only when, the record has acknowledged it.
"""

from __future__ import annotations

import sys

from farpress.domain.acts import Note
from farpress.record.store import open_record


def main(address: str, name: str, count: int) -> None:
    """Append `count` entries, telling of each when it is on disk."""
    with open_record(address) as record:
        _tell("ready")
        for number in range(count):
            record.append_all(
                [Note(says=f"{name} {number} a"), Note(says=f"{name} {number} b")], job="house", by=name
            )
            _tell(number)


def _tell(word: object) -> None:
    sys.stdout.write(f"{word}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], int(sys.argv[3]))
