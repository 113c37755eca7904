"""The rule that no fob unsets an alarm alone: whoever finds one, or takes one, has no more than that."""

from __future__ import annotations

from collections.abc import Iterator

from farpress.case.access import unsets
from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN
from farpress.case.driven import Driven, alarm, driven_of, known_holders, subjects_of
from farpress.domain.cautions import CAUTIONS
from farpress.domain.device_sheets import PanelInput
from farpress.domain.finding import Ask, Remedy, Who
from farpress.domain.job import Rule
from farpress.judging.check import Answer
from farpress.judging.rules.ruling import Ruling

__all__ = ["unset_by_fob_alone"]

_INSTEAD = (
    Remedy("Let the fob start the entry time alone, and a code at the keypad unset it"),
    Remedy("Let the panel ask for a code besides the fob"),
    Remedy("Delete a lost fob the same day, at every receiver, with who goes agreed"),
)


def unset_by_fob_alone(case: Case, rule: Rule, outputs: tuple[OutputAt, ...]) -> Iterator[Ruling]:
    """Never unset by a fob alone: of each panel input that the named things work."""
    for output in outputs:
        for driven in driven_of(case, output):
            if driven.panel is not None and (driven.reading.begins_entry or alarm(driven)):
                yield _ruled(case, output, driven)


def _ruled(case: Case, output: OutputAt, driven: Driven) -> Ruling:
    about = f"{output.path}: {driven.works}"
    subjects = subjects_of(output, driven)
    if not unsets(case, output, driven):
        what = "begins the entry time and unsets nothing" if driven.reading.begins_entry else "only sets it"
        return Ruling(Answer.YES, f"{driven.works} {what}.", about=about, subjects=subjects)
    with_code = driven.input.with_code if isinstance(driven.input, PanelInput) else None
    people = known_holders(case, output)
    fobs = {None: "any fob", 1: "the one fob"}.get(people, f"any of {people} fobs")
    if with_code:
        return Ruling(
            Answer.YES,
            f"{driven.works} unsets only when a code is keyed in as well.",
            about=about,
            sources=driven.cite("inputs"),
            subjects=subjects,
        )
    return Ruling(
        Answer.NO if driven.reading.unsets or with_code is False else Answer.UNKNOWN,
        f"Whoever holds {fobs} that works {driven.works} unsets the alarm with it and nothing else: found,"
        " taken or lent.",
        CAUTIONS["lost fob"],
        about,
        asks=(Ask(f"Ask whether {driven.works} unsets without a code, and try it.", Who.ALARM_COMPANY, 5.0),)
        if with_code is None and not driven.reading.unsets
        else (),
        remedies=_INSTEAD,
        sources=(*driven.cite("inputs"), GIVEN),
        subjects=subjects,
    )
