"""A choice of boxes and supplies as entries of the job file: the changes that draw it, each with its
reason.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

from farpress.case.case import Case
from farpress.design.cables import cable_run, contact_cable, feed_cable, mains_cable
from farpress.design.choosing import ChosenBox
from farpress.design.fixes import Fixes
from farpress.design.makes import Makes, entry_at
from farpress.design.norms import cable_m
from farpress.design.power import SupplyFeed, load_a
from farpress.design.sites import BoxSite
from farpress.design.wishes import WishedContact
from farpress.domain.finding import Change
from farpress.mending.structural.as_written import free_name, free_number

__all__ = ["Decision", "drawn", "supply_decisions"]

_SUPPRESSION: Final = {"inductive dc": "diode", "coil ac": "varistor"}
"""Part across a load by its kind: common practice, no source; the judge counts what it costs in time."""

_TOLD: Final = ("set", "alarm")
"""Words in the name of a panel's output that a receiver is told of: what the judge looks for too."""

_BOXES_A: Final = 0.1
"""Where a receiver does not say what it draws: our choice for its first cable."""


@dataclass(frozen=True)
class Decision:
    """One choice of a design.

    Attributes:
        does: in words.
        because: the reason, one sentence without its full stop.
        changes: of the job file.
        about: functions it is for; of a supply its premises.
        at: "premises/receiver" or "premises/supply" that it draws; empty for none.
        paths: pairs of a function and the path of an output that is drawn for it.
        kinds: one line for each output, in words.
        fixes: what keeps it as it is in another run, each as "function.key=value".
    """

    does: str
    because: str
    changes: tuple[Change, ...]
    about: tuple[str, ...] = ()
    at: str = ""
    paths: tuple[tuple[str, str], ...] = ()
    kinds: tuple[str, ...] = ()
    fixes: tuple[str, ...] = ()


def supply_decisions(premises: str, feeds: Sequence[SupplyFeed], source: BoxSite) -> Iterator[Decision]:
    """The new supplies of a premises."""
    for feed in feeds:
        if not feed.part:
            continue
        entry = {"part": feed.part, "at": list(source.at)} | {
            key: value for key, value in feed.entry.items() if key != "part"
        }
        battery = entry.get("battery")
        with_it = f" with {battery['part']}" if battery else ""
        yield Decision(
            f"Supply {feed.name} ({feed.part}{with_it}) {_said(source)}",
            feed.because,
            (Change(("premises", premises, "supplies", feed.name), entry),),
            (premises,),
            f"{premises}/{feed.name}",
            fixes=(
                f"{premises}.supply at={_fixed_at(source)}",
                *((f"{premises}.supply={feed.part}",) if feed.for_receivers else ()),
            ),
        )


def drawn(
    case: Case,
    premises: str,
    boxes: Sequence[ChosenBox],
    feeds: Sequence[SupplyFeed],
    source: BoxSite,
    makes: Makes,
    fixes: Fixes,
) -> tuple[Decision, ...]:
    """The receivers of a premises with their outputs, cables and feeds.

    Args:
        case: the job as it stands.
        premises: which.
        boxes: what was chosen.
        feeds: its supplies.
        source: where new supplies hang.
        makes: what can be bought.
        fixes: what the user has decided.
    """
    taken = list(case.job.premises[premises].receivers)
    found = []
    for box in boxes:
        if box.site.box:
            found.append(_added(case, premises, box, feeds, source, fixes))
            continue
        name = free_name("R1", taken)
        taken.append(name)
        found.append(_new_box(case, premises, name, box, feeds, source, makes, fixes))
    return tuple(found)


