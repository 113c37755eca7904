"""What feeds a premises: for each kind of supply that is needed the smallest that is sold, and its battery.

A first draft by sums; whether enough volts arrive, everywhere and at every moment, the circuit says when the
whole is judged.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

from farpress.case.case import Case
from farpress.design.makes import Makes
from farpress.design.wishes import WishedContact
from farpress.domain.parts import ReceiverSheet, SupplySheet

__all__ = ["SupplyFeed", "feeds_of", "load_a"]

_RESERVE: Final = 1.25
"""A supply is chosen for so much more than the sum: our choice."""

_LIKE: Final = 0.15
"""Nominal volts of a supply may differ from a device's by this share: our choice, 13.6 V feeds 12 V."""

_RELAY_A: Final = 0.05
"""Coil of a relay between that may come to a contact of each receiver, one at a time: our choice."""


@dataclass(frozen=True)
class SupplyFeed:
    """One supply.

    Attributes:
        name: in the job file.
        part: what is bought; empty where it stands already.
        entry: keys of a new supply in a job file.
        for_receivers: whether receivers hang on it.
        kind, volts: "dc" or "ac", nominal [V].
        least_v: it gives at least [V]; None where nobody says.
        because: in words.
    """

    name: str
    part: str
    entry: dict[str, Any]
    for_receivers: bool
    kind: str
    volts: float
    least_v: float | None
    because: str

    def feeds(self, kind: str | None, volts: float | None) -> bool:
        """Whether a device of this kind of supply and these nominal volts can hang on it."""
        return (
            kind in (self.kind, "dc or ac") and volts is not None and abs(volts / self.volts - 1.0) <= _LIKE
        )


def load_a(contact: WishedContact) -> float | None:
    """Current of everything a contact works, of all pieces [A]; None where it is not known."""
    sheet = contact.driven.sheet
    entry = contact.driven.input
    each = sheet.current_a
    if each is None and entry is not None:
        each = entry.current_a
    return None if each is None else each * (sheet.pieces or 1)


def feeds_of(
    case: Case,
    premises: str,
    contacts: Sequence[WishedContact],
    makes: Makes,
    boxes: Sequence[ReceiverSheet],
    fixed: dict[str, str],
) -> tuple[tuple[SupplyFeed, ...], tuple[str, ...]]:
    """Supplies for a premises, those of the receivers first, and questions where none can be chosen.

    Args:
        case: the job.
        premises: which.
        contacts: to be drawn there.
        makes: what could be bought.
        boxes: receivers that are bought.
        fixed: what the user has decided for this premises.
    """
    asks: list[str] = []
    standing = list(_standing(case, premises))
    feeds: list[SupplyFeed] = []
    taken = set(case.job.premises[premises].supplies)
    fed = [contact for contact in contacts if contact.driven.sheet.supply in ("dc", "ac")]
    idle_a = sum((box.current_idle_a or 0.0) + (box.current_per_relay_a or 0.0) + _RELAY_A for box in boxes)
    if boxes:
        own = _for_boxes(case, premises, contacts, makes, boxes, idle_a, fixed, standing, taken)
        if own is None:
            asks.append(f"No supply in the list feeds the receivers of {premises}: name one under 'parts'.")
        else:
            feeds.append(own)
            taken.add(own.name)
    for contact in fed:
        sheet = contact.driven.sheet
        if sheet.voltage_v is None:
            asks.append(f"Find the volts of {contact.driven.path} on its label; it is not fed before.")
            continue
        if any(feed.feeds(sheet.supply, sheet.voltage_v) for feed in feeds):
            continue
        there = next((feed for feed in standing if feed.feeds(sheet.supply, sheet.voltage_v)), None)
        amperes = max(
            (load_a(other) or 0.0)
            for other in fed
            if other.driven.sheet.supply == sheet.supply and other.driven.sheet.voltage_v == sheet.voltage_v
        )
        made = there or _bought(
            makes, sheet.supply or "", sheet.voltage_v, amperes, _highest_v([contact]), False, taken
        )
        if made is None:
            asks.append(_none_for(makes, contact, sheet.supply or "", sheet.voltage_v))
            continue
        feeds.append(made)
        taken.add(made.name)
    return tuple(feeds), tuple(dict.fromkeys(asks))


