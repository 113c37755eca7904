"""The lost-fob sheet: what the fob opens, where it is still known, what is done first, and the proof that it
is gone.
"""

from __future__ import annotations

from datetime import date, datetime, time

from farpress.case.case import OutputAt
from farpress.case.driven import alarm, driven_of
from farpress.case.local_time import NO_ZONE, in_zone, paper_zone
from farpress.domain.acts import FobLost
from farpress.domain.cautions import CAUTIONS
from farpress.domain.event import Event
from farpress.domain.register import Fob, FobState
from farpress.keys.lost import lost_plan
from farpress.keys.lost_words import LostWords
from farpress.papers.builders.basis import Basis
from farpress.papers.builders.holders import group_presses
from farpress.papers.builders.own_words import untranslated
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
    Tick,
    Ticks,
)
from farpress.sources import Citation, Mark

__all__ = ["paper"]


def paper(basis: Basis) -> Paper:
    """One sheet for each lost fob; without one, a form and what a fob of each group gives away."""
    say = basis.texts.say
    lost = [
        fob
        for label, fob in sorted(basis.register.fobs.items())
        if (label == basis.lost if basis.lost is not None else fob.state is FobState.LOST)
    ]
    sections = [
        section for number, fob in enumerate(lost) for section in _sheet(basis, fob, is_first=number == 0)
    ]
    if not lost:
        sections = [
            Section(
                say("Report"),
                (
                    Fields(
                        (
                            PaperField(say("Label"), None),
                            PaperField(say("Reported on, at, by"), None),
                            PaperField(say("Lost between which places and times"), None),
                            PaperField(say("Taken down by"), None),
                        )
                    ),
                    Text(
                        say(
                            "No fob is recorded as lost. This form serves for the first one; the tables tell"
                            " what a fob of each group gives away."
                        ),
                        is_note=True,
                    ),
                ),
            ),
            Section(say("What a fob of each group gives away"), (_by_group(basis),)),
            Section(say("Visits"), (_visits(basis, (), 5),)),
            *_closing(basis),
        ]
    return Paper(
        "lost-fob-sheet",
        say("Lost-fob sheet"),
        say(
            "For the register keeper and the firm, in the minute the telephone rings: what is exposed, what"
            " is blocked at once, which receivers must be visited."
        ),
        (
            Section(
                say("First"),
                (
                    Cautions((say(CAUTIONS["lost fob"]),)),
                    Ticks(
                        (
                            Tick(
                                say(
                                    "Is it really lost? Ask where it was last used, and try the car and the"
                                    " other jacket."
                                )
                            ),
                            Tick(
                                say("Functions that unset or open: block at the panel or on the spot, today.")
                            ),
                            Tick(say("Issue another fob, never the same number.")),
                        )
                    ),
                ),
            ),
            *sections,
        ),
        missing=untranslated(basis),
        language=basis.texts.language,
    )


