"""Believable bands: what a value of each field can be on premises, and what a writer outside them meant.

Wide on purpose: a value inside is computed with, however odd; one outside is not, and is asked about. All
bands are common practice, no source, as far as no document is named beside them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from farpress.sources import Citation, Mark

__all__ = ["BANDS", "OF_THE_JOB", "PRACTICE", "START_PULSE", "Believable"]

PRACTICE: Final = Citation("believable band of this quantity", mark=Mark.PRACTICE)


@dataclass(frozen=True)
class Believable:
    """The band of one quantity.

    Attributes:
        low, high: ends that are still believed, in the unit of the kind.
        kind: of quantity, as in `quantity_kinds.KINDS`.
        slips: factors by which a value is usually wrong (a prefix forgotten, a sign lost), tried in order.
        source: who says so.
        stays: computed with all the same, as without it the job would say something else and not less.
    """

    low: float
    high: float
    kind: str
    slips: tuple[float, ...] = (1e-3, 1e3, 1e-2, 1e2, 1e-1, 1e1)
    source: Citation = PRACTICE
    stays: bool = False

    def holds(self, value: float) -> bool:
        """Whether a value is believed."""
        return self.low <= value <= self.high

    def likely(self, value: float) -> float | None:
        """What was probably meant; None where no usual slip leads into the band."""
        return next((value * slip for slip in self.slips if self.holds(value * slip)), None)


_VOLTS: Final = Believable(1.0, 500.0, "voltage")
_SIGNAL_VOLTS: Final = Believable(0.5, 250.0, "voltage")
_AMPERES: Final = Believable(0.0001, 100.0, "current")
_PEAK: Final = Believable(0.001, 2000.0, "current")
_SIGNAL_AMPERES: Final = Believable(1e-7, 1.0, "current")
_REST_AMPERES: Final = Believable(0.0, 5.0, "current")
_TRAVEL: Final = Believable(0.3, 600.0, "time")
_PULSE: Final = Believable(0.001, 7 * 86400.0, "time")
_WAIT: Final = Believable(0.5, 3600.0, "time", slips=(1e3, 1 / 3600, 1 / 60), stays=True)
_LOOP_OHM: Final = Believable(10.0, 1e6, "resistance")
_DBM: Final = Believable(-150.0, -40.0, "level", slips=(-1.0,))
START_PULSE: Final = Believable(0.1, 10.0, "time", slips=(1e-3,))
"""How long one command of a start input can be meant to last; a longer closure is a contact held."""

_DEGC: Final = Believable(-50.0, 80.0, "temperature", slips=())

BANDS: Final[dict[str, dict[str, Believable]]] = {
    "receivers": {
        "sensitivity_dbm": Believable(-130.0, -60.0, "level", slips=(-1.0,)),
        "gain_dbi": Believable(-30.0, 20.0, "gain", slips=()),
        "noise_figure_db": Believable(0.0, 30.0, "loss", slips=()),
        "voltage_min_v": _VOLTS,
        "voltage_max_v": _VOLTS,
        "current_idle_a": _REST_AMPERES,
        "current_per_relay_a": _REST_AMPERES,
        "contact_rated_a": Believable(0.005, 100.0, "current"),
        "contact_make_a": _PEAK,
        "contact_min_a": _SIGNAL_AMPERES,
        "contact_rated_v": _VOLTS,
        "pulse_min_s": _PULSE,
        "pulse_max_s": _PULSE,
    },
    "devices": {
        "voltage_v": _VOLTS,
        "voltage_min_v": _VOLTS,
        "voltage_max_v": _VOLTS,
        "current_a": _AMPERES,
        "current_rest_a": Believable(0.0, 20.0, "current"),
        "power_w": Believable(0.01, 50_000.0, "power"),
        "peak_a": _PEAK,
        "pull_in_a": _AMPERES,
        "travel_s": _TRAVEL,
        "travel_worst_s": _TRAVEL,
        "travel_back_s": _TRAVEL,
        "speed_m_per_s": Believable(0.005, 3.0, "speed"),
        "leaf_m": Believable(0.1, 30.0, "length"),
        "way_m": Believable(0.1, 2000.0, "length"),
        "lights_m": Believable(1.0, 5000.0, "length"),
        "edge_height_m": Believable(0.0, 50.0, "length"),
        "angle_deg": Believable(1.0, 360.0, "angle", slips=(-1.0,)),
        "stops_after_s": Believable(0.0, 60.0, "time"),
        "closes_after_s": _WAIT,
        "reversal_pause_s": Believable(0.0, 60.0, "time"),
        "longest_run_s": Believable(1.0, 7 * 86400.0, "time"),
        "cools_s": Believable(0.0, 86400.0, "time"),
        "force_n": Believable(1.0, 10_000.0, "force"),
        "coil_h": Believable(1e-5, 100.0, "inductance"),
        "coil_ohm": Believable(0.05, 100_000.0, "resistance"),
    },
    "inputs": {
        "voltage_v": _SIGNAL_VOLTS,
        "current_a": Believable(1e-7, 100.0, "current"),
        "min_pulse_s": Believable(0.0, 60.0, "time"),
        "max_pulse_s": Believable(0.005, 86400.0, "time"),  # coils that latch take impulses of 20 to 100 ms
        "response_s": Believable(0.0, 60.0, "time"),
        "lockout_s": Believable(0.0, 600.0, "time"),
    },
    "loops": {
        "normal_ohm": _LOOP_OHM,
        "alarm_ohm": _LOOP_OHM,
        "mask_ohm": _LOOP_OHM,
        "pull_up_ohm": _LOOP_OHM,
        "supply_v": Believable(1.0, 60.0, "voltage"),
    },
    "panels": {
        "voltage_v": _VOLTS,
        "current_a": Believable(0.0, 10.0, "current"),
        "entry_s": Believable(0.0, 600.0, "time"),
        "exit_s": Believable(0.0, 600.0, "time"),
        "aux_max_a": Believable(0.01, 20.0, "current"),
    },
    "supplies": {
        "voltage_v": _VOLTS,
        "voltage_min_v": _VOLTS,
        "voltage_max_v": _VOLTS,
        "rated_a": Believable(0.01, 200.0, "current"),
        "charge_a": Believable(0.0, 50.0, "current"),
        "fuse_a": Believable(0.02, 125.0, "current"),
        "limit_a": Believable(0.01, 500.0, "current"),
        "folds_to_a": Believable(0.0, 500.0, "current"),
        "input_min_v": Believable(1.0, 400.0, "voltage"),
        "input_max_v": Believable(1.0, 400.0, "voltage"),
        "smoothing_f": Believable(1e-6, 1.0, "capacitance"),
        "source_ohm": Believable(0.0, 100.0, "resistance"),
    },
    "batteries": {
        "capacity_ah": Believable(0.05, 1000.0, "charge"),
        "voltage_v": Believable(1.0, 60.0, "voltage"),
        "end_v": Believable(0.5, 60.0, "voltage"),
        "inner_ohm": Believable(0.0, 50.0, "resistance"),
        "coldest_degc": _DEGC,
    },
    "fobs": {
        "frequency_hz": Believable(26e6, 6e9, "frequency", slips=(1e3, 1e-3, 1e2, 1e-2, 1e1, 1e-1)),
        "erp_dbm": Believable(-50.0, 20.0, "level", slips=(-1.0,)),
        "telegram_s": Believable(0.001, 2.0, "time"),
        "repeat_s": Believable(0.001, 5.0, "time"),
        "cut_off_s": Believable(0.1, 600.0, "time"),
        "life_sign_s": Believable(0.0, 604_800.0, "time"),
        "current_send_a": Believable(0.001, 0.2, "current"),
        "current_sleep_a": Believable(0.0, 0.001, "current"),
    },
    "cells": {
        "voltage_v": Believable(1.0, 15.0, "voltage"),
        "end_v": Believable(0.5, 15.0, "voltage"),
        "capacity_ah": Believable(0.01, 5.0, "charge"),
        "inner_ohm": Believable(0.0, 1000.0, "resistance"),
        "shelf_s": Believable(90 * 86400.0, 40 * 365.25 * 86400.0, "time"),
    },
    "cables": {
        "area_mm2": Believable(0.02, 300.0, "area"),
        "resistance_ohm_per_km": Believable(0.05, 1000.0, "resistance per length"),
        "rated_a": Believable(0.05, 500.0, "current"),
        "capacitance_f": Believable(1e-12, 1e-8, "capacitance"),
    },
    "relays": {
        "coil_v": _SIGNAL_VOLTS,
        "coil_min_v": _SIGNAL_VOLTS,
        "coil_a": Believable(0.0005, 2.0, "current"),
        "contact_rated_a": Believable(0.005, 500.0, "current"),
        "contact_make_a": _PEAK,
        "contact_min_a": _SIGNAL_AMPERES,
        "contact_rated_v": Believable(1.0, 1000.0, "voltage"),
    },
}
"""Kind of thing, as in `Equipment`, or part of one → field → band."""

OF_THE_JOB: Final[dict[str, dict[str, Believable]]] = {
    "supplies": {
        "standby_s": Believable(60.0, 30 * 86400.0, "time", slips=(1 / 24, 1e-3, 60.0)),
        "other_load_a": Believable(0.0, 20.0, "current"),
    },
    "groups": {
        "presses_per_day": Believable(0.0, 2000.0, "rate", slips=(1e-3, 1e-2, 1 / 24)),
        "walks_m_per_s": Believable(0.1, 3.0, "speed", slips=(1 / 3.6, 1e-2, 1e-1)),
        "longest_away_s": Believable(60.0, 366 * 86400.0, "time", slips=(60.0, 3600.0)),
    },
    "outputs": {"daily_s": Believable(0.1, 86400.0, "time", slips=(1 / 60, 1 / 3600))},
    "interference": {
        "telegram_s": Believable(0.001, 2.0, "time"),
        "every_s": Believable(0.05, 7 * 86400.0, "time"),
    },
}
"""The same of values that stand in the job itself and in no part; a job file's zero means none."""
