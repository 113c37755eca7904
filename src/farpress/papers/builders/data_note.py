"""The data note: who keeps which personal data, for what, until when."""

from __future__ import annotations

from farpress.domain.acts import PersonDeleted
from farpress.domain.cautions import CAUTIONS, DUTIES
from farpress.papers.builders.basis import Basis
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
)

__all__ = ["data_note"]


Row = tuple[Cell | str | None, ...]


def data_note(basis: Basis) -> Paper:
    """Who keeps which personal data, for what, until when."""
    details = basis.case.job.details
    deleted = basis.happened(PersonDeleted)
    rule = basis.of_code("RULE-12", "REG-06")
    rows: list[Row] = [(gone.person, event.moment[:10], gone.why) for event, gone in deleted]
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
