"""Draw the register from the log: a fold over events, nothing kept between runs."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import Any, Final

from farpress.domain.event import Event
from farpress.domain.register import Fob, FobState, Learned, Register

__all__ = ["draw_register"]


def draw_register(events: Iterable[Event]) -> Register:
    """The register after the last of these events, which come in the order of time.

    Events about a fob that was never received are taken as its receipt too, so that a
    record begun in the middle of an installation's life is still drawn whole.
    """
    fobs: dict[str, Fob] = {}
    as_of = ""
    for event in events:
        as_of = event.at
        label = event.body.get("fob")
        step = _STEPS.get(event.kind)
        if step is not None and isinstance(label, str):
            fobs[label] = step(fobs.get(label) or Fob(label), event)
    return Register(fobs, as_of)


def _text(body: Mapping[str, object], name: str) -> str:
    value = body.get(name)
    return "" if value is None else str(value)


def _received(fob: Fob, event: Event) -> Fob:
    body = event.body
    return replace(
        fob, serial=_text(body, "serial") or fob.serial, type=_text(body, "type") or fob.type,
        cell_date=_text(body, "cell_date") or fob.cell_date,
    )


def _issued(fob: Fob, event: Event) -> Fob:
    body = event.body
    buttons: Any = body.get("buttons")
    return replace(
        fob, state=FobState.ISSUED, person=_text(body, "person"), group=_text(body, "group"), pool=_text(body, "pool"),
        organisation=_text(body, "organisation"), valid_from=_text(body, "valid_from"), valid_to=_text(body, "valid_to"),
        issued_at=event.at, signed_at="", lost_at="", buttons=dict(buttons) if isinstance(buttons, dict) else fob.buttons,
    )


def _learned(fob: Fob, event: Event) -> Fob:
    body = event.body
    entry = Learned(_text(body, "receiver"), _text(body, "output"), _text(body, "button"), _text(body, "slot"), event.at)
    return replace(fob, learned=(*fob.learned, entry))


def _deleted(fob: Fob, event: Event) -> Fob:
    receiver, evidence = _text(event.body, "receiver"), _text(event.body, "evidence")
    learned = tuple(
        replace(one, deleted_at=event.at, evidence=evidence) if one.receiver == receiver and one.is_known else one for one in fob.learned
    )
    return replace(fob, learned=learned)


def _state(state: FobState) -> Callable[[Fob, Event], Fob]:
    return lambda fob, event: replace(fob, state=state)


_STEPS: Final[dict[str, Callable[[Fob, Event], Fob]]] = {
    "fob received": _received,
    "fob issued": _issued,
    "receipt signed": lambda fob, event: replace(fob, signed_at=event.at),
    "fob handed in": lambda fob, event: replace(fob, state=FobState.HANDED_IN, person=""),
    "fob lost": lambda fob, event: replace(fob, state=FobState.LOST, lost_at=event.at),
    "fob found": lambda fob, event: replace(fob, state=FobState.ISSUED if fob.person or fob.pool else FobState.SPARE, lost_at=""),
    "fob blocked": _state(FobState.BLOCKED),
    "fob destroyed": _state(FobState.DESTROYED),
    "fob learned": _learned,
    "fob deleted": _deleted,
    "fob heard": lambda fob, event: replace(fob, heard={**fob.heard, _text(event.body, "receiver"): event.at}),
    "cell changed": lambda fob, event: replace(fob, cell=_text(event.body, "cell") or fob.cell, cell_date=event.at[:10], low_cell_at=""),
    "low cell": lambda fob, event: replace(fob, low_cell_at=event.at),
}
