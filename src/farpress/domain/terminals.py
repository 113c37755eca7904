"""The terminals of everything at a premises, and how a job file writes them: `THING.TERMINAL`.

One home for their names: the job file, the circuit, the schedule and the drawings all ask here. The sheets
decide what there is; where a sheet says nothing, what its kind of thing can have is taken as written.

Contacts of an interposing relay are numbered after EN 50005 and EN 50011: A1 and A2 the coil, 13 and 14 a
make contact.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from farpress.domain.parts import DeviceSheet, PanelSheet, ReceiverSheet, SupplySheet
from farpress.domain.premises import Premises, Receiver
from farpress.errors import InputError
from farpress.phrases import closest, listed

__all__ = [
    "CONTACT_TERMINALS",
    "RELAY_TERMINALS",
    "Sheets",
    "Terminal",
    "Terminals",
    "ThingTerminals",
    "device_terminals",
    "junction_terminals",
    "panel_terminal",
    "panel_terminals",
    "poles_of",
    "premises_terminals",
    "receiver_terminals",
    "supply_terminals",
]

CONTACT_TERMINALS: Final[Mapping[str, tuple[str, ...]]] = {
    "changeover": ("common", "break", "make"),
    "normally open": ("common", "make"),
    "normally closed": ("common", "break"),
    "open collector": ("collector",),
}
"""Form of an output → its terminals; an open collector's way back is the 0 V of its receiver or panel."""

RELAY_TERMINALS: Final = ("A1", "A2", "13", "14")
"""Of an interposing relay: its coil and its make contact (EN 50005, EN 50011)."""

MOST_SHOWN: Final = 12
"""Terminals named in a message at most; our choice."""

_OWN_SIGNALS: Final = ("low cell", "acknowledge")
_MOST_INPUTS: Final = 16


@dataclass(frozen=True, order=True, slots=True)
class Terminal:
    """One terminal of one thing; prints as a job file writes it, "R1.1.common".

    Attributes:
        thing: name of the thing at its premises.
        name: of the terminal on it, "+", "1.common", "zone 3 common".
    """

    thing: str
    name: str

    def __str__(self) -> str:
        return f"{self.thing}.{self.name}"


@dataclass(frozen=True)
class ThingTerminals:
    """The terminals of one thing.

    Attributes:
        thing: its name.
        what: what it is, "a receiver".
        names: those that it surely has, in the order they are told.
        same: another name of a terminal → the name that counts, as `~1` on what takes either current.
        possible: forms of further names that it may have, where its sheet does not say.
    """

    thing: str
    what: str
    names: tuple[str, ...]
    same: Mapping[str, str] = field(default_factory=dict)
    possible: tuple[re.Pattern[str], ...] = ()

    def __iter__(self) -> Iterator[Terminal]:
        """Every terminal that it surely has."""
        return (Terminal(self.thing, name) for name in self.names)

    def find(self, name: str) -> Terminal:
        """The terminal of a name.

        Raises:
            InputError: it has none of this name; the message says which it has.
        """
        name = self.same.get(name, name)
        if name in self.names or any(form.fullmatch(name) for form in self.possible):
            return Terminal(self.thing, name)
        if not self.names:
            raise InputError(
                f"'{self.thing}.{name[:60]}': {self.thing} is {self.what} and has no terminal a core"
                " could end at."
            )
        shown = self.names[:MOST_SHOWN]
        more = f" and {len(self.names) - MOST_SHOWN} more" if len(self.names) > MOST_SHOWN else ""
        raise InputError(
            f"'{self.thing}.{name[:60]}': {self.thing}, {self.what}, has no terminal"
            f" '{name[:60]}'{closest(name, self.names)}. It has: {', '.join(shown)}{more}."
        )


