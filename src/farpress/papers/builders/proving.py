"""The proving record: what is to be tried, how often, what was found, and what that shows."""

from __future__ import annotations

from typing import Final

from farpress.domain.acts import CheckDone, ReadingTaken, TrialDone
from farpress.domain.cautions import CAUTIONS
from farpress.domain.event import Event, happened
from farpress.domain.refs import DeviceRef
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.power_cut import power_cut
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
from farpress.proving.proof import Proof, TestProof, proven_tests
from farpress.proving.tests import ProvingPlan, ProvingTest
from farpress.sources import Citation, Mark

__all__ = ["CHECKS", "paper"]

_VERDICTS: Final = {
    Proof.PROVEN: "holds",
    Proof.STARTED: "thin",
    Proof.NOT_PROVEN: "unknown",
    Proof.REFUTED: "fails",
}
_EVIDENCE: Final = (Citation("tests recorded on site", mark=Mark.MEASURED),)
_BINOMIAL: Final = (
    Citation("Wald's sequential test; exact limits after Clopper and Pearson", mark=Mark.COMPUTED),
)

CHECKS: Final = (
    Citation(
        "checks of this program; their values as in the wiring schedule and the sheets of the parts",
        mark=Mark.CHOICE,
    ),
)
"""Source of what a trial asks for."""

_PREDICTED: Final = (
    Citation("as computed in the reach report and the wiring schedule, with its doubt", mark=Mark.COMPUTED),
)

Row = tuple[Cell | str | None, ...]


