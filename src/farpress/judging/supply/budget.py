"""Judges what a supply must give: everything on it against its rating.

Standby and charging are judged in `standby`, fuses in `protection`, cores in `cores`.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.cabling import End
from farpress.case.case import Case
from farpress.case.circuit.arriving import given_a, heaviest_press, most_given, works_on
from farpress.case.circuit.electrics import Electrics, electrics_of
from farpress.case.circuit.states import AS_READ
from farpress.core.wiring.supply_load import LOAD_SHARE
from farpress.domain.finding import Finding, Link, Remedy, Stake, Verdict
from farpress.domain.parts import BatterySheet, Part, SupplySheet
from farpress.domain.refs import SupplyRef
from farpress.judging.check import AT_MOST, Check, Estimate, Limit, share_edge
from farpress.judging.supply.asks import rated_current_of, unknown_currents
from farpress.judging.supply.battery_cold import judge_cold
from farpress.judging.supply.cores import judge_cores
from farpress.judging.supply.fed import perhaps_asks
from farpress.judging.supply.protection import judge_protection
from farpress.judging.supply.short_circuit import rated_current_a
from farpress.judging.supply.solar import judge_solar
from farpress.judging.supply.standby import judge_standby
from farpress.judging.supply.transformers import rectifier_ratio
from farpress.phrases import listed
from farpress.sources import Citation, Mark
from farpress.units import write_at_least, write_quantity, write_share

__all__ = ["LOAD_OF_SUPPLY", "judge_budget"]

LOAD_OF_SUPPLY: Final = Check(
    "SUP-03",
    Link.SUPPLY,
    (
        "Current of everything that can be on together, with each function pressed and with all at once,"
        " against the rating of the supply."
    ),
    unit="A",
    bound=AT_MOST,
    thin=share_edge(
        1 - LOAD_SHARE, f"{write_share(LOAD_SHARE, '.0f')} of a supply's rating are used in design"
    ),
    stake=Stake.PROMISE,
    ask="Read the rated current of the supply off its label.",
    mends="A stronger supply, or a second one for part of the load.",
)

_DESIGN_SHARE: Final = Citation(
    f"{write_share(LOAD_SHARE, '.0f')} of a supply's rating is used in design", mark=Mark.PRACTICE
)


def judge_budget(
    case: Case,
    premises: str,
    supply: str,
    part: Part[SupplySheet],
    battery: Part[BatterySheet] | None,
    ends: tuple[End, ...],
) -> Iterator[Finding]:
    """Load, standby, charging, fuses and cores of one supply."""
    path = f"{premises}/{supply}"
    if not ends and battery is None:
        return
    yield _load(case, premises, path, part, ends)
    yield from judge_standby(case, premises, supply, part, battery, ends)
    yield from judge_solar(case, premises, supply, battery, ends)
    yield from judge_cold(case, premises, supply, battery)
    yield from judge_protection(case, path, part, battery, ends)
    yield from judge_cores(case, path, part, ends)


TRANSFORMERS_VA: Final = (10.0, 16.0, 20.0, 30.0, 40.0, 50.0, 63.0, 75.0, 100.0, 160.0, 200.0, 250.0, 400.0)
"""Sizes that small transformers are sold in; common practice, no source [VA]."""


def _transformer(sheet: SupplySheet, total_a: float) -> Remedy | None:
    """The next size of transformer that is sold, for one that is rated in VA; None for other supplies."""
    if sheet.rated_va is None or not sheet.voltage_v:
        return None
    wanted = total_a * sheet.voltage_v / LOAD_SHARE
    size = next((size for size in TRANSFORMERS_VA if size >= wanted), None)
    sold = f": the next size sold is {size:g} VA" if size is not None else ""
    return Remedy(f"Use a transformer of at least {write_at_least(wanted, 'apparent power')}{sold}.")


def _load(case: Case, premises: str, path: str, part: Part[SupplySheet], ends: tuple[End, ...]) -> Finding:
    """SUP-03: one press that overloads it is said as that press; else everything at once is held against it.

    It is about the supply, and so about every promise that the supply feeds.
    """
    sheet = part.sheet
    other = case.job.premises[premises].supplies[SupplyRef(path).name].other_load_a or 0.0
    always = other + (sheet.charge_a or 0.0)
    ratio, ratio_says, ratio_sources = rectifier_ratio(part, ends)
    supply, electrics = SupplyRef(path).name, electrics_of(case, premises)
    rest = given_a(electrics, supply, electrics.at_rest)
    everything, press = most_given(electrics, supply)[1], heaviest_press(electrics, supply)
    total = ratio * everything + always
    single = ratio * (press[1] if press else everything) + always
    rated = rated_current_a(sheet)
    is_single_enough = press is not None and rated is not None and single > rated
    charging = f", {write_quantity(sheet.charge_a, 'current')} of it charging" if sheet.charge_a else ""
    apparent = ""
    if sheet.rated_va is not None and sheet.voltage_v:
        apparent = f" ({write_quantity(total * sheet.voltage_v, 'apparent power')})"
    drawn = f"Everything on draws {write_quantity(total, 'current')}{apparent} from {path}{charging}"
    on = works_on(electrics, supply, press[0]) if press else ()
    heaviest = (
        f" The heaviest single press is '{press[0].function}': {write_quantity(single, 'current')}, with"
        f" {listed(on)} on."
        if press and on
        else ""
    )

    def says(verdict: Verdict) -> str:
        if rated is None or verdict is Verdict.UNKNOWN:
            room = (
                f" There is room for {write_quantity(max(LOAD_SHARE * rated - total, 0.0), 'current')} more."
                if rated is not None
                else ""
            )
            return f"{drawn}, as far as currents are known.{room}"
        if verdict is not Verdict.FAILS:
            return f"{drawn}; it is rated {rated:g} A, of which {write_share(total / rated, '.0f')} are used."
        if not is_single_enough and press is not None:
            return (
                f"{drawn}, more than the {rated:g} A it is rated for; it takes several presses in the same"
                " moments."
            )
        if single > total:
            return (
                f"{drawn}; the press of '{press[0].function if press else ''}' alone, while it pulls in,"
                f" {write_quantity(single, 'current')}, and it is rated {rated:.4g} A."
            )
        alone = f", one press already {write_quantity(single, 'current')}" if single < total else ""
        return f"{drawn}{alone}; it is rated {rated:.4g} A."

    most = max(total, single)
    stronger = _transformer(sheet, most) or Remedy(
        f"Use a supply of at least {write_at_least(most / LOAD_SHARE, 'current')}, or feed part of it from a"
        " second one."
    )
    return LOAD_OF_SUPPLY.judge(
        about=path,
        subjects=(SupplyRef(path),),
        value=Estimate(single if is_single_enough else total),
        limit=Limit(rated),
        says=says,
        because=(
            f"At rest {write_quantity(ratio * rest + always, 'current')}.{heaviest} Of interlocked"
            f" outputs the larger counts.{ratio_says}{_breaks_down(electrics, supply)}"
        ),
        asks=(
            *unknown_currents(ends),
            *((rated_current_of(path),) if rated is None else ()),
            *perhaps_asks(case, SupplyRef(path)),
        ),
        remedies=lambda verdict: (stronger,) if verdict is Verdict.FAILS else (),
        sources=(
            *part.cite("rated_a", "rated_va", "charge_a", "limit_a", "folds_to_a"),
            *(source for end in ends for source in end.sources),
            _DESIGN_SHARE,
            *ratio_sources,
        ),
    )


def _breaks_down(electrics: Electrics, supply: str) -> str:
    """What is left of its volts where more is asked of a supply than its electronics let through."""
    source = electrics.circuit.source(supply)
    solved = electrics.in_moment(electrics.alone(supply, most_given(electrics, supply)[0]), AS_READ)
    volts = solved.across(source.plus, source.zero)
    if f"supply {supply}" not in solved.limited or volts is None or source.limit_a is None:
        return ""
    how = f"holds {write_quantity(source.limit_a, 'current')}"
    if source.folds_to_a is not None:
        how = f"folds back from {write_quantity(source.limit_a, 'current')}"
    return (
        f" With everything on {supply} {how}: {write_quantity(float(f'{volts:.3g}'), 'voltage')} are left of"
        " it, and receivers begin anew."
    )
