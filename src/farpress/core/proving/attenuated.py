"""Presses through a pad: where half of them are lost, how wide the change is, and what is left over.

A press with a pad of a dB in the way is heard with P = Phi((m - a)/s): m is the margin, the
pad at which half of the presses are lost, s the spread from press to press. It says how
much is in hand, which presses without a pad hardly ever do.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from farpress.errors import InputError, require_range
from farpress.sources import Mark, cites

__all__ = [
    "PRIOR_SPREAD_DB",
    "DixonMood",
    "MarginFit",
    "PadResult",
    "dixon_mood",
    "margin_fit",
    "next_pad_db",
    "pad_share",
    "pad_trials_needed",
]

PRIOR_SPREAD_DB: Final = 3.0
"""Spread from press to press where the presses do not show one: our choice, the upper of 2 to 3 dB seen in
hands."""

LEAST_V: Final = 0.3
"""Below it Dixon and Mood's formula for the spread is not valid; read in an open-source package that follows
ISO 12107:2012."""


class PadResult(NamedTuple):
    """Presses with one pad [dB]: how many were heard and how many lost."""

    pad_db: float
    heard: int
    lost: int


class DixonMood(NamedTuple):
    """Margin and spread of an up-and-down series [dB]; the spread is None where it cannot be told."""

    margin_db: float
    spread_db: float | None
    rarer: str
    presses: int
    v: float


class MarginFit(NamedTuple):
    """Most likely margin and spread [dB] with their standard errors.

    Attributes:
        margin_db: pad at which half of the presses are lost.
        margin_se_db: its standard error; infinite where all or none were heard.
        spread_db: from press to press; the prior where `is_spread_known` is False.
        spread_se_db: its standard error; 0 where the prior was taken.
        is_spread_known: whether the presses themselves show it.
        log_likelihood: of the presses under the fit.
        bound: "" or "at least" / "at most", where all presses were heard or all were lost.
    """

    margin_db: float
    margin_se_db: float
    spread_db: float
    spread_se_db: float
    is_spread_known: bool
    log_likelihood: float
    bound: str = ""


@cites("Probit model of presses through a pad", mark=Mark.COMPUTED)
def pad_share(*, margin_db: float, spread_db: float, pad_db: float) -> float:
    """Chance that one press is heard through a pad.

    Args:
        margin_db: pad at which half are lost [dB].
        spread_db: from press to press, above 0 [dB].
        pad_db: the pad, 0 without [dB].

    Raises:
        OutOfRange: a spread that is not positive, a negative pad.

    Example:
        >>> pad_share(margin_db=8.0, spread_db=2.0, pad_db=6.0)
        0.841
    """
    from scipy.special import ndtr

    require_range("spread_db", spread_db, "dB", low=1e-6, because="presses differ")
    require_range("pad_db", pad_db, "dB", low=0.0, because="a pad takes something away")
    return float(ndtr((margin_db - pad_db) / spread_db))


@cites("Probit model, shift of the pad", mark=Mark.COMPUTED)
def pad_trials_needed(*, failure_share: float, confidence: float, pad_db: float, spread_db: float) -> int:
    """Presses through a pad that must all be heard to show a share of failures without it.

    If a share f is lost without the pad, Phi(Phi^-1(1 - f) - pad/spread) is heard through it.
    The larger the spread, the more presses: give its upper limit, not its best estimate.

    Args:
        failure_share: share of failures without the pad that shall be shown, as 0.05.
        confidence: as 0.95.
        pad_db: the pad; 0 gives the plain plan [dB].
        spread_db: from press to press, its upper limit [dB].

    Raises:
        OutOfRange: shares not between 0 and 1, a negative pad, a spread that is not positive.

    Example:
        Eight presses through 6 dB say as much as 59 without, if presses differ by 5 dB:

        >>> pad_trials_needed(failure_share=0.05, confidence=0.95, pad_db=6.0, spread_db=5.0)
        8
        >>> pad_trials_needed(failure_share=0.05, confidence=0.95, pad_db=0.0, spread_db=5.0)
        59
    """
    from scipy.special import ndtri

    require_range(
        "failure_share", failure_share, "", low=1e-9, high=1 - 1e-9, because="a share between none and all"
    )
    require_range(
        "confidence",
        confidence,
        "",
        low=1e-9,
        high=1 - 1e-9,
        because="a confidence between none and certainty",
    )
    through = pad_share(
        margin_db=float(ndtri(1.0 - failure_share)) * spread_db, spread_db=spread_db, pad_db=pad_db
    )
    return max(math.ceil(math.log1p(-confidence) / math.log(through) - 1e-9), 1) if through > 0.0 else 1


@cites(
    "Dixon, Mood, J. Am. Stat. Assoc. 43",
    edition="1948",
    place="up-and-down rule, as Hamada, Mang, Hoff 2019 describe it",
    mark=Mark.COPY,
)
def next_pad_db(*, pads_db: Sequence[float], heard: Sequence[bool], step_db: float, first_db: float) -> float:
    """Pad of the next press: one step more after a heard press, one less after a lost one, never below none
    [dB].

    Args:
        pads_db: pads used so far, in order [dB].
        heard: whether each press was heard.
        step_db: the step, about the spread [dB].
        first_db: where to begin [dB].

    Raises:
        InputError: not one answer for each pad.

    Example:
        >>> next_pad_db(pads_db=[6.0, 8.0], heard=[True, False], step_db=2.0, first_db=6.0)
        6.0
    """
    if len(pads_db) != len(heard):
        raise InputError(f"{len(pads_db)} pads and {len(heard)} answers: one answer for each pad is wanted")
    if not pads_db:
        return max(first_db, 0.0)
    return max(pads_db[-1] + (step_db if heard[-1] else -step_db), 0.0)


@cites(
    "Dixon, Mood, J. Am. Stat. Assoc. 43",
    edition="1948",
    place="109-126; formulas and the bound 0.3 read in an open-source package that follows ISO 12107:2012",
    mark=Mark.COPY,
)
def dixon_mood(*, results: Sequence[PadResult], step_db: float) -> DixonMood:
    """Margin and spread of an up-and-down series, from the rarer of the two answers.

    Args:
        results: one entry for each pad, a multiple of the step apart.
        step_db: the step [dB].

    Returns:
        The spread is None where it cannot be told: too few levels, or heard and lost
        overlapping at one pad only.

    Raises:
        InputError: no press heard, or none lost; pads that do not lie on the steps.

    Example:
        >>> found = dixon_mood(
        ...     step_db=2.0,
        ...     results=[
        ...         PadResult(2, 1, 0),
        ...         PadResult(4, 4, 0),
        ...         PadResult(6, 8, 3),
        ...         PadResult(8, 3, 8),
        ...         PadResult(10, 0, 3),
        ...     ],
        ... )
        >>> found.margin_db, found.spread_db
        (7.0, 1.4825)
    """
    require_range("step_db", step_db, "dB", low=1e-6, because="a step")
    _check(results)
    heard, lost = sum(result.heard for result in results), sum(result.lost for result in results)
    if not heard or not lost:
        raise InputError(
            "an up-and-down series needs presses that were heard and presses that were lost; use a larger"
            " pad, or a smaller one"
        )
    is_lost = lost <= heard
    counts = {
        result.pad_db: result.lost if is_lost else result.heard
        for result in results
        if (result.lost if is_lost else result.heard)
    }
    lowest = min(counts)
    steps = {pad: round((pad - lowest) / step_db) for pad in counts}
    if any(abs((pad - lowest) / step_db - number) > 1e-6 for pad, number in steps.items()):
        raise InputError(
            f"pads of an up-and-down series lie {step_db:g} dB apart; these are"
            f" {', '.join(f'{pad:g}' for pad in sorted(counts))} dB"
        )
    n = sum(counts.values())
    a = sum(steps[pad] * count for pad, count in counts.items())
    b = sum(steps[pad] ** 2 * count for pad, count in counts.items())
    margin = lowest + step_db * (a / n + (-0.5 if is_lost else 0.5))
    v = (n * b - a * a) / n**2
    spread = 1.62 * step_db * (v + 0.029) if v > LEAST_V and _overlap(results) > 1 else None
    return DixonMood(margin, spread, "lost" if is_lost else "heard", n, v)


@cites("Maximum likelihood of the probit model", mark=Mark.MEMORY)
def margin_fit(*, results: Sequence[PadResult], prior_spread_db: float = PRIOR_SPREAD_DB) -> MarginFit:
    """Margin and spread that make the presses most likely.

    Where heard and lost overlap at one pad only (or not at all), the presses do not show the
    spread: it is then taken as given, and only the margin is estimated. Where all presses
    were heard, or all were lost, the margin is the 95 % one-sided limit, and `bound` says so.

    Args:
        results: one entry for each pad.
        prior_spread_db: spread to take where the presses do not show it [dB].

    Raises:
        InputError: no press at all.
        OutOfRange: a spread that is not positive, a negative pad or count.

    Example:
        >>> fit = margin_fit(
        ...     results=[
        ...         PadResult(2, 1, 0),
        ...         PadResult(4, 4, 0),
        ...         PadResult(6, 8, 3),
        ...         PadResult(8, 3, 8),
        ...         PadResult(10, 0, 3),
        ...     ]
        ... )
        >>> round(fit.margin_db, 3), round(fit.spread_db, 3), fit.is_spread_known
        (7.006, 1.452, True)
    """
    _check(results)
    require_range(
        "prior_spread_db", prior_spread_db, "dB", low=0.1, because="our choice of the least spread of presses"
    )
    pads = np.array([result.pad_db for result in results])
    heard, lost = (np.array([result[i] for result in results], dtype=np.float64) for i in (1, 2))
    if not heard.sum() or not lost.sum():
        return _one_sided(pads, heard, lost, prior_spread_db)
    if _overlap(results) > 1:
        found = _free_fit(pads, heard, lost, prior_spread_db)
        if found is not None:
            return found
    return _fixed_fit(pads, heard, lost, prior_spread_db)


def _check(results: Sequence[PadResult]) -> None:
    if not sum(result.heard + result.lost for result in results):
        raise InputError("there is no press to learn from")
    for result in results:
        require_range("pad_db", result.pad_db, "dB", low=0.0, because="a pad takes something away")
        require_range("heard and lost", [result.heard, result.lost], "", low=0, because="numbers of presses")


def _overlap(results: Sequence[PadResult]) -> int:
    """Pads from the smallest at which one was lost to the largest at which one was heard."""
    lost = [result.pad_db for result in results if result.lost]
    heard = [result.pad_db for result in results if result.heard]
    return (
        len({result.pad_db for result in results if min(lost) <= result.pad_db <= max(heard)})
        if lost and heard
        else 0
    )


def _log_likelihood(
    margin: float,
    spread: float,
    pads: NDArray[np.float64],
    heard: NDArray[np.float64],
    lost: NDArray[np.float64],
) -> float:
    from scipy.special import log_ndtr

    z = (margin - pads) / spread
    return float(heard @ log_ndtr(z) + lost @ log_ndtr(-z))


def _free_fit(
    pads: NDArray[np.float64], heard: NDArray[np.float64], lost: NDArray[np.float64], start: float
) -> MarginFit | None:
    from scipy.optimize import minimize

    def against(point: NDArray[np.float64]) -> float:
        return -_log_likelihood(float(point[0]), math.exp(float(point[1])), pads, heard, lost)

    total = heard + lost
    first = np.array([float(total @ pads / total.sum()), math.log(start)])
    found = minimize(
        against, first, method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-12, "maxiter": 4000}
    )
    margin, spread = float(found.x[0]), math.exp(float(found.x[1]))
    information = _information(margin, spread, pads, total)
    determinant = float(np.linalg.det(information))
    if determinant < 1e-9 or spread > 30.0:
        return None
    covariance = np.linalg.inv(information)
    return MarginFit(
        margin, math.sqrt(covariance[0, 0]), spread, math.sqrt(covariance[1, 1]), True, -float(found.fun)
    )


def _information(
    margin: float, spread: float, pads: NDArray[np.float64], total: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Expected information about margin and spread."""
    from scipy.special import ndtr

    z = (margin - pads) / spread
    density = np.exp(-z * z / 2.0) / math.sqrt(2.0 * math.pi)
    weight = total * density**2 / np.maximum(ndtr(z) * ndtr(-z), 1e-300) / spread**2
    return np.array([[weight.sum(), -(weight * z).sum()], [-(weight * z).sum(), (weight * z * z).sum()]])


