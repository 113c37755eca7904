"""Breese, Heckerman, MSR-TR-96-06 (1996): framework; numbers by counting every state in fractions.

The network is invented. The six posteriors and the informations were also computed with an
independent library (pgmpy 1.1.2) and by plain enumeration; those digits stand here. The
report itself was read as an abstract only.
"""

from __future__ import annotations

import math
from fractions import Fraction
from itertools import product

import pytest

from farpress.core.faults.network import (
    FaultNetwork,
    Observation,
    abnormal_share,
    believe,
    entropy_bit,
    expected_information_bit,
)
from farpress.core.faults.next_test import ranked_tests

PRIORS = {
    "cell": "0.12",
    "counter": "0.08",
    "noise": "0.05",
    "aerial": "0.04",
    "relay": "0.03",
    "wiring": "0.03",
}
SHOWS: dict[str, tuple[str, dict[str, str], float]] = {
    "gate": (
        "0.02",
        {"cell": "0.9", "counter": "0.7", "noise": "0.6", "aerial": "0.8", "relay": "0.95", "wiring": "0.9"},
        0.0,
    ),
    "second fob": ("0.03", {"noise": "0.6", "aerial": "0.8", "relay": "0.95", "wiring": "0.9"}, 2.0),
    "lamp": ("0.02", {"cell": "0.85"}, 1.0),
    "second press": ("0.05", {"counter": "0.9", "noise": "0.4"}, 1.0),
    "click": ("0.03", {"cell": "0.6", "counter": "0.7", "relay": "0.3"}, 6.0),
    "bridge": ("0.01", {"wiring": "0.85"}, 15.0),
}
NETWORK = FaultNetwork(
    {name: float(chance) for name, chance in PRIORS.items()},
    {
        name: Observation(name, float(leak), {cause: float(link) for cause, link in links.items()}, minutes)
        for name, (leak, links, minutes) in SHOWS.items()
    },
)


def _counted(answers: dict[str, bool]) -> tuple[Fraction, dict[str, Fraction]]:
    """Chance of the answers, and of each cause with them, in exact fractions."""
    total, sums = Fraction(0), dict.fromkeys(PRIORS, Fraction(0))
    for state in product((False, True), repeat=len(PRIORS)):
        there = dict(zip(PRIORS, state))
        weight = Fraction(1)
        for cause, is_there in there.items():
            weight *= Fraction(PRIORS[cause]) if is_there else 1 - Fraction(PRIORS[cause])
        for name, is_abnormal in answers.items():
            leak, links, _ = SHOWS[name]
            normal = 1 - Fraction(leak)
            for cause, link in links.items():
                normal *= 1 - Fraction(link) if there[cause] else 1
            weight *= 1 - normal if is_abnormal else normal
        total += weight
        for cause, is_there in there.items():
            sums[cause] += weight if is_there else 0
    return total, sums


@pytest.mark.parametrize(
    "answers",
    [
        {"gate": True},
        {"gate": True, "lamp": False},
        {"gate": True, "lamp": False, "second fob": True},
        {"gate": False, "bridge": True},
    ],
)
def test_every_chance_is_that_of_counting_in_fractions(answers: dict[str, bool]) -> None:
    """Evidence and causes agree to nine digits."""
    total, sums = _counted(answers)
    belief = believe(network=NETWORK, answers=answers)

    assert belief.evidence_share == pytest.approx(float(total), rel=1e-9)
    for cause, share in sums.items():
        assert belief.causes[cause] == pytest.approx(float(share / total), rel=1e-9)


def test_the_digits_of_the_independent_library() -> None:
    """Posterior after the complaint alone; it knows no cause with chance 0.051928."""
    belief = believe(network=NETWORK, answers={"gate": True})
    expected = {
        "cell": 0.411654,
        "counter": 0.229393,
        "noise": 0.130427,
        "aerial": 0.126871,
        "relay": 0.107893,
        "wiring": 0.103680,
    }

    assert belief.causes == pytest.approx(expected, abs=1e-6)
    assert belief.evidence_share == pytest.approx(0.267571, abs=1e-6)
    assert belief.none_share == pytest.approx(0.051928, abs=1e-6)
    assert sum(belief.only(cause) for cause in expected) == pytest.approx(0.797613, abs=1e-6)


def test_information_per_minute_puts_the_lamp_first() -> None:
    """0.61392, 0.46559, 0.29218, 0.05054, 0.02166 bit a minute."""
    ranked = ranked_tests(belief=believe(network=NETWORK, answers={"gate": True}), done=("gate",), gates={})

    assert [one.name for one in ranked] == ["lamp", "second press", "second fob", "click", "bridge"]
    assert [one.bit_per_min for one in ranked] == pytest.approx(
        [0.61392, 0.46559, 0.29218, 0.05054, 0.02166], abs=1e-5
    )


def test_entropy_may_rise_with_an_answer_but_falls_on_average() -> None:
    """3.34311 bit, 3.34648 after a normal lamp; the mean over both answers is lower by the expected
    information.
    """
    before = believe(network=NETWORK, answers={"gate": True})
    normal, dim = (
        believe(network=NETWORK, answers={"gate": True, "lamp": answer}) for answer in (False, True)
    )
    share = abnormal_share(before, "lamp")

    assert entropy_bit(before) == pytest.approx(3.34311, abs=1e-5)
    assert entropy_bit(normal) == pytest.approx(3.34648, abs=1e-5)
    assert entropy_bit(before) - share * entropy_bit(dim) - (1 - share) * entropy_bit(
        normal
    ) == pytest.approx(expected_information_bit(before, "lamp"), abs=1e-9)
    assert math.isclose(share, 0.36291, abs_tol=1e-5)
