"""Locks on escape routes: somebody inside gets out without fob, key or power."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import EN_13637
from farpress.case.driven import driven_of
from farpress.domain.cautions import DUTIES, caution
from farpress.domain.device_sheets import DeviceSheet
from farpress.domain.finding import Ask, Change, Finding, Link, Remedy, Stake, Who
from farpress.domain.parts import Part
from farpress.domain.refs import DeviceRef, OutputRef, Ref
from farpress.judging.check import Answer, Check
from farpress.judging.hurting import FREE_EXIT, TRAPPED, ask_who_leaves
from farpress.sources import Citation

__all__ = ["judge_locks"]

LETS_OUT: Final = Check(
    "DEV-04",
    Link.DEVICE,
    "A way out that opens by hand, on escape routes above all, and how locks stand without power.",
    stake=Stake.HARM,
    bars=True,
    halts=True,
    ask="Switch the power off and try from inside: it should open by hand without fob, key or power.",
    who=Who.INSTALLER,
    minutes=5.0,
    mends="A lock that opens by hand from inside, also while its power is there.",
)

_AT_THE_DOOR: Final = frozenset({"break glass", "handle"})
"""What whoever stands at a way out can work; a fire alarm is not in everybody's reach."""

CUTS_ITS_CURRENT: Final = Remedy(
    "A green call point or a handle at the way out that cuts the magnet's current itself, and the fire alarm"
    " as well, tried; until then unlocked while anybody is inside"
)


def judge_locks(case: Case) -> Iterator[Finding]:
    """DEV-04, of everything on an escape route or that shuts a way on foot, and of ways nobody speaks of."""
    outputs: dict[str, list[str]] = {}
    for output in case.outputs():
        for driven in driven_of(case, output):
            outputs.setdefault(driven.path, []).append(output.path)
    for path, part in case.equipment.devices.items():
        subjects = (DeviceRef(path), *(OutputRef(output) for output in outputs.get(path, ())))
        sheet = part.sheet
        if sheet.escape_route:
            yield _escape_lock(path, part, subjects)
        elif (
            sheet.escape_route is None
            and sheet.traits.is_way
            and not sheet.traits.watched_vehicles
            and not sheet.opens_by_hand
            and (sheet.fails != "unlocked" or sheet.opens_by_hand is False)
        ):
            yield _unknown_route(path, part, subjects)
        elif sheet.escape_route is False and sheet.traits.shuts_a_way:
            yield _shut_in(path, part, subjects)


def _shut_in(path: str, part: Part[DeviceSheet], subjects: tuple[Ref, ...]) -> Finding:
    """Whoever is inside gets out by hand, on an escape route or not."""
    name, by_hand = path.split("/")[1], part.sheet.opens_by_hand
    says = {
        True: f"{name} opens by hand from inside, without fob, key or power.",
        False: f"{name} does not open by hand from inside: who is without a fob is shut in.",
        None: f"Whether {name} opens by hand from inside is not recorded.",
    }
    return LETS_OUT.decide(
        about=path,
        subjects=subjects,
        answer=Answer.of(by_hand),
        says=says[by_hand],
        because="" if by_hand else f"{caution('escape')} {DUTIES['escape']}",
        asks=(Ask(f"Try {name} from inside, by hand, without fob, key or power.", Who.INSTALLER, 5.0),)
        if by_hand is None
        else (),
        remedies=(FREE_EXIT, TRAPPED),
        halts=False,
        sources=_sources(part),
    )


def _unknown_route(path: str, part: Part[DeviceSheet], subjects: tuple[Ref, ...]) -> Finding:
    name = path.split("/")[1]
    stands = part.sheet.fails or "in a state nobody has written down"
    return LETS_OUT.decide(
        about=path,
        subjects=subjects,
        answer=Answer.UNKNOWN,
        says=f"Whether {name} is on an escape route is not known, and without power it is {stands}.",
        because=DUTIES["escape"],
        asks=(ask_who_leaves(name),),
        sources=_sources(part),
        halts=part.sheet.traits.is_lock,
    )


def _escape_lock(path: str, part: Part[DeviceSheet], subjects: tuple[Ref, ...]) -> Finding:
    premises, name = path.split("/")
    fails, by_hand, ways = part.sheet.fails, part.sheet.opens_by_hand, part.sheet.released_by
    because = f"{caution('escape')} {DUTIES['escape']}"
    asks: tuple[Ask, ...] = ()
    remedies: tuple[Remedy, ...] = (
        Remedy(
            "A lock that is unlocked without power, its supply broken by fire alarm and green call point",
            "",
            (Change(("premises", premises, "devices", name, "fails"), "unlocked"),),
        ),
    )
    if by_hand is False:
        answer, remedies = Answer.NO, (FREE_EXIT, TRAPPED)
        says = f"{name} is on an escape route and does not open by hand from inside."
    elif by_hand:
        answer, says = Answer.YES, f"{name} is on an escape route and opens by hand from inside."
    elif ways is not None and part.sheet.traits.is_magnet and not set(ways) & _AT_THE_DOOR:
        answer, remedies = Answer.NO, (CUTS_ITS_CURRENT,)
        says = (
            f"{name} is on an escape route and holds while current flows; nothing at the way out cuts it:"
            " who is inside waits for a press, or for the fire alarm."
        )
    elif fails == "locked":
        answer = Answer.NO
        says = f"{name} is on an escape route and stays locked without power."
        because = (
            "A lock that stays locked holds people in unless the door opens by hand from inside, which is not"
            f" recorded. {because}"
        )
    elif fails is None:
        answer = Answer.UNKNOWN
        how = "how it stands" if part.sheet.traits.shuts_a_way else "how people pass it"
        says = f"{name} is on an escape route; {how} without power is not known."
        asks = (Ask(f"Switch the power of {name} off and try from inside.", Who.INSTALLER, 5.0),)
    else:
        answer = Answer.UNKNOWN
        says = (
            f"{name} is on an escape route and is unlocked without power; whether it opens by hand from"
            " inside while the power is there is not recorded."
        )
        asks = (
            Ask(f"Try {name} from inside with the power on, by hand, without a fob.", Who.INSTALLER, 5.0),
        )
    return LETS_OUT.decide(
        about=path,
        subjects=subjects,
        answer=answer,
        says=says,
        because=because,
        asks=asks,
        remedies=remedies,
        offers=remedies,
        sources=_sources(part),
    )


def _sources(part: Part[DeviceSheet]) -> tuple[Citation, ...]:
    return (*part.cite("fails", "escape_route", "opens_by_hand", "released_by"), EN_13637)
