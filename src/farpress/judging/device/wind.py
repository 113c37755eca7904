"""Judges what a gust can tear off: that something takes it in, whatever a fob says."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import Driven, driven_of
from farpress.case.found_on_site import acts_at_m_per_s, stands_m_per_s
from farpress.domain.device_sheets import WindSensor
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
    asks: tuple[Ask, ...] = ()
    remedies: tuple[Remedy, ...] = (_CONTROL,)
    if has:
        answer, says, asks, moved = _as_tried(name, driven.sheet.wind or WindSensor(), says)
        remedies = (*moved, _CONTROL)
    if held and has is not False:
        answer, asks = Answer.NO, ()
        faults = f" {says}" if has and _set_too_high(driven.sheet.wind or WindSensor()) else ""
        says = f"{held[0]} stays on once it is pressed and so holds {name} out, against any wind sensor too."
        says += faults
    return TAKEN_IN.decide(
        about=driven.path,
        subjects=(DeviceRef(driven.path), *(OutputRef(output.path) for output, _ in rows)),
        answer=answer,
        says=says,
        because="A gust breaks its arms or tears it off, over whoever sits there."
        if answer is Answer.NO
        else "",
        asks=asks
        or (
            (
                Ask(
                    f"Look for a wind sensor on {name}, and try that it takes it in while a fob holds it"
                    " out.",
                    Who.INSTALLER,
                    10.0,
                ),
            )
            if answer is Answer.UNKNOWN
            else ()
        ),
        remedies=remedies,
        sources=(*driven.cite("wind_sensor", "wind", "device"), PRACTICE, GIVEN),
    )


def _set_too_high(wind: WindSensor) -> bool:
    """Whether it is set to more than the thing bears, wherever it stands."""
    return None not in (wind.set_to_m_per_s, wind.bears_m_per_s) and (
        (wind.set_to_m_per_s or 0.0) > (wind.bears_m_per_s or 0.0)
    )


def _as_tried(
    name: str, wind: WindSensor, says: str
) -> tuple[Answer, str, tuple[Ask, ...], tuple[Remedy, ...]]:
    """What a sensor that is there does: at which wind it acts, and when its line is open."""
    faults: list[str] = []
    asks: list[Ask] = []
    remedies: list[Remedy] = []
    acts, stands = acts_at_m_per_s(wind), stands_m_per_s(wind)
    if acts is not None and stands is not None and acts > stands:
        faults.append(
            f"Its sensor reads {wind.read_m_per_s:g} m/s where there are {wind.in_the_open_m_per_s:g} m/s in"
            f" the open: set to {wind.set_to_m_per_s:g} m/s it takes {name} in at {acts:.3g} m/s, and"
            f" {stands:g} m/s are the most."
        )
        least = stands * (wind.read_m_per_s or 0.0) / (wind.in_the_open_m_per_s or 1.0)
        remedies.append(
            Remedy(f"Move the sensor over the ridge; until then set it to {least:.2g} m/s at the most")
        )
    elif acts is None and _set_too_high(wind):
        faults.append(
            f"Its sensor takes {name} in at {wind.set_to_m_per_s:g} m/s, as it reads it, and"
            f" {wind.bears_m_per_s:g} m/s are the most."
        )
        remedies.append(Remedy(f"Set it well below {wind.bears_m_per_s:g} m/s, and compare it in the open"))
    elif acts is None:
        asks.append(
            Ask(
                f"Compare the wind sensor of {name} with a hand instrument in the open in the same"
                " minute, and read what it is set to.",
                Who.INSTALLER,
                10.0,
            )
        )
    if wind.line_open == "left out":
        faults.append(f"An open line of its sensor reads as no wind: a broken core leaves {name} out.")
        remedies.append(
            Remedy(f"A break contact or a watched line, so that {name} comes in when the sensor is lost")
        )
    elif wind.line_open is None:
        asks.append(
            Ask(
                f"Take one core off the wind sensor of {name}: it must come in, and stay in.",
                Who.INSTALLER,
                5.0,
            )
        )
    if faults:
        return Answer.NO, " ".join(faults), (), tuple(remedies)
    if asks:
        return Answer.UNKNOWN, f"{says} At which wind, and without its line, is not tried.", tuple(asks), ()
    return Answer.YES, f"{says[:-1]} at {acts:.3g} m/s, and when its line is open.", (), ()
