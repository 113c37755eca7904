"""The edge of a leaf: how fast it goes, and how far it runs on after a button is let go."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.driven import Driven
from farpress.core.rehearsal.edge import mean_speed_m_per_s, tip_speed_m_per_s
from farpress.core.rehearsal.press import overtravel_m, run_on_s
from farpress.domain.device_sheets import DeviceSheet

__all__ = ["OVERTRAVEL_LONGEST_M", "RunOn", "edge_speed_m_per_s", "run_on", "run_on_of", "whole_travel_s"]

OVERTRAVEL_LONGEST_M: Final = 0.1
"""Of a leaf under hold-to-run control; guidance on EN 12453."""


@dataclass(frozen=True)
class RunOn:
    """How far a leaf runs on after the button is let go, as far as that is known.

    Attributes:
        speed_m_per_s: of its edge; None if unknown.
        dropout_s: of the receiver; None if unknown.
        stops_after_s: of the drive; None if unknown, then not counted in the way.
        way_m: None where speed or drop-out are unknown [m].
    """

    speed_m_per_s: float | None
    dropout_s: float | None
    stops_after_s: float | None
    way_m: float | None


def edge_speed_m_per_s(sheet: DeviceSheet) -> float | None:
    """Speed of the edge as measured, else from leaf, angle and the shorter travel; None if unknown [m/s]."""
    if sheet.speed_m_per_s is not None:
        return float(sheet.speed_m_per_s)
    travels = [travel for travel in (sheet.travel_s, sheet.travel_back_s) if travel]
    if sheet.leaf_m is None or not travels:
        return None
    if sheet.angle_deg is not None:
        return tip_speed_m_per_s(leaf_m=sheet.leaf_m, angle_deg=abs(sheet.angle_deg), travel_s=min(travels))
    return None if sheet.traits.turns else mean_speed_m_per_s(way_m=sheet.leaf_m, travel_s=min(travels))


def whole_travel_s(sheet: DeviceSheet) -> float | None:
    """Whole travel as measured, else the way of the edge, or of the load, over its speed [s]."""
    if sheet.travel_s is not None:
        return float(sheet.travel_s)
    way = sheet.leaf_m if sheet.way_m is None else sheet.way_m
    if way is None or not sheet.speed_m_per_s or sheet.traits.turns:
        return None
    return float(way / sheet.speed_m_per_s)


def run_on(case: Case, output: OutputAt, driven: Driven) -> RunOn:
    """How far what an output works runs on, were it held from a fob."""
    receiver = case.equipment.receivers.get(output.receiver_path)
    dropout = receiver.sheet.dropout_s if receiver is not None else None
    return run_on_of(driven.sheet, None if dropout is None else dropout + (output.output.stays_s or 0.0))


def run_on_of(sheet: DeviceSheet, dropout: float | None) -> RunOn:
    """How far it runs on behind a receiver that drops out after so long [s]; None where nobody knows that."""
    speed, stop = edge_speed_m_per_s(sheet), sheet.stops_after_s
    way = None
    if speed is not None and dropout is not None:
        time_s = run_on_s(dropout_s=dropout, relay_s=0.0, stops_after_s=stop or 0.0)
        way = round(overtravel_m(speed_m_per_s=speed, run_on_time_s=time_s), 6)
    return RunOn(speed, dropout, stop, way)
