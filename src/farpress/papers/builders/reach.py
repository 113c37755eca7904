"""The reach report: the budget of every promise over the air, readings, noise, maps, must-not places."""

from __future__ import annotations

from typing import Final

from farpress.domain.acts import ReadingTaken
from farpress.domain.cautions import CAUTIONS
from farpress.domain.finding import Link, Verdict
from farpress.faults.noise_diary import noise_diary, noted_from_events
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.drawings import reach_maps
from farpress.papers.builders.proposal import reach_table
from farpress.papers.typesetting.paper import (
    Block,
    Cautions,
    Cell,
    Column,
    Findings,
    Paper,
    PaperTable,
    Section,
    Text,
)
from farpress.reach.ask import PromisedLink, promised_links
from farpress.reach.radio_budget import BudgetPart
from farpress.reach.radio_link import radio_of
from farpress.sources import Citation, Mark

__all__ = ["paper"]


def paper(basis: Basis) -> Paper:
    """The reach report."""
    judged = tuple(
        finding
        for finding in basis.assessment.findings
        if finding.link is Link.AIR and finding.code == "AIR-01"
    )
    budget = _budget(basis)
    return Paper(
        "reach-report",
        "Reach report",
        "For the firm: how far a press is heard and why, line by line; what readings say about the"
        " prediction; where a press must not be heard.",
        (
            Section(
                "What this is",
                (
                    Text(
                        "A prediction with its doubt, corrected by readings where there are any. It is proven"
                        " only by presses on site."
                    ),
                    Cautions((CAUTIONS["general"],)),
                ),
            ),
            Section("Every promise over the air", (reach_table(basis),)),
            Section(
                "The budget, line by line",
                (
                    Text(
                        "From the fob's power to the level at the receiver, in decibels; a row holds for"
                        " every promise named in it. The columns from fob to readings add up to the level."
                        " Level less what is needed is the margin; the spread says how far people, hands and"
                        " places scatter about it.",
                        is_note=True,
                    ),
                    budget,
                ),
                is_turned=bool(budget.rows),
            ),
            Section(
                "Maps",
                (
                    Text(
                        "Chance that one press is heard. Solid line: 19 of 20 presses, dashed: 9 of 10,"
                        " dotted: 5 of 10. Triangle: aerial; ring: place; thick: steel. Reach is no fence and"
                        " never a safety function.",
                        is_note=True,
                    ),
                    *reach_maps(basis),
                ),
                is_on_new_page=True,
            ),
            Section(
                "What does not hold, or only just",
                (
                    Findings(
                        tuple(finding for finding in judged if finding.verdict is not Verdict.HOLDS),
                        (
                            "Every promise holds over the air, on paper."
                            if judged
                            else "Nothing is promised yet."
                        ),
                    ),
                ),
            ),
            Section("Readings against the prediction", (_readings(basis),)),
            Section(
                "Receivers, aerials, noise",
                (
                    Findings(
                        tuple(
                            finding for finding in basis.assessment.findings if finding.link is Link.RECEIVER
                        ),
                        "No receiver could be judged.",
                    ),
                ),
            ),
            Section("Noise by hour", _hours(basis)),
            Section(
                "Places where a press must not be heard",
                (
                    Findings(
                        basis.of_code("AIR-03"),
                        "None is named. Reach is not a fence: a wish for a greatest distance needs another"
                        " means.",
                    ),
                ),
            ),
            Section(
                "Doubts about the plan",
                (
                    Findings(
                        basis.of_code("AIR-04"), "None: no place and no aerial lies in the line of a wall."
                    ),
                ),
            ),
        ),
        missing=(
            ()
            if basis.case.job.readings or basis.happened(ReadingTaken)
            else ("Readings: none was taken; five to ten levels with a test fob narrow every prediction",)
        ),
    )


_PREDICTION: Final = Citation("the budget above without this reading", mark=Mark.COMPUTED)


