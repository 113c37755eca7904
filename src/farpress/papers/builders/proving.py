"""The proving record: what is to be tried, how often, what was found, and what that shows."""

from __future__ import annotations

from typing import Final

from farpress.case.driven import LEAVES
from farpress.domain.cautions import CAUTIONS
from farpress.domain.event import Event
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.power_cut import power_cut
from farpress.papers.typesetting.paper import (
    Block,
    Cautions,
    Cell,
    Column,
    Field,
    Fields,
    Paper,
    Section,
    Signatures,
    Table,
    Text,
)
from farpress.proving.proof import Proof, TestProof, proven_tests
from farpress.proving.tests import ProvingPlan
from farpress.sources import Citation, Mark

__all__ = ["paper"]

_VERDICTS: Final = {
    Proof.PROVEN: "holds",
    Proof.STARTED: "thin",
    Proof.NOT_PROVEN: "open",
    Proof.REFUTED: "fails",
}
_EVIDENCE: Final = (Citation("tests recorded on site", mark=Mark.MEASURED),)
_BINOMIAL: Final = (
    Citation("Wald's sequential test; exact limits after Clopper and Pearson", mark=Mark.COMPUTED),
)

_CHECKS: Final = (
    Citation(
        "checks of this program; their values as in the wiring schedule and the sheets of the parts",
        mark=Mark.CHOICE,
    ),
)
_PREDICTED: Final = (
    Citation("as computed in the reach report and the wiring schedule, with its doubt", mark=Mark.COMPUTED),
)

Row = tuple[Cell | str | None, ...]


def paper(basis: Basis) -> Paper:
    """The proving record, filled in as far as tests are recorded."""
    plan = basis.plan
    proofs = proven_tests(plan, basis.events)
    by_kind = {
        kind: [one for one in proofs if one.test.kind == kind] for kind in ("presses", "check", "measure")
    }
    return Paper(
        "proving-record",
        "Proving record",
        "For the firm, the customer and an auditor: each promise and each rule with its test, what was"
        " expected and what was found. What is not proven stays marked so.",
        (
            Section("Circumstances", (_circumstances(), Cautions(_cautions(plan)))),
            Section("State of each output", (_outputs(basis),)),
            Section(
                "Presses from each place",
                (
                    Text(
                        f"Statements are made with {plan.confidence:.0%} confidence. The whole plan takes"
                        f" about {max(round(plan.minutes / 60, 1), 0.1):g} h.",
                        is_note=True,
                    ),
                    _presses(basis, by_kind["presses"]),
                ),
            ),
            Section("Checks", (_checks(by_kind["check"]),)),
            Section("Measurements", (_measured(by_kind["measure"]),)),
            Section(
                "Every output through a power cut",
                (
                    Text("Switch the supply off and on three times, nobody pressing.", is_note=True),
                    power_cut(basis, is_form=True),
                ),
            ),
            Section("Force and overtravel, by a competent person", (_force(basis),)),
            Section("Other entries of the record", _others(basis, {one.test.id for one in proofs})),
            Section(
                "Result",
                (
                    Fields(
                        (
                            Field("Accepted, reworked or limited in use", None),
                            Field("Faults left open", None),
                        ),
                        columns=1,
                    ),
                    Signatures(
                        (
                            ("Tested by", "as recorded above"),
                            ("For the customer", "was present, or has read this record"),
                        )
                    ),
                ),
            ),
        ),
        is_wide=True,
    )


def _cautions(plan: ProvingPlan) -> tuple[str, ...]:
    """Those of the plan and of its tests, each once."""
    own = "Keep everybody away from what moves while you try it; a second person watches the leaf."
    return tuple(
        dict.fromkeys(
            (
                CAUTIONS["general"],
                own,
                *plan.cautions,
                *(one.caution for one in plan.tests if one.caution),
                CAUTIONS["deference"],
            )
        )
    )


def _circumstances() -> Fields:
    return Fields(
        (
            Field("Date and time", None),
            Field("Weather, vehicles, doors", None),
            Field("Instrument, calibrated until", None),
            Field("Test fob, cell volts under load", None),
            Field("Alarm panel", None),
            Field("Housings and cabinets closed", None),
        ),
        columns=3,
    )


def _outputs(basis: Basis) -> Table:
    rows: list[Row] = []
    for path, one in basis.proofs.items():
        at = basis.case.output(path)
        promises = "; ".join(f"{name}: {state}" for name, state in one.promises.items())
        rows.append(
            (
                path,
                ", ".join(at.functions) if at is not None else "",
                Cell(one.says, _VERDICTS[one.proof], _EVIDENCE if basis.events else ()),
                promises,
            )
        )
    return Table(
        "outputs",
        (Column("output", 0.6), Column("function", 0.8), Column("state", 1.1), Column("promises", 2.6)),
        tuple(rows),
        empty="No output is described yet.",
    )


