"""The output sheets: one page for each output, with everything that is said of it; other papers quote it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import OutputAt, promise_id
from farpress.domain.acts import SettingMade
from farpress.domain.finding import Finding, Verdict
from farpress.domain.refs import PromiseRef
from farpress.overview.standing import told_of
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.drawings import output_drawing
from farpress.papers.builders.hazards import against, hazards_of
from farpress.papers.builders.holders import group_presses
from farpress.papers.builders.proposal_tables import contact_sources, load_cell
from farpress.papers.builders.proving import CHECKS
from farpress.papers.builders.words import (
    after_power_words,
    cable_words,
    contact_words,
    heard_words,
    loop_ohm_cell,
    mode_words,
    protection_words,
    works_words,
)
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
    Text,
)
from farpress.phrases import listed
from farpress.proving.proof import Proof
from farpress.sources import Citation
from farpress.units import write_share

__all__ = ["paper"]

Row = tuple[Cell | str | None, ...]

_PROVEN = {Proof.PROVEN: "holds", Proof.STARTED: "thin", Proof.NOT_PROVEN: "unknown", Proof.REFUTED: "fails"}
_BLANK_TRIALS = 2
_DRAWN = (
    "Drawings: contacts at rest; terminal numbers after EN 50005 and EN 50011, check them against the"
    " receiver's own. Dashed: mains, by a licensed electrician only. Hatched: barred, not to be wired."
)


MOST_ROWS: Final = 7
"""So many checks have a line of their own on a sheet, so that it stays one page; our choice."""


def paper(basis: Basis) -> Paper:
    """A list of the sheets, then one page an output, in the order of the job."""
    pages = tuple(
        Section(f"Sheet {number}: {_named(output)}", tuple(_page(basis, output)), is_on_new_page=True)
        for number, output in enumerate(basis.case.outputs(), 1)
    )
    return Paper(
        "output-sheets",
        "Output sheets",
        "For whoever wires, sets, proves, mends or answers for one output: all of it on one page. Other"
        " papers name the sheet.",
        (Section("Sheets", (_list(basis), Text(_DRAWN, is_note=True))), *pages),
        is_close=True,
    )


def _named(output: OutputAt) -> str:
    return f"{listed(output.functions, nothing='no function')} ({output.path})"


def _list(basis: Basis) -> PaperTable:
    rows: tuple[Row, ...] = tuple(
        (
            f"{number}",
            listed(output.functions, nothing="no function"),
            output.path,
            works_words(basis.case, output),
            Cell("BARRED" if output.path in basis.barred else "", str(basis.standings[output.path].verdict)),
        )
        for number, output in enumerate(basis.case.outputs(), 1)
    )
    columns = (
        Column("sheet", 0.3),
        Column("function", 1.2),
        Column("output", 0.8),
        Column("works", 1.4),
        Column("worst word", 0.8),
    )
    return PaperTable("sheets", columns, rows, empty="No output is described yet.")


def _page(basis: Basis, output: OutputAt) -> Iterator[Block]:
    barred = basis.barred.get(output.path)
    if barred is not None:
        yield Cautions((f"BARRED: {barred}. Not to be wired, set, tried or used until it is changed.",))
    yield _judged(basis, output)
    yield output_drawing(basis, output)
    yield _facts(basis, output)
    yield _pressed(basis, output)
    yield _hazards(basis, output)
    yield _trials(basis, output)
    if barred is None:
        yield Fields(
            (PaperField("Wired, set and tried as above: name, date", None), PaperField("Signature", None))
        )


def _judged(basis: Basis, output: OutputAt) -> PaperTable:
    """The worst word once, and what makes it so, each check in one line."""
    standing = basis.standings[output.path]
    told = [
        entry for verdict in (Verdict.FAILS, Verdict.UNKNOWN) for entry in told_of(standing.of_word(verdict))
    ]
    own = told if len(told) <= MOST_ROWS else told[: MOST_ROWS - 1]
    rows: list[Row] = [
        (
            Cell("", str(standing.verdict)) if number == 0 else "",
            Cell(f"{words} ({found[0].code})", "", _sources(found) or basis.given, is_for_row=True),
            _mends(found),
        )
        for number, (words, found) in enumerate(own)
    ]
    if further := told[len(own) :]:
        sources = _sources([finding for _, found in further for finding in found])
        says = "; ".join(f"{words} ({found[0].code})" for words, found in further)
        rows.append(
            (
                "",
                Cell(f"further: {says}", "", sources or basis.given, is_for_row=True),
                "each in full: farpress assess",
            )
        )
    thin = told_of(standing.of_word(Verdict.THIN))
    if thin:
        sources = _sources([finding for _, found in thin for finding in found])
        rows.append(
            (
                Cell("", str(standing.verdict)) if not rows else "",
                Cell("only just: " + "; ".join(words for words, _ in thin), "", sources, is_for_row=True),
                "watch it",
            )
        )
    if not rows:
        rows.append((Cell("", str(standing.verdict)), "every check with room to spare", ""))
    columns = (Column("worst word", 0.52), Column("why", 2.2), Column("what mends or settles it", 2))
    return PaperTable(f"judged {output.path}", columns, tuple(rows))


def _sources(found: tuple[Finding, ...] | list[Finding]) -> tuple[Citation, ...]:
    return tuple(dict.fromkeys(source for finding in found for source in finding.sources))


def _mends(found: tuple[Finding, ...]) -> str:
    asks = [f"{ask.says} ({ask.who})" for finding in found for ask in finding.asks]
    does = [remedy.does for finding in found for remedy in finding.remedies[:1]]
    return next(iter(asks or does), "")


def _facts(basis: Basis, output: OutputAt) -> Fields:
    case, spec = basis.case, output.output
    made = {setting.output: setting for _, setting in basis.happened(SettingMade)}.get(output.path)
    load, ohm = load_cell(basis, output), loop_ohm_cell(case, spec.cable)
    return Fields(
        (
            PaperField("Works", works_words(case, output), sources=basis.given),
            PaperField("Kind and time", mode_words(spec), sources=basis.given),
            PaperField(
                "After a power cut", after_power_words(case, output), "switch the supply off and look"
            ),
            PaperField("Set on site", made.setting if made is not None else None),
            PaperField("Contact", contact_words(case, output), sources=contact_sources(basis, output)),
            PaperField(
                "Load",
                load.text if load is not None else None,
                "volts and amperes, off its label",
                load.sources if load is not None else (),
            ),
            PaperField("Protection", protection_words(output), sources=basis.given),
            PaperField("Fed from", spec.load_from or "potential-free", sources=basis.given),
            PaperField("Cable, cores", cable_words(spec.cable), "type, length and cores", basis.given),
            PaperField(
                "Loop to expect",
                f"{ohm.text} at 20 °C" if ohm is not None else "",
                sources=ohm.sources if ohm is not None else (),
            ),
            PaperField("Loop found", None),
        ),
        columns=4,
    )


def _pressed(basis: Basis, output: OutputAt) -> PaperTable:
    """Who presses it, from where, how surely: promised, predicted, proven."""
    heard = {
        ref: finding
        for finding in basis.of_code("AIR-01")
        for ref in finding.subjects
        if isinstance(ref, PromiseRef)
    }
    chains = {chain.id: chain for chain in basis.assessment.promises}
    proofs = basis.proofs.get(output.path)
    alike: dict[tuple[Cell | str, ...], list[str]] = {}
    for promise in basis.case.job.promises:
        if promise.function not in output.functions:
            continue
        name = promise_id(promise)
        finding, chain = heard.get(PromiseRef(name)), chains.get(name)
        state = proofs.promises.get(name, Proof.NOT_PROVEN) if proofs is not None else Proof.NOT_PROVEN
        key = (
            promise.from_,
            f"{write_share(promise.at_least_share)} in {promise.within_presses:g}",
            Cell(
                heard_words(finding, promise.at_least_share),
                str(finding.verdict) if finding is not None and finding.value is not None else "unknown",
            ),
            Cell("", str(chain.verdict) if chain is not None else "unknown"),
            Cell("" if str(state) == "not proven" else str(state), _PROVEN[state]),
        )
        button = _buttons(basis, promise.to, promise.function)
        alike.setdefault(key, []).append(f"{promise.to} ({button})")
    rows: tuple[Row, ...] = tuple((listed(dict.fromkeys(who)), *key) for key, who in alike.items())
    sources = _sources([heard[ref] for ref in heard if ref.path in chains])
    columns = (
        Column("who presses (button)", 1.7, sources=basis.given),
        Column("from", 1.0),
        Column("promised", 0.7),
        Column("predicted", 1.0, sources=sources),
        Column("whole chain", 0.75),
        Column("proven", 0.75),
    )
    return PaperTable(
        f"pressed {output.path}", columns, rows, empty="Nobody is promised anything with this output."
    )


def _buttons(basis: Basis, group: str, function: str) -> str:
    presses = group_presses(basis.case.job.groups[group]) if group in basis.case.job.groups else ()
    found = [
        f"{press.button}{' held' if press.is_long else ''}"
        for press in presses
        if function in press.functions
    ]
    return ", ".join(found) or "none"


def _hazards(basis: Basis, output: OutputAt) -> PaperTable:
    rows = tuple((hazard.says, against(basis, hazard), hazard.who) for hazard in hazards_of(basis, output))
    columns = (Column("hazard", 1), Column("what stands against it", 2.4), Column("who decides", 0.8))
    return PaperTable(
        f"hazards {output.path}", columns, rows, empty="No hazard of its own; the general cautions hold."
    )


def _trials(basis: Basis, output: OutputAt) -> PaperTable:
    """What is tried at this output, by the numbers of the proving record, with room to write."""
    if output.path in basis.barred:
        return PaperTable(
            f"trials {output.path}", (Column("trial"),), (), empty="No trial while it is barred."
        )
    mine = [test for test in basis.plan.tests if output.path in test.outputs and test.kind != "presses"]
    alone = [test for test in mine if len(test.outputs) == 1]
    shared = [test.number for test in mine if len(test.outputs) > 1]
    levels = [test for test in alone if test.unit == "dBm"]
    rows: list[Row] = [(test.number, test.does, "", "") for test in alone if test not in levels]
    if levels:
        numbers = listed(test.number for test in levels)
        places = listed(dict.fromkeys(test.place.partition("/")[2] for test in levels))
        does = f"Mean level of four presses, if the receiver shows it, from {places}."
        rows.append((numbers, does, "", ""))
    if shared:
        rows.append(("", f"With others, as the proving record says: {listed(shared)}.", "", ""))
    columns = (
        Column("trial", 0.35),
        Column("what to do; expected: see the proving record", 3.2, sources=CHECKS),
        Column("found", 0.7),
        Column("date, by", 0.7),
    )
    return PaperTable(f"trials {output.path}", columns, tuple(rows), blank_rows=0 if rows else _BLANK_TRIALS)
