"""The cheapest set of changes, held against every subset."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from farpress.core.mending.choice import Option, cheapest_choice
from farpress.errors import InputError

FAULTS = "abcd"

OPTIONS = st.lists(
    st.builds(
        Option,
        st.integers(0, 9),
        st.frozensets(st.sampled_from(FAULTS), max_size=3),
        st.lists(st.sampled_from(["x", "y"]), max_size=1).map(tuple),
    ),
    max_size=6,
)
WORTH = st.dictionaries(st.sampled_from(FAULTS), st.integers(0, 12))


def least(options: list[Option], worth: dict[str, int], budget: int | None) -> int:
    """Cost and uncured worth of the best subset, by looking at every one."""
    values = []
    for size in range(len(options) + 1):
        for chosen in combinations(range(len(options)), size):
            groups = [group for number in chosen for group in options[number].excludes]
            cost = sum(options[number].cost for number in chosen)
            if len(groups) != len(set(groups)) or (budget is not None and cost > budget):
                continue
            cured = {fault for number in chosen for fault in options[number].cures}
            values.append(cost + sum(value for fault, value in worth.items() if fault not in cured))
    return min(values)


@pytest.mark.long
@settings(deadline=None)
@given(options=OPTIONS, worth=WORTH, budget=st.none() | st.integers(0, 20))
def test_no_subset_is_cheaper(options: list[Option], worth: dict[str, int], budget: int | None) -> None:
    """Cost and what is left together are those of the best of all subsets; the budget and exclusions hold."""
    choice = cheapest_choice(options=options, worth=worth, budget=budget)

    assert choice is not None
    assert choice.cost + sum(worth[fault] for fault in choice.left) == least(options, worth, budget)
    assert choice.cost == sum(options[number].cost for number in choice.options)
    assert budget is None or choice.cost <= budget


def test_a_refuted_set_is_not_proposed_again() -> None:
    """The next cheapest comes, until none is left."""
    options = [Option(1, frozenset("a")), Option(2, frozenset("a"))]
    refuted: list[frozenset[int]] = []
    proposed = []
    while (choice := cheapest_choice(options=options, worth={"a": 100}, refuted=refuted)) is not None:
        proposed.append(choice.options)
        refuted.append(frozenset(choice.options))

    assert proposed == [(0,), (1,), (0, 1), ()]


def test_a_negative_cost_is_refused() -> None:
    """It would be chosen for nothing."""
    with pytest.raises(InputError, match="-1 was given; neither can be below 0"):
        cheapest_choice(options=[Option(-1, frozenset())], worth={})
