"""Counters, capacity, labels, guessing: against enumeration and fractions."""

from __future__ import annotations

import itertools
from fractions import Fraction
from itertools import product
from math import exp

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from farpress.core.keys.capacity import years_until_full
from farpress.core.keys.counters import days_for_risk, longest_absence_days, share_first_press_ignored
from farpress.core.keys.guessing import mean_tries, share_two_alike, tries_for_half
from farpress.core.keys.label import ALPHABET, check_character, is_valid_label
from farpress.core.keys.tour import shortest_round
from farpress.errors import InputError


def test_growth_equals_stepping_through_small_times() -> None:
    """600 holders, 3 % more a year, 20 % churn: steps of a ten-thousandth of a year."""
    used, holders, years, step = 630.0, 600.0, 0.0, 1e-4
    while used < 1000:
        used += holders * (0.2 + 0.03) * step
        holders *= 1 + 0.03 * step
        years += step

    assert years_until_full(
        capacity=1000, used=630, holders=600, churn_share=0.2, growth_share=0.03
    ) == pytest.approx(years, abs=1e-3)


def test_a_memory_without_change_never_fills() -> None:
    """Infinity without churn and growth, nothing left when it is full now."""
    assert years_until_full(capacity=1000, used=630, holders=600, churn_share=0.0, growth_share=0.0) == float(
        "inf"
    )
    assert years_until_full(capacity=600, used=630, holders=600, churn_share=0.0, growth_share=0.0) == 0


@given(rate=st.floats(0.5, 50), window=st.integers(1, 300), risk=st.floats(0.001, 0.9))
def test_the_gap_for_a_risk_has_that_risk(rate: float, window: int, risk: float) -> None:
    """The two functions are each other's inverse."""
    days = days_for_risk(risk_share=risk, presses_per_day=rate, window=window)

    assert share_first_press_ignored(unheard_mean=rate * days, window=window) == pytest.approx(risk, rel=1e-6)


def test_every_single_wrong_character_of_short_labels_is_found() -> None:
    """All labels of one character and their check, every substitution."""
    for payload in ALPHABET:
        right = payload + check_character(payload)
        for place, wrong in product(range(2), ALPHABET):
            label = right[:place] + wrong + right[place + 1 :]
            assert is_valid_label(label) == (label == right)


@given(
    payload=st.text(ALPHABET, min_size=1, max_size=12),
    place=st.integers(0, 12),
    wrong=st.sampled_from(ALPHABET),
)
def test_one_wrong_character_is_always_found(payload: str, place: int, wrong: str) -> None:
    """Whatever the length of the label."""
    right = payload + check_character(payload)
    at = place % len(right)
    label = right[:at] + wrong + right[at + 1 :]

    assert is_valid_label(label) == (label == right)


def test_not_every_swap_is_found() -> None:
    """Of all two-character labels four neighbour swaps pass: the paper must not promise more."""
    missed = 0
    for payload in map("".join, product(ALPHABET, repeat=2)):
        right = payload + check_character(payload)
        for at in range(2):
            swapped = right[:at] + right[at + 1] + right[at] + right[at + 2 :]
            missed += swapped != right and is_valid_label(swapped)

    assert missed == 4


@pytest.mark.parametrize("label", ["", "--", "BM_047", "Ä"])
def test_what_is_no_label_is_refused(label: str) -> None:
    """The message names the wrong characters."""
    with pytest.raises(InputError, match="use digits 0 to 9 and letters A to Z"):
        check_character(label)


@pytest.mark.parametrize("learned", [1, 2, 9, 600, 4096])
def test_half_of_the_guesses_in_exact_fractions(learned: int) -> None:
    """Trying each code once: first number of tries with at most half of the chance left."""
    left, tries = Fraction(1), 0
    while left > Fraction(1, 2):
        left *= Fraction(4096 - tries - learned, 4096 - tries)
        tries += 1

    assert tries_for_half(codes=4096, learned=learned) == tries


def test_two_alike_by_multiplying() -> None:
    """The birthday problem, factor by factor."""
    assert share_two_alike(codes=4096, fobs=100) == pytest.approx(
        1 - np.prod(1 - np.arange(100) / 4096), rel=1e-9
    )
    assert share_two_alike(codes=4, fobs=5) == 1


ROADS = {
    frozenset(pair): minutes * 60.0
    for pair, minutes in (("OV", 24), ("OL", 41), ("OS", 66), ("VL", 33), ("VS", 52), ("LS", 38))
}


def test_the_shortest_round_of_four_branches() -> None:
    """Added up by hand: O-V-S-L-O 24 + 52 + 38 + 41 = 155 min, the others 161 and 192."""
    found = shortest_round(sites="OVLS", drive_s=ROADS)

    assert found.drive_s == 155 * 60
    assert found.sites in (("O", "V", "S", "L", "O"), ("O", "L", "S", "V", "O"))


@given(times=st.lists(st.floats(1, 100), min_size=10, max_size=10))
def test_no_round_is_shorter_than_twice_the_farthest_site_where_detours_do_not_pay(
    times: list[float],
) -> None:
    """In the plane of straight roads: places on a line, 10 of them at most, give there and back."""
    places = sorted(set(times))[:5]
    names = [str(i) for i in range(len(places))]
    roads = {frozenset((a, b)): abs(places[int(a)] - places[int(b)]) for a in names for b in names if a != b}

    assert shortest_round(sites=names, drive_s=roads).drive_s == pytest.approx(2 * (places[-1] - places[0]))


def test_a_missing_road_is_named() -> None:
    """Nothing is guessed."""
    with pytest.raises(InputError, match="between O and S is missing"):
        shortest_round(
            sites="OVS", drive_s={key: value for key, value in ROADS.items() if key != frozenset("OS")}
        )


@pytest.mark.parametrize(("codes", "learned"), [(5, 1), (6, 2), (7, 3), (5, 5)])
def test_the_first_code_that_fits_comes_as_late_as_counting_every_order_says(
    codes: int, learned: int
) -> None:
    """Every place the learned codes can have in the order of tries, one by one."""
    orders = list(itertools.combinations(range(1, codes + 1), learned))

    assert mean_tries(codes=codes, learned=learned) == pytest.approx(sum(map(min, orders)) / len(orders))


@pytest.mark.parametrize("gap_days", [1.0, 5.25, 30.0, 200.0])
def test_the_longest_absence_is_the_mean_of_a_largest_exponential(gap_days: float) -> None:
    """Its mean is the integral of 1 - (1 - exp(-t))^n over all t: by scipy's quadrature."""
    visits = max(round(365.0 / gap_days), 1)
    mean, _ = quad(lambda t: 1.0 - (1.0 - exp(-t)) ** visits, 0.0, 60.0)

    assert longest_absence_days(gap_days=gap_days) == pytest.approx(gap_days * mean, rel=1e-6)
