"""A drive with a radio of its own: what it obeys besides the receivers of the job."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.worked import Worked, worked_devices
from farpress.domain.cautions import DUTIES
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.judging.check import Answer, Check

__all__ = ["OWN_RADIO", "judge"]

OWN_RADIO: Final = Check(
    "SAFE-57",
    Link.SAFETY,
    "A drive obeys no radio of its own, whose fobs stand in no register.",
    stake=Stake.HARM,
    ask="Look into the drive's control for a radio receiver of its own, and what it has learned.",
    who=Who.INSTALLER,
    minutes=10.0,
    mends="Its own radio erased and taken out of service, tried with a fob that it knew.",
)


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-57 of each leaf whose drive takes pulses, and of whatever says that it has a radio."""
    for worked in worked_devices(case):
        given = worked.driven.sheet.own_radio
        has_control = worked.driven.traits.is_leaf and any(
            driven.wants == "pulse" for driven in worked.inputs
        )
        if given is not None or has_control:
            yield _judged(worked)


def _judged(worked: Worked) -> Finding:
    given, name = worked.driven.sheet.own_radio, worked.name
    says = {
        None: f"Whether the drive of {name} has a radio of its own, with fobs of its own, is not recorded.",
        "none": f"The drive of {name} has no radio of its own.",
        "off": f"The radio of its own in the drive of {name} is out of service and erased.",
        "on": f"The drive of {name} obeys fobs of its own radio too, whatever the receivers of this job do.",
    }[given]
    asks: tuple[Ask, ...] = ()
    if given is None:
        asks = (
            Ask(
                f"Look into the control of {name} for a radio of its own, and what it has learned; write"
                " 'own_radio'.",
                Who.INSTALLER,
                10.0,
            ),
        )
    return OWN_RADIO.decide(
        about=worked.path,
        subjects=worked.refs,
        answer=Answer.UNKNOWN if given is None else Answer.of(given != "on"),
        says=says,
        because=""
        if given in ("none", "off")
        else "Whoever had the drive before may still hold fobs for it: strangers work it."
        f" {DUTIES['register']}",
        asks=asks,
        remedies=(
            Remedy("Erase what the drive's own radio has learned and take it out of service: then 'off'"),
            Remedy("Change the drive's control for one without a radio"),
        ),
        sources=(*worked.driven.cite("own_radio"), GIVEN, PRACTICE),
    )
