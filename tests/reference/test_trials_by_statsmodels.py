"""Presses through a pad and exact limits, against statsmodels (an independent library).

statsmodels 0.14 or later: GLM with a probit link, and `proportion_confint` by the beta
distribution. The series of presses are our own.
"""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from farpress.core.proving.attenuated import PadResult, dixon_mood, margin_fit
from farpress.core.proving.failure_share import failure_share_interval

SERIES = [PadResult(2, 1, 0), PadResult(4, 4, 0), PadResult(6, 8, 3), PadResult(8, 3, 8), PadResult(10, 0, 3)]
OTHERS = [
    SERIES,
    [PadResult(0, 20, 1), PadResult(3, 15, 4), PadResult(6, 9, 9), PadResult(9, 4, 16), PadResult(12, 1, 19)],
    [PadResult(4, 9, 3), PadResult(7, 6, 5), PadResult(10, 2, 9)],
]


@pytest.mark.long
@pytest.mark.parametrize("results", OTHERS, ids=["up and down", "fixed pads", "three pads"])
def test_margin_and_spread_are_those_of_a_probit_regression(results: list[PadResult]) -> None:
    """P = Phi(a + b pad): margin -a/b, spread -1/b; the standard error of the margin by the delta method."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import statsmodels.api as sm

        pads = np.array([one.pad_db for one in results])
        model = sm.GLM(
            np.array([[one.heard, one.lost] for one in results]),
            sm.add_constant(pads),
            family=sm.families.Binomial(link=sm.families.links.Probit()),
        )
        found = model.fit()
    a, b = found.params
    gradient = np.array([-1.0 / b, a / b**2])
    fit = margin_fit(results=results)

    assert fit.is_spread_known
    assert fit.margin_db == pytest.approx(-a / b, abs=1e-4)
    assert fit.spread_db == pytest.approx(-1.0 / b, abs=1e-4)
    assert fit.margin_se_db == pytest.approx(
        float(np.sqrt(gradient @ found.cov_params() @ gradient)), rel=0.02
    )


def test_dixon_and_mood_come_close_to_the_most_likely_margin() -> None:
    """7.000 dB and 1.483 dB by their formula, 7.006 and 1.452 by the regression."""
    quick, best = dixon_mood(results=SERIES, step_db=2.0), margin_fit(results=SERIES)

    assert quick.margin_db == pytest.approx(best.margin_db, abs=0.05)
    assert quick.spread_db == pytest.approx(best.spread_db, rel=0.05)


@pytest.mark.parametrize(
    ("failures", "trials", "confidence"),
    [(0, 10, 0.95), (0, 59, 0.95), (1, 30, 0.95), (5, 59, 0.95), (3, 50, 0.9)],
)
def test_exact_limits_are_those_of_the_library(failures: int, trials: int, confidence: float) -> None:
    """Clopper and Pearson's limits, half of the risk on either side."""
    from statsmodels.stats.proportion import proportion_confint

    low, high = proportion_confint(failures, trials, alpha=1.0 - confidence, method="beta")
    ours = failure_share_interval(failures=failures, trials=trials, confidence=confidence)

    assert ours.low == pytest.approx(0.0 if failures == 0 else float(low), abs=1e-9)
    assert ours.high == pytest.approx(float(high), abs=1e-9)