def paper(basis: Basis) -> Paper:
    """The proving record, filled in as far as tests are recorded."""
    plan = basis.plan
    proofs = proven_tests(plan, basis.events)
    by_kind = {
        kind: [proof for proof in proofs if proof.test.kind == kind]
        for kind in ("presses", "check", "measure")
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
            Section("Other entries of the record", _others(basis, {proof.test.id for proof in proofs})),
            Section(
                "Result",
                (
                    Fields(
                        (
                            PaperField("Accepted, reworked or limited in use", None),
                            PaperField("Faults left open", None),
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
    """Those of the plan and of its tests, each once; none that another says as well."""
    own = "Keep everybody away from what moves while you try it; a second person watches the leaf."
    said = (
        CAUTIONS["general"],
        own,
        *plan.cautions,
        *(test.caution for test in plan.tests if test.caution),
        CAUTIONS["deference"],
    )
    return tuple(
        caution
        for caution in dict.fromkeys(said)
        if not any(caution in other and caution != other for other in said)
    )


def _circumstances() -> Fields:
    return Fields(
        (
            PaperField("Date and time", None),
            PaperField("Weather, vehicles, doors", None),
            PaperField("Instrument, calibrated until", None),
            PaperField("Test fob, cell volts under load", None),
            PaperField("Alarm panel", None),
            PaperField("Housings and cabinets closed", None),
        ),
        columns=3,
    )


def _outputs(basis: Basis) -> PaperTable:
    rows: list[Row] = []
    for path, proof in basis.proofs.items():
        output = basis.case.output(path)
        promises = "; ".join(f"{name}: {state}" for name, state in proof.promises.items())
        rows.append(
            (
                path,
                ", ".join(output.functions) if output is not None else "",
                Cell(proof.says, _VERDICTS[proof.proof], _EVIDENCE if basis.events else ()),
                promises,
            )
        )
    return PaperTable(
        "outputs",
        (Column("output", 0.6), Column("function", 0.8), Column("state", 1.1), Column("promises", 2.6)),
        tuple(rows),
        empty="No output is described yet.",
    )


def _presses(basis: Basis, found: list[TestProof]) -> PaperTable:
    rows: list[Row] = []
    for proof in found:
        test, done = proof.test, proof.tries > 0 or proof.moment != ""
        rows.append(
            (
                test.number,
                test.does,
                "; ".join(test.promises),
                test.expected,
                proof.predicted or "not known",
                str(proof.tries) if proof.tries else None,
                str(proof.tries - proof.failures) if proof.tries else None,
                proof.measured if done and not proof.tries else "",
                _state(proof),
                proof.moment[:10] or None,
            )
        )
    columns = (
        Column("test", 0.35),
        Column("what to do", 2, sources=_BINOMIAL),
        Column("promises", 1.3),
        Column("expected", 1, sources=_BINOMIAL),
        Column("predicted", 0.6, sources=_PREDICTED),
        Column("tried", 0.45, True, basis.recorded if any(proof.tries for proof in found) else ()),
        Column("heard", 0.45, True),
        Column("pad", 0.5),
        Column("shown", 1.1),
        Column("date, by", 0.5),
    )
    return PaperTable("presses", columns, tuple(rows), empty="Nothing is promised yet.")


def _checks(found: list[TestProof]) -> PaperTable:
    rows: list[Row] = [
        (
            proof.test.number,
            proof.test.does,
            proof.test.expected,
            proof.test.who,
            proof.measured or None,
            _state(proof),
            proof.moment[:10] or None,
        )
        for proof in found
    ]
    columns = (
        Column("test", 0.35),
        Column("what to do", 1.9, sources=CHECKS),
        Column("expected", 1.2, sources=CHECKS),
        Column("who", 0.6),
        Column("found", 0.7),
        Column("shown", 0.9),
        Column("date, by", 0.5),
    )
    return PaperTable("checks", columns, tuple(rows), empty="Nothing to check yet.")


def _measured(found: list[TestProof]) -> PaperTable:
    rows: list[Row] = []
    for proof in found:
        test = proof.test
        predicted = f"{test.predicted:.4g} {test.unit}" if test.predicted is not None else "not known"
        rows.append(
            (
                test.number,
                test.does,
                test.who,
                predicted,
                _allowed(test) or test.expected,
                proof.measured or None,
                _state(proof),
                proof.moment[:10] or None,
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
    return PaperTable("measurements", columns, tuple(rows), empty="Nothing to measure yet.")


def _allowed(test: ProvingTest) -> str:
    edges = [f"{value:.4g} {test.unit}" for value in (test.low, test.high) if value is not None]
    if len(edges) == 1:
        return f"at least {edges[0]}" if test.high is None else f"at most {edges[0]}"
    return " to ".join(edges)


def _state(proof: TestProof) -> Cell:
    return Cell(
        str(proof.proof) if proof.proof is Proof.NOT_PROVEN else f"{proof.proof}: {proof.says}",
        _VERDICTS[proof.proof],
        _EVIDENCE if proof.moment else (),
    )


def _force(basis: Basis) -> PaperTable:
    rows: list[Row] = []
    for path, part in basis.case.equipment.devices.items():
        if part.sheet.traits.is_leaf:
            judged = [
                finding
                for finding in basis.of_code("DEV-02", "DEV-03", "SAFE-03")
                if DeviceRef(path) in finding.subjects
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
    return PaperTable("force", columns, tuple(rows), empty="No heavy leaf is moved.")


def _others(basis: Basis, known: set[str]) -> tuple[Block, ...]:
    """Tests that were recorded under a name the plan does not have any more."""
    rows: list[Row] = []
    for event, act in happened(basis.events, TrialDone, CheckDone, ReadingTaken):
        name = act.test or (act.where if isinstance(act, ReadingTaken) else "")
        if name not in known:
            rows.append((event.moment[:16].replace("T", " "), event.kind, name, _said(event), event.by))
    columns = (
        Column("at (UTC)", 0.6),
        Column("kind", 0.6),
        Column("test or place", 1.2),
        Column("what was written down", 2.4),
        Column("by", 0.6),
    )
    return (PaperTable("other-entries", columns, tuple(rows), empty="None."),)


def _said(event: Event) -> str:
    return "; ".join(
        f"{name.replace('_', ' ')}: {value}"
        for name, value in event.particulars.items()
        if name not in ("test", "where", "client_id")
    )
