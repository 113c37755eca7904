"""What was found on site, and who must get past: defects of a thing that radio works, a fire engine's way."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import Driven, driven_of
from farpress.domain.cautions import DUTIES, LOCAL_CODES
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import DeviceRef, OutputRef, Ref
from farpress.domain.told_words import RESCUE, told
from farpress.judging.check import Answer, Check
from farpress.phrases import listed

__all__ = ["FIRE_ACCESS", "SOUND", "judge"]

SOUND: Final = Check(
    "SAFE-16",
    Link.SAFETY,
    "What is missing, broken or altered on a thing that radio works, as found on site.",
    stake=Stake.HARM,
    mends="It mended by a competent person and looked at anew, before a fob works it.",
)
FIRE_ACCESS: Final = Check(
    "SAFE-19",
    Link.SAFETY,
    "What stands in the way of a fire engine or an ambulance: opened without waiting for a fob.",
    stake=Stake.HARM,
    halts=True,
    ask="Ask the fire authority how it gets past at night, and during a power cut.",
    who=Who.CUSTOMER,
    minutes=30.0,
    mends="A key of their own, a way to open it by hand from outside; agreed with the fire authority.",
)

_WITHOUT_POWER: Final = frozenset({"their own key", "by hand from outside"})


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-16 of each thing with a defect, SAFE-19 of each that vehicles of the rescue must pass."""
    worked: dict[str, list[tuple[OutputAt, Driven]]] = {}
    for output in case.outputs():
        for driven in driven_of(case, output):
            if driven.device is not None:
                worked.setdefault(driven.path, []).append((output, driven))
    for uses in worked.values():
        sheet = uses[0][1].sheet
        if sheet.defects:
            yield _defects(uses)
        if sheet.fire_access:
            yield _fire_access(uses)
        elif sheet.fire_access is None and (why := _may_be_a_rescue_way(case, uses)):
            yield _fire_access_asked(uses, why)


def _refs(uses: list[tuple[OutputAt, Driven]]) -> tuple[Ref, ...]:
    return (DeviceRef(uses[0][1].path), *(OutputRef(output.path) for output, _ in uses))


def _defects(uses: list[tuple[OutputAt, Driven]]) -> Finding:
    """SAFE-16: of what can hurt or shut somebody in nobody may accept it."""
    driven = uses[0][1]
    traits, name = driven.traits, driven.path.split("/")[1]
    is_grave = traits.starts_unseen or traits.can_crush or traits.shuts_a_way or traits.feeds_more
    return SOUND.decide(
        about=driven.path,
        subjects=_refs(uses),
        answer=Answer.NO,
        says=f"{name} as found: {listed(driven.sheet.defects or ())}. Not to be worked by radio so.",
        because=DUTIES["machine"] if is_grave else LOCAL_CODES,
        remedies=(
            Remedy("Have it mended by a competent person and looked at anew; then take it out of 'defects'"),
            Remedy("Leave it without radio"),
        ),
        sources=(*driven.cite("defects"), PRACTICE),
        bars=is_grave,
        stake=Stake.HARM if is_grave else Stake.PROMISE,
    )


def _may_be_a_rescue_way(case: Case, uses: list[tuple[OutputAt, Driven]]) -> str:
    """Why vehicles of the rescue may have to get past; empty where nothing says so."""
    driven = uses[0][1]
    if driven.traits.rises:
        return f"{driven.path.split('/')[1]} bars a way to vehicles"
    if not driven.traits.passes_vehicles:
        return ""
    names = [name for output, _ in uses for name in output.functions]
    says = [case.job.functions[name].says for name in names]
    word = told(RESCUE, driven.path.split("/")[1], *names, *says)
    return f"'{word}' is written about {driven.path.split('/')[1]}" if word else ""


def _fire_access_asked(uses: list[tuple[OutputAt, Driven]], why: str) -> Finding:
    """SAFE-19 of what may stand in the way, as long as nobody says that it does not."""
    driven = uses[0][1]
    name = driven.path.split("/")[1]
    return FIRE_ACCESS.decide(
        about=driven.path,
        subjects=_refs(uses),
        answer=Answer.UNKNOWN,
        says=f"{why}; whether a fire engine or an ambulance must get past it is not said.",
        because=DUTIES["escape"],
        asks=(Ask(f"Ask whether a fire engine or an ambulance must get past {name}.", Who.CUSTOMER, 5.0),),
        sources=(*driven.cite("device"), GIVEN, PRACTICE),
    )


def _fire_access(uses: list[tuple[OutputAt, Driven]]) -> Finding:
    """SAFE-19."""
    driven = uses[0][1]
    name, ways = driven.path.split("/")[1], driven.sheet.fire_opens_by
    head = f"{name} stands in the way of the fire engine"
    asks: tuple[Ask, ...] = ()
    if ways is None:
        answer, says = Answer.UNKNOWN, f"{head}; what opens it for them at any hour is not said."
        asks = (
            Ask(
                f"Ask the fire authority how it gets past {name} at night and during a power cut; somebody to"
                " be rung up is no answer.",
                Who.CUSTOMER,
                30.0,
            ),
        )
    elif not ways:
        answer, says = Answer.NO, f"{head}, and nothing opens it without somebody with a fob."
    elif not _WITHOUT_POWER & set(ways):
        answer, says = Answer.NO, f"{head}; {listed(ways)} opens it, and nothing does during a power cut."
    else:
        answer, says = Answer.YES, f"{head}; it opens by {listed(ways)}, without a fob."
    return FIRE_ACCESS.decide(
        about=driven.path,
        subjects=_refs(uses),
        answer=answer,
        says=says,
        because=""
        if answer is Answer.YES
        else f"A fob, or whoever holds one, is far away. {DUTIES['escape']}",
        asks=asks,
        remedies=(
            Remedy(f"A key of their own at {name}, or a way to open it by hand from outside without power"),
            Remedy("Agree it with the fire authority in writing, and try it with them"),
        ),
        sources=(*driven.cite("fire_access", "fire_opens_by"), GIVEN, PRACTICE),
    )
