"""The chance of a press against scipy: Rice's law, the log-normal mean over it, runs, and the ALOHA limits.

Witnesses, run here: scipy.stats.rice (fading), scipy.integrate.quad (the average over places). The
error law of a telegram, exp(-g/2)/2 for each bit, is the textbook's (from memory).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import binom, norm, rice

from farpress.core.reach.contention import clear_press_share, overlap_free_share, simulated_clear_share
from farpress.core.reach.press import (
    Telegrams,
    people_share,
    press_margin_db,
    press_share,
    still_press_share,
    telegram_share,
    telegram_spread,
)
from farpress.core.reach.rice import rice_share


@pytest.mark.parametrize("factor", [0.0, 0.5, 3.0, 10.0, 60.0])
@pytest.mark.parametrize("margin_db", [-10.0, -1.0, 0.0, 4.0, 9.77, 19.98])
def test_fading_is_the_law_of_rice(factor: float, margin_db: float) -> None:
    """Power above a threshold; factor 0 is Rayleigh."""
    amplitude = 10.0 ** (-margin_db / 20.0)

    assert float(rice_share(margin_db=margin_db, factor=factor)) == pytest.approx(
        rice.sf(amplitude, math.sqrt(2.0 * factor), scale=math.sqrt(0.5 / (1.0 + factor))), abs=1e-9
    )


@pytest.mark.parametrize(("share", "margin_db"), [(0.90, 9.77), (0.95, 12.90), (0.99, 19.98)])
def test_the_margins_against_rayleigh(share: float, margin_db: float) -> None:
    """-10 log(-ln P), worked by hand: 9.77, 12.90 and 19.98 dB."""
    assert -10.0 * math.log10(-math.log(share)) == pytest.approx(margin_db, abs=0.005)
    assert float(rice_share(margin_db=margin_db, factor=0.0)) == pytest.approx(share, abs=1e-4)


@pytest.mark.parametrize(
    ("margin_db", "shared_db", "press_db", "strongest"),
    [(8.0, 7.0, 2.0, 0.5), (15.0, 9.0, 3.0, 0.2), (3.0, 4.0, 1.0, 0.9)],
)
def test_one_press_is_the_average_over_places_hold_and_fading(
    margin_db: float, shared_db: float, press_db: float, strongest: float
) -> None:
    """The tables stray from a direct numerical integral by less than half a per cent."""
    factor = strongest / (1.0 - strongest)
    telegrams = Telegrams(bits=66, sent=4, needed=1)
    sd = math.hypot(shared_db, press_db)
    nodes = np.linspace(-8.0, 4.0, 2001)
    chance = still_press_share(over_sensitivity_db=nodes, telegrams=telegrams)

    def heard(level: float) -> float:
        return float(
            np.sum(
                np.diff(chance) * rice_share(margin_db=level - 0.5 * (nodes[1:] + nodes[:-1]), factor=factor)
            )
        )

    exact = quad(lambda z: heard(margin_db + sd * z) * norm.pdf(z), -6.0, 6.0, limit=200)[0]
    ours = float(
        press_share(
            margin_db=margin_db,
            shared_sd_db=shared_db,
            press_sd_db=press_db,
            strongest_share=strongest,
            presses=1,
            telegrams=telegrams,
        )
    )

    assert ours == pytest.approx(exact, abs=0.005)


def test_a_second_press_mends_fading_only_when_the_hand_moves() -> None:
    """Still: nothing gained. Moved, nothing else in doubt: one minus the square of the miss."""
    common = {"margin_db": 6.0, "shared_sd_db": 0.0, "press_sd_db": 0.0, "strongest_share": 0.0}
    one = float(press_share(presses=1, **common))  # type: ignore[arg-type]

    assert float(press_share(presses=2, moved_share=0.0, **common)) == pytest.approx(one, abs=1e-12)  # type: ignore[arg-type]
    assert float(press_share(presses=2, moved_share=1.0, **common)) == pytest.approx(
        1.0 - (1.0 - one) ** 2, abs=1e-12
    )  # type: ignore[arg-type]


def test_a_second_press_mends_bursts_even_with_a_still_hand() -> None:
    """Strong signal, a third of presses covered: 1 - 1/9 within two."""
    share = press_share(
        margin_db=60.0,
        shared_sd_db=0.0,
        press_sd_db=0.0,
        strongest_share=0.9,
        presses=2,
        clear_share=2.0 / 3.0,
        moved_share=0.0,
    )

    assert float(share) == pytest.approx(8.0 / 9.0, abs=1e-3)


def test_presses_and_people_are_not_the_same() -> None:
    """A spread that each person keeps lowers the number of satisfied people, not the mean press, to one half
    at the needed margin.
    """
    need = press_margin_db(share=0.9, press_sd_db=2.0, strongest_share=0.5)
    people = float(people_share(margin_db=need, shared_sd_db=5.0, press_sd_db=2.0, strongest_share=0.5))
    presses = float(
        press_share(margin_db=need, shared_sd_db=5.0, press_sd_db=2.0, strongest_share=0.5, presses=1)
    )

    assert people == pytest.approx(0.5)
    assert presses > people + 0.2


@pytest.mark.parametrize("over_db", [-3.0, -1.0, 0.0])
def test_telegrams_and_runs(over_db: float) -> None:
    """One of four: binomial; two in a row of three: p^2 (2 - p), by hand."""
    one = float(telegram_share(over_sensitivity_db=over_db, bits=66))

    assert one == pytest.approx((1.0 - 0.5 * math.exp(-math.log(500.0) * 10.0 ** (over_db / 10.0))) ** 66)
    assert float(
        still_press_share(over_sensitivity_db=over_db, telegrams=Telegrams(66, 4, 1))
    ) == pytest.approx(binom.sf(0, 4, one))
    assert float(
        still_press_share(over_sensitivity_db=over_db, telegrams=Telegrams(66, 3, 2))
    ) == pytest.approx(one**2 * (2.0 - one))


@pytest.mark.parametrize("load", [0.05, 0.2, 0.5])
def test_single_telegrams_meet_the_aloha_limit(load: float) -> None:
    """Success e^(-2G) for presses of one telegram, no capture."""
    found = simulated_clear_share(
        presses_per_s=load / 0.06,
        telegram_s=0.06,
        period_s=0.06,
        sent=1,
        needed=1,
        capture_db=math.inf,
        trials=60_000,
    )

    assert found == pytest.approx(math.exp(-2.0 * load), abs=0.006)


def test_repeats_lie_between_no_overlap_and_the_light_load_limit() -> None:
    """200 presses in a quarter of an hour, eight telegrams of 60 ms: between 0.808 and 0.974."""
    rate = 200.0 / 900.0
    found = simulated_clear_share(
        presses_per_s=rate, telegram_s=0.06, period_s=0.06, sent=8, needed=1, capture_db=math.inf
    )

    assert (
        overlap_free_share(presses_per_s=rate, press_s=0.48)
        < found
        < clear_press_share(presses_per_s=rate, telegram_s=0.06, telegrams_needed=1)
    )


def test_the_stronger_fob_comes_through_and_the_far_one_loses() -> None:
    """Capture at 8 dB: 20 dB stronger loses nothing, 20 dB weaker as much as without capture."""
    common = {"presses_per_s": 1.0, "telegram_s": 0.06, "period_s": 0.1, "sent": 5, "needed": 2}
    none = simulated_clear_share(capture_db=math.inf, **common)  # type: ignore[arg-type]

    assert simulated_clear_share(capture_db=8.0, gap_db=20.0, **common) == 1.0  # type: ignore[arg-type]
    assert simulated_clear_share(capture_db=8.0, gap_db=-20.0, **common) == none  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("margin", "sd", "strongest"), [(2.0, 5.0, 0.4), (10.0, 3.0, 0.0), (-4.0, 6.0, 0.8), (0.0, 0.0, 0.5)]
)
def test_telegrams_spread_over_presses_as_a_nested_integral_says(
    margin: float, sd: float, strongest: float
) -> None:
    """Mean chance of a telegram by quadrature over normal places and Rice fading with scipy's own
    distributions; our 38 levels within 1 %.
    """
    factor = strongest / (1.0 - strongest)
    shape = math.sqrt(2.0 * factor)
    scale = math.sqrt(1.0 / (2.0 * (factor + 1.0)))

    def faded(level_db: float) -> float:
        def at(amplitude: float) -> float:
            return float(
                rice.pdf(amplitude, shape, scale=scale)
                * telegram_share(
                    over_sensitivity_db=level_db + 20.0 * math.log10(max(amplitude, 1e-9)), bits=66
                )
            )

        return float(quad(at, 0.0, 6.0, limit=200)[0])

    expected = (
        faded(margin)
        if sd == 0.0
        else float(
            np.polynomial.hermite_e.hermegauss(41)[1]
            @ [faded(margin + sd * z) for z in np.polynomial.hermite_e.hermegauss(41)[0]]
            / math.sqrt(2.0 * math.pi)
        )
    )
    shares, presses = telegram_spread(margin_db=margin, sd_db=sd, strongest_share=strongest, bits=66)

    assert presses.sum() == pytest.approx(1.0, abs=1e-9)
    assert float(shares @ presses) == pytest.approx(expected, abs=0.01)