def _budget(basis: Basis) -> PaperTable:
    rows: dict[tuple[object, ...], tuple[PromisedLink, list[str], list[str]]] = {}
    for premises, house in basis.case.job.premises.items():
        for receiver in house.receivers:
            for link in promised_links(basis.case, premises, receiver, radio=radio_of(basis.case)):
                key = (
                    link.receiver,
                    link.place,
                    tuple((line.says, round(line.adds_db, 2)) for line in link.link.lines),
                )
                _, functions, groups = rows.setdefault(key, (link, [], []))
                group, _, function = link.promise.partition(": ")
                functions.append(function.rpartition(" from ")[0] or function)
                groups.append(group)
    columns = (
        Column("from", 0.9),
        Column("to", 0.6),
        Column("promises", 1.3),
        Column("of", 1.0),
        Column("fob, dBm", 0.5, True),
        Column("distance, m", 0.55, True),
        Column("open way, dB", 0.5, True),
        Column("through", 1.8),
        Column("walls, dB", 0.5, True),
        Column("other ways, dB", 0.5, True),
        Column("aerial, coax, housing, dB", 0.55, True),
        Column("readings, dB", 0.57, True),
        Column("level, dBm", 0.5, True),
        Column("needed, dBm", 0.53, True),
        Column("margin, dB", 0.5, True),
        Column("spread, dB", 0.5, True),
        Column("one press, %", 0.45, True),
    )
    return PaperTable(
        "budget",
        columns,
        tuple(_budget_row(*row) for row in rows.values()),
        empty="Nothing is promised from a place that is drawn.",
    )


def _budget_row(
    promised: PromisedLink, functions: list[str], groups: list[str]
) -> tuple[Cell | str | None, ...]:
    link = promised.link
    sums = dict.fromkeys(BudgetPart, 0.0)
    for line in link.lines:
        sums[line.part] += line.adds_db
    walls = "; ".join(line.says for line in link.lines if line.part is BudgetPart.WALLS) or "open air"
    distance = "not known" if link.path is None else link.path.distance_text.removesuffix(" m")
    known = link.level_dbm is not None and link.needed_dbm is not None
    share = link.share(1)
    return (
        promised.place,
        promised.receiver,
        ", ".join(dict.fromkeys(functions)),
        ", ".join(dict.fromkeys(groups)),
        f"{sums[BudgetPart.FOB]:.1f}",
        distance,
        f"{sums[BudgetPart.DISTANCE]:.1f}",
        Cell(walls, "", link.sources, is_for_row=True),
        *(
            f"{sums[part]:.1f}"
            for part in (BudgetPart.WALLS, BudgetPart.OTHER_WAYS, BudgetPart.RECEIVING, BudgetPart.READINGS)
        ),
        f"{link.level_dbm:.1f}" if link.level_dbm is not None else "not known",
        f"{link.needed_dbm:.1f}" if link.needed_dbm is not None else "not known",
        f"{link.margin_db:.1f}" if known else "not known",
        f"{link.spread_db:.1f}",
        f"{100 * share:.0f}" if share is not None else "not known",
    )


def _hours(basis: Basis) -> tuple[Block, ...]:
    """The diary of the record, hour by hour; without one lines to write on."""
    found = noise_diary(noted_from_events(basis.events))
    rows: list[tuple[Cell | str | None, ...]] = [
        (
            f"{hour.hour:02d}:00",
            f"{hour.tries}",
            f"{hour.failures}",
            Cell(f"{hour.low:.0%} to {hour.high:.0%}", "", found.sources),
            None,
        )
        for hour in found.hours
        if hour.tries
    ]
    columns = (
        Column("hour (UTC)", 0.5),
        Column("presses", 0.5, True, basis.recorded if rows else ()),
        Column("failed", 0.5, True, basis.recorded if rows else ()),
        Column("share that fails, nine times in ten", 1.2),
        Column("who else sends then", 1.5),
    )
    return (
        Text(
            " ".join(found.says)
            if rows
            else (
                "No diary stands in the record yet. Note presses, failures and foreign signals for some days:"
                " the hour that stands out leads to whoever sends then."
            )
        ),
        PaperTable("noise-by-hour", columns, tuple(rows), blank_rows=0 if rows else 4),
    )


def _readings(basis: Basis) -> PaperTable:
    rows: list[tuple[Cell | str | None, ...]] = [
        (
            finding.about,
            Cell(f"{finding.value:+.1f} dB", "", basis.read) if finding.value is not None else None,
            Cell(f"{finding.limit:.1f} dB", "", (_PREDICTION,)) if finding.limit is not None else "",
            basis.judged([finding], finding.says),
        )
        for finding in basis.of_code("AIR-02")
    ]
    return PaperTable(
        "against",
        (
            Column("reading", 1.2),
            Column("off by", 0.5, True),
            Column("allowed", 0.5, True),
            Column("judged", 2.2),
        ),
        tuple(rows),
        empty="No reading was taken.",
    )
