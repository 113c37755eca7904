"""The proving record: what is to be tried, how often, what was found, and what that shows."""

from __future__ import annotations

from typing import Final

from farpress.core.proving.failure_share import failure_share_upper, trials_needed
from farpress.domain.cautions import CAUTIONS
from farpress.domain.event import Event
from farpress.domain.finding import Verdict
from farpress.papers.paper import Cautions, Cell, Column, Field, Fields, Paper, Section, Signatures, Table, Text
from farpress.sources import cited
from farpress.tasks.driven import LEAVES
from farpress.tasks.paper_data.basis import Basis
from farpress.tasks.paper_data.words import after_power_words, works_words

__all__ = ["CONFIDENCE", "paper", "trials_table"]

CONFIDENCE: Final = 0.95
"""Of every statement about trials; our choice, usual in testing."""


def paper(basis: Basis) -> Paper:
    """The proving record, filled in as far as trials are recorded."""
    return Paper(
        "proving-record", "Proving record",
        "For the firm, the customer and an auditor: each promise and each rule with its test, what was expected and what was found. What is not proven stays marked so.",
        (
            Section("Circumstances", (_circumstances(), Cautions((CAUTIONS["general"], "Keep everybody away from what moves while you try it; a second person watches the leaf.")))),
            Section("Presses from each place", (
                Text(f"Without a failure, so many presses show the promised share with {CONFIDENCE:.0%} confidence. Fewer presses prove less, however well they went.", is_note=True), trials_table(basis))),
            Section("Every output after a power cut", (_power_cut(basis),)),
            Section("Pairs of buttons together", (_pairs(basis),)),
            Section("Rules", (_rules(basis),)),
            Section("Force and overtravel, by a competent person", (_force(basis),)),
            Section("Acknowledgement and alarm panel", (_panel(basis),)),
            Section("Other tests recorded", (_checks(basis),)),
            Section("Result", (Fields((Field("Accepted, reworked or limited in use", None), Field("Faults left open", None)), columns=1),
                               Signatures((("Tested by", "as recorded above"), ("For the customer", "was present, or has read this record"))))),
        ),
        is_wide=True,
    )


def _circumstances() -> Fields:
    return Fields((Field("Date and time", None), Field("Weather, vehicles, doors", None), Field("Instrument, calibrated until", None), Field("Test fob, cell volts under load", None),
                   Field("Alarm panel", None), Field("Housings and cabinets closed", None)), columns=3)


def trials_table(basis: Basis) -> Table:
    """Every promise with the presses it needs and the trials recorded for it."""
    rows: list[tuple[Cell | str | None, ...]] = []
    trials = basis.happened("trial done")
    for number, (chain, promise) in enumerate(zip(basis.assessment.promises, basis.case.job.promises, strict=True), 1):
        needed = trials_needed(failure_share=1.0 - promise.at_least_share, confidence=CONFIDENCE) if promise.at_least_share < 1.0 else 0
        done = [event for event in trials if event.body.get("promise") == chain.id]
        presses = sum(_count(event, "presses") for event in done)
        heard = sum(_count(event, "heard") for event in done)
        rows.append((
            f"P{number}", chain.id, f"{promise.within_presses:g}", f"{100 * promise.at_least_share:.3g} %", f"{needed}" if needed else "cannot be proven by counting",
            f"{presses}" if done else None, f"{heard}" if done else None, ", ".join(sorted({f"{event.body['pad_db']} dB" for event in done if "pad_db" in event.body})) or ("none" if done else None),
            _shown(presses, heard, promise.at_least_share) if done else Cell("not proven", "open"), ", ".join(sorted({event.at[:10] for event in done})) or None,
        ))
    columns = (Column("test", 0.35), Column("promise", 2), Column("within presses", 0.45, True), Column("promised", 0.5, True), Column("tries without failure", 0.6, True), Column("tried", 0.4, True),
               Column("heard", 0.4, True), Column("pad", 0.4), Column("shown", 1.6), Column("date, by", 0.6))
    return Table("trials", columns, tuple(rows), empty="Nothing is promised yet.")


def _count(event: Event, name: str) -> int:
    value = event.body.get(name)
    return int(value) if isinstance(value, int | float) else 0


def _shown(presses: int, heard: int, promised: float) -> Cell:
    if presses <= 0 or heard > presses:
        return Cell("not proven: the entries do not fit", "open")
    upper = failure_share_upper(failures=presses - heard, trials=presses, confidence=CONFIDENCE)
    verdict = Verdict.HOLDS if 1.0 - upper >= promised else Verdict.FAILS if heard / presses < promised else Verdict.THIN
    return Cell(f"at least {1.0 - upper:.1%} with {CONFIDENCE:.0%} confidence, if the number of presses was fixed beforehand", str(verdict), cited(failure_share_upper))