def _new_box(
    case: Case,
    premises: str,
    name: str,
    box: ChosenBox,
    feeds: Sequence[SupplyFeed],
    source: BoxSite,
    makes: Makes,
    fixes: Fixes,
) -> Decision:
    sheet = makes.receivers[box.part]
    entry: dict[str, Any] = dict(entry_at(box.part, sheet, box.site))
    feed = next((feed for feed in feeds if feed.for_receivers), None)
    if feed is not None:
        metres = cable_m(_feed_at(case, premises, feed, source), box.site.at)
        draws = (sheet.current_idle_a or _BOXES_A) + (sheet.relays or 0) * (sheet.current_per_relay_a or 0.0)
        part = feed_cable(case, amperes=draws, volts=feed.volts, metres=metres)
        entry["fed"] = {"from": feed.name, "cable": cable_run(part, metres)}
    entry |= {"learn_access": "tamper-protected housing", "learned_unknown": 0}
    loop = _tamper_of(case, premises)
    if loop and sheet.tamper_contact not in (None, "none"):
        entry["tamper"] = loop
    outputs, paths, kinds = _outputs(case, premises, name, box, feeds, source, fixes, {})
    if sheet.toggle_after_power_return == "off":
        outputs = {number: output | {"after_power_return": "off"} for number, output in outputs.items()}
    entry["outputs"] = outputs
    told = _told(case, premises, box)
    if told:
        entry["inputs"] = told
    functions = tuple(dict.fromkeys(function for function, _ in paths))
    return Decision(
        f"Receiver {name} ({box.part}) {_said(box.site)}",
        "the least boxes, metres and minutes from which each promise is heard",
        (Change(("premises", premises, "receivers", name), entry),),
        functions,
        f"{premises}/{name}",
        tuple(paths),
        tuple(kinds),
        tuple(
            fix
            for function in functions
            for fix in (f"{function}.at={_fixed_at(box.site)}", f"{function}.receiver={box.part}")
        ),
    )


def _added(
    case: Case, premises: str, box: ChosenBox, feeds: Sequence[SupplyFeed], source: BoxSite, fixes: Fixes
) -> Decision:
    """More outputs of a receiver that stands already."""
    name = box.site.box
    there = case.job.premises[premises].receivers[name].outputs
    outputs, paths, kinds = _outputs(case, premises, name, box, feeds, source, fixes, dict(there))
    root = ("premises", premises, "receivers", name, "outputs")
    return Decision(
        f"Free outputs of {name}, which stands there already",
        "no further box",
        tuple(Change((*root, number), entry) for number, entry in outputs.items()),
        tuple(dict.fromkeys(function for function, _ in paths)),
        f"{premises}/{name}",
        tuple(paths),
        tuple(kinds),
    )


def _outputs(
    case: Case,
    premises: str,
    receiver: str,
    box: ChosenBox,
    feeds: Sequence[SupplyFeed],
    source: BoxSite,
    fixes: Fixes,
    there: dict[str, Any],
) -> tuple[dict[str, Any], list[tuple[str, str]], list[str]]:
    """Entries by number, the pairs of function and path, and what each does in words."""
    numbers: dict[str, str] = {}
    contacts = [contact for load in box.loads for contact in load]
    taken = list(there)
    for contact in contacts:
        numbers[contact.works[0]] = free_number(taken)
        taken.append(numbers[contact.works[0]])
    shared = _shared_cables(case, receiver, contacts)
    entries, paths, kinds = {}, [], []
    for contact in contacts:
        number = numbers[contact.works[0]]
        entry = dict(contact.entry)
        if contact.apart_from:
            entry["interlock"] = numbers[contact.apart_from]
            pause = contact.driven.sheet.reversal_pause_s
            if pause:
                entry["interlock_pause"] = f"{pause:g} s"
        entry |= _fed_load(case, premises, contact, box, feeds, source)
        if contact.works[0] in shared and "cable" in entry:
            entry["cable"] = shared[contact.works[0]] | {"length": entry["cable"]["length"]}
        for function in contact.functions:
            fixed = fixes.of(function)
            for key in ("via", "suppression"):
                if key in fixed and not (key == "via" and fixed[key] == "none"):
                    entry[key] = fixed[key]
            if "cable" in fixed and "cable" in entry:
                entry["cable"] = entry["cable"] | {"part": fixed["cable"]}
        entries[number] = entry
        paths += [(function, f"{premises}/{receiver}/{number}") for function in contact.functions]
        length = f" of {entry['for']}" if "for" in entry else ""
        kinds.append(f"{number} {entry['kind']}{length}: {', '.join(contact.works)} ({contact.because})")
    return entries, paths, kinds


