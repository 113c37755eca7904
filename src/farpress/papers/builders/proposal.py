"""The system design proposal: what will be built, what it is proven to do on paper, and where its limits
are.
"""

from __future__ import annotations

from farpress.case.case import OutputAt
from farpress.case.driven import driven_of, holders
from farpress.domain.cautions import CAUTIONS, DUTIES
from farpress.domain.finding import Finding, Link, Verdict
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.holders import group_presses
from farpress.papers.builders.power_cut import power_cut
from farpress.papers.builders.words import (
    after_power_words,
    cable_words,
    contact_words,
    loop_ohm_cell,
    mode_words,
    place_words,
    protection_words,
    sheet_cell,
    works_words,
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
    Promises,
    Section,
    Signatures,
    Text,
)
from farpress.sources import Citation
from farpress.units import write_quantity

__all__ = ["outputs_table", "paper", "reach_table"]

_OUTPUT_LINKS = (Link.OUTPUT, Link.CONTACT, Link.SUPPLY, Link.DEVICE, Link.PANEL)


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
            Section("Inputs of the receivers", (_inputs(basis),)),
            Section("Receivers and aerials", (_receivers(basis),)),
            Section("Supply and standby", (_supply(basis),)),
            Section("After a power cut", (power_cut(basis),)),
            Section("Cables", (_cables(basis),)),
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


def outputs_table(basis: Basis) -> PaperTable:
    """Every output: purpose, mode, contact, load, protection, state after power return, terminal, verdict."""
    rows: list[tuple[Cell | str | None, ...]] = [
        (
            output.path,
            ", ".join(output.functions) or "no function",
            mode_words(output.output),
            works_words(basis.case, output),
            _load(basis, output),
            Cell(contact_words(basis.case, output), "", _contact(basis, output)),
            protection_words(output),
            after_power_words(basis.case, output),
            basis.judged(basis.about(f"output:{output.path}", links=_OUTPUT_LINKS)),
        )
        for output in basis.case.outputs()
    ]
    columns = (
        Column("output", 0.7),
        Column("purpose", 0.8),
        Column("mode and time", 0.95, sources=basis.given),
        Column("works, terminal", 1.0),
        Column("load", 0.6),
        Column("contact", 0.85),
        Column("protection", 0.75, sources=basis.given),
        Column("after power return", 0.6),
        Column("judged", 1.5),
    )
    return PaperTable("outputs", columns, tuple(rows), empty="No output is described yet.")


def _load(basis: Basis, output: OutputAt) -> Cell | None:
    """Volts and amperes of what an output works, from its sheet or of the command input."""
    words: dict[str, None] = {}
    sources: list[Citation] = []
    for load in driven_of(basis.case, output):
        part, name = load.device or load.panel, load.works.partition(".")[2]
        given = (
            [
                (load.input.voltage_v, "voltage", f"inputs.{name}.voltage_v"),
                (load.input.current_a, "current", f"inputs.{name}.current_a"),
            ]
            if load.input is not None
            else []
        )
        if load.device is not None and not any(value for value, _, _ in given):
            given = [
                (load.sheet.voltage_v, "voltage", "voltage_v"),
                (load.sheet.current_a, "current", "current_a"),
            ]
        shown = [write_quantity(value, kind) for value, kind, _ in given if value is not None]
        if shown:
            words[" ".join(shown)] = None
            sources += (
                part.cite(*(path for value, _, path in given if value is not None))
                if part is not None
                else ()
            )
    return Cell(" + ".join(words), "", tuple(dict.fromkeys(sources)) or basis.given) if words else None


def _contact(basis: Basis, output: OutputAt) -> tuple[Citation, ...]:
    part = basis.case.equipment.receivers.get(output.receiver_path)
    return part.cite("contact_form", "contact_rated_a", "contact_rated_v") if part is not None else ()


