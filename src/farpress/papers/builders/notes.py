"""Three short papers: the data note, the cell plan, and the letter that says what is refused or limited."""

from __future__ import annotations

from typing import Final

from farpress.case.driven import holders
from farpress.domain.cautions import CAUTIONS, DUTIES, LOCAL_CODES
from farpress.domain.finding import Finding, Verdict
from farpress.domain.register import Fob, FobState
from farpress.judging.fob.cell_plan import cell_plan as used_up
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.cell_months import change_by, put_in
from farpress.papers.typesetting.paper import (
    Cautions,
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
from farpress.sources import Citation, Mark
from farpress.upkeep.cells import GroupCells, cells_ahead

__all__ = ["cell_plan", "data_note", "refusal_letter", "refused"]

_SPARE: Final = Citation("one cell in twenty more than fobs", mark=Mark.CHOICE)
_EARLY: Final = Citation("changed after 60 % of its computed life", mark=Mark.CHOICE)
_USED_UP: Final = (
    Citation("charge of presses, sleep and self-discharge; voltage in the cold", mark=Mark.COMPUTED),
)
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

Row = tuple[Cell | str | None, ...]


def data_note(basis: Basis) -> Paper:
    """Who keeps which personal data, for what, until when."""
    details = basis.case.job.details
    deleted = basis.happened("person deleted")
    rule = basis.of_code("RULE-12", "REG-06")
    rows: list[Row] = [
        (str(event.body.get("person")), event.at[:10], str(event.body.get("why", ""))) for event in deleted
    ]
    return Paper(
        "data-note",
        "Data note",
        "For everybody whose name stands in the register, and for the data-protection officer. It follows no"
        " law of one country; local law comes first.",
        (
            Section(
                "Who and why",
                (
                    Fields(
                        (
                            PaperField(
                                "Controller", details.customer, "who decides what the register is for"
                            ),
                            PaperField("Register keeper", details.data_kept_by, "who keeps the names"),
                            PaperField(
                                "Purpose",
                                "who holds which fob, so that a lost one can be deleted and everybody gets"
                                " the functions they need",
                            ),
                            PaperField(
                                "Basis",
                                None,
                                "on which legal basis names are kept; ask the data-protection officer",
                            ),
                            PaperField(
                                "Kept until",
                                details.data_kept_until,
                                "the date, or the rule by which names are deleted",
                            ),
                            PaperField(
                                "Contract with the processor",
                                None,
                                "whether the firm keeps data for the customer, and under which contract",
                            ),
                            PaperField("Ask to see or correct an entry", details.data_kept_by, "whom to ask"),
                            PaperField("Works council, where there is one", None),
                        ),
                        columns=1,
                    ),
                    Cautions((CAUTIONS["data"], DUTIES["register"])),
                ),
            ),
            Section(
                "What is kept",
                (
                    PaperTable(
                        "kept",
                        (Column("what"), Column("where", 1.2), Column("who sees it"), Column("until")),
                        (
                            (
                                "name, organisation, contact of a holder",
                                "table of persons, apart from the log",
                                "register keeper, firm",
                                details.data_kept_until or None,
                            ),
                            (
                                "fob, buttons, receivers, states",
                                "log, a person only as a mark",
                                "register keeper, firm, auditor",
                                "as long as the installation lives",
                            ),
                            (
                                "when a fob was last heard, where a receiver tells it",
                                "log, by fob",
                                "register keeper",
                                "as long as the installation lives",
                            ),
                            (
                                "signature for a fob",
                                "receipt, on paper or as evidence named in the log",
                                "register keeper",
                                details.data_kept_until or None,
                            ),
                        ),
                    ),
                ),
            ),
            Section("Judged", (Findings(rule, "Nothing about names was judged."),)),
            Section(
                "Deleted",
                (
                    PaperTable(
                        "deleted",
                        (Column("mark"), Column("name deleted on"), Column("why", 2)),
                        tuple(rows),
                        empty="No name has been deleted yet.",
                    ),
                ),
            ),
            Section(
                "Extract for a person",
                (
                    Text(
                        "On request: the entries of the holder's mark, from the key register, and this note."
                        " Nothing else is kept about a holder."
                    ),
                ),
            ),
            Section("Signed", (Signatures((("Register keeper", ""),)),)),
        ),
    )


def cell_plan(basis: Basis) -> Paper:
    """Which cells are due when, how many to order, where the old ones go."""
    life = {finding.about: finding for finding in basis.of_code("FOB-04")}
    rows: list[Row] = []
    order: dict[str, int] = {}
    for name, group in basis.case.job.groups.items():
        cell = basis.case.equipment.cells.get(name)
        number = holders(group)
        finding = life.get(name)
        used = used_up(basis.case, name)
        rows.append(
            (
                name,
                group.fob,
                (cell.says or cell.name) if cell is not None else None,
                str(number) if number is not None else None,
                f"{group.spares}",
                f"{used.years:.1f} years" if used is not None else None,
                f"{used.limited_by}{f'; {used.assumed}' if used.assumed else ''}" if used is not None else "",
                *_months(basis, name, used.years if used is not None else None),
                basis.judged([finding] if finding is not None else []),
            )
        )
        if cell is not None and number is not None:
            order[cell.says or cell.name] = order.get(cell.says or cell.name, 0) + number + group.spares
    columns = (
        Column("group", 0.9),
        Column("fob", 0.4),
        Column("cell", 1),
        Column("fobs", 0.45, True, basis.given),
        Column("spares", 0.45, True, basis.given),
        Column("lasts about", 0.6, sources=_USED_UP),
        Column("limited by", 0.8),
        Column("put in", 0.7, sources=basis.recorded),
        Column("change by", 0.6, sources=(_EARLY, *_USED_UP)),
        Column("judged", 1.2),
    )
    orders: list[Row] = [(name, f"{count}", f"{count + (count + 19) // 20}") for name, count in order.items()]
    recorded: list[Row] = [
        (
            Cell(fob.label, "", basis.recorded, is_for_row=True),
            fob.group,
            fob.cell or "",
            fob.cell_date or None,
            _by(basis, fob),
            fob.low_cell_at[:10] or "",
        )
        for _, fob in sorted(basis.register.fobs.items())
        if fob.low_cell_at or fob.cell_date
    ]
    return Paper(
        "cell-plan",
        "Cell plan",
        "For the register keeper: cells are changed before they are empty, together and on a fixed day.",
        (
            Section("Danger", (Cautions((CAUTIONS["cell"],)),)),
            Section(
                "Forecast",
                (PaperTable("forecast", columns, tuple(rows), empty="No group is described yet."),),
            ),
            Section(
                "Order",
                (
                    PaperTable(
                        "order",
                        (
                            Column("cell", 2),
                            Column("in fobs", 0.5, True, basis.given),
                            Column("order for one change", 0.8, True, (_SPARE,)),
                        ),
                        tuple(orders),
                        empty="Which cells the fobs have is not known.",
                    ),
                ),
            ),
            Section(
                "By date",
                (
                    Text(
                        "A cell of unknown age is taken as new on the day of this paper: look into the fobs"
                        " and write the month down.",
                        is_note=True,
                    ),
                    _by_date(basis),
                ),
            ),
            Section(
                "Cells recorded",
                (
                    PaperTable(
                        "cells",
                        (
                            Column("label"),
                            Column("group"),
                            Column("cell"),
                            Column("of, or changed"),
                            Column("change by", sources=(_EARLY, *_USED_UP)),
                            Column("low cell reported"),
                        ),
                        tuple(recorded),
                        empty="No change of a cell is recorded yet.",
                        blank_rows=0 if recorded else 4,
                    ),
                ),
            ),
            Section(
                "Next change",
                (
                    Fields(
                        (
                            PaperField("On", None),
                            PaperField("By", None),
                            PaperField(
                                "Where used cells are taken to",
                                None,
                                "a collection point; tape each cell first",
                            ),
                            PaperField("Measured under load before and after", None),
                        )
                    ),
                ),
            ),
        ),
        missing=(
            *(
                f"{name}: number of holders not given"
                for name, group in basis.case.job.groups.items()
                if holders(group) is None
            ),
            *(
                ("Months in which the cells were put in: look into the fobs, enter them in the record",)
                if any(row[7] is None for row in rows)
                else ()
            ),
        ),
    )


def _months(basis: Basis, group: str, life_years: float | None) -> tuple[str | None, str | None]:
    """When the cells of a group were put in, first to last, and when the first of them is to be changed; None
    where none is known.
    """
    held = [
        fob
        for fob in basis.register.fobs.values()
        if fob.group == group and fob.state in (FobState.ISSUED, FobState.BLOCKED)
    ]
    known = sorted(day for day in (put_in(fob.cell_date) for fob in held) if day is not None)
    if not known:
        return None, None
    span = f"{known[0]:%Y-%m}" + (f" to {known[-1]:%Y-%m}" if known[-1] != known[0] else "")
    return f"{span}{f'; not known of {len(held) - len(known)}' if len(held) > len(known) else ''}", (
        f"{change_by(known[0], life_years):%Y-%m}" if life_years is not None else None
    )


def _by(basis: Basis, fob: Fob) -> str:
    since = put_in(fob.cell_date)
    used = used_up(basis.case, fob.group) if fob.group in basis.case.job.groups else None
    return f"{change_by(since, used.years):%Y-%m}" if since is not None and used is not None else ""


def _by_date(basis: Basis) -> PaperTable:
    """From the dates of the cells in the record: how many become empty, and when to change all at once."""
    found = (
        cells_ahead(basis.case, basis.register, basis.events, today=basis.day, months=12)
        if basis.day is not None
        else ()
    )
    sources = tuple(dict.fromkeys(source for group in found for source in group.sources))
    rows: list[Row] = [
        (
            group.group,
            f"{group.fobs}",
            f"{group.ages_known}",
            f"{sum(group.expected):.1f}",
            f"{group.low} to {group.high}",
            group.batch_on.isoformat() if group.batch_on is not None else "one by one",
            _why(group),
        )
        for group in found
    ]
    columns = (
        Column("group", 0.8),
        Column("fobs", 0.4, True, basis.given),
        Column("age known of", 0.45, True, basis.recorded),
        Column("empty within a year", 0.6, True, sources),
        Column("nine times in ten", 0.5),
        Column("change all on", 0.6),
        Column("why then", 2, sources=sources),
    )
    return PaperTable("by-date", columns, tuple(rows), empty="Print with a date to see what falls due when.")


def _why(group: GroupCells) -> str:
    """What the numbers beside it do not say: age and cost of a change of all, signals that came."""
    signals = next((says for says in group.says if "low-cell signals" in says), "")
    if group.batch_on is None:
        return f"change each when its signal comes, and at the end of the shelf life. {signals}".strip()
    return (
        f"at an age of {group.batch.age_years:.1f} years: {group.batch.cost_per_year:.2f} changes a year for"
        f" each fob, {group.batch.waiting_cost_per_year:.2f} when waiting for each to fail;"
        f" {group.batch.empty_before_share:.0%} are empty before. {signals}"
    ).strip()


def refused(basis: Basis) -> tuple[Finding, ...]:
    """Judgements about wishes that cannot be met, or only in part."""
    return tuple(
        finding
        for finding in basis.of_code(*_REFUSED)
        if finding.verdict is Verdict.FAILS
        or (finding.code in ("SAFE-05", "DEV-03") and finding.verdict is not Verdict.HOLDS)
    )


def refusal_letter(basis: Basis) -> Paper:
    """What was asked, why not, what instead."""
    details = basis.case.job.details
    found = refused(basis)
    rows: list[Row] = [
        (
            f"{number}",
            finding.about,
            Cell(finding.says, str(finding.verdict), finding.sources),
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
                        "You asked for radio remote control. Most of it can be done as the design proposal"
                        " says. What follows cannot be promised, or only within the limits named. A radio"
                        " press may be missed and reaches further or less far than anybody wishes; it is"
                        " never a safety function."
                        if found
                        else (
                            "Nothing that you asked for has to be refused. The limits of the design proposal"
                            " hold."
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
