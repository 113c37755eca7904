"""Charge of a day: what a solar panel brings, what is used, how long a battery lasts on the difference."""

from __future__ import annotations

import math

from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["days_until_empty", "panel_power_w", "yield_ah_per_day"]


@cites("panel power times hours of full sun, less losses, at the charging voltage", mark=Mark.COMPUTED)
def yield_ah_per_day(*, power_w: float, sun_s: float, share: float, charge_v: float) -> float:
    """Charge that a panel brings in a day [Ah].

    Args:
        power_w: of the panel at full sun [W].
        sun_s: hours of full sun that the day's light is worth, in seconds [s].
        share: of it that reaches the battery: angle, dirt, warmth, charging.
        charge_v: voltage at which the battery is charged [V].

    Raises:
        OutOfRange: a negative value, a share above 1, no voltage.

    Example:
        20 W, 0.7 h of full sun in December, 65 % of it at 13 V:

        >>> yield_ah_per_day(power_w=20.0, sun_s=0.7 * 3600, share=0.65, charge_v=13.0)
        0.7
    """
    require_range("power_w", power_w, "W", low=0.0, because="a panel gives power")
    require_range("sun_s", sun_s, "s", low=0.0, high=86_400.0, because="a day has 24 hours")
    require_range("share", share, "", low=0.0, high=1.0, because="a share")
    require_range("charge_v", charge_v, "V", low=0.1, because="a battery has a voltage")
    return power_w * sun_s / 3600.0 * share / charge_v


@cites("charge divided by the deficit of a day", mark=Mark.COMPUTED)
def days_until_empty(*, usable_ah: float, used_ah: float, yield_ah: float) -> float:
    """Days until a full battery is empty; infinite where as much comes in as is used.

    Args:
        usable_ah: of the battery [Ah].
        used_ah, yield_ah: in a day [Ah].

    Raises:
        OutOfRange: a negative value.

    Example:
        >>> days_until_empty(usable_ah=7.2, used_ah=1.386, yield_ah=0.7)
        10.496
    """
    for name, value in (("usable_ah", usable_ah), ("used_ah", used_ah), ("yield_ah", yield_ah)):
        require_range(name, value, "Ah", low=0.0, because="a charge")
    return usable_ah / (used_ah - yield_ah) if used_ah > yield_ah else math.inf


@cites("yield of a day solved for the panel's power", mark=Mark.COMPUTED)
def panel_power_w(*, wanted_ah: float, sun_s: float, share: float, charge_v: float) -> float:
    """Power of a panel that brings a charge in a day [W]; infinite where there is no sun.

    Args:
        wanted_ah: in a day [Ah].
        sun_s, share, charge_v: as of `yield_ah_per_day`.

    Raises:
        OutOfRange: as there.

    Example:
        >>> panel_power_w(wanted_ah=1.3 * 1.386, sun_s=0.7 * 3600, share=0.65, charge_v=13.0)
        51.48
    """
    of_one_watt = yield_ah_per_day(power_w=1.0, sun_s=sun_s, share=share, charge_v=charge_v)
    return wanted_ah / of_one_watt if of_one_watt else math.inf
