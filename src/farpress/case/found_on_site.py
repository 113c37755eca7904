"""What readings taken on site say of a thing: whether a safeguard works, at which wind a sensor acts."""

from __future__ import annotations

from typing import Final

from farpress.domain.device_sheets import DeviceSheet, SafeguardReading, WindSensor

__all__ = ["acts_at_m_per_s", "fault_of", "is_settled", "stands_m_per_s", "working_safeguards"]

SAME_READING: Final = 0.05
"""Two readings of one loop within this share of each other are one reading; our choice."""

TWO_INSTRUMENTS: Final = 1.1
"""Two wind instruments side by side read within a tenth of each other; our choice."""


def fault_of(reading: SafeguardReading) -> str:
    """Why a safeguard does not work, in words; empty where nothing that was read says so."""
    rest, pressed = reading.at_rest_ohm, reading.pressed_ohm
    if rest is not None and reading.sound_to_ohm is not None and rest > reading.sound_to_ohm:
        return "open"
    if rest is not None and reading.sound_from_ohm is not None and rest < reading.sound_from_ohm:
        return "shorted"
    if pressed is None:
        return ""
    if reading.pressed_to_ohm is not None and pressed > reading.pressed_to_ohm:
        return "pressing it is not seen"
    if rest is not None and abs(pressed - rest) <= SAME_READING * rest:
        return "pressing it changes nothing"
    return ""


def is_settled(reading: SafeguardReading) -> bool:
    """Whether what was read, and what it is held against, says that it works."""
    if fault_of(reading):
        return False
    if reading.of == "edge":
        return reading.pressed_ohm is not None and (
            reading.pressed_to_ohm is not None or reading.at_rest_ohm is not None
        )
    return reading.at_rest_ohm is not None and (
        reading.sound_from_ohm is not None or reading.sound_to_ohm is not None
    )


def working_safeguards(sheet: DeviceSheet) -> tuple[str, ...] | None:
    """Safeguards that are there, without those that were read and do not work; None where nobody looked."""
    if sheet.safeguards is None:
        return None
    broken = {reading.of for reading in sheet.safeguard_readings or () if fault_of(reading)}
    return tuple(name for name in sheet.safeguards if name not in broken)


def acts_at_m_per_s(wind: WindSensor) -> float | None:
    """Wind in the open at which a sensor takes in; None where it was not compared."""
    if wind.set_to_m_per_s is None or wind.in_the_open_m_per_s is None or not wind.read_m_per_s:
        return None
    return float(wind.set_to_m_per_s * wind.in_the_open_m_per_s / wind.read_m_per_s)


def stands_m_per_s(wind: WindSensor) -> float | None:
    """The most wind that the thing may be out in: what it bears, else what its sensor is set to."""
    if wind.bears_m_per_s is not None:
        return float(wind.bears_m_per_s)
    return None if wind.set_to_m_per_s is None else TWO_INSTRUMENTS * wind.set_to_m_per_s