def _fed_load(
    case: Case,
    premises: str,
    contact: WishedContact,
    box: ChosenBox,
    feeds: Sequence[SupplyFeed],
    source: BoxSite,
) -> dict[str, Any]:
    """Cable of an output, its supply where the contact feeds what it works, and the part across it."""
    sheet, thing = contact.driven.sheet, case.driven(premises, contact.works[0])
    end = thing.at if thing is not None else None
    entry: dict[str, Any] = {}
    feed = next((feed for feed in feeds if feed.feeds(sheet.supply, sheet.voltage_v)), None)
    is_fed = sheet.supply in ("dc", "ac") and contact.driven.panel is None
    if is_fed and feed is not None:
        entry["load_from"] = feed.name
    if sheet.load in _SUPPRESSION and is_fed:
        entry["suppression"] = _SUPPRESSION[sheet.load]
    if end is None:
        return entry
    metres = cable_m(box.site.at, end)
    if is_fed and feed is not None:
        metres += cable_m(_feed_at(case, premises, feed, source), box.site.at)
        part = feed_cable(case, amperes=load_a(contact), volts=feed.volts, metres=metres)
    elif sheet.supply == "mains":
        part = mains_cable(case)
    else:
        part = contact_cable(case)
    entry["cable"] = cable_run(part, metres)
    return entry


def _shared_cables(case: Case, receiver: str, contacts: Sequence[WishedContact]) -> dict[str, dict[str, Any]]:
    """First work of each contact that lies in one cable with others to the same device → cable and cores."""
    by_device: dict[str, list[WishedContact]] = {}
    for contact in contacts:
        if contact.driven.sheet.supply not in ("dc", "ac", "mains"):
            by_device.setdefault(contact.device, []).append(contact)
    found: dict[str, dict[str, Any]] = {}
    for device, together in by_device.items():
        part = contact_cable(case, cores=2 * len(together))
        cores = case.equipment.cables[part].sheet.cores or 0
        if len(together) < 2 or cores < 2 * len(together):
            continue
        for number, contact in enumerate(together):
            found[contact.works[0]] = {
                "part": part,
                "label": f"{receiver} {device}",
                "cores": f"{2 * number + 1} and {2 * number + 2}",
            }
    return found


def _told(case: Case, premises: str, box: ChosenBox) -> dict[str, Any]:
    """Status inputs that read what a panel says, where the box works its inputs."""
    found: dict[str, Any] = {}
    panels = dict.fromkeys(
        contact.device for load in box.loads for contact in load if contact.driven.panel is not None
    )
    for name in panels:
        part = case.equipment.panels.get(f"{premises}/{name}")
        panel = case.job.premises[premises].panels[name]
        outputs = (part.sheet.outputs or {}) if part is not None else {}
        for output in (name for word in _TOLD for name in outputs if word in name.split()):
            if all(entry["reads"] != f"{name}.{output}" for entry in found.values()):
                entry: dict[str, Any] = {"reads": f"{name}.{output}"}
                if panel.at is not None:
                    entry["cable"] = cable_run(contact_cable(case), cable_m(box.site.at, panel.at))
                found[free_number(found)] = entry
    return found


def _tamper_of(case: Case, premises: str) -> str:
    """A panel's input that watches housings; empty where there is none."""
    for name in case.job.premises[premises].panels:
        part = case.equipment.panels.get(f"{premises}/{name}")
        for entry, read in ((part.sheet.inputs or {}) if part is not None else {}).items():
            if read.reads == "tamper":
                return f"{name}.{entry}"
    return ""


def _feed_at(case: Case, premises: str, feed: SupplyFeed, source: BoxSite) -> tuple[float, ...]:
    """Where a supply hangs: where it stands, or where new ones come."""
    standing = case.job.premises[premises].supplies.get(feed.name)
    return source.at if standing is None or standing.at is None else tuple(standing.at)


def _fixed_at(site: BoxSite) -> str:
    """A place as it is fixed: by its name where it has one, else x,y,height."""
    if site.name.startswith(("on the wall ", "at (")):
        return ",".join(f"{metres:g}" for metres in site.at)
    return site.name


def _said(site: BoxSite) -> str:
    x, y, z = site.at
    if site.name.startswith(("on the wall ", "at (")):
        return f"{site.name}, {z:g} m up"
    where = site.name if site.name.startswith("at ") else f"at {site.name}"
    return f"{where}: x {x:g}, y {y:g}, {z:g} m up"