_MAINS_V: Final = 100.0
"""From these volts on something for alternating current hangs on the mains; common practice, no source."""


def _none_for(makes: Makes, contact: WishedContact, kind: str, volts: float) -> str:
    """Why nothing can be bought that feeds a device, and what to do."""
    path, most = contact.driven.path, contact.driven.sheet.voltage_max_v
    wanted = f"{volts:g} V {kind.upper()}"
    if kind == "ac" and volts >= _MAINS_V:
        return f"{path} wants {wanted}: write 'supply: mains' at it where it hangs on the mains."
    rising = [
        (sheet.voltage_max_v, name)
        for name, sheet in makes.supplies.items()
        if sheet.supply == kind
        and sheet.rectifier is None
        and sheet.voltage_v is not None
        and sheet.voltage_max_v is not None
        and abs(volts / sheet.voltage_v - 1.0) <= _LIKE
    ]
    if rising and most is not None:
        high, name = min(rising)
        return (
            f"{path} bears {most:g} V at most, and the supply for {wanted} that rises least, {name}, gives up"
            f" to {high:g} V: name one under 'parts' that stays below, or read the highest volts off the"
            " label."
        )
    return f"No supply in the list gives {wanted} for {path}: name one under 'parts'."


def _standing(case: Case, premises: str) -> Iterator[SupplyFeed]:
    """Supplies that stand there already."""
    for name in case.job.premises[premises].supplies:
        part = case.equipment.supplies.get(f"{premises}/{name}")
        sheet = part.sheet if part is not None else SupplySheet()
        if sheet.supply is not None and sheet.voltage_v is not None:
            yield SupplyFeed(
                name,
                "",
                {},
                False,
                sheet.supply,
                sheet.voltage_v,
                sheet.voltage_min_v,
                "it stands there already",
            )


def _for_boxes(
    case: Case,
    premises: str,
    contacts: Sequence[WishedContact],
    makes: Makes,
    boxes: Sequence[ReceiverSheet],
    idle_a: float,
    fixed: dict[str, str],
    standing: Sequence[SupplyFeed],
    taken: set[str],
) -> SupplyFeed | None:
    """The supply of the receivers: one that stands there, else one that feeds devices too where it can."""
    if "supply" not in fixed:
        for feed in standing:
            if all(_suits(box, feed.kind, feed.volts) for box in boxes):
                return SupplyFeed(
                    feed.name, "", {}, True, feed.kind, feed.volts, feed.least_v, "it stands there already"
                )
    asked = [
        (contact.driven.sheet.supply, contact.driven.sheet.voltage_v)
        for contact in contacts
        if contact.driven.sheet.supply == "dc" and contact.driven.sheet.voltage_v is not None
    ]
    wanted = sorted({volts for _, volts in asked if volts is not None}) or [12.0]
    with_battery = fixed.get("battery") != "none" and (
        "battery" in fixed or "standby" in fixed or _wants_battery(case, contacts)
    )
    for volts in (*wanted, 12.0):
        if not all(_suits(box, "dc", volts) for box in boxes):
            continue
        alike = [contact for contact in contacts if contact.driven.sheet.voltage_v == volts]
        amperes = idle_a + max((load_a(contact) or 0.0 for contact in alike), default=0.0)
        least_v = max((box.voltage_min_v or 0.0 for box in boxes), default=0.0)
        highest = min([_highest_v(alike), *(box.voltage_max_v or 1e9 for box in boxes)])
        made = _bought(makes, "dc", volts, amperes, highest, with_battery, taken, fixed, least_v)
        if made is not None:
            return SupplyFeed(
                made.name, made.part, made.entry, True, "dc", made.volts, made.least_v, made.because
            )
    return None


