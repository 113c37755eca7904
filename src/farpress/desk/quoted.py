"""Papers of a quotation as the desk has them made beside the serving of pages. Plain values in, bytes out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from farpress.desk.apart import Snapshot, case_of_snapshot

__all__ = ["QuoteWish", "quoted_papers"]


@dataclass(frozen=True)
class QuoteWish:
    """How the papers are made.

    Attributes:
        size: of the sheet.
        day: of the quotation; None leaves a line to write on.
        before: text of an earlier version, for the change order; empty for none.
    """

    size: str = "a4"
    day: date | None = None
    before: str = ""


def quoted_papers(snapshot: Snapshot, wish: QuoteWish, tell: Callable[[int, int, str], None]) -> bytes:
    """Every paper of a quotation with its tables in one ZIP, by the lists that are kept now.

    Args:
        snapshot: the job.
        wish: how.
        tell: told (done, of, what comes now); may raise to cancel.
    """
    from farpress.papers.builders.basis import make_basis
    from farpress.papers.builders.make import files_of
    from farpress.papers.builders.quotation import quotation_papers
    from farpress.papers.typesetting.bundle import bundle
    from farpress.quoting.difference import difference_of
    from farpress.quoting.firm_lists import firm_lists
    from farpress.quoting.quotation import quotation_of

    lists = firm_lists()
    basis = make_basis(
        case_of_snapshot(snapshot), day=wish.day, progress=lambda what: tell(0, 0, f"judging: {what}")
    )
    quoted = quotation_of(basis.case, basis.assessment, lists, day=wish.day)
    difference = None
    if wish.before:
        tell(0, 0, "judging the earlier version")
        earlier = Snapshot(snapshot.folder, wish.before, f"{snapshot.fingerprint}, before")
        before = make_basis(case_of_snapshot(earlier), day=wish.day)
        difference = difference_of(quotation_of(before.case, before.assessment, lists, day=wish.day), quoted)
    papers = quotation_papers(basis, quoted, difference)
    files: dict[str, bytes] = {}
    for number, paper in enumerate(papers):
        tell(number, len(papers), paper.title)
        files |= {file.name: file.content for file in files_of(paper, basis.head, size=wish.size)}
    return bundle(files)
