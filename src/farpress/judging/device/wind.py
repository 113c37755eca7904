"""Judges what a gust can tear off: that something takes it in, whatever a fob says."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import Driven, driven_of
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import DeviceRef, OutputRef
from farpress.judging.check import Answer, Check

__all__ = ["TAKEN_IN", "judge_wind"]

TAKEN_IN: Final = Check(
    "DEV-09",
    Link.DEVICE,
    "What a gust can tear off: a wind sensor takes it in, and no output holds it out against that.",
    stake=Stake.HARM,
    ask="Look for a wind sensor, and try that it takes the awning in while a fob holds it out.",
    who=Who.INSTALLER,
    minutes=10.0,
    mends="A control with a wind sensor, which the fob gives pulses to and which has the last word.",
)

_CONTROL: Final = Remedy(
    "A control with a wind sensor, which the fob gives pulses to and which has the last word"
)


def judge_wind(case: Case) -> Iterator[Finding]:
    """DEV-09 of each such thing that an output works."""
    found: dict[str, list[tuple[OutputAt, Driven]]] = {}
    for output in case.outputs():
        for driven in driven_of(case, output):
            if driven.traits.fears_wind:
                found.setdefault(driven.path, []).append((output, driven))
    for rows in found.values():
        yield _judged(rows)


def _judged(rows: list[tuple[OutputAt, Driven]]) -> Finding:
    driven, name = rows[0][1], rows[0][1].path.split("/")[1]
    held = [
        output.path
        for output, mine in rows
        if output.output.traits.keeps_state and mine.wants != "pulse" and mine.logic not in ("down", "close")
    ]
    has = driven.sheet.wind_sensor
    answer = Answer.of(has)
    says = {
        True: f"A wind sensor takes {name} in by itself.",
        False: f"Nothing takes {name} in when the wind comes up and nobody is there to press.",
        None: f"Whether a wind sensor takes {name} in by itself is not recorded.",
    }[has]
    if held and has is not False:
        answer = Answer.NO
        says = f"{held[0]} stays on once it is pressed and so holds {name} out, against any wind sensor too."
    return TAKEN_IN.decide(
        about=driven.path,
        subjects=(DeviceRef(driven.path), *(OutputRef(output.path) for output, _ in rows)),
        answer=answer,
        says=says,
        because="A gust breaks its arms or tears it off, over whoever sits there."
        if answer is Answer.NO
        else "",
        asks=(
            Ask(
                f"Look for a wind sensor on {name}, and try that it takes it in while a fob holds it out.",
                Who.INSTALLER,
                10.0,
            ),
        )
        if answer is Answer.UNKNOWN
        else (),
        remedies=(_CONTROL,),
        sources=(*driven.cite("wind_sensor", "device"), PRACTICE, GIVEN),
    )
