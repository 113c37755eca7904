"""What a supply must deliver at its worst moment, and what voltage it may rise to."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Final

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = [
    "BRIDGE_DROP_V",
    "LOAD_SHARE",
    "ac_highest_v",
    "ac_peak_v",
    "cyclic_current_a",
    "load_sum_a",
    "transformer_for_dc",
]

LOAD_SHARE: Final = 0.8
"""Share of a supply's rating that is used in design; common practice (75 to 80 %)."""

BRIDGE_DROP_V: Final = 1.4
"""Two silicon diodes of a bridge; common practice."""


@cites("sum of currents", mark=Mark.COMPUTED)
def load_sum_a(
    *, rest_a: Iterable[float], scenarios_a: Sequence[Iterable[float]] = (), charge_a: float = 0.0
) -> float:
    """Current at the worst moment: everything at rest, the heaviest scenario, the charging [A].

    Args:
        rest_a: currents that always flow [A].
        scenarios_a: of each scenario, the currents that flow at the same time [A].
        charge_a: of the battery [A].
    """
    return math.fsum(rest_a) + max((math.fsum(scenario) for scenario in scenarios_a), default=0.0) + charge_a


@cites("mean of an intermittent current", mark=Mark.COMPUTED)
def cyclic_current_a(*, current_a: float, on_s: float, times_per_hour: float) -> float:
    """Steady current that empties a battery as fast as one that comes and goes [A].

    >>> cyclic_current_a(current_a=0.5, on_s=5.0, times_per_hour=50.0)
    0.0347
    """
    require_range(
        "on_s * times_per_hour",
        on_s * times_per_hour,
        "s",
        low=0.0,
        high=3600.0,
        because="an hour has 3600 s",
    )
    return current_a * on_s * times_per_hour / 3600


@cites("peak of a sine", mark=Mark.COMPUTED)
def ac_peak_v(*, rms_v: float) -> float:
    """Peak of a sinusoidal voltage [V].

    >>> ac_peak_v(rms_v=24.0)
    33.94
    """
    require_range("rms_v", rms_v, "V", low=0.0, because="an effective value")
    return rms_v * math.sqrt(2)


@cites("peak at high mains and no load", mark=Mark.MEMORY)
def ac_highest_v(
    *,
    rms_v: float,
    mains_factor: float = 1.1,
    no_load_factor: float = 1.2,
    diode_drop_v: float = BRIDGE_DROP_V,
) -> float:
    """Highest voltage behind a rectifier: mains high, transformer unloaded [V].

    Args:
        rms_v: rated voltage of the transformer at full load [V].
        mains_factor: 1.1, the upper limit of EN 50160.
        no_load_factor: 1.1 to 1.2 for small transformers.
        diode_drop_v: of the rectifier [V].

    >>> ac_highest_v(rms_v=24.0)
    43.4
    """
    require_range("mains_factor", mains_factor, "", low=1.0, high=1.5, because="our choice")
    require_range("no_load_factor", no_load_factor, "", low=1.0, high=2.0, because="our choice")
    return ac_peak_v(rms_v=rms_v) * mains_factor * no_load_factor - diode_drop_v


@cites("design rule of transformer makers, bridge with capacitor: 0.8 (U + 2 V), 1.8 I", mark=Mark.COPY)
def transformer_for_dc(*, voltage_v: float, current_a: float) -> tuple[float, float, float]:
    """Transformer that makes a rectified, smoothed voltage: (volts AC, amperes AC, volt-amperes).

    Args:
        voltage_v: wanted, DC [V].
        current_a: wanted, DC [A].

    The factor 1.8 holds for a source resistance near 4 % of the load's; a large transformer
    on a small load needs up to 2.5.
    """
    require_range("voltage_v", voltage_v, "V", low=0.0, because="a voltage")
    require_range("current_a", current_a, "A", low=0.0, because="a current")
    volts, amperes = 0.8 * (voltage_v + 2), 1.8 * current_a
    return volts, amperes, volts * amperes