def _sheet(basis: Basis, fob: Fob, *, is_first: bool) -> list[Section]:
    say, own = basis.texts.say, basis.texts.own
    report, lost = next(
        (entry for entry in reversed(basis.happened(FobLost)) if entry[1].fob == fob.label), (None, None)
    )
    functions = tuple(dict.fromkeys(function for functions in fob.buttons.values() for function in functions))
    group = basis.case.job.groups.get(fob.group)
    if not functions and group is not None:
        functions = basis.case.job.functions_of(group)
    outputs = [output for function in functions for output in basis.case.outputs_of(function)]
    rows: list[tuple[Cell | str | None, ...]] = [
        (
            learned.receiver,
            learned.output,
            learned.button,
            learned.slot or None,
            _what(basis, f"{learned.receiver}/{learned.output}"),
            Cell(say("deleted"), "holds") if not learned.is_known else Cell(say("still known"), "fails"),
            _when(basis, learned.deleted_at),
            learned.evidence or None,
        )
        for learned in fob.learned
    ]
    columns = (
        Column(say("receiver"), 0.9),
        Column(say("output"), 0.4),
        Column(say("button"), 0.4),
        Column(say("slot"), 0.4),
        Column(say("what it gives away"), 1.4),
        Column(say("deleted"), 0.6),
        Column(say("on, at (local)") if basis.case.job.time_zone else say("on, at (UTC)"), 0.7),
        Column(say("evidence, by"), 1),
    )
    return [
        Section(
            say("Fob {label}", label=fob.label),
            (
                Fields(
                    (
                        PaperField(
                            say("Reported"),
                            (
                                f"{_when(basis, report.moment)} ({_clock(basis)})"
                                if report is not None
                                else None
                            ),
                            say("when the loss was reported"),
                        ),
                        PaperField(
                            say("Lost between"),
                            (lost.between or None if lost is not None else None),
                            say("where and when it was last seen"),
                        ),
                        PaperField(
                            say("Type, serial"),
                            " ".join(word for word in (fob.type, fob.serial) if word) or None,
                        ),
                        PaperField(say("Group"), own(fob.group) or None),
                        PaperField(say("Cell of"), fob.cell_date or None),
                        PaperField(say("Last heard"), _when(basis, max(fob.heard.values(), default=""))),
                    )
                ),
                Text(_gives_away(basis, functions, outputs), is_strong=True),
            ),
            is_on_new_page=not is_first,
        ),
        Section(
            say("Where {label} is learned", label=fob.label),
            (
                PaperTable(
                    f"learned {fob.label}"[:31],
                    columns,
                    tuple(rows),
                    empty=say("Nowhere that is recorded: look at every receiver of the table of groups."),
                ),
            ),
        ),
        Section(
            say("Visits for {label}", label=fob.label),
            (
                _visits(basis, tuple(dict.fromkeys(learned.receiver for learned in fob.known_at)), 2),
                *_round(basis, fob, report),
            ),
        ),
        *_closing(basis),
    ]


def _gives_away(basis: Basis, functions: tuple[str, ...], outputs: list[OutputAt]) -> str:
    say = basis.texts.say
    named = ", ".join(map(basis.texts.own, functions)) or say("nothing that is written down")
    sentence = say("It gives away: {functions}.", functions=named)
    if any(_unsets(basis, output) for output in outputs):
        sentence += f" {say('It UNSETS an alarm: treat it as a lost key.')}"
    return sentence


def _clock(basis: Basis) -> str:
    zone = basis.case.job.time_zone
    return basis.texts.say("time in {zone}", zone=zone) if zone else "UTC"


def _round(basis: Basis, fob: Fob, report: Event | None) -> tuple[Block, ...]:
    """The order in which to go, so that dangerous rights end soonest; from the report, at once."""
    if not fob.known_at:
        return ()
    moment = (
        in_zone(report.moment, paper_zone(basis.case.job)).replace(microsecond=0)
        if report is not None
        else datetime.combine(basis.day or date(2000, 1, 3), time(8))
    )
    say, texts = basis.texts.say, basis.texts
    plan = lost_plan(basis.case, fob, leave=moment, words=LostWords(say, texts.listed, texts.own))
    reckoned = Citation(
        say("shortest weighted exposure over the roads of the job, six minutes a receiver"), mark=Mark.CHOICE
    )
    rows: list[tuple[Cell | str | None, ...]] = [
        (
            f"{number}",
            texts.own(visit.premises),
            "; ".join(_with_slots(basis, path, slots) for path, slots in visit.receivers.items()),
            ", ".join(map(texts.own, visit.functions)),
            Cell(texts.quantity(f"{visit.exposed_h:.1f} h"), "", (reckoned,)),
            "; ".join(visit.meanwhile) or say("nothing from here"),
            None,
        )
        for number, visit in enumerate(plan.visits, 1)
    ]
    columns = (
        Column(say("no."), 0.25),
        Column(say("premises"), 0.7),
        Column(say("receivers, slots"), 1.3),
        Column(say("functions"), 1.2),
        Column(say("exposed until done"), 0.6, True),
        Column(say("until then"), 1.6),
        Column(say("done at"), 0.5),
    )
    doubts = (*plan.doubts, *(() if basis.case.job.time_zone else (say(NO_ZONE),)))
    reckoning = say(
        "From {start}, {minutes} min of driving if somebody leaves when the loss is reported.",
        start=texts.own(plan.start),
        minutes=f"{plan.drive_min:.0f}",
    )
    return (
        PaperTable(
            f"round {fob.label}"[:31],
            columns,
            tuple(rows),
            title=say("The round, most dangerous rights first"),
        ),
        Text(" ".join((plan.says, reckoning, *doubts)), is_note=True),
        Ticks(
            tuple(
                Tick(f"{texts.own(visit.premises)}: {line}") for visit in plan.visits for line in visit.sheet
            )
        ),
    )


