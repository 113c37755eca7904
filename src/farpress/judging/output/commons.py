"""Contacts of a receiver that share one terminal: circuits that must not be joined are joined by it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import MAINS, PRACTICE
from farpress.case.driven import driven_of
from farpress.domain.cautions import caution
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import OutputRef, ReceiverRef
from farpress.judging.check import Answer, Check
from farpress.phrases import listed

__all__ = ["ONE_COMMON", "judge_commons"]

ONE_COMMON: Final = Check(
    "OUT-34",
    Link.OUTPUT,
    "Contacts that share a common terminal: one circuit for all of them, or none.",
    stake=Stake.HARM,
    bars=True,
    halts=True,
    ask="Look in the data sheet whether each contact has a common terminal of its own.",
    minutes=3.0,
    mends="A receiver whose contacts are free of each other, or an interposing relay for each further"
    " circuit.",
)


def judge_commons(case: Case) -> Iterator[Finding]:
    """OUT-34 of each receiver whose outputs switch more than one circuit."""
    boxes: dict[str, list[OutputAt]] = {}
    for output in case.outputs():
        boxes.setdefault(output.receiver_path, []).append(output)
    for path, outputs in boxes.items():
        sheet = case.equipment.receivers[path].sheet
        circuits = _circuits(case, outputs)
        is_asked = sheet.commons is None and sheet.contact_form in ("normally open", "normally closed")
        if len(circuits) > 1 and (sheet.commons is not None or is_asked):
            yield _shared(case, path, outputs, circuits)


def _circuits(case: Case, outputs: list[OutputAt]) -> dict[str, bool]:
    """What the contacts switch: a name for each circuit → whether mains stands in it."""
    found: dict[str, bool] = {}
    for output in outputs:
        if output.output.via is not None:
            continue  # the contact works the coil of a relay between
        for driven in driven_of(case, output):
            name = driven.path.split("/")[1]
            is_mains = driven.sheet.supply == "mains"
            own = output.output.load_from or f"the inputs of {name}"
            source = f"the mains of {name}" if is_mains else own
            found[source] = found.get(source, False) or is_mains
    return found


def _shared(case: Case, path: str, outputs: list[OutputAt], circuits: dict[str, bool]) -> Finding:
    part, name = case.equipment.receivers[path], path.partition("/")[2]
    is_mixed = any(circuits.values()) and not all(circuits.values())
    what = listed(list(circuits))
    asks: tuple[Ask, ...] = ()
    if part.sheet.commons == "each its own":
        answer, says = Answer.YES, f"Each contact of {name} has a common terminal of its own, for {what}."
    elif part.sheet.commons is None:
        answer = Answer.UNKNOWN
        says = f"Whether the contacts of {name} share a common terminal is not known; they switch {what}."
        asks = (
            Ask(f"Look in the data sheet of {name} whether each contact has its own common.", Who.LABEL, 3.0),
        )
    else:
        answer = Answer.NO
        joined = "mains with extra-low voltage" if is_mixed else "circuits that are to stay apart"
        says = f"The contacts of {name} share one common terminal, which joins {what}: {joined}."
    mains = f" {caution('mains')}" if is_mixed else ""
    return ONE_COMMON.decide(
        about=path,
        subjects=(ReceiverRef(path), *(OutputRef(output.path) for output in outputs)),
        answer=answer,
        says=says,
        because="" if answer is Answer.YES else f"What is joined at one terminal is one circuit.{mains}",
        asks=asks,
        remedies=(
            Remedy("A receiver whose contacts each have a common of their own"),
            Remedy("An interposing relay for each circuit but one; for mains in an enclosure of its own"),
        ),
        sources=(*part.cite("commons", "contact_form"), PRACTICE, *((MAINS,) if is_mixed else ())),
    )
