"""The reach report: the budget of every promise over the air, readings, noise, maps, must-not places."""

from __future__ import annotations

from farpress.domain.cautions import CAUTIONS
from farpress.domain.finding import Link
from farpress.papers.paper import Cautions, Cell, Column, Findings, Paper, Section, Table, Text
from farpress.tasks.paper_data.basis import Basis
from farpress.tasks.paper_data.drawings import reach_maps
from farpress.tasks.paper_data.proposal import reach_table

__all__ = ["paper"]


def paper(basis: Basis) -> Paper:
    """The reach report."""
    judged = tuple(one for one in basis.assessment.findings if one.link is Link.AIR and one.code == "AIR-01")
    return Paper(
        "reach-report", "Reach report",
        "For the firm: how far a press is heard and why, line by line; what readings say about the prediction; where a press must not be heard.",
        (
            Section("What this is", (Text("A prediction with its doubt, corrected by readings where there are any. It is proven only by presses on site."), Cautions((CAUTIONS["general"],)))),
            Section("Every promise over the air", (reach_table(basis),)),
            Section("Maps", reach_maps(basis), is_on_new_page=True),
            Section("The budget of each promise", (Findings(judged, "Nothing is promised yet."),)),
            Section("Readings against the prediction", (_readings(basis),)),
            Section("Receivers, aerials, noise", (Findings(tuple(one for one in basis.assessment.findings if one.link is Link.RECEIVER), "No receiver could be judged."),)),
            Section("Places where a press must not be heard", (Findings(basis.of_code("AIR-03"), "None is named. Reach is not a fence: a wish for a greatest distance needs another means."),)),
            Section("Doubts about the plan", (Findings(basis.of_code("AIR-04"), "None: no place and no aerial lies in the line of a wall."),)),
        ),
        missing=() if basis.case.job.readings or basis.happened("reading taken") else ("Readings: none was taken; five to ten levels with a test fob narrow every prediction",),
    )


def _readings(basis: Basis) -> Table:
    rows: list[tuple[Cell | str | None, ...]] = [
        (one.about, f"{one.value:+.1f} dB" if one.value is not None else None, f"{one.limit:.1f} dB" if one.limit is not None else "", basis.judged([one], one.says)) for one in basis.of_code("AIR-02")
    ]
    return Table("against", (Column("reading", 1.2), Column("off by", 0.5, True), Column("allowed", 0.5, True), Column("judged", 2.2)), tuple(rows), empty="No reading was taken.")
