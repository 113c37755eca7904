"""The enquiry and survey record: what was asked for, what was found on site, what is still open."""

from __future__ import annotations

from farpress.case.driven import holders
from farpress.domain.cautions import CAUTIONS
from farpress.domain.finding import Finding, Link, Verdict
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.survey_site import (
    builds_table,
    devices_tables,
    noise_table,
    places_table,
    readings_table,
    supplies_table,
)
from farpress.papers.typesetting.paper import (
    Block,
    Cautions,
    Cell,
    Column,
    Fields,
    Findings,
    Paper,
    PaperField,
    PaperTable,
    Section,
)

__all__ = ["paper"]


def paper(basis: Basis) -> Paper:
    """The survey record."""
    return Paper(
        "survey-record",
        "Enquiry and survey record",
        "For the firm: what the customer asked for in their words, what stands on site, what was measured,"
        " and what nobody has said yet.",
        (
            Section("Customer and survey", (_customer(basis),)),
            Section("What is wanted", (_wishes(basis),)),
            Section("What must never happen", (_never(basis),)),
            Section("Where somebody presses", (places_table(basis),)),
            Section("Walls, doors, glass and slabs", (builds_table(basis),)),
            Section("Existing drives, devices and panels", (*devices_tables(basis),)),
            Section("Supply points", (supplies_table(basis),)),
            Section("Radio readings", (readings_table(basis), noise_table(basis))),
            Section("Hazards seen", _hazards(basis)),
            Section("Restrictions", (_restrictions(basis),)),
            Section("Open questions", (Findings(_open(basis), "None: every judgement could be made."),)),
            Section(
                "Photographs",
                (
                    PaperTable(
                        "photographs",
                        (Column("no.", 0.3), Column("what it shows"), Column("taken by, when", 0.8)),
                        (),
                        blank_rows=6,
                    ),
                ),
            ),
        ),
        missing=tuple(
            f"{premises}: address not given"
            for premises, house in basis.case.job.premises.items()
            if not house.address
        ),
    )


def _customer(basis: Basis) -> Fields:
    job, details = basis.case.job, basis.case.job.details
    numbers = [holders(group) for group in job.groups.values()]
    known = sum(number for number in numbers if number is not None)
    surroundings = sorted(
        {f"{name}: {house.surroundings}" for name, house in job.premises.items() if house.surroundings}
    )
    return Fields(
        (
            PaperField("Customer", details.customer, "who orders, and who may decide"),
            PaperField(
                "Premises",
                "; ".join(
                    f"{name}: {house.address}" if house.address else name
                    for name, house in job.premises.items()
                ),
            ),
            PaperField(
                "Contact on site",
                details.responsible_person,
                "name and telephone of the person to speak to on site",
            ),
            PaperField("Survey by", details.prepared_by, "who looked at the premises"),
            PaperField("Date of the survey", details.date, "the day somebody was there"),
            PaperField(
                "Kind of premises",
                "; ".join(surroundings) or None,
                "city, business, residential or rural: decides the radio noise",
            ),
            PaperField(
                "Holders of fobs",
                (
                    f"{known}{' known, some groups without a number' if None in numbers else ''}"
                    if numbers
                    else None
                ),
                "how many people shall hold a fob",
                basis.given,
            ),
            PaperField(
                "Grade of the alarm system",
                str(job.grade) if job.grade is not None else None,
                "the grade, or that there is none",
                basis.given,
            ),
        )
    )


def _wishes(basis: Basis) -> PaperTable:
    rows = tuple(
        (
            promise.to,
            promise.function,
            promise.from_,
            Cell(f"{promise.within_presses:g}", "", basis.given_at("promises", number), is_for_row=True),
            f"{promise.at_least_share:.0%}",
            promise.importance,
            None,
            promise.says,
        )
        for number, promise in enumerate(basis.case.job.promises)
    )
    columns = (
        Column("for whom"),
        Column("function"),
        Column("from where"),
        Column("presses", 0.55, True),
        Column("how surely", 0.6, True),
        Column("weight", 0.5),
        Column("when", 0.6),
        Column("in the customer's words", 1.5),
    )
    return PaperTable("wishes", columns, rows, empty="No wish is written down yet.")


def _never(basis: Basis) -> PaperTable:
    rows = tuple(
        (
            f"{number}",
            Cell(rule.says or rule.never, "", basis.given_at("rules", number - 1)),
            ", ".join((*rule.of, *(f"by {device}" for device in rule.by))),
            rule.signed or "",
        )
        for number, rule in enumerate(basis.case.job.rules, 1)
    )
    return PaperTable(
        "never",
        (Column("no.", 0.25), Column("must never"), Column("of", 1.4), Column("accepted otherwise by", 0.6)),
        rows,
        empty="No rule is written down: ask what must never happen.",
    )


def _hazards(basis: Basis) -> tuple[Block, ...]:
    found = tuple(
        finding
        for finding in basis.assessment.findings
        if finding.link is Link.SAFETY and finding.verdict is not Verdict.HOLDS
    )
    return (
        Cautions((CAUTIONS["safety input"], CAUTIONS["deference"])),
        Findings(found, "None beyond the cautions above."),
    )


def _restrictions(basis: Basis) -> Fields:
    return Fields(
        (
            PaperField("Landlord, heritage", None, "what the landlord or a listing forbids"),
            PaperField(
                "Insurer",
                basis.case.job.details.insurer,
                "whether the insurer knows of setting and unsetting by radio",
            ),
            PaperField(
                "Fire authority, escape routes",
                None,
                "which doors are escape routes, and who approves locks on them",
            ),
            PaperField(
                "Working hours",
                "; ".join(
                    f"{name}: {house.open_hours}"
                    for name, house in basis.case.job.premises.items()
                    if house.open_hours
                )
                or None,
                "when somebody can be let in",
            ),
        )
    )


def _open(basis: Basis) -> tuple[Finding, ...]:
    return tuple(finding for finding in basis.assessment.findings if finding.verdict is Verdict.UNKNOWN)