def _check(basis: Basis, test: str) -> tuple[Cell | str | None, str | None]:
    """What was found and when, for the last recorded check of a test."""
    found = [event for event in basis.happened("check done") if event.body.get("test") == test]
    if not found:
        return Cell("not proven", "open"), None
    last = found[-1]
    return Cell(str(last.body.get("found", "")), "holds" if last.body.get("passed") is True else "fails"), f"{last.at[:10]} {last.by}"


def _power_cut(basis: Basis) -> Table:
    rows: list[tuple[Cell | str | None, ...]] = []
    for at in basis.case.outputs():
        found, when = _check(basis, f"power {at.path}")
        rows.append((f"power {at.path}", works_words(basis.case, at), after_power_words(basis.case, at) or Cell("not known: ask", "open"),
                     basis.judged([one for one in basis.of_code("OUT-04") if one.about.startswith(at.path)]), None, None, None, found, when))
    columns = (Column("test", 0.8), Column("works", 1.1), Column("expected", 0.6), Column("judged", 1.1), Column("1st", 0.3), Column("2nd", 0.3), Column("3rd", 0.3), Column("found", 0.8), Column("date, by", 0.6))
    return Table("power-cut", columns, tuple(rows), empty="No output is described yet.")


def _pairs(basis: Basis) -> Table:
    rows: list[tuple[Cell | str | None, ...]] = []
    for one in basis.of_code("RULE-01", "OUT-06", "CON-08"):
        found, when = _check(basis, f"pair {one.about}")
        rows.append((one.about, "never both on; a pause between the two", basis.judged([one]), found, when))
    return Table("pairs", (Column("pair", 1.5), Column("expected"), Column("judged", 1.6), Column("found", 0.8), Column("date, by", 0.6)), tuple(rows), empty="No two outputs work against each other.")


def _rules(basis: Basis) -> Table:
    rows: list[tuple[Cell | str | None, ...]] = []
    for number, rule in enumerate(basis.case.job.rules, 1):
        judged = [one for one in basis.assessment.findings if one.about == f"rule {number}" or one.about.startswith((f"rule {number},", f"rule {number}:"))]
        judged = judged or [one for one in basis.of_code("AIR-03") if one.about.startswith(f"{', '.join(rule.of)}: never {rule.never}")]
        found, when = _check(basis, f"rule {number}")
        rows.append((f"rule {number}", rule.says or f"never {rule.never}: {', '.join(rule.of)}", basis.judged(judged), found, when))
    return Table("rules", (Column("test", 0.4), Column("must never", 1.6), Column("judged on paper", 1.8), Column("found", 0.8), Column("date, by", 0.6)), tuple(rows), empty="No rule is written down.")


def _force(basis: Basis) -> Table:
    rows: list[tuple[Cell | str | None, ...]] = []
    for path, part in basis.case.equipment.devices.items():
        if part.sheet.device in LEAVES:
            rows.append((path, part.sheet.device, ", ".join(part.sheet.safeguards or ()) or "none recorded",
                         basis.judged([one for one in basis.of_code("DEV-02", "DEV-03", "SAFE-03") if f"device:{path}" in one.subjects]), None, None, None))
    columns = (Column("leaf"), Column("kind", 0.6), Column("safeguards recorded"), Column("judged on paper", 1.8), Column("force measured", 0.7), Column("runs on after letting go", 0.7), Column("record, by", 0.8))
    return Table("force", columns, tuple(rows), empty="No heavy leaf is moved.")


def _panel(basis: Basis) -> Table:
    rows: list[tuple[Cell | str | None, ...]] = []
    for one in basis.of_code("PAN-02", "PAN-06"):
        found, when = _check(basis, f"panel {one.about}")
        rows.append((one.about, basis.judged([one], one.says), found, when))
    return Table("panel", (Column("what", 1), Column("judged on paper", 2.2), Column("found", 0.8), Column("date, by", 0.6)), tuple(rows), empty="No alarm panel is worked by radio.")


def _checks(basis: Basis) -> Table:
    rows: list[tuple[Cell | str | None, ...]] = [
        (str(event.body.get("test")), str(event.body.get("about", "")), str(event.body.get("expected", "")),
         Cell(str(event.body.get("found", "")), "holds" if event.body.get("passed") is True else "fails"), f"{event.at[:10]} {event.by}")
        for event in basis.happened("check done")
    ]
    return Table("checks", (Column("test"), Column("about"), Column("expected"), Column("found", 1.4), Column("date, by", 0.6)), tuple(rows), empty="None recorded yet.", blank_rows=0 if rows else 3)
