"""What a pole of a direct current supply is joined to outside its circuit: steel in water or ground."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import GIVEN, PRACTICE
from farpress.domain.cautions import LOCAL_CODES
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import SupplyRef
from farpress.judging.check import Answer, Check

__all__ = ["BONDED", "judge"]

BONDED: Final = Check(
    "SUP-50",
    Link.SUPPLY,
    "A pole of a direct current supply: joined to no steel in water or in the ground, which its stray current"
    " eats.",
    stake=Stake.WEAR,
    ask="Measure with everything off from each pole to the steel: there should be no way.",
    who=Who.METER,
    minutes=5.0,
    mends="A supply apart from earth and steel, and what is corroded looked at by who knows.",
)

_EATS: Final = ("steel in water", "steel in the ground")


def judge(case: Case) -> Iterator[Finding]:
    """SUP-50 of each supply of which it is said, and of each at premises by the water."""
    for premises, house in case.job.premises.items():
        for name, supply in house.supplies.items():
            part = case.equipment.supplies.get(f"{premises}/{name}")
            if part is None or part.sheet.supply == "ac":
                continue
            if supply.bonded_to is not None or house.water is not None:
                yield _judged(f"{premises}/{name}", name, supply.bonded_to, house.water)


def _judged(path: str, name: str, bonded: str | None, water: str | None) -> Finding:
    salt = ", and salt water leads well" if water == "salt" else ""
    if bonded is None:
        answer, says = (
            Answer.UNKNOWN,
            f"What the poles of {name} are joined to outside its circuit is not known.",
        )
    elif bonded in _EATS:
        answer = Answer.NO
        says = (
            f"A pole of {name} is joined to {bonded}: part of its current goes back that way and eats the"
            f" steel{salt}; it shares that earth with every socket and boat on it."
        )
    else:
        answer, says = Answer.YES, f"The poles of {name} are joined to {bonded} outside its circuit."
    return BONDED.decide(
        about=path,
        subjects=(SupplyRef(path),),
        answer=answer,
        says=says,
        because=LOCAL_CODES if answer is Answer.NO else "",
        asks=(
            Ask(
                f"Measure with everything off from each pole of {name} to the steel in the water: there"
                " should be no way.",
                Who.METER,
                5.0,
            ),
        )
        if bonded is None
        else (),
        remedies=(
            Remedy("A supply whose two poles are joined to nothing outside, measured against the steel"),
            Remedy("Have the corrosion looked at by somebody competent, before it is covered"),
        ),
        sources=(PRACTICE, GIVEN),
    )
