"""What must be known of each thing before it is judged; what is missing is asked once, with who can say."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Final, Generic, TypeVar

from farpress.case.case import Case
from farpress.case.drawn_wires import drawn_feed
from farpress.case.driven import Driven, driven_of, moves
from farpress.domain.finding import Ask, Finding, Link, Who
from farpress.domain.refs import DeviceRef, GroupRef, OutputRef, PanelRef, ReceiverRef, Ref, SupplyRef
from farpress.judging.check import Answer, Check

__all__ = ["NEEDS", "Described", "Need", "judge"]


def _known(number: int, link: Link, thing: str) -> Check:
    return Check(
        f"KNOW-{number:02d}",
        link,
        f"What must be known of {thing} before its {link} can be judged.",
        who=Who.INSTALLER,
        minutes=5.0,
        mends="Say it in the job, or name the part whose data sheet says it.",
    )


FOB_KNOWN: Final = _known(1, Link.FOB, "a fob")
RECEIVER_KNOWN: Final = _known(2, Link.RECEIVER, "a receiver")
OUTPUT_KNOWN: Final = _known(3, Link.OUTPUT, "an output")
SUPPLY_KNOWN: Final = _known(4, Link.SUPPLY, "a supply and of what hangs on it")
DEVICE_KNOWN: Final = _known(5, Link.DEVICE, "a device")
PANEL_KNOWN: Final = _known(6, Link.PANEL, "an alarm panel")
REGISTER_KNOWN: Final = _known(7, Link.REGISTER, "a group of fobs")

_CHECK_OF: Final = {
    check.link: check
    for check in (
        FOB_KNOWN,
        RECEIVER_KNOWN,
        OUTPUT_KNOWN,
        SUPPLY_KNOWN,
        DEVICE_KNOWN,
        PANEL_KNOWN,
        REGISTER_KNOWN,
    )
}

_T = TypeVar("_T")


@dataclass(frozen=True)
class Need(Generic[_T]):
    """One fact that must be known of a kind of thing.

    Attributes:
        link: the link that cannot be judged without it.
        what: the fact, as "its supply".
        ask: how to find it out, with {name} for the thing.
        who, minutes: who can say it, and how long that takes.
        is_known: whether a thing has it.
    """

    link: Link
    what: str
    ask: str
    who: Who
    minutes: float
    is_known: Callable[[_T], bool]


@dataclass(frozen=True)
class Described:
    """A thing with what the job and its data sheet say of it.

    Attributes:
        ref: which thing.
        entry: of the job file; None where there is none of its own.
        sheet: its data, the catalogue's filled in.
        touches: further refs, so that the finding stands on the chains it belongs to.
        is_wired: wires that are drawn lead a supply to it.
    """

    ref: Ref
    entry: Any
    sheet: Any
    touches: tuple[Ref, ...] = ()
    is_wired: bool = False


def _has(field: str) -> Callable[[Described], bool]:
    return lambda thing: getattr(thing.sheet, field, None) is not None


def _is_told(driven: Driven) -> bool:
    """Whether it is said what an input does, of a thing that can do more than be on, or how a panel reads
    it.
    """
    if driven.panel is not None:
        return driven.reads is not None or driven.logic is not None
    can_more = driven.input is not None or moves(driven) or driven.traits.is_lock
    return driven.device is None or driven.logic is not None or not can_more


def _is_fed(thing: Described) -> bool:
    return thing.entry.fed is not None or thing.is_wired


NEEDS: Final[dict[type[Ref], tuple[Need[Described], ...]]] = {
    ReceiverRef: (
        Need(
            Link.RECEIVER,
            "its sensitivity",
            "Find the sensitivity of {name}, in its data sheet.",
            Who.LABEL,
            3.0,
            _has("sensitivity_dbm"),
        ),
        Need(
            Link.SUPPLY,
            "what feeds it",
            "Say which supply feeds {name}, over which cable.",
            Who.INSTALLER,
            5.0,
            _is_fed,
        ),
    ),
    DeviceRef: (
        Need(
            Link.DEVICE,
            "what it is",
            "Say what {name} is: a gate, a shutter, a lamp, a valve ...",
            Who.INSTALLER,
            1.0,
            _has("device"),
        ),
        Need(
            Link.DEVICE,
            "what feeds it",
            "Read off the label of {name} whether it wants direct current, alternating current or mains, or"
            " takes a contact only.",
            Who.LABEL,
            3.0,
            _has("supply"),
        ),
    ),
    PanelRef: (
        Need(
            Link.PANEL,
            "its inputs",
            "List the inputs of {name} that fobs are to work, and how each is read.",
            Who.ALARM_COMPANY,
            10.0,
            lambda thing: bool(thing.sheet.inputs),
        ),
    ),
    SupplyRef: (
        Need(
            Link.SUPPLY,
            "its voltage",
            "Read the voltage of {name} off its label.",
            Who.LABEL,
            2.0,
            _has("voltage_v"),
        ),
        Need(
            Link.SUPPLY,
            "what it can give",
            "Read off the label of {name} how many amperes it gives for ever.",
            Who.LABEL,
            2.0,
            lambda thing: thing.sheet.rated_a is not None or thing.sheet.rated_va is not None,
        ),
    ),
    OutputRef: (
        Need(
            Link.OUTPUT,
            "what it works",
            "Say which device or panel input {name} works.",
            Who.INSTALLER,
            2.0,
            lambda thing: bool(thing.entry.works),
        ),
        Need(
            Link.OUTPUT,
            "what its inputs do",
            "Say of each input that {name} works what it does, as start, open only, stop or release; of a"
            " panel's, how it is read.",
            Who.LABEL,
            3.0,
            lambda thing: all(_is_told(driven) for driven in thing.sheet),
        ),
    ),
    GroupRef: (
        Need(
            Link.FOB,
            "how strongly its fob sends",
            "Find the radiated power of the fob of {name}, in its data sheet.",
            Who.LABEL,
            3.0,
            _has("erp_dbm"),
        ),
        Need(
            Link.REGISTER,
            "how many fobs it has",
            "Say how many fobs {name} has, or who holds them.",
            Who.CUSTOMER,
            2.0,
            lambda thing: bool(thing.entry.people) or thing.entry.count is not None,
        ),
    ),
}
"""Kind of thing → what must be known of it."""


def judge(case: Case) -> Iterator[Finding]:
    """One finding for each thing and link: everything is known, or these questions are open."""
    for thing in _things(case):
        needs = NEEDS[type(thing.ref)]
        for link in dict.fromkeys(need.link for need in needs):
            yield _finding(thing, link, [need for need in needs if need.link is link])


def _finding(thing: Described, link: Link, needs: list[Need[Described]]) -> Finding:
    missing = [need for need in needs if not need.is_known(thing)]
    wanted = " and ".join(need.what for need in needs)
    unknown = " and ".join(need.what for need in missing)
    return _CHECK_OF[link].decide(
        about=f"{thing.ref}: {wanted}",
        subjects=(thing.ref, *thing.touches),
        says=f"Of {thing.ref} it is not known: {unknown}."
        if missing
        else f"Of {thing.ref} is known: {wanted}.",
        because="Without it the link is not judged." if missing else "",
        answer=Answer.of(not missing or None),
        asks=tuple(Ask(need.ask.format(name=thing.ref), need.who, need.minutes) for need in missing),
    )


def _things(case: Case) -> Iterable[Described]:
    equipment = case.equipment
    for premises, house in case.job.premises.items():
        for name, receiver in house.receivers.items():
            path = f"{premises}/{name}"
            wired = drawn_feed(case, premises, name) is not None
            yield Described(ReceiverRef(path), receiver, equipment.receivers[path].sheet, is_wired=wired)
        for name, device in house.devices.items():
            path = f"{premises}/{name}"
            yield Described(DeviceRef(path), device, equipment.devices[path].sheet)
        for name, panel in house.panels.items():
            path = f"{premises}/{name}"
            yield Described(PanelRef(path), panel, equipment.panels[path].sheet)
        for name, supply in house.supplies.items():
            path = f"{premises}/{name}"
            yield Described(SupplyRef(path), supply, equipment.supplies[path].sheet)
    for output in case.outputs():
        yield Described(OutputRef(output.path), output.output, driven_of(case, output))
    for name, group in case.job.groups.items():
        part = equipment.fobs.get(name)
        yield Described(GroupRef(name), group, part.sheet if part is not None else None)
