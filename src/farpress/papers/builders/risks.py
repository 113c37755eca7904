"""The risk notes: what can hurt somebody here, what is done about it, what remains, and what must not be
used.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from farpress.case.driven import Driven, closes, driven_of
from farpress.domain.cautions import CAUTIONS, DUTIES
from farpress.domain.finding import Link, Verdict
from farpress.domain.kinds import OutputKind
from farpress.overview.standing import stops_of
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.hazards import Hazard, against, hazards_of
from farpress.papers.builders.words import works_words
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

__all__ = ["cautions_of", "paper"]


def paper(basis: Basis) -> Paper:
    """The risk notes."""
    hazards = {output.path: hazards_of(basis, output) for output in basis.case.outputs()}
    told = {finding.key for found in hazards.values() for hazard in found for finding in hazard.findings}
    others = tuple(finding for finding in stops_of(basis.assessment) if finding.key not in told)
    broken = tuple(
        finding
        for finding in basis.assessment.findings
        if finding.link is Link.RULE and finding.verdict is not Verdict.HOLDS
    )
    return Paper(
        "risk-notes",
        "Risk notes",
        "For the customer and whoever works here: hazards, what was found to stand against them, what"
        " remains. It is no risk assessment of the machine.",
        (
            Section(
                "What the radio must not be used for",
                (
                    Cautions(
                        (
                            CAUTIONS["safety input"],
                            CAUTIONS["escape"],
                            CAUTIONS["general"],
                            CAUTIONS["deference"],
                        )
                    ),
                ),
            ),
            Section("Hazards, and what stands against them", (_hazards(basis, hazards),)),
            Section(
                "What else can hurt somebody, or nobody may accept",
                (Findings(others, "Nothing beyond the table above."),),
            ),
            Section(
                "Rules that are broken or not settled",
                (Findings(broken, "None: every rule holds on paper. It counts when it is proven on site."),),
            ),
            Section("Rules that somebody accepted otherwise", (_accepted(basis),)),
            Section("Signs and information for users", (Ticks(tuple(Tick(sign) for sign in _signs(basis))),)),
            Section(
                "Machine assessment",
                (
                    Text(DUTIES["machine"]),
                    Fields(
                        (
                            PaperField(
                                "Reference of the assessment",
                                None,
                                "number and date of the assessment of each gate, door or barrier as"
                                " assembled",
                            ),
                            PaperField(
                                "Responsible person for the machine", None, "who answers for it as assembled"
                            ),
                        )
                    ),
                ),
            ),
            Section(
                "Left unsafe, or safety unknown",
                (
                    Text(
                        "If something here is left unsafe or its safety is unknown, say so in writing, name"
                        " it, and have it taken out of use by whoever may do so."
                    ),
                    PaperTable(
                        "left",
                        (
                            Column("what"),
                            Column("why", 1.4),
                            Column("told to, when"),
                            Column("out of use", 0.5),
                        ),
                        (),
                        blank_rows=3,
                    ),
                ),
            ),
            Section(
                "Signed",
                (
                    Signatures(
                        (("For the firm", ""), ("For the customer", "has read and understood what remains"))
                    ),
                ),
            ),
        ),
    )


def cautions_of(basis: Basis, functions: tuple[str, ...]) -> tuple[str, ...]:
    """Subjects of the cautions that apply to somebody with these functions, as `CAUTIONS` names them, most
    pressing first.
    """
    found: set[str] = {"general"}
    for name in functions:
        for output in basis.case.outputs_of(name):
            kinds = {
                kind for function in output.functions if (kind := basis.case.job.functions[function].kind)
            }
            for load in driven_of(basis.case, output):
                found |= set(_subjects(load, output.output.traits))
                if load.panel is not None and kinds & {"set", "unset", "set and unset", "part set"}:
                    found.add("alarm")
            if "call" in kinds:
                found.add("call for help")
    found |= {"lost fob", "security", "cell"}
    return tuple(name for name in CAUTIONS if name in found)


def _subjects(load: Driven, output: OutputKind) -> Iterator[str]:
    yield from load.traits.cautions
    if output.while_held and load.traits.moves:
        yield "hold-to-run"
    if load.sheet.closes_after_s is not None and closes(load):
        yield "automatic closing"
    if load.sheet.escape_route:
        yield "escape"


def _hazards(basis: Basis, hazards: Mapping[str, tuple[Hazard, ...]]) -> PaperTable:
    """Every hazard of every output, as on its sheet; equal ones of one device together."""
    together: dict[tuple[str, Cell, str], list[str]] = {}
    for path, found in hazards.items():
        output = basis.case.output(path)
        works = works_words(basis.case, output) if output is not None else ""
        for hazard in found:
            number = list(basis.standings).index(path) + 1
            together.setdefault((hazard.says, against(basis, hazard), hazard.who), []).append(
                f"sheet {number}, {works}"
            )
    rows: list[tuple[Cell | str | None, ...]] = [
        ("; ".join(where), says, stands, who, None) for (says, stands, who), where in together.items()
    ]
    columns = (
        Column("where", 0.9),
        Column("hazard", 1),
        Column("what stands against it", 2),
        Column("who decides", 0.8),
        Column("what remains, agreed", 0.7),
    )
    return PaperTable("hazards", columns, tuple(rows), empty="Nothing is worked yet.")


def _accepted(basis: Basis) -> PaperTable:
    rows: list[tuple[Cell | str | None, ...]] = [
        (f"{number}", rule.says or f"never {rule.never}: {', '.join(rule.of)}", rule.signed)
        for number, rule in enumerate(basis.case.job.rules, 1)
        if rule.signed
    ]
    return PaperTable(
        "accepted",
        (Column("rule", 0.3), Column("must never", 2), Column("accepted by, when")),
        tuple(rows),
        empty="None.",
    )


def _signs(basis: Basis) -> tuple[str, ...]:
    signs = []
    if any(part.sheet.closes_after_s is not None for part in basis.case.equipment.devices.values()):
        signs.append("Sign at each leaf that closes by itself: it starts without warning")
    if any(part.sheet.traits.is_leaf for part in basis.case.equipment.devices.values()):
        signs.append("Where the hand release is, and how to use it, shown at the leaf")
    if any(part.sheet.supply == "mains" for part in basis.case.equipment.devices.values()):
        signs.append("Mains sign on every cover that hides mains voltage")
    if any("call" in (function.kind or "") for function in basis.case.job.functions.values()):
        signs.append("At the place of the call for help: who answers, and that it is no emergency call")
    return (*signs, "A user card for every holder")