def _bought(
    makes: Makes,
    kind: str,
    volts: float,
    amperes: float,
    highest_v: float,
    with_battery: bool,
    taken: set[str],
    fixed: dict[str, str] | None = None,
    least_v: float = 0.0,
) -> SupplyFeed | None:
    """The smallest supply that is large enough, one of the job's own before those of the catalogue."""
    fixed = fixed or {}
    fit = [
        (name, sheet)
        for name, sheet in makes.supplies.items()
        if sheet.supply == kind
        and sheet.rectifier is None
        and sheet.voltage_v is not None
        and abs(volts / sheet.voltage_v - 1.0) <= _LIKE
        and (sheet.voltage_max_v or sheet.voltage_v) <= highest_v
        and (sheet.charge_a is not None) == with_battery
    ]
    large = [
        (name, sheet)
        for name, sheet in fit
        if _rated_a(sheet) >= _RESERVE * amperes + (sheet.charge_a or 0.0)
    ]
    chosen = min(large, key=lambda pair: (pair[0] not in makes.own, _rated_a(pair[1])), default=None)
    chosen = chosen or max(fit, key=lambda pair: _rated_a(pair[1]), default=None)
    if "supply" in fixed:
        chosen = (fixed["supply"], makes.supplies[fixed["supply"]])
    if chosen is None:
        return None
    part, sheet = chosen
    entry: dict[str, Any] = {"part": part}
    if with_battery:
        battery = fixed.get("battery") or _battery(makes, sheet, least_v)
        if battery is not None:
            entry["battery"] = {"part": battery}
    entry |= {key.replace(" ", "_"): fixed[key] for key in ("standby", "other load") if key in fixed}
    name = _free("main" if not taken else f"{volts:g} V {kind.upper()}", taken)
    because = f"the smallest in the list for {_RESERVE * amperes:.2f} A"
    if "supply" in fixed:
        because = "as you fixed it"
    return SupplyFeed(name, part, entry, False, kind, sheet.voltage_v or volts, sheet.voltage_min_v, because)


def _rated_a(sheet: SupplySheet) -> float:
    amperes: float | None = sheet.rated_a
    if amperes is None and sheet.rated_va is not None and sheet.voltage_v:
        amperes = sheet.rated_va / sheet.voltage_v
    return amperes or 0.0


def _battery(makes: Makes, supply: SupplySheet, least_v: float) -> str | None:
    """The smallest battery of 7 Ah or more for its volts; one that is cut off while what hangs on it still
    works before others. The judge counts its hours.
    """
    fit = [
        ((sheet.end_v or 0.0) <= least_v, name not in makes.own, sheet.capacity_ah, name)
        for name, sheet in makes.batteries.items()
        if sheet.capacity_ah is not None
        and sheet.voltage_v is not None
        and supply.voltage_v is not None
        and abs(supply.voltage_v / sheet.voltage_v - 1.0) <= _LIKE
        and sheet.capacity_ah >= 7.0
    ]
    return min(fit)[3] if fit else None


def _wants_battery(case: Case, contacts: Sequence[WishedContact]) -> bool:
    """Whether it has to go on without the mains: an alarm panel is worked, or somebody calls for help."""
    return any(
        contact.driven.panel is not None
        or contact.driven.traits.calls_help
        or any(case.job.functions[name].kind == "call" for name in contact.functions)
        for contact in contacts
    )


def _suits(box: ReceiverSheet, kind: str, volts: float) -> bool:
    """Whether a receiver takes such a supply, as far as its sheet says."""
    return (
        box.supply in (None, kind, "dc or ac")
        and (box.voltage_min_v is None or box.voltage_min_v <= volts)
        and (box.voltage_max_v is None or volts <= box.voltage_max_v)
    )


def _highest_v(contacts: Sequence[WishedContact]) -> float:
    return min((contact.driven.sheet.voltage_max_v or 1e9 for contact in contacts), default=1e9)


def _free(wanted: str, taken: set[str]) -> str:
    """A name that is not there yet."""
    number, name = 2, wanted
    while name in taken:
        name, number = f"{wanted} {number}", number + 1
    return name
