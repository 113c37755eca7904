"""The summary of an assessment on paper: every promise, its chain, its weakest link.

One value in, one paper out; it reads no job file and no clock. It judges nothing: what
stands here stands in the findings.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from farpress.overview.concerns import Concern
from farpress.overview.page import FirstPage, first_page
from farpress.papers.typesetting.paper import (
    Block,
    Cautions,
    Cell,
    Column,
    Findings,
    Head,
    Paper,
    PaperTable,
    Promises,
    Section,
)
from farpress.papers.typesetting.render import paper_pdf
from farpress.phrases import listed
from farpress.sources import Citation, Mark

if TYPE_CHECKING:
    from farpress.domain.finding import Assessment

__all__ = ["CAUTIONS", "summary_paper", "summary_pdf"]

CAUTIONS: Final = (
    (
        "A radio link is convenient, not certain. A press may be missed, delayed or blocked by other"
        " transmitters. Whoever presses watches what moves until it has stopped."
    ),
    (
        "Radio is never a safety function. Nobody's way out, no emergency stop and no safety input may depend"
        " on it."
    ),
    (
        "These figures come from the sources named below and from what the job file says; measure on site"
        " before relying on them. “From memory” and “our choice” mean exactly that."
    ),
    (
        "National wiring rules, fire and building law, machinery rules and the insurer's and police"
        " requirements come before this paper. Work on mains, on escape routes and at the alarm panel belongs"
        " to those licensed for it."
    ),
)
"""Printed on every summary; our own words."""

_MEANS: Final = {
    "holds": "with room to spare",
    "thin": "holds, but within the doubt of the numbers",
    "unknown": "something is not known yet: measure or ask",
    "fails": "will not work as promised, or breaks a rule",
}
_MINUTES: Final = Citation("minutes of a question", mark=Mark.CHOICE)

_GROUPS: Final = (
    ("fails", "What fails"),
    ("unknown", "What is not known yet"),
    ("thin", "What holds only just"),
)


def summary_paper(assessment: Assessment) -> Paper:
    """The summary as a paper of sections.

    Args:
        assessment: what to print.
    """
    first = first_page(assessment)
    return Paper(
        "summary",
        "Summary of promises",
        "For whoever wants to know where the job stands: every promise as a chain of links, the weakest"
        " named; then what fails, what is not known and what holds only just.",
        (
            Section(f"The whole job: {assessment.verdict}", (_counts(assessment),)),
            *_first(first),
            Section(
                "Promises, from thumb to moving leaf",
                (
                    Promises(
                        assessment.promises,
                        "This job holds no promises yet; nothing was judged from end to end.",
                        is_brief=True,
                    ),
                ),
            ),
            *_judged(assessment),
            Section("Cautions", (Cautions(CAUTIONS),)),
        ),
    )


def summary_pdf(assessment: Assessment, *, paper: str = "a4", date: str | None = None) -> bytes:
    """Set the summary of an assessment.

    Args:
        assessment: what to print.
        paper: "a4" or "letter".
        date: printed in the title block as it is given; None leaves a line to write on.

    Returns:
        A tagged PDF (PDF/UA-1); the same arguments give the same bytes.

    Raises:
        InputError: an unknown paper size.
        PaperError: the paper could not be set.
    """
    return paper_pdf(
        summary_paper(assessment),
        Head(assessment.job, assessment.fingerprint, assessment.version, date),
        size=paper,
    )


def _first(page: FirstPage) -> Iterator[Section]:
    """What to stop, to mend, to ask and to watch, as on the screen."""
    for title, concerns in (
        ("Stop: somebody can be hurt, or nobody may accept it", page.stop),
        ("Mend: by what has to change", page.mend),
    ):
        if concerns:
            yield Section(title, (_concerns(concerns),))
    if page.ask:
        rows = tuple((question.who, question.says, f"{question.minutes:g}") for question in page.ask)
        columns = (
            Column("who can say it", 1),
            Column("ask or measure", 4),
            Column("minutes", 0.5, True, (_MINUTES,)),
        )
        yield Section(
            f"Ask or measure: about {page.minutes:.0f} minutes", (PaperTable("ask", columns, rows),)
        )
    if page.watch:
        watched = tuple((_named(concern), concern.told[0]) for concern in page.watch)
        heads = (Column("what", 1.5), Column("only just holds", 3))
        yield Section("Watch: what only just holds", (PaperTable("watch", heads, watched),))


def _concerns(concerns: Sequence[Concern]) -> PaperTable:
    rows = tuple(
        (
            f"{concern.number}",
            _named(concern),
            "; ".join(concern.told),
            ("Barred until it is changed. " if concern.barred else "") + concern.advice(),
            f"{len(concern.promises)}" if concern.promises else "",
        )
        for concern in concerns
    )
    columns = (
        Column("no.", 0.3, True),
        Column("what", 1.3),
        Column("what is wrong", 2.2),
        Column("what mends it", 2.2),
        Column("promises", 0.5, True),
    )
    return PaperTable("stop" if concerns[0].stops else "mend", columns, rows)


def _named(concern: Concern) -> Cell:
    """What it is about, with the sources of every figure of its row."""
    sources = dict.fromkeys(source for finding in concern.findings for source in finding.sources)
    return Cell(listed(concern.names), sources=tuple(sources), is_for_row=True)


def _counts(assessment: Assessment) -> PaperTable:
    rows = tuple(
        (
            Cell("", verdict),
            says,
            f"{sum(chain.verdict == verdict for chain in assessment.promises)}",
            f"{sum(finding.verdict == verdict for finding in assessment.findings)}",
        )
        for verdict, says in _MEANS.items()
    )
    return PaperTable(
        "counts",
        (
            Column("verdict", 0.5),
            Column("meaning", 2),
            Column("promises", 0.5, True),
            Column("judgements", 0.5, True),
        ),
        rows,
    )


def _judged(assessment: Assessment) -> Iterator[Section]:
    for verdict, title in _GROUPS:
        found = tuple(finding for finding in assessment.findings if finding.verdict == verdict)
        blocks: tuple[Block, ...] = (Findings(found),)
        if found:
            yield Section(f"{title} ({len(found)})", blocks)
