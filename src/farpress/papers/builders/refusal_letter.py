"""The letter about wishes that radio cannot meet, and what is offered instead."""

from __future__ import annotations

from typing import Final

from farpress.domain.cautions import CAUTIONS, LOCAL_CODES
from farpress.domain.finding import Finding, Verdict
from farpress.overview.concerns import spoken_of
from farpress.overview.standing import stops_of
from farpress.papers.builders.basis import Basis
from farpress.papers.typesetting.paper import (
    Cell,
    Column,
    Fields,
    Findings,
    Paper,
    PaperField,
    PaperTable,
    Section,
    Signatures,
    Text,
    Tick,
    Ticks,
)

__all__ = ["refusal_letter", "refused"]

Row = tuple[Cell | str | None, ...]


_REFUSED: Final = (
    "SAFE-01",
    "SAFE-03",
    "SAFE-04",
    "SAFE-05",
    "SAFE-09",
    "AIR-03",
    "OUT-02",
    "DEV-03",
    "DEV-04",
)
"""Judgements that make a wish one to refuse or to limit in writing."""


def refused(basis: Basis) -> tuple[Finding, ...]:
    """Judgements about wishes that cannot be met, or only in part."""
    barred = tuple(finding for finding in stops_of(basis.assessment) if finding.bars)
    others = tuple(
        finding
        for finding in basis.of_code(*_REFUSED)
        if finding.verdict is Verdict.FAILS
        or (finding.code in ("SAFE-05", "DEV-03") and finding.verdict is not Verdict.HOLDS)
    )
    return tuple(dict.fromkeys((*barred, *others)))


def refusal_letter(basis: Basis) -> Paper:
    """What was asked, why not, what instead."""
    details = basis.case.job.details
    found = refused(basis)
    rows: list[Row] = [
        (
            f"{number}",
            spoken_of(finding, basis.assessment.promises),
            Cell(finding.says, str(finding.verdict), finding.sources, is_for_row=True),
            "; or: ".join(remedy.does for remedy in finding.remedies) or "to be agreed",
        )
        for number, finding in enumerate(found, 1)
    ]
    return Paper(
        "refusal-letter",
        "What we cannot do, and what we offer instead",
        "A letter to the customer: wishes that radio cannot meet, or only within limits, each with its"
        " reason.",
        (
            Section(
                "To",
                (
                    Fields(
                        (
                            PaperField("Customer", details.customer, "whom the letter is for"),
                            PaperField("Address", details.address, "where it goes"),
                            PaperField("From", details.installer, "which firm writes"),
                            PaperField("Date", basis.head.date, "the day of the letter"),
                        )
                    ),
                ),
            ),
            Section(
                "Dear customer",
                (
                    Text(
                        "You asked for radio remote control. What follows cannot be promised, or only within"
                        " the limits named; what is barred is not built so. A radio press may be"
                        " missed and reaches further or less far than anybody wishes; it is"
                        " never a safety function."
                        if found
                        else (
                            "Nothing that you asked for has to be refused. What does not work yet stands on"
                            " the cover, with its reason."
                        )
                    ),
                    PaperTable(
                        "refused",
                        (
                            Column("no.", 0.25),
                            Column("about", 0.8),
                            Column("why not, or not so", 1.8),
                            Column("instead", 1.3),
                        ),
                        tuple(rows),
                        empty="Nothing is refused.",
                    ),
                ),
            ),
            Section("The reasons in full", (Findings(found, "None."),)),
            Section(
                "What we ask of you",
                (
                    Ticks(
                        (
                            Tick("Choose one of the alternatives, or leave the wish out"),
                            Tick("Sign for a limit you accept: it stands in the design proposal"),
                            Tick("Ask the authority or insurer where we say so"),
                        )
                    ),
                ),
            ),
            Section("Who decides", (Text(f"{CAUTIONS['deference']} {LOCAL_CODES}"),)),
            Section("Signed", (Signatures((("For the firm", ""), ("For the customer", "received"))),)),
        ),
    )
