"""Receivers, outputs and buttons that a list names, against those the job has."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from farpress.keys.problems import RowClass, closest_or_all
from farpress.phrases import listed

if TYPE_CHECKING:
    from farpress.case.case import Case

__all__ = ["Fault", "PlacesOfList", "is_plain_number"]

Fault = tuple[str, str, RowClass]
"""Column, sentence, class."""

MOST_BUTTONS: Final = 16
"""Buttons of a fob where nothing is known of it: as many as the sheet of a fob may say."""


class PlacesOfList:
    """What a job has, looked up once for a whole list; without a case every name is taken as it is."""

    def __init__(self, case: Case | None) -> None:
        self.case = case
        self.receivers = (
            [
                f"{premises}/{name}"
                for premises, house in case.job.premises.items()
                for name in house.receivers
            ]
            if case is not None
            else []
        )
        self._meant: dict[str, tuple[str, str]] = {}
        self._outputs: dict[str, tuple[str, ...]] = {}
        self._most: dict[str, int] = {}

    def faults(self, values: dict[str, str]) -> Iterator[Fault]:
        """What is wrong with the places of a row; puts their names in order on the way."""
        given = values.get("receiver", "")
        if given and self.case is not None:
            meant, says = self._receiver(given)
            values["receiver"] = meant
            if says:
                yield "receiver", says, RowClass.RECEIVER
                values["slot"] = ""
        receiver = values.get("receiver", "")
        if values.get("slot") and not receiver:
            says = f"Slot {values['slot']} of which receiver? Fill in the column 'receiver'."
            yield "slot", says, RowClass.OTHER
        if values.get("slot") and not is_plain_number(values["slot"]):
            says = (
                f"'{values['slot']}' is not a plain number; a slot is written with the digits 0 to 9 alone,"
                " as 17."
            )
            yield "slot", says, RowClass.SLOT
            values["slot"] = ""
        if values.get("button"):
            yield from self._button(values)
        if values.get("output") and receiver and self.case is not None:
            yield from self._output(receiver, values)

    def _receiver(self, given: str) -> tuple[str, str]:
        """The receiver that is meant, or what is wrong; a list often says 'n1' where the job has one N1."""
        if given not in self._meant:
            meant = [given] if given in self.receivers else []
            meant = meant or [
                path
                for path in self.receivers
                if given.casefold() in (path.casefold(), path.casefold().rpartition("/")[2])
            ]
            hint = f"; it can be {listed(meant)}" if meant else closest_or_all(given, self.receivers)
            self._meant[given] = (
                (meant[0], "") if len(meant) == 1 else ("", f"The job has no receiver '{given}'{hint}.")
            )
        return self._meant[given]

    def _output(self, receiver: str, values: dict[str, str]) -> Iterator[Fault]:
        there = self._outputs_of(receiver)
        given = values["output"]
        names = {name.casefold(): name for name in there}
        alone = given.casefold()
        for place in (receiver.casefold(), receiver.casefold().rpartition("/")[2]):
            if alone.startswith(place) and alone not in names:
                # "R2-3" is output 3 of R2
                alone = alone[len(place) :].lstrip(" -/.:")
        if there and alone not in names:
            yield (
                "output",
                f"{receiver} has no output '{given}'{closest_or_all(given, there)}.",
                RowClass.BUTTON,
            )
            return
        values["output"] = names.get(alone, given)

    def _button(self, values: dict[str, str]) -> Iterator[Fault]:
        given, most = values["button"], self._most_buttons(values.get("type", ""))
        number = re.fullmatch(r"([0-9]{1,3})( long)?", given)
        if number is None or not 1 <= int(number[1]) <= most:
            yield (
                "button",
                f"'{given}' is no button of such a fob; it has 1 to {most}, '1 long' for a long press.",
                RowClass.BUTTON,
            )
            return
        values["button"] = f"{int(number[1])}{number[2] or ''}"

    def _outputs_of(self, receiver: str) -> tuple[str, ...]:
        """Outputs that the job describes, and as many as the receiver has relays."""
        if receiver not in self._outputs and self.case is not None:
            premises, _, name = receiver.partition("/")
            described = self.case.job.premises[premises].receivers[name].outputs
            part = self.case.equipment.receivers.get(receiver)
            relays = (part.sheet.relays if part is not None else None) or 0
            self._outputs[receiver] = tuple(
                dict.fromkeys([*map(str, described), *(str(number) for number in range(1, relays + 1))])
            )
        return self._outputs.get(receiver, ())

    def _most_buttons(self, kind: str) -> int:
        """Buttons of a type of fob; of the largest fob of the job or catalogue where none is said."""
        if self.case is None:
            return MOST_BUTTONS
        if kind not in self._most:
            from farpress.catalogue.store import load_catalogue

            own = {name: part.buttons for name, part in self.case.job.parts.items() if part.kind == "fob"}
            catalogue = {
                name: part.sheet.buttons for name, part in load_catalogue().parts.get("fob", {}).items()
            }
            groups = [part.sheet.buttons for part in self.case.equipment.fobs.values()]
            self._most[kind] = (
                {**catalogue, **own}.get(kind)
                or max(filter(None, groups), default=None)
                or max(filter(None, own.values()), default=None)
                or max(filter(None, catalogue.values()), default=MOST_BUTTONS)
            )
        return self._most[kind]


def is_plain_number(text: str) -> bool:
    r"""Whether a text is digits 0 to 9 and nothing else: neither "1,017" nor "1e3" nor other scripts' digits.

    Example:
        >>> is_plain_number("17"), is_plain_number("1,017"), is_plain_number("\uff13")
        (True, False, False)
    """
    return text.isascii() and text.isdigit()