def _fixed_fit(
    pads: NDArray[np.float64], heard: NDArray[np.float64], lost: NDArray[np.float64], spread: float
) -> MarginFit:
    from scipy.optimize import minimize_scalar

    bounds = (float(pads.min()) - 6.0 * spread, float(pads.max()) + 6.0 * spread)
    found = minimize_scalar(
        lambda margin: -_log_likelihood(margin, spread, pads, heard, lost),
        bounds=bounds,
        method="bounded",
        options={"xatol": 1e-9},
    )
    margin = float(found.x)
    information = float(_information(margin, spread, pads, heard + lost)[0, 0])
    return MarginFit(margin, 1.0 / math.sqrt(information), spread, 0.0, False, -float(found.fun))


def _one_sided(
    pads: NDArray[np.float64], heard: NDArray[np.float64], lost: NDArray[np.float64], spread: float
) -> MarginFit:
    """All heard (or all lost): the margin at which that would happen once in twenty."""
    from scipy.optimize import brentq

    target = math.log(0.05)
    bounds = (float(pads.min()) - 40.0 * spread, float(pads.max()) + 40.0 * spread)
    margin = float(
        brentq(lambda margin_db: _log_likelihood(margin_db, spread, pads, heard, lost) - target, *bounds)
    )
    return MarginFit(margin, math.inf, spread, 0.0, False, target, "at least" if heard.sum() else "at most")
