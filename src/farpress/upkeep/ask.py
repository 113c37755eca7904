"""Upkeep: cells, wear and drift, and what is due when.

The door of this room for pages, papers and commands; the parts stand in `upkeep_cells`,
`upkeep_watch`, `upkeep_due`, `upkeep_dates`, `upkeep_rounds` and `upkeep_calendar`.
"""

from __future__ import annotations

from farpress.judging.fob.cell_plan import CellPlan, cell_plan
from farpress.upkeep.calendar import due_calendar
from farpress.upkeep.cells import FAILURE_COST, CellOrder, GroupCells, cell_orders, cells_ahead
from farpress.upkeep.dates import again_on, months_text, recurrence
from farpress.upkeep.due import Due, due_list, record_done
from farpress.upkeep.log import log_battery, log_cell, log_level, log_low_cell
from farpress.upkeep.rounds import ServiceRound, visits
from farpress.upkeep.watch import BatteryAge, ContactWear, PlaceWatch, battery_ages, contact_wear, place_watch

__all__ = [
    "FAILURE_COST",
    "BatteryAge",
    "CellOrder",
    "CellPlan",
    "ContactWear",
    "Due",
    "GroupCells",
    "PlaceWatch",
    "ServiceRound",
    "again_on",
    "battery_ages",
    "cell_orders",
    "cell_plan",
    "cells_ahead",
    "contact_wear",
    "due_calendar",
    "due_list",
    "log_battery",
    "log_cell",
    "log_level",
    "log_low_cell",
    "months_text",
    "place_watch",
    "record_done",
    "recurrence",
    "visits",
]
