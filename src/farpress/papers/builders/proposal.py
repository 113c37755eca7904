"""The system design proposal: what will be built, what it is proven to do on paper, and where its limits
are.
"""

from __future__ import annotations

from farpress.case.driven import holders
from farpress.domain.cautions import CAUTIONS, DUTIES
from farpress.domain.finding import Finding, Verdict
from farpress.domain.refs import PromiseRef, refs_of
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.holders import group_presses
from farpress.papers.builders.power_cut import power_cut
from farpress.papers.builders.proposal_tables import (
    cables_table,
    inputs_table,
    outputs_table,
    receivers_table,
    supply_table,
)
from farpress.papers.builders.words import heard_words
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
    Promises,
    Section,
    Signatures,
    Text,
)
from farpress.phrases import listed
from farpress.units import write_share

__all__ = ["paper", "reach_table"]


def paper(basis: Basis) -> Paper:
    """The system design proposal."""
    return Paper(
        "system-design-proposal",
        "System design proposal",
        "For the customer to accept and the firm to build: every output, where it can be pressed from, how"
        " surely, and what the system will not do.",
        (
            Section("Issue", (_issue(basis),)),
            Section(
                "Purpose and limits",
                (
                    Text(
                        "Radio remote control for the functions below, at the premises below. Radio is"
                        " convenient, not certain, and never a safety function."
                    ),
                    Cautions(
                        (
                            CAUTIONS["general"],
                            CAUTIONS["safety input"],
                            CAUTIONS["security"],
                            CAUTIONS["deference"],
                        )
                    ),
                ),
            ),
            Section("Outputs", (outputs_table(basis),)),
            Section("Inputs of the receivers", (inputs_table(basis),)),
            Section("Receivers and aerials", (receivers_table(basis),)),
            Section("Supply and standby", (supply_table(basis),)),
            Section("After a power cut", (power_cut(basis),)),
            Section("Cables", (cables_table(basis),)),
            Section(
                "Predicted reach",
                (
                    Text(
                        "Share of presses that are heard, hand, pocket and car as named at each place; a"
                        " prediction until it is proven on site.",
                        is_note=True,
                    ),
                    reach_table(basis),
                ),
            ),
            Section("Promises, from thumb to moving leaf", (Promises(basis.assessment.promises),)),
            Section("Users and their rights", (_rights(basis),)),
            Section("Setting and unsetting", _setting(basis)),
            Section("Maintenance offered", (_maintenance(basis),)),
            Section("Deviations and who accepts them", _deviations(basis)),
            Section(
                "Price and acceptance",
                (
                    Fields(
                        (
                            PaperField("Price", None, "the price, or the number of the quotation"),
                            PaperField("Valid until", None, "how long the offer stands"),
                        )
                    ),
                    Signatures(
                        (
                            ("For the firm", "offered"),
                            ("For the customer", "accepted, with the deviations and limits above"),
                        )
                    ),
                ),
            ),
        ),
    )


def _issue(basis: Basis) -> Fields:
    details, job = basis.case.job.details, basis.case.job
    return Fields(
        (
            PaperField("Customer", details.customer, "who orders"),
            PaperField("Premises", "; ".join(house.address or name for name, house in job.premises.items())),
            PaperField(
                "Issue and date",
                " · ".join(part for part in (details.issue, basis.head.date) if part) or None,
                "number and date of this issue",
            ),
            PaperField("Author", details.prepared_by, "who answers for this proposal"),
            PaperField(
                "Grade claimed",
                (
                    f"grade {job.grade}, for the alarm system; none is claimed for the radio link"
                    if job.grade is not None
                    else "none"
                ),
            ),
            PaperField(
                "Region for radio limits",
                job.region,
                "Europe or North America: decides power and time on the air",
            ),
        )
    )


