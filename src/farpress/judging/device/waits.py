"""Gates that wait for each other: one opens only while another stands closed, as in a lock of two gates."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.access import single_presses
from farpress.case.case import Case
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import driven_of
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.premises import Device
from farpress.domain.refs import DeviceRef, OutputRef
from farpress.judging.check import Answer, Check
from farpress.phrases import listed

__all__ = ["END_CONTACTS", "WAITS", "judge_waits"]

WAITS: Final = Check(
    "DEV-06",
    Link.DEVICE,
    "A gate that may open only while another stands closed: what makes it wait.",
    stake=Stake.HARM,
    ask="Look in both drives for the wiring of the other gate's end contact.",
    who=Who.INSTALLER,
    minutes=15.0,
    mends="Each gate's closed contact in the opening command of the other, in the drives' own controls.",
)

END_CONTACTS: Final = Remedy(
    "Wire the closed contact of each into the opening command of the other, in the drives' own controls",
    "no press, pulse or receiver can open one while the other is not closed",
)


def judge_waits(case: Case) -> Iterator[Finding]:
    """DEV-06, of each gate that is to wait for another."""
    for premises, house in case.job.premises.items():
        for name, device in house.devices.items():
            if device.waits_for:
                yield _waits(case, premises, name, device)


def _waits(case: Case, premises: str, name: str, device: Device) -> Finding:
    others = listed(device.waits_for)
    both = _one_press(case, premises, name, device)
    pressed = f" One press of {both} commands them together." if both else ""
    asks: tuple[Ask, ...] = ()
    because = (
        "A receiver knows its relays, not the leaves: its pulse is over while the leaf still"
        " stands open, and its"
        " interlock with it."
    )
    if device.waits_by in ("end contacts", "drives"):
        how = "their end contacts" if device.waits_by == "end contacts" else "the controls of the drives"
        answer, because = Answer.YES, ""
        says = f"{name} opens only while {others} stands closed, kept so by {how}."
    elif device.waits_by == "people" or both:
        answer = Answer.NO
        says = (
            f"{name} is to open only while {others} stands closed, and nothing but people sees"
            f" to it.{pressed}"
        )
    else:
        answer = Answer.UNKNOWN
        says = f"{name} is to open only while {others} stands closed; what makes it wait is not said."
        asks = (
            Ask(
                f"Look whether the closed contact of {others} is wired into the opening command of {name}.",
                Who.INSTALLER,
                15.0,
            ),
        )
    working = [
        output
        for output in case.outputs()
        if output.premises == premises
        and {works.split(".")[0] for works in output.works} & {name, *device.waits_for}
    ]
    return WAITS.decide(
        about=f"{premises}/{name}",
        subjects=(
            DeviceRef(f"{premises}/{name}"),
            *(DeviceRef(f"{premises}/{other}") for other in device.waits_for),
            *(OutputRef(output.path) for output in working),
        ),
        answer=answer,
        says=says,
        because=because,
        asks=asks,
        remedies=(END_CONTACTS,),
        sources=(PRACTICE, GIVEN),
    )


def _one_press(case: Case, premises: str, name: str, device: Device) -> str:
    """The first press that commands a gate and one that it waits for; empty where there is none."""
    for press in single_presses(case):
        worked = {
            driven.path
            for function in press.functions
            for output in case.outputs_of(function)
            for driven in driven_of(case, output)
        }
        if f"{premises}/{name}" in worked and worked & {f"{premises}/{other}" for other in device.waits_for}:
            return press.name
    return ""
