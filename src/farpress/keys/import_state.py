"""How a fob of a list stands: lost, blocked, handed in; what contradicts that, and what brings it there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from farpress.domain.acts import FobAct, FobBlocked, FobDestroyed, FobFound, FobHandedIn, FobLost
from farpress.domain.register import FobState
from farpress.keys.button_text import buttons_of_text
from farpress.keys.import_places import Fault
from farpress.keys.memory_matters import GONE_STATES
from farpress.keys.problems import RowClass
from farpress.phrases import closest, listed

__all__ = ["standing", "state_faults", "was_issued"]

_NAMES: Final = tuple(str(state) for state in FobState)

_WITHOUT_HOLDER: Final = frozenset({FobState.SPARE, FobState.HANDED_IN})
"""States in which nobody has the fob."""


_AFTER_ISSUE: Final = frozenset({FobState.HANDED_IN, FobState.LOST, FobState.BLOCKED, FobState.DESTROYED})
"""States that a fob comes to after it was given out."""


def state_faults(values: dict[str, str]) -> Iterator[Fault]:
    """Everything that contradicts itself; puts the state in order on the way."""
    given = values.get("state", "")
    state = given.casefold()
    if state and state not in _NAMES:
        allowed = listed(_NAMES, last=" or ")
        says = f"'{given}' is no state of a fob{closest(state, _NAMES)}. It can be {allowed}."
        yield "state", says, RowClass.OTHER
        state = ""
    values["state"] = state
    held = bool(values.get("person") or values.get("pool"))
    is_obeyed = bool(values.get("receiver")) and not values.get("deleted")
    if state == FobState.ISSUED and not held:
        says = "It is said to be issued, and to nobody; name a person or a pool."
        yield "state", says, RowClass.HOLDER
    elif not state and not held and is_obeyed and not any(values.get(name) for name in ("lost", "back")):
        says = (
            f"{values['receiver']} obeys it, and nobody holds it; name a person or a pool, or say in a column"
            " 'state' that it is spare or lost."
        )
        yield "person", says, RowClass.HOLDER
    if state in GONE_STATES and is_obeyed:
        slot = f" (slot {values['slot']})" if values.get("slot") else ""
        yield (
            "state",
            f"{values['fob']} is {state}, and {values['receiver']}{slot} still obeys it.",
            RowClass.STILL_LEARNED,
        )
    if state in _WITHOUT_HOLDER and held:
        yield (
            "state",
            f"It is {state}, and {values.get('person') or values.get('pool')} has it; which is right?",
            RowClass.OTHER,
        )
    if values.get("lost") and state and state != FobState.LOST:
        says = f"It was lost on {values['lost']}, and it is {state}; which is right?"
        yield "lost", says, RowClass.OTHER
    if values.get("buttons"):
        try:
            buttons_of_text(values["buttons"])
        except (ValueError, AttributeError) as error:
            yield (
                "buttons",
                f"{str(error)[:1].upper()}{str(error)[1:]}; write it as '1: open gate; 2: wicket + light'.",
                RowClass.OTHER,
            )
            values["buttons"] = ""


def was_issued(values: Mapping[str, str]) -> bool:
    """Whether somebody had a fob that nobody has now: what was given out with it still stands in the list."""
    told = any(values.get(name) for name in ("organisation", "valid from", "valid to", "issued", "signed"))
    return told and (values.get("state", "") in _AFTER_ISSUE or bool(values.get("back")))


def standing(label: str, values: Mapping[str, str]) -> Iterator[FobAct]:
    """The acts that bring a fob from issued, or from stock, to how the list says it stands."""
    state, back = values.get("state", ""), values.get("back", "")
    if back or state == FobState.HANDED_IN:
        yield FobHandedIn(fob=label, condition="as a list says", on=back)
    if state == FobState.LOST or (not state and values.get("lost")):
        yield FobLost(fob=label, between="as a list says", on=values.get("lost", ""))
    elif state == FobState.BLOCKED:
        yield FobBlocked(fob=label, why="as a list says")
    elif state == FobState.DESTROYED:
        yield FobDestroyed(fob=label)
    elif back and state in (FobState.SPARE, FobState.ISSUED):
        yield FobFound(fob=label)
