"""A register for tests: the four branches of the example, with some fobs given out."""

from __future__ import annotations

import shutil
from pathlib import Path

from farpress.keys.book import RegisterBook, open_register
from survey import ROOT

__all__ = ["branches", "with_lost_fob"]


def branches(folder: Path) -> RegisterBook:
    """An empty register of the example with four branches, in a folder of its own."""
    job = folder / "branches"
    shutil.copytree(ROOT / "examples" / "brindlemark", job)
    return open_register(job)


def with_lost_fob(folder: Path) -> RegisterBook:
    """Fob BM-047-P of Ondric Vale, learned at five receivers, and a spare."""
    book = branches(folder)
    book.receive("BM-047-P", serial="3C01A7", type="F4")
    book.receive("BM-048-N", type="F4")
    book.issue("BM-047-P", person="Ondric Vale", group="fitter with lost fob", new_person=True)
    for slot, receiver in enumerate(
        ("oakmire/O1", "vessing/V1", "vessing/V2", "lowdrift/L1", "sarnbeck/S1"), 101
    ):
        book.learn("BM-047-P", receiver, slot=str(slot))
    return book