def reach_table(basis: Basis) -> PaperTable:
    """Every promise over the air: predicted share, what was promised, verdict, source; alike ones once."""
    by_subject = {
        subject: finding
        for finding in basis.of_code("AIR-01")
        for subject in refs_of(PromiseRef, finding.subjects)
    }
    alike: dict[tuple[Cell | str, ...], list[str]] = {}
    for chain, promise in zip(basis.assessment.promises, basis.case.job.promises, strict=True):
        finding = by_subject.get(PromiseRef(chain.id))
        key = (
            promise.from_,
            promise.function,
            promise.importance,
            write_share(promise.at_least_share),
            heard_words(finding, promise.at_least_share),
            _alone(basis.judged([finding] if finding is not None else [])),
        )
        alike.setdefault(key, []).append(promise.to)
    rows = tuple(
        (place, function, listed(dict.fromkeys(who)), *rest)
        for (place, function, *rest), who in alike.items()
    )
    columns = (
        Column("from", 0.8),
        Column("function", 0.8),
        Column("who", 1.1),
        Column("weight", 0.5),
        Column("promised", 0.55, True, basis.given),
        Column(
            "predicted",
            0.7,
            True,
            tuple(dict.fromkeys(source for finding in basis.of_code("AIR-01") for source in finding.sources)),
        ),
        Column("judged", 1.8),
    )
    return PaperTable("reach", columns, rows, empty="Nothing is promised yet.")


def _alone(cell: Cell) -> Cell:
    """A verdict whose sources stand beside it at its figure."""
    return Cell(cell.text, cell.verdict)


def _rights(basis: Basis) -> PaperTable:
    rows: list[tuple[Cell | str | None, ...]] = []
    for name, group in basis.case.job.groups.items():
        buttons = "; ".join(
            f"{press.button}{' held' if press.is_long else ''}: {', '.join(press.functions)}"
            for press in group_presses(group)
        )
        number = holders(group)
        rows.append(
            (
                name,
                group.organisation or "",
                str(number) if number is not None else None,
                str(group.spares),
                group.fob,
                buttons or "no button",
                "pool, nobody in particular" if group.pool else "personal",
            )
        )
    columns = (
        Column("group", 0.8),
        Column("organisation", 0.9),
        Column("holders", 0.45, True, basis.given),
        Column("spares", 0.45, True, basis.given),
        Column("fob", 0.4),
        Column("buttons", 2.2),
        Column("kind", 0.6),
    )
    return PaperTable("rights", columns, tuple(rows), empty="No group is described yet.")


def _setting(basis: Basis) -> tuple[Block, ...]:
    found = basis.of_code("PAN-01", "PAN-02", "PAN-06", "PAN-07", "OUT-02")
    if not found:
        return (Text("No alarm system is set or unset by radio."),)
    return (Cautions((CAUTIONS["alarm"], DUTIES["alarm"])), Findings(found))


def _maintenance(basis: Basis) -> Fields:
    return Fields(
        (
            PaperField(
                "Interval and price",
                None,
                "what maintenance is offered; the maintenance plan lists the tasks",
            ),
            PaperField("Call-out", basis.case.job.details.telephone, "whom to ring"),
        )
    )


def _deviations(basis: Basis) -> tuple[Block, ...]:
    fails: tuple[Finding, ...] = tuple(
        finding for finding in basis.assessment.findings if finding.verdict is Verdict.FAILS
    )
    signed = [
        f"Rule {number} ({rule.says or rule.never}): accepted by {rule.signed}."
        for number, rule in enumerate(basis.case.job.rules, 1)
        if rule.signed
    ]
    rows: list[tuple[Cell | str | None, ...]] = [
        (
            finding.code,
            finding.about,
            Cell(finding.says, "fails", finding.sources),
            finding.remedies[0].does if finding.remedies else "none known",
            None,
        )
        for finding in fails
    ]
    columns = (
        Column("code", 0.45),
        Column("about", 0.9),
        Column("what does not hold", 1.8),
        Column("remedy", 1.2),
        Column("mended, or accepted by", 0.7),
    )
    return (
        PaperTable("deviations", columns, tuple(rows), empty="None: everything that could be judged holds."),
        *(Text(sentence) for sentence in signed),
    )
