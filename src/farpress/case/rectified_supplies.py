"""What comes out of a rectifier that a job feeds from a transformer, as far as nobody gives its volts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from farpress.case.cores import HOT_DEGC, core_of
from farpress.core.wiring.conductors import loop_resistance_ohm
from farpress.core.wiring.rectifier import rectified, smoothing_f
from farpress.core.wiring.supply_load import BRIDGE_DROP_V, ac_highest_v, ac_peak_v
from farpress.domain.equipment import Equipment
from farpress.domain.job import Job
from farpress.domain.parts import CableSheet, Part, SupplySheet
from farpress.domain.premises import Fed
from farpress.sources import cited

__all__ = ["with_rectified"]

LOW_MAINS: Final = 0.9
"""Mains below its rated voltage, at most: EN 50160, from memory."""

RATIO: Final = 1.8
"""Transformer current over direct current at full load: the rule of transformer makers."""

LEAST_OHM: Final = 0.5
"""Winding of which nobody says the resistance; our choice [ohm]."""

HERTZ: Final = 50.0
"""The lower frequency of the mains makes the greater ripple [Hz]."""


def with_rectified(job: Job, equipment: Equipment) -> Equipment:
    """The same with the volts of every rectifier filled in: mean ones at full load as rated, the valley of
    the ripple at low mains as lowest, the crest without load at high mains as highest.

    Only where they are not given, and what they rest on is known.
    """
    supplies = dict(equipment.supplies)
    for premises, house in job.premises.items():
        for name, supply in house.supplies.items():
            part = supplies[f"{premises}/{name}"]
            before = supplies.get(f"{premises}/{supply.fed.from_}") if supply.fed is not None else None
            if part.sheet.rectifier is not None and supply.fed is not None and before is not None:
                supplies[f"{premises}/{name}"] = _filled(part, before, supply.fed, equipment.cables)
    return replace(equipment, supplies=supplies)


def _filled(
    part: Part[SupplySheet], before: Part[SupplySheet], fed: Fed, cables: Mapping[str, Part[CableSheet]]
) -> Part[SupplySheet]:
    sheet, winding = part.sheet, before.sheet
    full_a = sheet.rated_a or (winding.rated_a / RATIO if winding.rated_a else None)
    if winding.supply != "ac" or not winding.voltage_v or full_a is None:
        return part
    ohm = (winding.source_ohm or LEAST_OHM) + _way_ohm(fed, cables)
    volts, lowest = winding.voltage_v, winding.voltage_min_v or LOW_MAINS * winding.voltage_v
    highest = ac_highest_v(rms_v=volts)
    if winding.voltage_max_v is not None:
        highest = ac_peak_v(rms_v=winding.voltage_max_v) - BRIDGE_DROP_V

    def behind(rms_v: float) -> tuple[float, float]:
        load_ohm = rms_v / full_a
        for _ in range(3):
            made = rectified(
                rms_v=rms_v,
                frequency_hz=HERTZ,
                source_ohm=ohm,
                capacitance_f=sheet.smoothing_f or smoothing_f(full_a),
                load_ohm=load_ohm,
                bridge=sheet.rectifier == "bridge",
            )
            load_ohm = made.mean_v / full_a
        return made.mean_v, made.lowest_v

    found = {
        "supply": "dc",
        "voltage_v": round(behind(volts)[0], 1),
        "voltage_min_v": round(behind(lowest)[1], 1),
        "voltage_max_v": round(highest, 1),
    }
    missing = {key: value for key, value in found.items() if getattr(sheet, key) is None}
    source = cited(rectified)[0]
    return replace(
        part,
        sheet=sheet.model_copy(update=missing),
        origins={**part.origins, **dict.fromkeys(missing, source)},
    )


def _way_ohm(fed: Fed, cables: Mapping[str, Part[CableSheet]]) -> float:
    """There and back, hot; nothing where the cable is not known, which is asked for elsewhere [ohm]."""
    part = cables.get(fed.cable.part) if fed.cable is not None else None
    core = core_of(part, HOT_DEGC) if part is not None else None
    if core is None or fed.cable is None:
        return 0.0
    return loop_resistance_ohm(length_m=fed.cable.length_m, core_ohm_per_km=core.hot_ohm_per_km)
