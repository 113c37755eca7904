"""What a battery must carry: what waits, what stays on, what is on for a while each day, and an alarm."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from farpress.case.case import Case
from farpress.case.circuit.arriving import given_a
from farpress.case.circuit.electrics import Electrics, electrics_of
from farpress.case.circuit.moments import kept_on, timed_outputs
from farpress.case.circuit.states import Moment
from farpress.core.wiring.supply_load import cyclic_current_a
from farpress.judging.contact.use import forecast_per_day
from farpress.sources import Citation, Mark
from farpress.units import write_quantity

__all__ = ["ALARM", "ALARM_S", "StandbyDraw", "standby_draw"]

ALARM_S: Final = 15.0 * 60.0
"""How long an alarm draws its full current, once while the mains is off; common practice, no source [s]."""

ALARM: Final = Citation("one alarm of 15 min while the mains is off", mark=Mark.PRACTICE)

DAY_S: Final = 86_400.0
_DAY_H: Final = 24.0


@dataclass(frozen=True)
class StandbyDraw:
    """Currents a battery carries [A].

    Attributes:
        rest_a: while nothing is on, without what is not known.
        kept_a: more, of what stays on by itself.
        timed_a: more on the average, of what is on for a while each day.
        alarm_a: in alarm altogether; 0 where the panel works nothing.
        open_a: more, if that of which nobody says what it draws while it waits were on all the time.
    """

    rest_a: float
    kept_a: float
    timed_a: float
    alarm_a: float
    open_a: float = 0.0

    @property
    def mean_a(self) -> float:
        """All the time, the alarm apart [A]."""
        return self.rest_a + self.kept_a + self.timed_a

    @property
    def alarm_ah(self) -> float:
        """Charge of one alarm, over what flows anyway [Ah]."""
        return max(self.alarm_a - self.mean_a, 0.0) * ALARM_S / 3600

    @property
    def says(self) -> str:
        """What is in it beside what waits."""
        parts = []
        if self.kept_a > 0:
            parts.append(f"{write_quantity(self.kept_a, 'current')} for what stays switched on")
        if self.timed_a > 0:
            parts.append(
                f"{write_quantity(self.timed_a, 'current')} on the average for what is on for a while"
            )
        told = f" With {' and '.join(parts)} it is {write_quantity(self.mean_a, 'current')}." if parts else ""
        if self.alarm_ah > 0:
            alarm = write_quantity(self.alarm_a, "current")
            told += f" An alarm of {ALARM_S / 60:g} min at {alarm} is in it once."
        return told


def standby_draw(case: Case, premises: str, supply: str) -> StandbyDraw:
    """What hangs on a supply draws while the mains is off.

    What keeps a state is taken as on all the time, unless it is given how long it is on in a day.

    Args:
        case: the job.
        premises, supply: names of the supply.
    """
    electrics = electrics_of(case, premises)
    rest = given_a(electrics, supply, electrics.at_rest)
    unsaid = _unknown_rest_a(electrics, supply)
    known = rest - unsaid
    staying = kept_on(case, electrics.circuit)
    daily_h = {
        output.path: output.output.daily_s / 3600.0
        for output in case.outputs()
        if output.path in staying and output.output.daily_s is not None
    }
    kept = max(given_a(electrics, supply, Moment("kept on", staying.difference(daily_h))) - rest, 0.0)
    alarm = next((moment for moment in electrics.moments if moment.name == "alarm"), None)
    in_alarm = given_a(electrics, supply, alarm) if alarm is not None else rest
    timed = 0.0
    for path, hours in daily_h.items():
        more = given_a(electrics, supply, Moment("once", frozenset({path}), signals=False)) - rest
        timed += max(more, 0.0) * min(hours, _DAY_H) / _DAY_H
    for output in timed_outputs(case, electrics.circuit):
        more = given_a(electrics, supply, Moment("once", frozenset({output.path}), signals=False)) - rest
        daily, _ = forecast_per_day(case, output)
        seconds = output.output.for_s
        if more > 0 and daily and seconds:
            times = min(daily / 24, 3600 / seconds)
            timed += cyclic_current_a(current_a=more, on_s=seconds, times_per_hour=times)
    other = case.job.premises[premises].supplies[supply].other_load_a or 0.0
    is_more = in_alarm > rest + 1e-9
    return StandbyDraw(known + other, kept, timed, in_alarm + other + kept if is_more else 0.0, unsaid)


def _unknown_rest_a(electrics: Electrics, supply: str) -> float:
    """What counts at rest of loads of which nobody says what they draw while they wait [A]."""
    return sum(
        draw.end.amperes or 0.0
        for draw in electrics.circuit.on_supply(supply)
        if draw.end.rest_a is None and not draw.behind
    )
