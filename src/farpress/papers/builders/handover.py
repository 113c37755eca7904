"""The commissioning and handover certificate: which papers, what training, what is open, who signs."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.domain.acts import PaperHandedOver
from farpress.domain.cautions import CAUTIONS, DUTIES
from farpress.domain.finding import Finding, Stake, Verdict
from farpress.overview.concerns import Concern
from farpress.overview.page import first_page
from farpress.overview.standing import stops_of
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.hazards import who_decides
from farpress.papers.typesetting.paper import (
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
    Tick,
    Ticks,
)
from farpress.phrases import listed, plural
from farpress.proving.proof import Proof

__all__ = ["HANDED_OVER", "paper"]

HANDED_OVER = (
    "System design proposal, with accepted deviations",
    "Output sheets, and the block diagram and wiring schedule, as fitted",
    "Settings schedule, set and checked",
    "Key register, and its copy without names",
    "A user card for every holder",
    "Proving record",
    "Risk notes",
    "Maintenance plan",
    "Log book, first entry made",
    "Data note",
    "Electrical test certificate of the licensed person",
    "Makers' instructions of drives, panel and receivers",
)
"""What is handed over; paper by paper."""


def _trained(basis: Basis) -> Iterator[tuple[str, str, None, None]]:
    """A row for each group of which the job says whether it was shown everything."""
    for name, group in basis.case.job.groups.items():
        if group.trained is not None:
            state = (
                "everything, as the job file says" if group.trained else "not shown yet, as the job file says"
            )
            yield f"group {name}", state, None, None


def paper(basis: Basis) -> Paper:
    """The commissioning and handover certificate."""
    given = {handed.paper: event.moment[:10] for event, handed in basis.happened(PaperHandedOver)}
    details = basis.case.job.details
    stops, mend = stops_of(basis.assessment), first_page(basis.assessment).mend
    states = {name: state for proof in basis.proofs.values() for name, state in proof.promises.items()}
    unproven = [chain.id for chain in basis.assessment.promises if states.get(chain.id) is not Proof.PROVEN]
    return Paper(
        "handover-certificate",
        "Commissioning and handover certificate",
        "For both sides: it cannot be issued yet, for the reasons named first."
        if stops
        else "For both sides: with these signatures the installation is in operation, and who does what from"
        " now on is settled.",
        (
            *_cannot_be_issued(stops),
            Section(
                "Installation",
                (
                    Fields(
                        (
                            PaperField("Customer", details.customer, "who takes over"),
                            PaperField(
                                "Premises",
                                "; ".join(
                                    house.address or name for name, house in basis.case.job.premises.items()
                                ),
                            ),
                            PaperField(
                                "Responsible person at the customer",
                                details.responsible_person,
                                "who may decide, add and delete",
                            ),
                            PaperField("Installer", details.installer, "which firm"),
                            PaperField("Put into operation on", None),
                            PaperField("Whom to ring", details.telephone, "telephone of the firm"),
                        )
                    ),
                ),
            ),
            Section(
                "Papers handed over",
                (
                    Ticks(
                        tuple(
                            Tick(
                                f"{name}{f', {given[name]}' if name in given else ''}",
                                True if name in given else None,
                            )
                            for name in HANDED_OVER
                        )
                    ),
                ),
            ),
            Section(
                "Training given",
                (
                    Text(
                        "Shown to each person: every button of theirs, the hand release, the way out without"
                        " a fob, what a lost fob means, what a power cut does."
                    ),
                    PaperTable(
                        "training",
                        (
                            Column("name"),
                            Column("what was shown", 1.5),
                            Column("date", 0.5),
                            Column("signature", 0.8),
                        ),
                        tuple(_trained(basis)),
                        blank_rows=4,
                    ),
                ),
            ),
            Section(
                "Exclusions",
                (Cautions((CAUTIONS["general"], CAUTIONS["safety input"], CAUTIONS["deference"])),),
            ),
            Section(
                "Insurer and others",
                (
                    Fields(
                        (
                            PaperField(
                                "Insurer informed",
                                details.insurer,
                                "the insurer must know of setting and unsetting by radio: who was told,"
                                " and when",
                            ),
                            PaperField("Fire authority, where locks are on escape routes", None),
                            PaperField("First maintenance on", None, "date of the first visit"),
                            PaperField("Register keeper", details.data_kept_by, "who keeps the key register"),
                        )
                    ),
                    Cautions((DUTIES["electrical test"], DUTIES["alarm"], DUTIES["machine"])),
                ),
            ),
            *_signatures(basis, stops, mend, unproven),
            Section("Annex: open faults that somebody may accept", (_faults(mend),), is_on_new_page=True),
            Section(
                "Annex: not proven yet",
                (
                    Text(
                        "A promise stays marked not proven in every paper until its trials are recorded and"
                        " show what was promised."
                        if unproven
                        else "Every promise is proven by recorded trials; the proving record says how."
                    ),
                    _unproven(basis, unproven, states),
                ),
            ),
        ),
    )


def _cannot_be_issued(stops: tuple[Finding, ...]) -> Iterator[Section]:
    """Why nobody can sign, one line a finding, with whose word ends it."""
    if not stops:
        return
    rows: tuple[tuple[Cell | str | None, ...], ...] = tuple(
        (
            finding.code,
            Cell(finding.says, str(finding.verdict), finding.sources, is_for_row=True),
            _settled_by(finding),
            who_decides(finding),
            None,
        )
        for finding in stops
    )
    columns = (
        Column("code", 0.4),
        Column("why", 1.9),
        Column("what ends it", 1.6),
        Column("who decides", 0.8),
        Column("mended by, on", 0.6),
    )
    yield Section(
        "This certificate cannot be issued",
        (
            Cautions(
                (
                    f"NOT TO BE SIGNED: {plural(len(stops), 'point')} can hurt somebody, or nobody may"
                    " accept them. Whatever hangs on them stays out of use until they are mended or found"
                    " out, in the job and on site.",
                )
            ),
            PaperTable("stops", columns, rows),
            Text("There are no lines to sign in this issue. Print it anew when the table is empty."),
        ),
    )


def _settled_by(finding: Finding) -> str:
    """What mends a fault and what is still to ask about it; of what is not known the question alone."""
    asked = "; ".join(f"{ask.says} ({ask.who})" for ask in finding.asks)
    mended = "; or: ".join(remedy.does.rstrip(".") for remedy in finding.remedies[:2])
    if finding.verdict is not Verdict.FAILS:
        mended = "" if asked else mended
    return ". ".join(filter(None, (mended, asked))) or "to be agreed with the customer"


def _signatures(
    basis: Basis, stops: tuple[Finding, ...], mend: tuple[Concern, ...], unproven: list[str]
) -> Iterator[Section]:
    if stops:
        return
    counts = Text(
        f"Open faults: {len(mend)}. Promises not proven yet: {len(unproven)} of"
        f" {len(basis.assessment.promises)}. Both are listed in the annex, a part of this certificate.",
        is_strong=True,
    )
    lines = Signatures(
        (
            ("For the firm", "handed over, tested as in the proving record, but for the annex"),
            ("Responsible person", "taken over with the annex, papers and training received"),
            ("Licensed person", "electrical test certificate is with the papers"),
        )
    )
    yield Section("Signatures", (counts, lines))


_ACCEPTS: Final = {
    Stake.HARM: "nobody",
    Stake.PROMISE: "the customer",
    Stake.WEAR: "the customer, knowing that it wears out",
    Stake.DUTY: "the customer; the insurer where it asks",
}
"""What is at stake → who may accept that it stays so."""


def _faults(mend: tuple[Concern, ...]) -> PaperTable:
    """What else fails, by what has to change, as on the first page of the summary."""
    rows: tuple[tuple[Cell | str | None, ...], ...] = tuple(
        (
            f"{concern.number}",
            listed(concern.names),
            Cell(
                "; ".join(concern.told),
                str(Verdict.FAILS),
                tuple(dict.fromkeys(source for finding in concern.findings for source in finding.sources)),
                is_for_row=True,
            ),
            concern.advice(with_effect=False),
            None,
            f"{_ACCEPTS[concern.stake]}:",
        )
        for concern in mend
    )
    columns = (
        Column("no.", 0.25),
        Column("what", 0.9),
        Column("what does not hold", 1.6),
        Column("what mends it", 1.4),
        Column("mended by, on", 0.5),
        Column("accepted by", 0.8),
    )
    return PaperTable("faults", columns, rows, empty="None that this program knows of.")


def _unproven(basis: Basis, names: list[str], states: dict[str, Proof]) -> PaperTable:
    """Promises without a trial, function by function."""
    found: dict[str, list[str]] = {}
    for chain, promise in zip(basis.assessment.promises, basis.case.job.promises, strict=True):
        if chain.id in names:
            state = states.get(chain.id)
            shown = f" ({state})" if state in (Proof.STARTED, Proof.REFUTED) else ""
            found.setdefault(promise.function, []).append(f"{promise.to} from {promise.from_}{shown}")
    rows: list[tuple[Cell | str | None, ...]] = [
        (function, "; ".join(who), f"{len(who)}") for function, who in found.items()
    ]
    return PaperTable(
        "unproven",
        (Column("function", 0.8), Column("who, from where", 3), Column("promises", 0.4, True, basis.given)),
        tuple(rows),
        empty="None.",
    )
