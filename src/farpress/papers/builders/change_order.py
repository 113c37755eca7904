"""The change order: what differs between two versions of the job, and what that does to promises and
rules.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from farpress.domain.finding import Finding
from farpress.papers.builders.basis import Basis
from farpress.papers.typesetting.paper import (
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

__all__ = ["differences", "paper"]


def paper(basis: Basis) -> Paper:
    """The change order; without an earlier version a form for the change asked for."""
    from farpress.judging.assess import assess

    sections: list[Section] = [
        Section(
            "Request",
            (
                Fields(
                    (
                        PaperField("Asked for by, on", None),
                        PaperField("Why", None),
                        PaperField("Received by", None),
                        PaperField("Wanted by", None),
                    )
                ),
            ),
        )
    ]
    missing: tuple[str, ...] = ()
    if basis.before is None:
        missing = ("An earlier version of the job to compare with: name its folder or file with --before",)
        sections.append(
            Section(
                "What changes",
                (
                    PaperTable(
                        "changes", (Column("where", 1.2), Column("was"), Column("shall be")), (), blank_rows=3
                    ),
                ),
            )
        )
    else:
        changed = tuple(
            differences(
                basis.before.without_evidence().job.model_dump(mode="json", by_alias=True),
                basis.case.without_evidence().job.model_dump(mode="json", by_alias=True),
            )
        )
        rows: tuple[tuple[Cell | str | None, ...], ...] = tuple(
            (where, was, now) for where, was, now in changed
        )
        before = assess(basis.before)
        sections += [
            Section(
                "What changes",
                (
                    Text(
                        f"From job {basis.before.fingerprint[:16]} to job {basis.case.fingerprint[:16]}:"
                        f" {len(changed)} difference{'' if len(changed) == 1 else 's'}."
                    ),
                    PaperTable(
                        "changes",
                        (Column("where", 1.2), Column("was"), Column("shall be")),
                        rows,
                        empty="Nothing that is written in the job.",
                    ),
                ),
            ),
            Section(
                "What that does to the judgements", (_effects(before.findings, basis.assessment.findings),)
            ),
            Section(
                "Promises",
                (
                    _promises(
                        {chain.id: str(chain.verdict) for chain in before.promises},
                        {chain.id: str(chain.verdict) for chain in basis.assessment.promises},
                    ),
                ),
            ),
        ]
    sections += [
        Section(
            "Papers to print anew",
            (
                Ticks(
                    tuple(
                        Tick(gap)
                        for gap in (
                            "Wiring schedule",
                            "Settings schedule",
                            "Key register",
                            "User cards of everybody concerned",
                            "Proving record",
                            "Risk notes",
                        )
                    )
                ),
            ),
        ),
        Section(
            "Done and proven",
            (
                Fields(
                    (
                        PaperField("Done on, by", None),
                        PaperField("Proven by tests no.", None),
                        PaperField("Users told on", None),
                        PaperField("Insurer told, where needed", None),
                    ),
                    columns=4,
                ),
            ),
        ),
        Section(
            "Agreed",
            (
                Signatures(
                    (
                        ("For the customer", "the change is wanted, with its effects above"),
                        ("For the firm", "done and proven"),
                    )
                ),
            ),
        ),
    ]
    return Paper(
        "change-order",
        "Change order",
        "For the customer and the firm: what changes, what it does to everything else, and the proof"
        " afterwards.",
        tuple(sections),
        missing=missing,
    )


def differences(before: Any, after: Any, where: tuple[str, ...] = ()) -> Iterator[tuple[str, str, str]]:
    """Every value that differs between two jobs: (where, was, is), lists of one length value by value."""
    if isinstance(before, Mapping) and isinstance(after, Mapping):
        for key in [*before, *(key for key in after if key not in before)]:
            yield from differences(before.get(key), after.get(key), (*where, str(key)))
    elif (
        _is_list(before)
        and _is_list(after)
        and len(before) == len(after)
        and any(isinstance(entry, Mapping) for entry in before)
    ):
        for number, (was, now) in enumerate(zip(before, after, strict=True), 1):
            yield from differences(was, now, (*where, str(number)))
    elif before != after:
        yield (" / ".join(where), _short(before), _short(after))


def _is_list(value: object) -> bool:
    return isinstance(value, Sequence) and not isinstance(value, str)


def _short(value: Any) -> str:
    if value is None or value in ({}, [], ()):
        return "nothing"
    if isinstance(value, Mapping):
        return ", ".join(
            f"{key}: {_short(member)}"
            for key, member in value.items()
            if member not in (None, {}, [], (), "", False)
        )
    return ", ".join(_short(member) for member in value) if _is_list(value) else str(value)


def _effects(before: tuple[Finding, ...], after: tuple[Finding, ...]) -> PaperTable:
    old, new = {finding.key: finding for finding in before}, {finding.key: finding for finding in after}
    rows: list[tuple[Cell | str | None, ...]] = []
    for key in sorted({*old, *new}):
        was, now = old.get(key), new.get(key)
        if was is not None and now is not None and was.verdict is now.verdict and was.says == now.says:
            continue
        rows.append((key, _judged(was), _judged(now)))
    return PaperTable(
        "effects",
        (Column("judgement", 0.9), Column("before", 1.3), Column("after", 1.3)),
        tuple(rows),
        empty="No judgement changes.",
    )


def _judged(finding: Finding | None) -> Cell:
    return (
        Cell(finding.says, str(finding.verdict), finding.sources)
        if finding is not None
        else Cell("not judged")
    )


def _promises(before: Mapping[str, str], after: Mapping[str, str]) -> PaperTable:
    alike: dict[tuple[str | None, str | None], list[str]] = {}
    for name in dict.fromkeys([*before, *after]):
        if before.get(name) != after.get(name):
            alike.setdefault((before.get(name), after.get(name)), []).append(name)
    rows: list[tuple[Cell | str | None, ...]] = [
        (
            "; ".join(names),
            Cell("", was) if was is not None else "not promised",
            Cell("", now) if now is not None else "no longer promised",
        )
        for (was, now), names in alike.items()
    ]
    return PaperTable(
        "promises",
        (Column("promises", 4), Column("before"), Column("after")),
        tuple(rows),
        empty="No promise is kept better or worse.",
    )
