"""How the cells of one group of fobs are used up: presses, pockets, cold, and the pulse that a cold cell must
give.
"""

from __future__ import annotations

from dataclasses import dataclass

from farpress.case.case import Case
from farpress.core.upkeep.pulse import press_mix, pulse_usable_share
from farpress.judging.fob.cells import (
    BUSY_PER_DAY,
    POCKET_PER_WEEK,
    YEAR_S,
    cold_share,
    life_of,
    missing_of,
    press_of,
)

__all__ = ["CellPlan", "cell_plan"]


@dataclass(frozen=True)
class CellPlan:
    """Life of a group's cells.

    Attributes:
        group: its name.
        cell: part of the cell, as in the catalogue.
        years: life of the holder in the middle, at most the shelf life.
        by_charge_years: the same without the shelf.
        shelf_years: after which any cell counts as empty.
        presses_per_day, press_s: all presses together, those by accident included; mean length [s].
        presses_share, sleep_share, self_discharge_share: where the charge goes.
        usable_share: of the charge; the smaller of what charge and pulse voltage allow in the cold.
        limited_by: "charge", "voltage in the cold" or "shelf life".
        assumed: what was taken because it is not given, in words; empty for nothing.
    """

    group: str
    cell: str
    years: float
    by_charge_years: float
    shelf_years: float
    presses_per_day: float
    press_s: float
    presses_share: float
    sleep_share: float
    self_discharge_share: float
    usable_share: float
    limited_by: str
    assumed: str = ""


def cell_plan(case: Case, name: str) -> CellPlan | None:
    """Life of the cells of one group; None where sheet or cell say too little.

    Args:
        case: the job.
        name: of the group.
    """
    group = case.job.groups[name]
    fob, cell = case.equipment.fobs.get(name), case.equipment.cells.get(name)
    if fob is None or cell is None or missing_of(fob.sheet, cell.sheet) or not group.buttons:
        return None
    presses = BUSY_PER_DAY if group.presses_per_day is None else group.presses_per_day
    length, _ = press_of(case, group, fob.sheet)
    parts = [(presses, length)]
    if group.kept == "in pocket" and fob.sheet.cut_off_s is not None:
        parts.append((POCKET_PER_WEEK / 7.0, fob.sheet.cut_off_s))
    mix = press_mix(parts)
    cold = cold_share(group)
    usable, limited = (cell.sheet.usable_share or 0.0) * cold, "charge"
    if cell.sheet.voltage_v and cell.sheet.inner_ohm and cell.sheet.end_v and fob.sheet.current_send_a:
        pulse = pulse_usable_share(
            open_v=cell.sheet.voltage_v,
            lowest_v=cell.sheet.end_v,
            fresh_ohm=cell.sheet.inner_ohm,
            send_a=fob.sheet.current_send_a,
            degc=20.0 if group.coldest_degc is None else max(group.coldest_degc, -40.0),
        )
        if pulse < usable:
            usable, limited = (
                pulse,
                (
                    "voltage in the cold"
                    if group.coldest_degc is not None and group.coldest_degc < 10
                    else "voltage under load"
                ),
            )
    life = life_of(
        fob.sheet,
        cell.sheet.model_copy(update={"usable_share": usable}),
        mix.presses_per_day,
        mix.press_s,
        1.0,
    )
    used = life.presses_ah + life.sleep_ah + life.self_discharge_ah
    shelf = 10.0 if cell.sheet.shelf_s is None else cell.sheet.shelf_s / YEAR_S
    return CellPlan(
        name,
        cell.name,
        life.years,
        max(life.by_charge_years, 1e-3),
        shelf,
        mix.presses_per_day,
        mix.press_s,
        life.presses_ah / used if used else 0.0,
        life.sleep_ah / used if used else 0.0,
        life.self_discharge_ah / used if used else 0.0,
        usable,
        "shelf life" if life.years < life.by_charge_years else limited,
        f"{BUSY_PER_DAY:g} presses a day taken, none are given" if group.presses_per_day is None else "",
    )