class Terminals:
    """The terminals of everything at one premises."""

    def __init__(self, things: Iterable[ThingTerminals]) -> None:
        """Gather them; a name that two things bear is kept with both."""
        self._things: dict[str, list[ThingTerminals]] = {}
        for thing in things:
            self._things.setdefault(thing.thing, []).append(thing)

    @property
    def things(self) -> tuple[ThingTerminals, ...]:
        """Every thing, in the order of the job file."""
        return tuple(thing for bearers in self._things.values() for thing in bearers)

    def find(self, text: str) -> Terminal:
        """The terminal that `THING.TERMINAL` means.

        Raises:
            InputError: it is written otherwise, or there is no such thing or terminal, or two things bear the
                name; the message says what there is.
        """
        thing, name = self.split(text)
        bearers = self._things[thing]
        if len(bearers) > 1:
            raise InputError(
                f"'{text[:80]}': '{thing}' is {listed(bearer.what for bearer in bearers)} of these premises,"
                " and a terminal could be either's. Rename one of them."
            )
        return bearers[0].find(name)

    def split(self, text: str) -> tuple[str, str]:
        """The thing and the rest of `THING.TERMINAL`; of two things that fit the one of the longer name.

        Raises:
            InputError: no such thing is there, or the text names no terminal.
        """
        if text in self._things:
            example = next(iter(self._things[text][0].names), "+")
            raise InputError(
                f"'{text[:80]}' names a thing and no terminal of it; a core ends at one, written"
                f" '{text[:60]}.{example}'. {self._has(text)}"
            )
        fitting = [thing for thing in self._things if text.startswith(f"{thing}.")]
        if fitting:
            thing = max(fitting, key=len)
            return thing, text[len(thing) + 1 :]
        if "/" in text.partition(".")[0]:
            raise InputError(
                f"'{text[:80]}' has a '/', as the name of something at other premises has. A cable stays at"
                " its premises; a terminal is written 'THING.TERMINAL', as 'R1.1.common'. What leaves the"
                " premises ends at a junction here and begins at one there."
            )
        given = text.partition(".")[0]
        there = (
            f"There is: {', '.join(list(self._things)[:MOST_SHOWN])}"
            if self._things
            else "There is nothing yet"
        )
        raise InputError(
            f"'{text[:80]}': nothing of these premises is called"
            f" '{given[:60]}'{closest(given, self._things)}. {there}. A terminal is written"
            " 'THING.TERMINAL', as 'R1.1.common' or 'main.+'."
        )

    def _has(self, thing: str) -> str:
        names = self._things[thing][0].names
        return f"It has: {', '.join(names[:MOST_SHOWN])}{', …' if len(names) > MOST_SHOWN else ''}."


@dataclass(frozen=True)
class Sheets:
    """Filled data sheets of the things at one premises, by their names there."""

    receivers: Mapping[str, ReceiverSheet] = field(default_factory=dict)
    supplies: Mapping[str, SupplySheet] = field(default_factory=dict)
    devices: Mapping[str, DeviceSheet] = field(default_factory=dict)
    panels: Mapping[str, PanelSheet] = field(default_factory=dict)


def premises_terminals(house: Premises, sheets: Sheets | None = None) -> Terminals:
    """Every terminal at a premises.

    Args:
        house: the premises.
        sheets: with the catalogue filled in; None: only what the job file itself says is known, and of a
            thing with a part nothing is taken as complete.
    """
    filled = sheets or Sheets()
    things: list[ThingTerminals] = []
    for name, supply in house.supplies.items():
        sheet = filled.supplies.get(name, supply)
        things.append(supply_terminals(name, sheet, tuple(supply.branches), is_fed=supply.fed is not None))
    for name, box in house.receivers.items():
        known = name in filled.receivers or box.part is None
        things.append(receiver_terminals(name, filled.receivers.get(name, box), box, complete=known))
    for name, device in house.devices.items():
        known = name in filled.devices or device.part is None
        things.append(device_terminals(name, filled.devices.get(name, device), complete=known))
    for name, panel in house.panels.items():
        known = name in filled.panels or panel.part is None
        things.append(panel_terminals(name, filled.panels.get(name, panel), complete=known))
    return Terminals([*things, *map(junction_terminals, house.junctions)])


def supply_terminals(
    name: str, sheet: SupplySheet, branches: Sequence[str] = (), *, is_fed: bool = False
) -> ThingTerminals:
    """Of a supply and its branches: `main.+`, `main.0`, `main.branch 2.+`; `~1` and `~2` of a transformer; of
    one that is fed from another `in +` and `in 0`, or `in ~1` and `in ~2`.
    """
    poles = poles_of(sheet.supply)
    own = (*poles, *(f"branch {branch}.{pole}" for branch in branches for pole in poles))
    if is_fed:
        own = (*own, "in +", "in 0", "in ~1", "in ~2")
    same = {} if sheet.supply else _either(own)
    return ThingTerminals(name, "a supply", own, same)


def receiver_terminals(
    name: str, sheet: ReceiverSheet, box: Receiver, *, complete: bool = True
) -> ThingTerminals:
    """Of a receiver: its supply, outputs, inputs, own signals, tamper contact and the relays at its outputs.

    Args:
        name: of the receiver.
        sheet: what is known of it.
        box: what the job says it is wired to.
        complete: the sheet is filled in, so that what it leaves out is not known to anybody.
    """
    poles = poles_of(sheet.supply)
    numbers = [str(number) for number in range(1, (sheet.relays or 0) + 1)]
    numbers += [number for number in box.outputs if number not in numbers]
    numbers = numbers or ["1"]  # every receiver has one output
    form = "open collector" if sheet.output_form == "open collector" else sheet.contact_form
    own = [*poles]
    for number in numbers:
        given = box.outputs[number].form if number in box.outputs else None
        own += [f"{number}.{terminal}" for terminal in CONTACT_TERMINALS[_form(given, form)]]
    for number in box.inputs:
        own += [f"in{number}", f"in{number} common"]
    if sheet.tamper_contact != "none":
        own += ["tamper 1", "tamper 2"]
    for number, output in box.outputs.items():
        if output.via:
            own += [f"{number} relay.{terminal}" for terminal in RELAY_TERMINALS]
    possible = [
        rf"in([1-9]|1[0-{_MOST_INPUTS - 10}])( common)?",
        rf"({'|'.join(_OWN_SIGNALS)})(\.(common|make|break))?",
    ]
    if not complete and sheet.relays is None:
        possible.append(r"([1-9]|1[0-6])\.(common|break|make|collector)")
    elif not complete:
        possible.append(rf"({'|'.join(numbers)})\.(common|break|make|collector)")
    same = {} if sheet.supply in ("dc", "ac") else _either(poles)
    return ThingTerminals(name, "a receiver", tuple(own), same, tuple(map(re.compile, possible)))


