"""Two people's changes to one job: kept where they do not touch each other, refused where they do."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farpress.jobfile.merging import MergeRefused, differences, merge_values, with_changes

BEFORE: dict[str, Any] = {
    "a": {"x": 1, "y": 2},
    "walls": [{"build": "brick"}, {"build": "timber"}],
    "at": [1, 2],
}


def test_changes_of_different_values_are_both_kept() -> None:
    """One moves x, the other y: both are moved."""
    mine, theirs = {**BEFORE, "a": {"x": 5, "y": 2}}, {**BEFORE, "a": {"x": 1, "y": 7}}

    assert merge_values(BEFORE, mine, theirs)["a"] == {"x": 5, "y": 7}


def test_the_same_value_changed_in_two_ways_is_refused_with_both_versions() -> None:
    """The refusal holds what was there before, and what each of them made of it."""
    mine, theirs = {**BEFORE, "a": {"x": 5, "y": 2}}, {**BEFORE, "a": {"x": 9, "y": 2}}

    with pytest.raises(MergeRefused) as refused:
        merge_values(BEFORE, mine, theirs)

    assert [(clash.path, clash.before, clash.mine, clash.theirs) for clash in refused.value.clashes] == [
        (("a", "x"), 1, 5, 9)
    ]


def test_the_same_change_made_twice_is_one_change() -> None:
    """Both write the same value: nobody is asked."""
    both = {**BEFORE, "a": {"x": 5, "y": 2}}

    assert merge_values(BEFORE, both, both) == both


def test_walls_drawn_by_two_people_are_all_kept() -> None:
    """Entries added to the end of one list by both."""
    mine, theirs = (
        {**BEFORE, "walls": [*BEFORE["walls"], {"build": "mine"}]},
        {**BEFORE, "walls": [*BEFORE["walls"], {"build": "theirs"}]},
    )

    assert [wall["build"] for wall in merge_values(BEFORE, mine, theirs)["walls"]] == [
        "brick",
        "timber",
        "theirs",
        "mine",
    ]


def test_a_wall_removed_by_one_and_another_changed_by_the_other() -> None:
    """The removed one goes, the changed one keeps its change."""
    mine, theirs = (
        {**BEFORE, "walls": [BEFORE["walls"][1]]},
        {**BEFORE, "walls": [BEFORE["walls"][0], {"build": "steel"}]},
    )

    assert merge_values(BEFORE, mine, theirs)["walls"] == [{"build": "steel"}]


def test_removing_what_the_other_changed_is_refused() -> None:
    """A removal is a change too."""
    mine, theirs = {"walls": BEFORE["walls"], "at": [1, 2]}, {**BEFORE, "a": {"x": 9, "y": 2}}

    with pytest.raises(MergeRefused):
        merge_values(BEFORE, mine, theirs)


def test_true_and_one_are_not_the_same() -> None:
    """A yes is no number."""
    assert differences({"a": 1}, {"a": True})[0].value is True


values = st.recursive(
    st.none() | st.booleans() | st.integers(-5, 5) | st.text("ab", max_size=2),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from("pqrs"), inner, max_size=3),
    max_leaves=12,
)
tables = st.dictionaries(st.sampled_from("pqrs"), values.filter(lambda one: one is not None), max_size=4)


def _without_none(value: Any) -> Any:
    """A job file has no empty values: None stands for "not there"."""
    if isinstance(value, dict):
        return {key: _without_none(one) for key, one in value.items() if one is not None}
    return [_without_none(one) for one in value if one is not None] if isinstance(value, list) else value


@given(before=tables, after=tables)
def test_differences_lead_from_one_state_to_the_other(before: Any, after: Any) -> None:
    """Whatever the two states are, the changes between them make the one into the other."""
    before, after = _without_none(before), _without_none(after)

    assert with_changes(before, differences(before, after)) == after


@given(before=tables, after=tables)
def test_merging_with_somebody_who_did_nothing_gives_ones_own_state(before: Any, after: Any) -> None:
    """From either side."""
    before, after = _without_none(before), _without_none(after)

    assert merge_values(before, after, before) == after
    assert merge_values(before, before, after) == after
