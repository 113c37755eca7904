"""Papers of a quotation: for the customer, for suppliers, for the van, and the change order with its
money.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Final

from farpress.core.quoting.money import Bill
from farpress.domain.cautions import CAUTIONS
from farpress.errors import InputError
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.make import MadeFile, files_of
from farpress.papers.typesetting.paper import (
    Block,
    Cautions,
    Cell,
    Column,
    Fields,
    Paper,
    PaperField,
    PaperTable,
    Section,
    Signatures,
    Text,
)
from farpress.papers.typesetting.texts import texts_in
from farpress.papers.typesetting.write import write_file
from farpress.quoting.difference import QuoteDifference
from farpress.quoting.figures import plain_figure
from farpress.quoting.money_text import line_money, sum_rows
from farpress.quoting.needed import TASKS
from farpress.quoting.pricing import PricedLine
from farpress.quoting.quantities import QuantityLine
from farpress.quoting.quotation import Quotation
from farpress.quoting.shopping import OrderLine, Picking, orders_of, pickings_of

__all__ = [
    "change_paper",
    "order_paper",
    "picking_paper",
    "quotation_paper",
    "quotation_papers",
    "write_quotation",
]

_NO_MONEY: Final = "No money is printed: the firm's price list or its currency is missing."

Row = tuple[Cell | str | None, ...]

_PREDICTED: Final = (
    "Quantities are counted from the job as it is drawn; whoever orders looks at them once more, and mains,"
    " alarm panel and building work are decided by those licensed for them and by local rules."
)


def quotation_papers(
    basis: Basis, quoted: Quotation, difference: QuoteDifference | None = None
) -> tuple[Paper, ...]:
    """Every paper of a quotation; the change order where there is something to compare with."""
    change = (change_paper(basis, difference),) if difference is not None else ()
    return (quotation_paper(basis, quoted), order_paper(quoted), picking_paper(quoted), *change)


def write_quotation(
    basis: Basis, quoted: Quotation, difference: QuoteDifference | None, folder: Path, *, size: str = "a4"
) -> tuple[str, ...]:
    """Write every paper of a quotation as PDF, its tables as XLSX and CSV: all are made before one is
    written.

    Returns:
        Names of the files, relative to the folder.

    Raises:
        InputError: the folder is a file.
        PaperError: a paper could not be set or written.
    """
    if folder.exists() and not folder.is_dir():
        raise InputError(f"{folder} is a file; papers go into a folder. Name another with --out.")
    made: list[MadeFile] = [
        file
        for paper in quotation_papers(basis, quoted, difference)
        for file in files_of(paper, basis.head, size=size)
    ]
    for file in made:
        write_file(folder / file.name, file.content)
    return tuple(file.name for file in made)


def quotation_paper(basis: Basis, quoted: Quotation) -> Paper:
    """What the customer gets: what stands against it first, then what is offered, what is not, and the
    sum.
    """
    terms, details = quoted.lists.terms, basis.case.job.details
    has_money = quoted.bill is not None
    stops: tuple[Block, ...] = (Cautions(quoted.warnings),) if quoted.warnings else ()
    sections = [
        Section(
            "Offer",
            (
                *stops,
                Fields(
                    (
                        PaperField("Customer", details.customer, "who orders"),
                        PaperField("Premises", _addresses(basis)),
                        PaperField("Currency", terms.currency or None, "the firm's terms give none"),
                        PaperField("Valid until", _valid(quoted), "how long the offer stands"),
                    )
                ),
            ),
        ),
        Section(
            "What is offered",
            (
                _lines_table("offered", quoted.lines, quoted),
                *_sums(quoted, quoted.bill, quoted.missing, "sums"),
                *(() if has_money else (Text(_NO_MONEY),)),
            ),
        ),
        *(
            Section(
                f"Option: {option.name}",
                (
                    Text("Only wishes need it; it is not in the sum above.", is_note=True),
                    _lines_table(f"option {number}", option.lines, quoted),
                    *_sums(quoted, option.bill, option.missing, f"sums of option {number}"),
                ),
            )
            for number, option in enumerate(quoted.options, 1)
        ),
        Section("What is not in it", (_sentences("excluded", _left_out(quoted)),)),
        Section("Working time", (_tasks_table(quoted.quantities.tasks, quoted),)),
        Section(
            "How it was reckoned",
            (
                _sentences("reckoned", (*terms.assumed, *quoted.lists.origins, _PREDICTED)),
                Cautions((CAUTIONS["general"], CAUTIONS["deference"])),
            ),
        ),
        Section(
            "Acceptance",
            (
                *((_sentences("conditions", terms.conditions),) if terms.conditions else ()),
                Signatures(
                    (("For the firm", "offered"), ("For the customer", "ordered, with what is not in it"))
                ),
            ),
        ),
    ]
    return Paper(
        "quotation",
        "Quotation",
        "For the customer: what is delivered and done, what it costs, and what is not in it.",
        tuple(sections),
        missing=tuple(f"{found.says} ({found.who})" for found in quoted.quantities.open),
    )


def order_paper(quoted: Quotation) -> Paper:
    """What is ordered, supplier by supplier."""
    money = f", {quoted.lists.terms.currency}" if quoted.lists.terms.currency else ""
    columns = (
        Column("article", 1.2),
        Column("what it is", 1.6),
        Column("order no.", 0.8),
        Column("quantity", 0.5, True),
        Column("of", 0.8),
        Column(f"cost{money}", 0.6, True),
    )
    sections = tuple(
        Section(supplier, (PaperTable(f"order {supplier}", columns, tuple(map(_order_row, lines))),))
        for supplier, lines in orders_of(quoted).items()
    )
    return Paper(
        "order-list",
        "Order list",
        "For the firm: what is ordered from whom; options are not in it.",
        sections or (Section("Nothing", (Text("Nothing is to be ordered."),)),),
    )


def picking_paper(quoted: Quotation) -> Paper:
    """What is taken along, visit by visit; each line is ticked off in the van."""
    columns = (
        Column("article", 1.2),
        Column("for", 1.6),
        Column("pieces", 0.4, True),
        Column("metres", 0.4, True),
        Column("taken", 0.4),
    )
    sections = tuple(
        Section(
            _visit_title(picking),
            (PaperTable(_visit_title(picking), columns, tuple(_picking_rows(picking))),),
        )
        for picking in pickings_of(quoted)
    )
    return Paper(
        "picking-list",
        "Picking lists",
        "For the fitter: what comes along on which visit, as the firm's norms have the work on visits.",
        sections or (Section("Nothing", (Text("Nothing is to be taken along."),)),),
    )


def change_paper(basis: Basis, difference: QuoteDifference) -> Paper:
    """What an earlier version of the job and this one differ in, in articles, hours and money."""
    after = difference.after
    money = f"more to pay{f', {after.lists.terms.currency}' if after.lists.terms.currency else ''}"
    columns = (
        Column("article", 1.4),
        Column("unit", 0.4),
        Column("was", 0.5, True),
        Column("becomes", 0.5, True),
        Column(money, 0.6, True),
    )
    rows: tuple[Row, ...] = tuple(
        (
            change.name,
            change.unit,
            plain_figure(change.was),
            plain_figure(change.becomes),
            f"{change.money:f}" if change.money is not None else "no price",
        )
        for change in difference.changes
    )
    end = f", {difference.missing}" if difference.missing else ""
    sums = tuple(
        (f"More to pay {name}{end}", f"{amount:f}")
        for name, amount in (("without tax", difference.net), ("with tax", difference.gross))
        if amount is not None
    )
    stops: tuple[Block, ...] = (Cautions(after.warnings),) if after.warnings else ()
    return Paper(
        "change-quotation",
        "Change order: quantities and money",
        "For the customer and the firm: what a change of the job adds and saves. What it does to the promises"
        " stands in the change order of the papers.",
        (
            Section(
                "What changes",
                (
                    *stops,
                    Text(f"From job {difference.before.fingerprint[:16]} to job {after.fingerprint[:16]}."),
                    PaperTable("changes", columns, rows, empty="Nothing that is quoted changes."),
                    *((PaperTable("sums", _sum_columns(after), sums),) if sums else ()),
                ),
            ),
            Section(
                "Agreed",
                (Signatures((("For the firm", "offered"), ("For the customer", "the change is ordered"))),),
            ),
        ),
    )


def _lines_table(name: str, lines: Iterable[PricedLine], quoted: Quotation) -> PaperTable:
    terms = quoted.lists.terms
    counted = (
        Column("article", 1.1),
        Column("what it is", 1.5),
        Column("quantity", 0.5, True),
        Column("unit", 0.35),
    )
    if quoted.bill is None:
        rows: tuple[Row, ...] = tuple(
            (line.name, _counted(line), plain_figure(line.bought), line.unit) for line in lines
        )
        return PaperTable(name, counted, rows, empty="Nothing.")
    columns = (
        *counted,
        Column(f"price, {terms.currency}", 0.5, True),
        Column("for", 0.6),
        Column(f"amount, {terms.currency}", 0.55, True),
    )
    return PaperTable(name, columns, tuple(_priced_row(line, quoted) for line in lines), empty="Nothing.")


def _priced_row(line: PricedLine, quoted: Quotation) -> Row:
    amount = line_money(line, quoted.lists.terms)
    is_priced = amount is not None and line.price is not None
    return (
        line.name,
        _told(line),
        plain_figure(line.bought),
        line.unit,
        f"{line.price.price:f}" if is_priced and line.price is not None else "",
        str(line.price.unit) if is_priced and line.price is not None else "",
        f"{amount:f}" if amount is not None else "no price",
    )


def _counted(line: PricedLine) -> str:
    return "; ".join(part for part in (line.says, line.how) if part)


def _told(line: PricedLine) -> str:
    why = f"no price: {line.no_price}" if line.no_price else ""
    return "; ".join(part for part in (_counted(line), why) if part)


def _sums(quoted: Quotation, bill: Bill | None, missing: str, name: str) -> Iterator[Block]:
    rows: tuple[Row, ...] = tuple((says, f"{amount:f}") for says, amount in sum_rows(bill, missing))
    if rows:
        yield PaperTable(name, _sum_columns(quoted), rows)


def _sum_columns(quoted: Quotation) -> tuple[Column, ...]:
    return Column("sum", 3), Column(f"amount, {quoted.lists.terms.currency}", 0.7, True)


def _left_out(quoted: Quotation) -> Iterator[str]:
    counted = quoted.quantities
    yield from (
        f"{path}: not offered, because nobody may accept it: {why}." for path, why in counted.refused.items()
    )
    yield from counted.excluded
    yield from (f"Not counted: {found.says}" for found in counted.open)


def _tasks_table(tasks: Iterable[QuantityLine], quoted: Quotation) -> PaperTable:
    rows: list[Row] = []
    for line in tasks:
        norm = quoted.lists.norms.by_task.get(line.name)
        rows.append(
            (
                line.name,
                TASKS[line.name].says if line.name in TASKS else "there and back",
                plain_figure(line.amount),
                "m" if line.unit == "m" else "",
                plain_figure(norm.minutes) if norm is not None else "no norm",
                plain_figure(norm.minutes * line.amount) if norm is not None else "",
            )
        )
    columns = (
        Column("task", 0.9),
        Column("what is done", 1.8),
        Column("times", 0.45, True),
        Column("unit", 0.3),
        Column("norm, min", 0.5, True),
        Column("time, min", 0.5, True),
    )
    return PaperTable("working time", columns, tuple(rows), empty="No work.")


def _order_row(line: OrderLine) -> Row:
    return (
        line.article,
        line.says,
        line.order_no,
        plain_figure(line.quantity),
        line.unit,
        f"{line.cost:f}" if line.cost is not None else None,
    )


def _picking_rows(picking: Picking) -> Iterator[Row]:
    for needed in picking.pieces:
        amount = plain_figure(needed.amount)
        is_length = needed.unit == "m"
        yield needed.name, needed.place, "" if is_length else amount, amount if is_length else "", None


def _visit_title(picking: Picking) -> str:
    return f"{picking.premises or 'All premises'}, visit {picking.visit}"


def _addresses(basis: Basis) -> str:
    return "; ".join(house.address or name for name, house in basis.case.job.premises.items())


def _valid(quoted: Quotation) -> str | None:
    if quoted.valid_until is not None:
        return texts_in("en").date(quoted.valid_until)
    days = quoted.lists.terms.valid_days
    return f"{days} days from its date" if days is not None else None


def _sentences(name: str, sentences: Iterable[str]) -> PaperTable:
    return PaperTable(name, (Column(name),), tuple((says,) for says in sentences), empty="Nothing.")