def _presses(basis: Basis, found: list[TestProof]) -> Table:
    rows: list[Row] = []
    for one in found:
        test, done = one.test, one.tries > 0 or one.at != ""
        rows.append(
            (
                test.number,
                test.does,
                "; ".join(test.promises),
                test.expected,
                one.predicted or "not known",
                str(one.tries) if one.tries else None,
                str(one.tries - one.failures) if one.tries else None,
                one.measured if done and not one.tries else "",
                _state(one),
                one.at[:10] or None,
            )
        )
    columns = (
        Column("test", 0.35),
        Column("what to do", 2, sources=_BINOMIAL),
        Column("promises", 1.3),
        Column("expected", 1, sources=_BINOMIAL),
        Column("predicted", 0.6, sources=_PREDICTED),
        Column("tried", 0.45, True, basis.recorded if any(one.tries for one in found) else ()),
        Column("heard", 0.45, True),
        Column("pad", 0.5),
        Column("shown", 1.1),
        Column("date, by", 0.5),
    )
    return Table("presses", columns, tuple(rows), empty="Nothing is promised yet.")


def _checks(found: list[TestProof]) -> Table:
    rows: list[Row] = [
        (
            one.test.number,
            one.test.does,
            one.test.expected,
            one.test.who,
            one.measured or None,
            _state(one),
            one.at[:10] or None,
        )
        for one in found
    ]
    columns = (
        Column("test", 0.35),
        Column("what to do", 1.9, sources=_CHECKS),
        Column("expected", 1.2, sources=_CHECKS),
        Column("who", 0.6),
        Column("found", 0.7),
        Column("shown", 0.9),
        Column("date, by", 0.5),
    )
    return Table("checks", columns, tuple(rows), empty="Nothing to check yet.")


def _measured(found: list[TestProof]) -> Table:
    rows: list[Row] = []
    for one in found:
        test = one.test
        allowed = " to ".join(
            f"{value:.4g} {test.unit}" for value in (test.low, test.high) if value is not None
        )
        allowed = (
            f"at least {allowed}"
            if test.high is None and allowed
            else f"at most {allowed}"
            if test.low is None and allowed
            else allowed
        )
        predicted = f"{test.predicted:.4g} {test.unit}" if test.predicted is not None else "not known"
        rows.append(
            (
                test.number,
                test.does,
                test.who,
                predicted,
                allowed or test.expected,
                one.measured or None,
                _state(one),
                one.at[:10] or None,
            )
        )
    columns = (
        Column("test", 0.35),
        Column("what to measure", 2.2),
        Column("who", 0.6),
        Column("predicted", 0.6, sources=_PREDICTED),
        Column("allowed", 0.9, sources=_PREDICTED),
        Column("found", 0.7),
        Column("shown", 0.9),
        Column("date, by", 0.5),
    )
    return Table("measurements", columns, tuple(rows), empty="Nothing to measure yet.")


def _state(one: TestProof) -> Cell:
    return Cell(
        str(one.proof) if one.proof is Proof.NOT_PROVEN else f"{one.proof}: {one.says}",
        _VERDICTS[one.proof],
        _EVIDENCE if one.at else (),
    )


def _force(basis: Basis) -> Table:
    rows: list[Row] = []
    for path, part in basis.case.equipment.devices.items():
        if part.sheet.device in LEAVES:
            judged = [
                one
                for one in basis.of_code("DEV-02", "DEV-03", "SAFE-03")
                if f"device:{path}" in one.subjects
            ]
            rows.append(
                (
                    path,
                    part.sheet.device,
                    ", ".join(part.sheet.safeguards or ()) or "none recorded",
                    basis.judged(judged),
                    None,
                    None,
                    None,
                )
            )
    columns = (
        Column("leaf"),
        Column("kind", 0.6),
        Column("safeguards recorded"),
        Column("judged on paper", 1.8),
        Column("force measured", 0.7),
        Column("runs on after letting go", 0.7),
        Column("record, by", 0.8),
    )
    return Table("force", columns, tuple(rows), empty="No heavy leaf is moved.")


def _others(basis: Basis, known: set[str]) -> tuple[Block, ...]:
    """Tests that were recorded under a name the plan does not have any more."""
    found = [
        event
        for event in basis.happened("trial done", "check done", "reading taken")
        if str(event.body.get("test", event.body.get("where", ""))) not in known
    ]
    rows: list[Row] = [
        (
            event.at[:16].replace("T", " "),
            event.kind,
            str(event.body.get("test", event.body.get("where", ""))),
            _said(event),
            event.by,
        )
        for event in found
    ]
    columns = (
        Column("at (UTC)", 0.6),
        Column("kind", 0.6),
        Column("test or place", 1.2),
        Column("what was written down", 2.4),
        Column("by", 0.6),
    )
    return (Table("other-entries", columns, tuple(rows), empty="None."),)


def _said(event: Event) -> str:
    return "; ".join(
        f"{name.replace('_', ' ')}: {value}"
        for name, value in event.body.items()
        if name not in ("test", "where", "client_id")
    )
