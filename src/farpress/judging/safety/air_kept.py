"""Fans on whose air somebody's breath hangs: a press is no gas warning, and ten minutes clear nothing."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.worked import Worked, worked_devices
from farpress.core.rehearsal.around import gas_left_share, steady_share
from farpress.domain.cautions import LOCAL_CODES
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.kinds import device_kind
from farpress.domain.place_sheets import RoomAir
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit
from farpress.sources import cited
from farpress.units import write_quantity

__all__ = ["AIR_KEPT", "CLEARED", "judge"]

AIR_KEPT: Final = Check(
    "SAFE-71",
    Link.SAFETY,
    "Air that must not be breathed: what measures it runs the fan and warns outside, not a press.",
    stake=Stake.HARM,
    ask="Ask what the fan clears, and what tells that the air is bad before somebody goes in.",
    who=Who.CUSTOMER,
    minutes=5.0,
    mends="A sensor for that gas that runs the fan, a lamp and a horn outside, the door kept shut meanwhile.",
)
CLEARED: Final = Check(
    "SAFE-72",
    Link.SAFETY,
    "How much of a gas is left: after the fan has run as long as planned, or while it runs and gas comes in.",
    unit="%",
    bound=AT_MOST,
    stake=Stake.HARM,
    ask="Find the volume of the room, what the fan moves, and how much gas comes in.",
    who=Who.CUSTOMER,
    minutes=15.0,
    mends="A larger fan, drawing off at the source, and air measured before somebody goes in.",
)

LEFT_MOST: Final = 0.1
"""Of a gas that was there nine tenths are to be gone where nobody says how little may be breathed."""


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-71 and SAFE-72 of each fan that radio works, and of whatever is said to move air."""
    for worked in worked_devices(case):
        air = worked.driven.sheet.air
        is_fan = worked.driven.traits.moves_air or device_kind(worked.driven.sheet.feeds).moves_air
        if not is_fan and air is None:
            continue
        yield _kept(worked, air or RoomAir())
        if air is not None and air.breathed is not False:
            yield _cleared(case, worked, air)


def _kept(worked: Worked, air: RoomAir) -> Finding:
    """SAFE-71."""
    name = worked.name
    by = {
        "sensor that runs the fan": (Answer.YES, f"A sensor runs {name} when the air is bad."),
        "sensor that warns outside": (
            Answer.BARELY,
            f"A sensor warns outside; {name} itself waits for somebody's press.",
        ),
        "people": (Answer.NO, f"That the air is bad people have to notice, and then press for {name}."),
        "nothing": (Answer.NO, f"Nothing tells that the air is bad, and {name} waits for a press."),
        None: (Answer.UNKNOWN, f"What tells that the air is bad, and runs {name} then, is not said."),
    }
    answer, says = by[air.kept_by]
    if air.breathed is False:
        answer, says = Answer.YES, f"Nobody's breath hangs on {name}."
    elif air.breathed is None and air.kept_by is None:
        says = f"Whether {name} clears what must not be breathed, and what tells of it, is not said."
    is_gas = bool(air.breathed)
    return AIR_KEPT.decide(
        about=worked.path,
        subjects=worked.refs,
        answer=answer,
        says=says,
        because=""
        if answer is Answer.YES
        else "Gas of engines, fermenting and slurry is not smelled or seen; who goes in to help falls too."
        f" A power cut or a second press stops the fan, and nobody sees it. {LOCAL_CODES}",
        bars=answer is Answer.NO,
        halts=is_gas and answer in (Answer.NO, Answer.UNKNOWN),
        asks=(
            Ask(
                f"Ask whether {name} clears exhaust, gas of fermenting, slurry or fire, or warmth alone, and"
                " what measures the air there ('air').",
                Who.CUSTOMER,
                5.0,
            ),
        )
        * (answer is Answer.UNKNOWN),
        remedies=(
            Remedy(f"A sensor for that gas that runs {name}, with a lamp and a horn outside the door"),
            Remedy("Nobody goes in without a measurement and somebody who watches from outside"),
        ),
        sources=(*worked.driven.cite("air"), GIVEN, PRACTICE),
    )


def _runs_s(case: Case, worked: Worked) -> float | None:
    """How long one press makes it run, as planned or wished; None where it has no end or none is said."""
    ends = [output.output.for_s for output, _ in worked.uses if output.output.traits.wants_length]
    known = (case.job.functions.get(name) for name in worked.functions)
    times = [time for time in (*ends, *(f.lasts_s for f in known if f is not None)) if time is not None]
    return min(times, default=None)


def _cleared(case: Case, worked: Worked, air: RoomAir) -> Finding:
    """SAFE-72."""
    name, moved, runs_s = worked.name, air.moved_m3_per_h, _runs_s(case, worked)
    most = LEFT_MOST if air.most_share is None else air.most_share
    share: float | None = None
    asks: list[Ask] = []
    remedy = f"A larger fan than {name}, drawing at the source, and air measured before somebody goes in"
    says = f"What {name} leaves of a gas is not known."
    sources = cited(gas_left_share)
    if moved is None:
        asks.append(Ask(f"Read off the plate of {name} what it moves in an hour.", Who.LABEL, 5.0))
    flow = "" if moved is None else write_quantity(moved, "flow")
    if air.gas_m3_per_h is not None:
        if air.most_share is None:
            asks.append(Ask(f"Ask how much of that gas may be breathed at {name}.", Who.CUSTOMER, 10.0))
        if moved is not None:
            share, sources = (
                steady_share(gas_m3_per_h=air.gas_m3_per_h, moved_m3_per_h=moved),
                cited(steady_share),
            )
            gas = write_quantity(air.gas_m3_per_h, "flow")
            says = f"{gas} come in and {flow} are moved: {100 * share:.2g} % stay while {name} runs."
            if air.room_m3 is not None and air.most_share is not None:
                reached = 60.0 * air.most_share * air.room_m3 / air.gas_m3_per_h
                says += f" Without it {100 * most:.2g} % are there after {reached:.0f} min."
        remedy = f"A larger fan than {name} that draws where the gas lies, and air measured then"
    else:
        if air.room_m3 is None:
            asks.append(Ask(f"Measure the room that {name} clears.", Who.INSTALLER, 10.0))
        asks.append(Ask(f"Ask how much gas comes in at {name} at its worst.", Who.CUSTOMER, 10.0))
        if moved is not None and air.room_m3 is not None and runs_s is not None:
            share = gas_left_share(room_m3=air.room_m3, moved_m3_per_h=moved, time_s=runs_s)
            changes = moved / air.room_m3
            says = (
                f"{changes:.2f} changes of air in an hour: after the {write_quantity(runs_s, 'time')} of one"
                f" press {100 * share:.0f} % of what was there is left."
            )
            if changes > 0.0:
                says += (
                    f" Nine tenths are out after {60 * math.log(10.0) / changes:.0f} min, with nothing new."
                )
    return CLEARED.judge(
        about=worked.path,
        subjects=worked.refs,
        value=Estimate(None if share is None else 100.0 * share, None, sources),
        limit=Limit(100.0 * most, (PRACTICE,) if air.most_share is None else worked.driven.cite("air")),
        says=says,
        because="Taken as mixed well; in corners and pits more of it stays.",
        asks=asks,
        remedies=(
            Remedy(remedy),
            Remedy("Drawn off at the source, as at the exhaust pipe, before it spreads"),
        ),
        sources=worked.driven.cite("air"),
    )
