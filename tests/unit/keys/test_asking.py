"""A question to the register is answered without loading what only a change needs."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from farpress.domain.acts import FobReceived
from farpress.keys.book import open_register
from farpress.record.store import open_record

ASK = """
import sys
from pathlib import Path
from farpress.keys.asking import AskedBook, opened
with opened(AskedBook, Path(sys.argv[1]), job="house") as book:
    print(*(fob.label for fob in book.search("")))
print(sorted({"pydantic", "sqlalchemy", "farpress.domain.acts"} & set(sys.modules)))
"""


def _asked(folder: Path) -> list[str]:
    done = subprocess.run(
        [sys.executable, "-c", ASK, str(folder)], capture_output=True, text=True, encoding="utf-8", check=True
    )
    return done.stdout.splitlines()


def test_after_a_change_a_question_reads_no_event(tmp_path: Path) -> None:
    """The change kept the register; whoever asks loads neither the classes of acts nor the toolkit."""
    with open_register(tmp_path, job="house") as book:
        book.receive("A1", "A2")
        book.receive("A3")
        assert book.record.snapshot_agrees(job="house")

    assert _asked(tmp_path) == ["A1 A2 A3", "[]"]


def test_what_was_written_by_others_is_seen(tmp_path: Path) -> None:
    """An event that the kept register does not cover is read, and then its class is loaded."""
    with open_register(tmp_path, job="house") as book:
        book.receive("A1")
    with open_record(tmp_path) as record:
        record.append(FobReceived(fob="B1"), job="house", by="colleague")

    assert _asked(tmp_path) == ["A1 B1", "['farpress.domain.acts', 'pydantic']"]
