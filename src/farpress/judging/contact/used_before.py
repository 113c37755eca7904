"""Contacts that have switched power before: an arc has burnt away what kept them fit for small currents."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import GIVEN
from farpress.case.switched import Load, Switched
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.judging.check import AT_LEAST, Answer, Check, Estimate, Limit
from farpress.sources import Citation, Mark
from farpress.units import write_quantity

__all__ = ["USED_BEFORE", "judge_used_before"]

LEAST_AFTER_POWER_A: Final = 0.010
"""What a silver contact needs that has switched power, whatever its sheet says for a new one."""

_SILVER: Final = Citation(
    "data sheet of a power relay with silver-nickel contacts",
    place="minimum load 10 mA at 5 V",
    mark=Mark.READ,
)

USED_BEFORE: Final = Check(
    "CON-60",
    Link.CONTACT,
    "Current of an input over a contact that has switched mains or motors before.",
    unit="A",
    bound=AT_LEAST,
    limit=Limit(LEAST_AFTER_POWER_A, (_SILVER,)),
    stake=Stake.WEAR,
    ask="Ask what the contact has switched until now, or take another for small currents.",
    who=Who.INSTALLER,
    minutes=5.0,
    mends="Another contact for the input, or a small relay with gold contacts between.",
)


def judge_used_before(case: Case, circuit: Switched) -> Iterator[Finding]:
    """CON-60 of each input over a receiver's contact that is not new, or of which that is not said."""
    if circuit.contact.is_relay:
        return
    used, stands = circuit.at.output.used_before, circuit.at.receiver_path in case.job.delivery.stands
    if used is None and not stands:
        return  # a new receiver, which the firm delivers
    for load in circuit.loads:
        if load.is_signal:
            yield _judged(circuit, load, used)


def _judged(circuit: Switched, load: Load, used: str | None) -> Finding:
    name = circuit.contact.name
    about, subjects = f"{circuit.about}: {load.name} after other use", (*circuit.subjects, *load.subjects)
    remedies = (
        Remedy(f"A small relay with gold contacts between {name} and {load.name}"),
        Remedy("A contact of this receiver that has switched nothing yet"),
    )
    if used is None:
        return USED_BEFORE.decide(
            about=about,
            subjects=subjects,
            answer=Answer.UNKNOWN,
            says=f"{name} stands there already; whether it has switched mains or motors is not known.",
            asks=(
                Ask(f"Ask what {name} has switched until now, and write 'used_before'.", Who.CUSTOMER, 3.0),
            ),
        )
    if used != "power":
        return USED_BEFORE.decide(
            about=about,
            subjects=subjects,
            answer=Answer.YES,
            says=f"{name} has switched {used} until now.",
            sources=(GIVEN,),
        )
    drawn = "an unknown current" if load.amperes is None else write_quantity(load.amperes, "current")
    return USED_BEFORE.judge(
        about=about,
        subjects=subjects,
        value=Estimate(load.amperes, 0.0, load.sources),
        says=f"{name} has switched power until now, and is to switch {drawn} of {load.name}.",
        because="Its arc burnt the thin plating away: small currents are missed now and then, and nobody"
        " finds out why.",
        asks=()
        if load.amperes is not None
        else (Ask(f"Read the current of the input {load.name} off its data sheet.", Who.LABEL, 5.0),),
        remedies=remedies,
    )
