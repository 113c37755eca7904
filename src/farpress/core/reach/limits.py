"""How strongly and how long a fob may send in a region; conversions between the ways limits are written.

Check values for planning. Editions differ from country to country: whoever puts the fob on
the market answers for it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from farpress.errors import require_range
from farpress.sources import Citation, Mark, cites
from farpress.units import DIPOLE_GAIN_DBI

__all__ = [
    "EmissionLimit",
    "duty_share",
    "eirp_dbm_from_field",
    "emission_limits",
    "field_at_3m_dbuv_per_m",
    "field_limit_uv_per_m",
    "periodic_field_limit_uv_per_m",
]

_REC_70_03: Final = Citation("ERC/REC 70-03", place="Annex 1, 433.05 MHz to 434.79 MHz", mark=Mark.COPY)


@dataclass(frozen=True)
class EmissionLimit:
    """One entry of a region's rules.

    Attributes:
        region: as in the job file.
        lowest_hz, highest_hz: band [Hz].
        erp_dbm: most radiated power over a dipole [dBm].
        duty_share: most share of an hour on the air; None where it is not limited like that.
        channel_hz: widest channel [Hz]; None where any.
        says: the entry in words.
        source: where it stands.
    """

    region: str
    lowest_hz: float
    highest_hz: float
    erp_dbm: float
    duty_share: float | None
    channel_hz: float | None
    says: str
    source: Citation


_EUROPE: Final = (
    EmissionLimit(
        "europe",
        433.05e6,
        434.79e6,
        10.0,
        0.10,
        None,
        "10 mW e.r.p. with at most 10 % of each hour on the air",
        _REC_70_03,
    ),
    EmissionLimit(
        "europe", 433.05e6, 434.79e6, 0.0, None, None, "1 mW e.r.p. without a limit of time", _REC_70_03
    ),
    EmissionLimit(
        "europe",
        434.04e6,
        434.79e6,
        10.0,
        None,
        25e3,
        "10 mW e.r.p. in a channel of 25 kHz, without a limit of time",
        Citation("ERC/REC 70-03", place="Annex 1, 434.04 MHz to 434.79 MHz", mark=Mark.MEMORY),
    ),
)


@cites("ERC/REC 70-03", place="Annex 1", mark=Mark.COPY)
@cites("47 CFR 15.231", place="(b)", mark=Mark.COPY)
def emission_limits(*, region: str, frequency_hz: float) -> tuple[EmissionLimit, ...]:
    """Every entry that allows sending on a frequency, the highest power first; none when it is forbidden.

    Args:
        region: "europe" or "north america"; any other has no entry here.
        frequency_hz: carrier frequency [Hz].

    Example:
        >>> [limit.erp_dbm for limit in emission_limits(region="europe", frequency_hz=433.92e6)]
        [10.0, 0.0]
        >>> emission_limits(region="north america", frequency_hz=433.92e6)[0].erp_dbm
        -16.55
    """
    if region == "europe":
        found = [limit for limit in _EUROPE if limit.lowest_hz <= frequency_hz <= limit.highest_hz]
        return tuple(sorted(found, key=lambda limit: -limit.erp_dbm))
    if region == "north america" and 260e6 <= frequency_hz <= 470e6:
        field = field_limit_uv_per_m(frequency_hz=frequency_hz)
        erp = eirp_dbm_from_field(field_uv_per_m=field) - DIPOLE_GAIN_DBI
        says = f"{field:.0f} µV/m at 3 m, average; silent within 5 s of letting go"
        return (
            EmissionLimit(
                region,
                260e6,
                470e6,
                erp,
                None,
                None,
                says,
                Citation("47 CFR 15.231", place="(a)(1), (b)", mark=Mark.COPY),
            ),
        )
    return ()


@cites("47 CFR 15.231", place="(b), 260 MHz to 470 MHz, linear from 3750 to 12 500 uV/m", mark=Mark.MEMORY)
def field_limit_uv_per_m(*, frequency_hz: float) -> float:
    """Average field allowed at 3 m from a fob pressed by hand [uV/m].

    Example:
        >>> field_limit_uv_per_m(frequency_hz=433.92e6)
        10996.67
    """
    return _between(frequency_hz, 3750.0, 12500.0)


@cites("47 CFR 15.231", place="(e), 260 MHz to 470 MHz, linear from 1500 to 5000 uV/m", mark=Mark.COPY)
def periodic_field_limit_uv_per_m(*, frequency_hz: float) -> float:
    """Average field allowed at 3 m from something that sends by itself now and then [uV/m].

    Example:
        >>> periodic_field_limit_uv_per_m(frequency_hz=433.92e6)
        4398.67
    """
    return _between(frequency_hz, 1500.0, 5000.0)


def _between(frequency_hz: float, low: float, high: float) -> float:
    require_range(
        "frequency_hz", frequency_hz, "Hz", low=260e6, high=470e6, because="47 CFR 15.231, this row"
    )
    return low + (high - low) * (frequency_hz - 260e6) / 210e6


@cites("Field of an isotropic source, textbook", place="E = sqrt(30 P) / d", mark=Mark.MEMORY)
def eirp_dbm_from_field(*, field_uv_per_m: float, distance_m: float = 3.0) -> float:
    """Equivalent isotropic power that makes a field at a distance [dBm].

    Args:
        field_uv_per_m: field at the distance [uV/m].
        distance_m: distance of the reading [m].

    Example:
        >>> eirp_dbm_from_field(field_uv_per_m=10996.67)
        -14.404
    """
    require_range(
        "field_uv_per_m", field_uv_per_m, "uV/m", low=1e-6, because="a level needs a field above zero"
    )
    watts = (field_uv_per_m * 1e-6 * distance_m) ** 2 / 30.0
    return float(10.0 * np.log10(watts * 1000.0))


@cites("Field of an isotropic source, textbook", place="E = sqrt(30 P) / d", mark=Mark.MEMORY)
def field_at_3m_dbuv_per_m(*, eirp_dbm: float) -> float:
    """Field at 3 m of an equivalent isotropic power [dBuV/m].

    Example:
        >>> field_at_3m_dbuv_per_m(eirp_dbm=10.0 + 2.15)
        107.379
    """
    return eirp_dbm - eirp_dbm_from_field(field_uv_per_m=1.0)


@cites("ERC/REC 70-03", place="duty cycle: share of one hour on the air", mark=Mark.COPY)
def duty_share(*, presses_per_hour: float, press_s: float, telegram_s: float, repeat_s: float) -> float:
    """Share of an hour in which a fob is on the air.

    Args:
        presses_per_hour: presses in the busiest hour.
        press_s: length of one press [s].
        telegram_s: length of one telegram [s].
        repeat_s: from the start of one telegram to the next [s].

    Example:
        >>> duty_share(presses_per_hour=60.0, press_s=1.0, telegram_s=0.06, repeat_s=0.1)
        0.01
    """
    require_range(
        "telegram_s",
        telegram_s,
        "s",
        low=0.0,
        high=repeat_s,
        because="a telegram ends before the next one starts",
    )
    require_range("repeat_s", repeat_s, "s", low=1e-4, because="our choice")
    return presses_per_hour * press_s * telegram_s / repeat_s / 3600.0
