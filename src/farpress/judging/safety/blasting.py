"""Radio where blasting is done: a transmitter near leads and caps is decided by the shotfirer, not here."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import GIVEN
from farpress.domain.cautions import LOCAL_CODES
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.premises import Blasting
from farpress.domain.refs import GroupRef, PremisesRef, Ref
from farpress.judging.check import Answer, Check
from farpress.phrases import listed
from farpress.sources import Citation, Mark
from farpress.units import write_quantity

__all__ = ["NEAR_CAPS", "judge"]

NEAR_CAPS: Final = Check(
    "SAFE-46",
    Link.SAFETY,
    "Fobs and other transmitters where blasting is done: none sends near caps that radio can fire.",
    stake=Stake.HARM,
    bars=True,
    halts=True,
    ask="Ask the shotfirer which caps are used, and what keeps transmitters away.",
    who=Who.CUSTOMER,
    minutes=15.0,
    mends="Caps that no current fires, or every transmitter handed in by the shotfirer's rule before any"
    " is out.",
)

_GUIDE: Final = Citation(
    "guides on radio frequency hazards to electric detonators (IME SLP-20, CLC/TR 50426)",
    place="the distance depends on power, frequency and the leads; the shotfirer decides",
    mark=Mark.MEMORY,
)


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-46 of each premises where blasting is done."""
    for name, house in case.job.premises.items():
        if house.blasting is not None:
            yield _near_caps(case, name, house.blasting)


def _near_caps(case: Case, premises: str, blasting: Blasting) -> Finding:
    powers = [
        (part.sheet.erp_dbm, group)
        for group in case.job.groups
        if (part := case.equipment.fobs.get(group)) is not None and part.sheet.erp_dbm is not None
    ]
    most = max(powers, default=None)
    sends = ""
    if most is not None:
        watts = 10.0 ** (most[0] / 10.0) / 1000.0
        sends = f" The strongest fob, of {most[1]}, radiates {write_quantity(watts, 'power')}."
    asks: tuple[Ask, ...] = ()
    away = blasting.kept_away_by
    if blasting.caps == "not electric":
        answer, says = Answer.YES, f"At {premises} caps are used that no current fires."
    elif away:
        answer = Answer.BARELY
        says = f"At {premises} transmitters are kept away from caps by {listed(away)}."
    elif blasting.caps is None:
        answer, says = Answer.UNKNOWN, f"At {premises} blasting is done; which caps are used is not known."
        asks = (
            Ask(
                "Ask the shotfirer which caps are used, at what distance and by whose order transmitters"
                " stay off,"
                " and what becomes of leads that lie about.",
                Who.CUSTOMER,
                15.0,
            ),
        )
    else:
        answer = Answer.NO
        says = f"At {premises} {blasting.caps} caps are used, and nothing keeps fobs away from them."
    refs: tuple[Ref, ...] = (PremisesRef(premises), *(GroupRef(group) for group in case.job.groups))
    return NEAR_CAPS.decide(
        about=premises,
        subjects=refs,
        answer=answer,
        says=says,
        because=f"Leads are aerials: what they take up can fire a cap.{sends} Nothing goes into service"
        " before the"
        f" shotfirer has decided, in writing. {LOCAL_CODES}",
        asks=asks,
        remedies=(
            Remedy("Caps that no current fires"),
            Remedy(
                "Every transmitter handed in, or beyond the shotfirer's distance, before a cap is unpacked"
            ),
        ),
        sources=(_GUIDE, GIVEN),
    )
