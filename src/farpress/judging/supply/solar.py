"""A supply fed by the sun: what comes in on a day of the darkest month, against what is used."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from farpress.case.cabling import End
from farpress.case.case import Case, OutputAt
from farpress.case.circuit.arriving import given_a
from farpress.case.circuit.electrics import Electrics, electrics_of
from farpress.case.circuit.states import Moment
from farpress.case.driven import driven_of, moves
from farpress.case.feeding import supply_behind
from farpress.core.wiring.solar import days_until_empty, panel_power_w, yield_ah_per_day
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.parts import BatterySheet, Part
from farpress.domain.premises import Solar
from farpress.domain.refs import SupplyRef
from farpress.judging.check import AT_LEAST, Check, Estimate, Limit, share_edge
from farpress.judging.contact.use import forecast_per_day
from farpress.judging.supply.asks import rest_current_of
from farpress.judging.supply.standby import usable_of
from farpress.judging.supply.standby_draw import standby_draw
from farpress.sources import Citation, Mark, cited
from farpress.units import write_share

__all__ = ["SUN", "judge_solar"]

RESERVE: Final = 0.3
"""By which the yield of the darkest month is to exceed the use: years differ; our choice."""

SUN: Final = Check(
    "SUP-30",
    Link.SUPPLY,
    "Charge that the sun brings on a day of the darkest month, against the charge that is used.",
    unit="Ah a day",
    bound=AT_LEAST,
    thin=share_edge(RESERVE, "no two winters are alike"),
    stake=Stake.PROMISE,
    ask="Find the hours of full sun of a day in each month for the place, and the power of the panel.",
    who=Who.INSTALLER,
    minutes=15.0,
    mends="A larger panel and battery, less that draws at rest, or a feed from the mains.",
)

_USE: Final = Citation("charge of a day by the labels of what hangs on the supply", mark=Mark.COMPUTED)

_DAY_H: Final = 24.0
_DAY_S: Final = 86_400.0

_SLOW_H: Final = 24.0
"""A battery that the sun charges is emptied over days; any time over 12 h is slow [h]."""


def judge_solar(
    case: Case, premises: str, supply: str, battery: Part[BatterySheet] | None, ends: tuple[End, ...]
) -> Iterator[Finding]:
    """SUP-30, of a supply that a solar panel charges."""
    solar = case.job.premises[premises].supplies[supply].solar
    if solar is None:
        return
    path = f"{premises}/{supply}"
    used, parts, asks = _used(case, premises, supply, ends)
    month, sun_s, comes = _darkest(solar)
    asks += _sun_asks(path, solar)
    charge = (
        "What the sun brings is not known"
        if comes is None
        else f"In {month} the sun brings {comes:.3g} Ah a day"
    )
    yield SUN.judge(
        about=path,
        subjects=(SupplyRef(path),),
        value=Estimate(comes, None, cited(yield_ah_per_day)),
        limit=Limit(used, (_USE,)),
        says=f"{charge}; {used:.4g} Ah are used{', as far as is known' if asks else ''}.",
        because=f"{'; '.join(parts)}.{_lasts(battery, used, comes)}",
        asks=asks,
        remedies=lambda _: _mends(solar, month, sun_s, used),
    )


def _used(
    case: Case, premises: str, supply: str, ends: tuple[End, ...]
) -> tuple[float, list[str], list[str | Ask]]:
    """Charge of a day [Ah], of what it consists, and what is to be asked."""
    electrics = electrics_of(case, premises)
    house = case.job.premises[premises]
    rest = standby_draw(case, premises, supply).rest_a
    total, parts = rest * _DAY_H, [f"At rest {rest * _DAY_H:.3g} Ah a day"]
    asks: list[str | Ask] = [rest_current_of(end) for end in ends if end.rest_a is None]
    for output in case.outputs():
        if output.path not in electrics.circuit.outputs:
            continue
        more, ask = _switched_ah(case, electrics, supply, output)
        total += more
        parts += [f"{output.path} {more:.2g} Ah"] if more >= _TOLD_AH else []
        asks += [ask] if ask is not None else []
    for name, device in house.devices.items():
        sheet = case.equipment.devices[f"{premises}/{name}"].sheet
        if supply_behind(house, device.fed) != supply or not sheet.traits.moves:
            continue
        travel_s = sheet.travel_worst_s or sheet.travel_s
        if device.moves_per_day is None or travel_s is None or sheet.current_a is None:
            asks.append(
                Ask(
                    f"Say how often {name} moves in a day, how long, and what it draws meanwhile.",
                    Who.CUSTOMER,
                )
            )
            continue
        moving = device.moves_per_day * travel_s * sheet.current_a * (sheet.pieces or 1) / 3600.0
        total += moving
        parts.append(f"{name} {moving:.3g} Ah for {device.moves_per_day:g} movements")
    return total, parts, asks


_TOLD_AH: Final = 0.001
"""Charge of a day below which it is not told; our choice."""


def _switched_ah(case: Case, electrics: Electrics, supply: str, output: OutputAt) -> tuple[float, Ask | None]:
    """What an output uses in a day over what waits [Ah], and what is to be asked where that is not known."""
    on = given_a(electrics, supply, Moment("once", frozenset({output.path}), signals=False))
    more = on - given_a(electrics, supply, electrics.at_rest)
    if more <= 0:
        return 0.0, None
    if output.output.daily_s is not None:
        return more * min(output.output.daily_s, _DAY_S) / 3600.0, None
    running = _running_s(case, output)
    if running is not None:
        return more * min(running, _DAY_S) / 3600.0, None
    daily, _ = forecast_per_day(case, output)
    if output.output.traits.keeps_state or output.output.for_s is None or daily is None:
        return 0.0, Ask(f"Say how long {output.path} is on in a day, in all.", Who.CUSTOMER, 2.0)
    return more * min(daily * output.output.for_s, _DAY_S) / 3600.0, None


def _running_s(case: Case, output: OutputAt) -> float | None:
    """How long what this output moves runs by it in a day [s]: its travels shared among the outputs that work
    it; None where it moves nothing, or how often and how long is not known.
    """
    moving = [driven for driven in driven_of(case, output) if moves(driven)]
    if not moving:
        return None
    times: list[float] = []
    for driven in moving:
        device = output.house.devices.get(driven.works.partition(".")[0])
        travel_s = driven.sheet.travel_worst_s or driven.sheet.travel_s
        if device is None or device.moves_per_day is None or travel_s is None:
            return None
        sharing = sum(
            any(other.path == driven.path for other in driven_of(case, working)) for working in case.outputs()
        )
        times.append(device.moves_per_day / sharing * travel_s)
    return max(times)


def _darkest(solar: Solar) -> tuple[str, float, float | None]:
    """The month in which least comes in, its sun of a day [s], and what that brings [Ah]; None where
    something is not known.
    """
    if not solar.sun_s:
        return "", 0.0, None
    sun_s, month = min((sun_s, str(name)) for name, sun_s in solar.sun_s.items())
    if solar.power_w is None or solar.charge_v is None or solar.yield_share is None:
        return month, sun_s, None
    return (
        month,
        sun_s,
        yield_ah_per_day(
            power_w=solar.power_w, sun_s=sun_s, share=solar.yield_share, charge_v=solar.charge_v
        ),
    )


def _sun_asks(path: str, solar: Solar) -> list[Ask]:
    missing = [
        what
        for what, is_known in (
            ("the power of its panel", solar.power_w is not None),
            ("the hours of full sun of a day in December or June, whichever is darker", bool(solar.sun_s)),
            ("which share of it reaches the battery", solar.yield_share is not None),
            ("at which voltage it charges", solar.charge_v is not None),
        )
        if not is_known
    ]
    return [Ask(f"Find out of {path}: {what}.", Who.INSTALLER, 5.0) for what in missing]


def _lasts(battery: Part[BatterySheet] | None, used_ah: float, comes_ah: float | None) -> str:
    """How long the battery carries the difference, and how long it carries everything without sun."""
    if battery is None or battery.sheet.capacity_ah is None or used_ah <= 0:
        return " What the battery holds is not known."
    share, how, _ = usable_of(battery, _SLOW_H)
    usable = battery.sheet.capacity_ah * share
    alone = days_until_empty(usable_ah=usable, used_ah=used_ah, yield_ah=0.0)
    if battery.sheet.usable_share is None and battery.sheet.chemistry != "lead":
        how += " Taken for lead, as it is not said."
    says = f"{how} The {usable:.3g} Ah that can be used last {alone:.1f} days without sun"
    if comes_ah is None or comes_ah >= used_ah:
        return f"{says}."
    days = days_until_empty(usable_ah=usable, used_ah=used_ah, yield_ah=comes_ah)
    return f"{says}, and {days:.1f} days with it: then everything on it stands still."


def _mends(solar: Solar, month: str, sun_s: float, used_ah: float) -> tuple[Remedy, ...]:
    larger = []
    if month and solar.yield_share and solar.charge_v:
        power = panel_power_w(
            wanted_ah=(1 + RESERVE) * used_ah, sun_s=sun_s, share=solar.yield_share, charge_v=solar.charge_v
        )
        if math.isfinite(power):
            larger = [
                Remedy(
                    f"A panel of at least {math.ceil(power - 1e-9)} W, and a battery to match",
                    f"{write_share(RESERVE, '.0f')} more than is used in {month}",
                )
            ]
    return (*larger, Remedy("A feed from the mains"), Remedy("Less that draws at rest"))