def _when(basis: Basis, moment: str) -> str | None:
    """A moment of the record, by the clock of the premises."""
    return f"{in_zone(moment, paper_zone(basis.case.job)):%Y-%m-%d %H:%M}" if moment else None


def _with_slots(basis: Basis, path: str, slots: tuple[str, ...]) -> str:
    say, listed = basis.texts.say, basis.texts.listed
    return say("{receiver}, slot {slots}", receiver=path, slots=listed(slots)) if slots else path


def _visits(basis: Basis, receivers: tuple[str, ...], blank: int) -> PaperTable:
    say = basis.texts.say
    rows: list[tuple[Cell | str | None, ...]] = [(receiver, None, None, None, None) for receiver in receivers]
    return PaperTable(
        "visits",
        (
            Column(say("receiver")),
            Column(say("by, when"), 0.8),
            Column(say("done"), 1.1),
            Column(say("tried with which fob"), 0.9),
            Column(say("evidence: photograph, list, signature"), 1.2),
        ),
        tuple(rows),
        blank_rows=blank,
    )


def _closing(basis: Basis) -> list[Section]:
    say = basis.texts.say
    return [
        Section(
            say("Told and closed"),
            (
                Ticks(
                    (
                        Tick(say("Insurer told, if the fob unsets or opens")),
                        Tick(say("Tenant or customer told")),
                        Tick(say("Register corrected, new fob issued and signed for")),
                    )
                ),
                Fields(
                    (
                        PaperField(
                            say("Insurer, to be told"), basis.case.job.details.insurer, say("whom to tell")
                        ),
                        PaperField(say("Closed on, after how many hours"), None),
                    )
                ),
                Signatures(((say("Register keeper"), say("the fob is known nowhere any more")),)),
            ),
        )
    ]


def _by_group(basis: Basis) -> PaperTable:
    say, own = basis.texts.say, basis.texts.own
    rows: list[tuple[Cell | str | None, ...]] = []
    for name, group in basis.case.job.groups.items():
        functions = tuple(
            dict.fromkeys(function for press in group_presses(group) for function in press.functions)
        )
        outputs = [output for function in functions for output in basis.case.outputs_of(function)]
        rows.append(
            (
                own(name),
                ", ".join(map(own, functions)) or say("nothing"),
                say("yes") if any(_unsets(basis, output) for output in outputs) else say("no"),
                ", ".join(dict.fromkeys(output.receiver_path for output in outputs)) or say("none"),
            )
        )
    return PaperTable(
        "groups",
        (
            Column(say("group"), 0.8),
            Column(say("functions given away"), 2),
            Column(say("unsets an alarm"), 0.6),
            Column(say("receivers to visit"), 1.4),
        ),
        tuple(rows),
        empty=say("No group is described yet."),
    )


def _unsets(basis: Basis, output: OutputAt) -> bool:
    kinds = {basis.case.job.functions[name].kind for name in output.functions}
    return bool(kinds & {"unset", "set and unset"}) and any(
        alarm(load) for load in driven_of(basis.case, output)
    )


def _what(basis: Basis, path: str) -> str:
    output = basis.case.output(path)
    if output is None or not output.functions:
        return basis.texts.say("not in the job")
    return ", ".join(map(basis.texts.own, output.functions))
