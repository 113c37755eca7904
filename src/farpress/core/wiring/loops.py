"""What a panel measures at its terminals of a supervised loop, and whether it can tell the states apart.

Only the resistances; how long a state must last is the panel's response time.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import Final, Literal

from farpress.errors import InputError, require_range
from farpress.sources import Mark, cites

__all__ = [
    "BAD_JOINT_OHM",
    "Band",
    "LoopState",
    "Scheme",
    "divider_thresholds_ohm",
    "least_leak_ohm",
    "limits_of",
    "overlaps",
    "terminal_band",
    "terminal_ohm",
    "terminal_states",
    "uniform_sd_ohm",
]

Scheme = Literal["closed", "open", "single end-of-line", "double end-of-line", "two-resistor", "masked"]

BAD_JOINT_OHM: Final = 5.0
"""A leg whose reading changes by more than this when tapped has a bad joint; common practice, no source."""


@dataclass(frozen=True)
class LoopState:
    """One state of a loop: its resistors in series at the far end.

    Attributes:
        name: "normal", "alarm", "masked", "tamper".
        far_ohm: resistance at the far end of the cable [ohm]; infinite when open.
    """

    name: str
    far_ohm: float


@dataclass(frozen=True)
class Band:
    """Lowest and highest resistance of one state [ohm]."""

    name: str
    low_ohm: float
    high_ohm: float

    def holds(self, low_ohm: float, high_ohm: float) -> bool:
        """Whether an interval lies wholly inside."""
        return self.low_ohm <= low_ohm and high_ohm <= self.high_ohm


@cites("resistor networks of supervised loops", mark=Mark.PRACTICE)
def terminal_states(
    *,
    scheme: Scheme,
    normal_ohm: float | None = None,
    alarm_ohm: float | None = None,
    mask_ohm: float | None = None,
    normally_open: bool = True,
) -> tuple[LoopState, ...]:
    """States of a loop scheme as resistance at the far end.

    Args:
        scheme: "closed" and "open" have no resistor; "single end-of-line" has one;
            "double end-of-line" has one at the end and one across the contact, both in
            series; "two-resistor" has one across the pair and one in series with a make
            contact; "masked" adds a third across a second contact.
        normal_ohm: resistor at the end of the line [ohm].
        alarm_ohm: resistor that the contact adds or switches in [ohm].
        mask_ohm: resistor of the second contact [ohm].
        normally_open: of a single end-of-line loop: a make contact in parallel, else a
            break contact in series.

    Raises:
        InputError: a resistor of the scheme is missing.
    """
    if scheme == "closed":
        return (LoopState("normal", 0.0), LoopState("alarm", math.inf))
    if scheme == "open":
        return (LoopState("normal", math.inf), LoopState("alarm", 0.0))
    normal = _needed("normal_ohm", normal_ohm, scheme)
    if scheme == "single end-of-line":
        alarm = 0.0 if normally_open else math.inf
        other = LoopState("tamper", math.inf if normally_open else 0.0)
        return (LoopState("normal", normal), LoopState("alarm", alarm), other)
    added = _needed("alarm_ohm", alarm_ohm, scheme)
    ends = (LoopState("tamper", math.inf), LoopState("tamper", 0.0))
    if scheme == "two-resistor":
        return (LoopState("normal", normal), LoopState("alarm", normal * added / (normal + added)), *ends)
    pair = (LoopState("normal", normal), LoopState("alarm", normal + added))
    if scheme == "double end-of-line":
        return (*pair, *ends)
    mask = _needed("mask_ohm", mask_ohm, scheme)
    return (*pair, LoopState("masked", normal + mask), LoopState("masked", normal + added + mask), *ends)


@cites("resistors in series and parallel", mark=Mark.COMPUTED)
def terminal_ohm(*, far_ohm: float, loop_ohm: float, leak_ohm: float = math.inf) -> float:
    """Resistance at the panel's terminals; a leak lies at the far end, where it is worst [ohm].

    Args:
        far_ohm: resistors and contacts at the far end; may be infinite [ohm].
        loop_ohm: cable, there and back [ohm].
        leak_ohm: between the cores [ohm].
    """
    if far_ohm < 0 or loop_ohm < 0 or leak_ohm < 0 or math.isnan(far_ohm + loop_ohm):
        raise InputError("Resistances of a loop are 0 ohm or more.")
    if math.isinf(far_ohm):
        return loop_ohm + leak_ohm
    if math.isinf(leak_ohm):
        return loop_ohm + far_ohm
    return loop_ohm + (far_ohm * leak_ohm / (far_ohm + leak_ohm) if far_ohm + leak_ohm else 0.0)


@cites("worst case of the resistors' tolerance", mark=Mark.COMPUTED)
def terminal_band(*, state: LoopState, tolerance_share: float, loop_ohm: float) -> Band:
    """Lowest and highest resistance a state can show at the terminals.

    All resistors at one edge of their tolerance; the cable between nothing and all of it.

    Args:
        state: its resistors at the far end.
        tolerance_share: of the resistors, 0.05 for 5 %.
        loop_ohm: cable, there and back [ohm].
    """
    require_range(
        "tolerance_share",
        tolerance_share,
        "",
        low=0.0,
        high=0.5,
        because="our choice: parts are 10 % or better",
        hint="Was that per cent?",
    )
    return Band(
        state.name,
        terminal_ohm(far_ohm=state.far_ohm * (1 - tolerance_share), loop_ohm=0.0),
        terminal_ohm(far_ohm=state.far_ohm * (1 + tolerance_share), loop_ohm=loop_ohm),
    )


@cites("midway thresholds of a divider read by a converter", mark=Mark.CHOICE)
def divider_thresholds_ohm(*, pull_up_ohm: float, states_ohm: tuple[float, ...]) -> tuple[float, ...]:
    """Resistances where a panel would change its mind, if it splits the measured voltage midway [ohm].

    Args:
        pull_up_ohm: of the panel's divider [ohm].
        states_ohm: nominal resistances, 0 and infinite included, any order [ohm].

    >>> divider_thresholds_ohm(pull_up_ohm=2200.0, states_ohm=(0.0, 2200.0, 6900.0, math.inf))
    (733.3, 3731.9, 16000.0)
    """
    require_range("pull_up_ohm", pull_up_ohm, "ohm", low=1.0, because="our choice")
    shares = [1.0 if math.isinf(ohm) else ohm / (ohm + pull_up_ohm) for ohm in sorted(set(states_ohm))]
    middles = [(low + high) / 2 for low, high in itertools.pairwise(shares)]
    return tuple(pull_up_ohm * share / (1 - share) for share in middles)


@cites("windows around the nominal values", mark=Mark.COMPUTED)
def limits_of(*, states: tuple[LoopState, ...], window_share: float) -> tuple[Band, ...]:
    """Windows of the states that have a resistor.

    Args:
        states: of the loop.
        window_share: half width of each window, as a share of its nominal value.
    """
    require_range(
        "window_share", window_share, "", low=0.0, high=1.0, because="a share", hint="Was that per cent?"
    )
    return tuple(
        Band(state.name, state.far_ohm * (1 - window_share), state.far_ohm * (1 + window_share))
        for state in states
        if 0 < state.far_ohm < math.inf
    )


@cites("intervals", mark=Mark.COMPUTED)
def overlaps(bands: tuple[Band, ...]) -> tuple[tuple[Band, Band], ...]:
    """Pairs of bands of different states that share values; bands that only touch do not."""
    return tuple(
        (band, other)
        for number, band in enumerate(bands)
        for other in bands[number + 1 :]
        if band.name != other.name and band.low_ohm < other.high_ohm and other.low_ohm < band.high_ohm
    )


@cites("resistors in parallel", mark=Mark.COMPUTED)
def least_leak_ohm(*, far_ohm: float, threshold_ohm: float) -> float:
    """Least insulation at the far end with which a state still reads above a threshold [ohm].

    Args:
        far_ohm: resistance of the state at its lower tolerance; infinite for a cut cable [ohm].
        threshold_ohm: below the state [ohm].

    >>> least_leak_ohm(far_ohm=6555.0, threshold_ohm=3731.9)
    8665.1
    """
    require_range("threshold_ohm", threshold_ohm, "ohm", low=0.0, because="a resistance")
    if math.isinf(far_ohm):
        return threshold_ohm
    require_range(
        "far_ohm",
        far_ohm,
        "ohm",
        low=threshold_ohm,
        because="the state must lie above the threshold without any leak",
    )
    return math.inf if far_ohm == threshold_ohm else threshold_ohm * far_ohm / (far_ohm - threshold_ohm)


@cites("standard deviation of uniformly spread resistors in series", mark=Mark.COMPUTED)
def uniform_sd_ohm(*, resistors_ohm: tuple[float, ...], tolerance_share: float) -> float:
    """Standard deviation of resistors in series, each evenly spread over its tolerance [ohm].

    Args:
        resistors_ohm: nominal values [ohm].
        tolerance_share: of each, 0.05 for 5 %.

    >>> uniform_sd_ohm(resistors_ohm=(2200.0, 4700.0), tolerance_share=0.05)
    149.8
    """
    require_range("tolerance_share", tolerance_share, "", low=0.0, high=0.5, because="our choice")
    return tolerance_share / math.sqrt(3) * math.hypot(*resistors_ohm)


def _needed(name: str, value: float | None, scheme: str) -> float:
    if value is None:
        raise InputError(f"A {scheme} loop needs {name}; it is not given.")
    require_range(name, value, "ohm", low=1.0, because="an end-of-line resistor")
    return value
