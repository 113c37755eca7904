"""Draw the register from the log: a fold over events, nothing kept between runs."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import Any, Final

from farpress.domain.event import Event
from farpress.domain.register import Fob, FobState, Learned, Register

__all__ = ["draw_register"]


def draw_register(events: Iterable[Event], *, start: Register | None = None) -> Register:
    """The register after the last of these events, which come in the order of time.

    Events about a fob that was never received are taken as its receipt too, so that a
    record begun in the middle of an installation's life is still drawn whole.

    Args:
        events: of one job, in the order of time.
        start: the register before the first of them; None for an empty one.
    """
    start = start or Register()
    fobs, left, memory, as_of = dict(start.fobs), dict(start.left), dict(start.memory), start.as_of
    heard: dict[str, dict[str, str]] = {}
    for event in events:
        as_of = event.at
        body = event.body
        label = body.get("fob")
        if event.kind == "fob heard" and isinstance(label, str):
            # nine of ten events, and no other step looks at them: kept aside, and put in at the end
            if label not in heard:
                heard[label] = dict(fobs.setdefault(label, Fob(label)).heard)
            heard[label][_text(body, "receiver")] = event.at
            continue
        step = _STEPS.get(event.kind)
        if step is not None and isinstance(label, str):
            fobs[label] = step(fobs.get(label) or Fob(label), event)
        elif event.kind == "receiver replaced" and body.get("copied") is not True:
            _forget(fobs, event)
            memory.pop(_text(body, "receiver"), None)
        elif event.kind == "memory read":
            memory[_text(body, "receiver")] = {"at": event.at, "records": body.get("records")}
        elif event.kind == "person left":
            left[_text(body, "person")] = _text(body, "on") or event.at[:10]
        elif event.kind == "person deleted":
            left.pop(_text(body, "person"), None)
    for label, when in heard.items():
        fobs[label] = replace(fobs[label], heard=when)
    return Register(fobs, as_of, left, memory)


def _forget(fobs: dict[str, Fob], event: Event) -> None:
    """Everything learned at a receiver that went away counts as deleted there."""
    receiver = _text(event.body, "receiver")
    for label, fob in fobs.items():
        if any(one.receiver == receiver and one.is_known for one in fob.learned):
            fobs[label] = _without(fob, receiver, event.at, "receiver replaced")


def _text(body: Mapping[str, object], name: str) -> str:
    value = body.get(name)
    return "" if value is None else str(value)


def _received(fob: Fob, event: Event) -> Fob:
    body = event.body
    return replace(
        fob,
        serial=_text(body, "serial") or fob.serial,
        type=_text(body, "type") or fob.type,
        cell_date=_text(body, "cell_date") or fob.cell_date,
    )


def _buttons(body: Mapping[str, object]) -> dict[str, tuple[str, ...]] | None:
    buttons: Any = body.get("buttons")
    if not isinstance(buttons, dict):
        return None
    return {
        str(button): (functions,) if isinstance(functions, str) else tuple(map(str, functions))
        for button, functions in buttons.items()
    }


def _issued(fob: Fob, event: Event) -> Fob:
    body = event.body
    buttons = _buttons(body)
    return replace(
        fob,
        state=FobState.ISSUED,
        person=_text(body, "person"),
        group=_text(body, "group"),
        pool=_text(body, "pool"),
        organisation=_text(body, "organisation"),
        valid_from=_text(body, "valid_from"),
        valid_to=_text(body, "valid_to"),
        issued_at=event.at,
        signed_at="",
        lost_at="",
        closed_at="",
        back_at="",
        buttons=fob.buttons if buttons is None else buttons,
    )


def _rights(fob: Fob, event: Event) -> Fob:
    return replace(fob, buttons=_buttons(event.body) or {}, group=_text(event.body, "group") or fob.group)


def _learned(fob: Fob, event: Event) -> Fob:
    body = event.body
    entry = Learned(
        _text(body, "receiver"), _text(body, "output"), _text(body, "button"), _text(body, "slot"), event.at
    )
    same = (entry.receiver, entry.output, entry.button, entry.slot)
    kept = tuple(
        one
        for one in fob.learned
        if not (one.is_known and (one.receiver, one.output, one.button, one.slot) == same)
    )
    return replace(fob, learned=(*kept, entry))


def _deleted(fob: Fob, event: Event) -> Fob:
    return _without(fob, _text(event.body, "receiver"), event.at, _text(event.body, "evidence"))


def _without(fob: Fob, receiver: str, at: str, evidence: str) -> Fob:
    learned = tuple(
        replace(one, deleted_at=at, evidence=evidence) if one.receiver == receiver and one.is_known else one
        for one in fob.learned
    )
    return replace(fob, learned=learned)


def _back(fob: Fob, event: Event) -> Fob:
    return replace(
        fob,
        state=FobState.HANDED_IN,
        person="",
        former=fob.person or fob.former,
        back_at=event.at,
        lost_at="",
    )


def _free(fob: Fob, event: Event) -> Fob:
    return replace(
        fob, state=FobState.ISSUED if fob.person or fob.pool else FobState.SPARE, lost_at="", closed_at=""
    )


def _state(state: FobState) -> Callable[[Fob, Event], Fob]:
    return lambda fob, event: replace(fob, state=state)


_STEPS: Final[dict[str, Callable[[Fob, Event], Fob]]] = {
    "fob received": _received,
    "fob issued": _issued,
    "rights changed": _rights,
    "receipt signed": lambda fob, event: replace(fob, signed_at=event.at),
    "fob handed in": _back,
    "fob lost": lambda fob, event: replace(fob, state=FobState.LOST, lost_at=event.at, closed_at=""),
    "loss closed": lambda fob, event: replace(fob, closed_at=event.at),
    "fob found": _free,
    "fob released": _free,
    "fob blocked": _state(FobState.BLOCKED),
    "fob destroyed": _state(FobState.DESTROYED),
    "fob learned": _learned,
    "fob deleted": _deleted,
    "cell changed": lambda fob, event: replace(
        fob, cell=_text(event.body, "cell") or fob.cell, cell_date=event.at[:10], low_cell_at=""
    ),
    "low cell": lambda fob, event: replace(fob, low_cell_at=event.at),
}