def _form(given: str | None, of_all: str | None) -> str:
    """Form of one output: its own, else that of all; a relay without a form is a changeover contact."""
    if given == "relay" and of_all == "open collector":
        return "changeover"
    return "open collector" if given == "open collector" else of_all or "changeover"


def device_terminals(
    name: str, sheet: DeviceSheet, contacts: Iterable[str] = (), *, complete: bool = True
) -> ThingTerminals:
    """Of a device: its supply, its inputs each with a common, its contacts each with two ends.

    Args:
        name: of the device.
        sheet: what is known of it.
        contacts: names of its end contacts.
        complete: see `receiver_terminals`.
    """
    poles = poles_of(sheet.supply)
    own = [*poles]
    for entry in sheet.inputs or {}:
        own += [entry, f"{entry} common"]
    for contact in contacts:
        own += [f"{contact} 1", f"{contact} 2"]
    possible = [r"[^.]*[^. ] [12]"]  # a contact that no sheet lists
    if sheet.inputs is None or not complete:
        possible.append(r"[^.~+]*[^.~+ 0-9]( common)?")
    same = {} if sheet.supply in ("dc", "ac", "mains", "potential-free") else _either(poles)
    return ThingTerminals(name, "a device", tuple(own), same, tuple(map(re.compile, possible)))


def panel_terminals(
    name: str, sheet: PanelSheet, zones: Iterable[str] = (), *, complete: bool = True
) -> ThingTerminals:
    """Of an alarm panel: its supply, inputs and zones, outputs, auxiliary supply.

    An input and an output of one name are told apart by " in" and " out" behind it. Between the pairs of a
    tamper circuit lie joints in its housing: "tamper joint 1".

    Args:
        name: of the panel.
        sheet: what is known of it.
        zones: names of zones that no fob works; each is written "zone 3".
        complete: see `receiver_terminals`.
    """
    inputs, outputs = dict(sheet.inputs or {}), dict(sheet.outputs or {})
    own = ["+", "0"]
    for entry in inputs:
        terminal = panel_terminal(sheet, entry)
        own += [terminal, f"{terminal} common"]
    for zone in zones:
        own += [f"zone {zone}", f"zone {zone} common"]
    for entry, output in outputs.items():
        terminal = panel_terminal(sheet, entry, is_output=True)
        own += [terminal] if output.form == "open collector" else [terminal, f"{terminal} common"]
    possible = [r"aux\.[+0]", r"zone [^.]*[^. ]( common)?", r"[^.]+ joint [1-9][0-9]?"]
    if not complete or (sheet.inputs is None and sheet.outputs is None):
        possible.append(r"[^.~+]*[^.~+ 0-9]( common)?")
    return ThingTerminals(name, "an alarm panel", tuple(own), {}, tuple(map(re.compile, possible)))


def panel_terminal(sheet: PanelSheet | None, name: str, *, is_output: bool = False) -> str:
    """The terminal of an input or output of a panel; where it has both of one name, they are told apart.

    Args:
        sheet: of the panel; None where nothing is known of it.
        name: of the input or output.
        is_output: which of the two is meant.
    """
    inputs, outputs = (sheet.inputs, sheet.outputs) if sheet is not None else (None, None)
    if name not in (inputs or {}) or name not in (outputs or {}):
        return name
    return f"{name} {'out' if is_output else 'in'}"


def junction_terminals(name: str) -> ThingTerminals:
    """Of a junction box: `J4.1`, `J4.2` and so on, as many as are used."""
    return ThingTerminals(name, "a junction", ("1", "2"), {}, (re.compile(r"[1-9][0-9]{0,2}"),))


def poles_of(current: str | None) -> tuple[str, ...]:
    """Supply terminals by the kind of supply: `+` and `0`, `~1` and `~2`, `L` and `N`; none of what has its
    own.

    Example:
        >>> poles_of("dc"), poles_of("ac"), poles_of("potential-free")
        (('+', '0'), ('~1', '~2'), ())
    """
    return {"ac": ("~1", "~2"), "mains": ("L", "N"), "potential-free": ()}.get(current or "", ("+", "0"))


def _either(names: Iterable[str]) -> dict[str, str]:
    """`~1` and `~2` as other names of + and 0, on what takes either current or does not say."""
    swapped = {"+": "~1", "0": "~2"}
    return {
        f"{head}{dot}{swapped[pole]}": name
        for name in names
        for head, dot, pole in [name.rpartition(".")]
        if pole in swapped
    }