def reach_table(basis: Basis) -> PaperTable:
    """Every promise over the air: predicted share, what was promised, verdict, source."""
    by_subject = {
        subject: finding
        for finding in basis.of_code("AIR-01")
        for subject in finding.subjects
        if subject.startswith("promise:")
    }
    rows: list[tuple[Cell | str | None, ...]] = []
    for chain, promise in zip(basis.assessment.promises, basis.case.job.promises, strict=True):
        finding = by_subject.get(f"promise:{chain.id}")
        value = f"{finding.value:.3g} %" if finding is not None and finding.value is not None else "not known"
        rows.append(
            (
                promise.from_,
                promise.function,
                promise.to,
                promise.importance,
                f"{100 * promise.at_least_share:.3g} %",
                value,
                _alone(basis.judged([finding] if finding is not None else [])),
            )
        )
    columns = (
        Column("from", 0.8),
        Column("function", 0.8),
        Column("who", 0.8),
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
    return PaperTable("reach", columns, tuple(rows), empty="Nothing is promised yet.")


def _alone(cell: Cell) -> Cell:
    """A verdict whose sources stand beside it at its figure."""
    return Cell(cell.text, cell.verdict)


def _inputs(basis: Basis) -> PaperTable:
    rows: list[tuple[Cell | str | None, ...]] = [
        (
            f"{premises}/{name} input {number}",
            given.reads,
            _normally(basis, premises, given.reads),
            _answers(basis, premises, name, given.reads),
            cable_words(given.cable),
            basis.judged(
                [
                    finding
                    for finding in basis.of_code("PAN-04")
                    if f"{premises}/{name} input {number}" in finding.about
                ]
            ),
        )
        for premises, house in basis.case.job.premises.items()
        for name, box in house.receivers.items()
        for number, given in box.inputs.items()
    ]
    return PaperTable(
        "inputs",
        (
            Column("input", 0.8),
            Column("source", 0.6),
            Column("normal state", 0.6),
            Column("response", 0.8),
            Column("cable", sources=basis.given),
            Column("judged", 1.5),
        ),
        tuple(rows),
        empty="None: nothing is told back to a receiver.",
    )


def _normally(basis: Basis, premises: str, reads: str) -> Cell | None:
    """How the line stands at rest, as far as the panel's sheet says."""
    name, _, output = reads.partition(".")
    part = basis.case.equipment.panels.get(f"{premises}/{name}")
    found = (part.sheet.outputs or {}).get(output) if part is not None else None
    says = (
        {"relay": "open, closed by the panel's relay", "open collector": "open, drawn to 0 V when on"}.get(
            found.form or ""
        )
        if found is not None
        else None
    )
    return (
        Cell(says, "", part.cite(f"outputs.{output}.form")) if says is not None and part is not None else None
    )


def _answers(basis: Basis, premises: str, receiver: str, reads: str) -> str:
    """What is told back with it: the functions whose output works the same panel or device."""
    thing = reads.partition(".")[0]
    told = [
        function
        for output in basis.case.outputs()
        if output.receiver_path == f"{premises}/{receiver}"
        and thing in {driven.partition(".")[0] for driven in output.works}
        for function in output.functions
    ]
    return f"acknowledges {', '.join(dict.fromkeys(told))}" if told else "shown at the receiver only"


def _receivers(basis: Basis) -> PaperTable:
    rows: list[tuple[Cell | str | None, ...]] = []
    for premises, house in basis.case.job.premises.items():
        for name, box in house.receivers.items():
            part = basis.case.equipment.receivers.get(f"{premises}/{name}")
            aerial = box.antenna
            coax = (
                f", {aerial.coax.part} {aerial.coax.length_m:g} m"
                if aerial is not None and aerial.coax is not None
                else ""
            )
            rows.append(
                (
                    f"{premises}/{name}",
                    part.says if part is not None else None,
                    place_words(box.at),
                    box.housing,
                    (
                        f"{aerial.part} at {place_words(aerial.at)}{coax}"
                        if aerial is not None
                        else "inside the receiver"
                    ),
                    basis.judged(basis.about(f"receiver:{premises}/{name}", links=(Link.RECEIVER,))),
                )
            )
    columns = (
        Column("receiver", 0.6),
        Column("part"),
        Column("where", 0.8, sources=basis.given),
        Column("housing", 0.5),
        Column("aerial", 1.2, sources=basis.given),
        Column("judged", 1.4),
    )
    return PaperTable("receivers", columns, tuple(rows), empty="No receiver is placed yet.")


def _supply(basis: Basis) -> PaperTable:
    rows: list[tuple[Cell | str | None, ...]] = []
    for path, part in basis.case.equipment.supplies.items():
        load = [finding for finding in basis.of_code("SUP-03") if finding.about == path]
        stand = [finding for finding in basis.of_code("SUP-04") if finding.about == path]
        rows.append(
            (
                path,
                part.says or part.name,
                sheet_cell(part, "rated_a", "current") or sheet_cell(part, "rated_va", "apparent power"),
                basis.judged(load, load[0].says if load else ""),
                basis.judged(stand, stand[0].says) if stand else "no battery",
            )
        )
    return PaperTable(
        "supply",
        (
            Column("supply", 0.6),
            Column("what it is", 0.9),
            Column("rated", 0.45),
            Column("everything on", 1.4),
            Column("standby", 1.4),
        ),
        tuple(rows),
        empty="No supply is described yet.",
    )


def _cables(basis: Basis) -> PaperTable:
    rows: list[tuple[Cell | str | None, ...]] = []
    for output in basis.case.outputs():
        rows.append(
            (
                output.path,
                works_words(basis.case, output),
                cable_words(output.output.cable),
                loop_ohm_cell(basis.case, output.output.cable),
                _cable_judged(basis, output),
            )
        )
    for premises, house in basis.case.job.premises.items():
        fed = [
            (name, device.fed)
            for things in (house.receivers, house.devices, house.panels)
            for name, device in things.items()
        ]
        for name, feed in fed:
            if feed is not None:
                judged = [
                    finding
                    for finding in basis.assessment.findings
                    if finding.code == "SUP-01" and finding.about.startswith(f"{name} on {premises}/")
                ]
                rows.append(
                    (
                        f"{premises}/{feed.from_}",
                        f"{name}: supply",
                        cable_words(feed.cable),
                        loop_ohm_cell(basis.case, feed.cable),
                        basis.judged(judged),
                    )
                )
    columns = (
        Column("from", 0.7),
        Column("to", 1.1),
        Column("cable", 1.1, sources=basis.given),
        Column("there and back, 20 °C", 0.7, True),
        Column("judged", 1.5),
    )
    return PaperTable("cables", columns, tuple(rows), empty="No cable is described yet.")


def _cable_judged(basis: Basis, output: OutputAt) -> Cell:
    if output.output.cable is None:
        return Cell("cable not described", "open")
    found = basis.about(f"output:{output.path}", links=(Link.SUPPLY,))
    return (
        basis.judged(found) if found else Cell("carries a command only; its current is judged at the contact")
    )


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
