"""Every place that must know a kind of device or output knows it, and no other place names one."""

from __future__ import annotations

import ast
from functools import cache
from typing import get_args

import pytest

from farpress.core.rehearsal import panels
from farpress.domain.cautions import CAUTIONS
from farpress.domain.device_sheets import DeviceSheet, PanelInput
from farpress.domain.kinds import (
    DEVICE_KINDS,
    OUTPUT_KINDS,
    UNSAID_KIND,
    DeviceKind,
    OutputKind,
    device_kind,
    output_kind,
)
from farpress.domain.panel_reads import PANEL_READS
from farpress.domain.premises import Output
from helpers.source_trees import SOURCE, nodes_of, source_files

ALSO_OTHER_KINDS = frozenset({"call", "lamp", "motor", "other"})
"""A function may be a call or something other and a load may be a lamp or a motor; such a name alone does not
tell what is compared."""

ALSO_OTHER_WORDS = frozenset({"pulse"})
"""An input may want a pulse, too."""

OTHER_MEANINGS = {
    "editing/survey_job.py": frozenset({"toggle"}),
    "papers/drawings/terminals.py": frozenset({"sounder"}),
}
"""Module → words that mean something else there: what a customer never wants; a mark of a drawing."""

NAMES_KINDS_STILL = frozenset({"rehearsal/building.py"})
"""Modules that still compare with the name of a kind; the list only gets shorter."""


def _words_of(annotation: object) -> set[str]:
    parts = (annotation, *get_args(annotation))
    return {word for part in parts for word in get_args(part) if isinstance(word, str)}


def test_every_kind_of_device_of_the_sheet_is_a_row() -> None:
    """And every row is a word of the sheet."""
    assert _words_of(DeviceSheet.model_fields["device"].annotation) == set(DEVICE_KINDS)


def test_every_kind_of_output_of_the_job_is_a_row() -> None:
    """And every row is a word of the job file."""
    assert _words_of(Output.model_fields["kind"].annotation) == set(OUTPUT_KINDS)


def test_every_way_a_panel_reads_an_input_is_a_row() -> None:
    """And what changes its state, clears or begins is played in the rehearsal."""
    assert _words_of(PanelInput.model_fields["reads"].annotation) == set(PANEL_READS)
    for row in PANEL_READS.values():
        acts = row.changes_state or row.clears or row.begins_entry
        assert row.says
        assert (row.name in panels._READS) is acts
        assert row.is_pulse or not (row.is_part or row.turns_round or row.clears or row.begins_entry)


@pytest.mark.parametrize("kind", DEVICE_KINDS.values(), ids=lambda kind: kind.name)
def test_a_kind_of_device_has_all_that_papers_and_surveys_ask_for(kind: DeviceKind) -> None:
    """Words, cautions that there are, and whether it moves or is a load."""
    assert kind.words
    assert kind.cautions
    assert {*kind.cautions, kind.closing_caution} <= set(CAUTIONS)
    assert kind.moves != kind.is_load


@pytest.mark.parametrize("kind", DEVICE_KINDS.values(), ids=lambda kind: kind.name)
def test_the_traits_of_a_kind_do_not_contradict_each_other(kind: DeviceKind) -> None:
    """A leaf moves and can crush; only a magnet draws at rest; nobody leaves through what is no way."""
    assert kind.moves or not (kind.is_leaf or kind.can_crush or kind.can_fall)
    assert kind.can_crush or not kind.is_leaf
    assert kind.starts_unseen or not kind.not_toggled
    assert (kind.is_magnet or kind.holds_open) == (kind.draws_at_rest is True)
    assert kind.is_way or not kind.shuts_a_way
    assert not (kind.hurts and kind.is_unsaid)
    assert bool(kind.hurts) or not kind.stays_live


def test_an_unsaid_kind_has_no_trait() -> None:
    """Nothing is concluded from what nobody said."""
    assert device_kind(None) is UNSAID_KIND
    assert not any((UNSAID_KIND.starts_unseen, UNSAID_KIND.frees_on_press, UNSAID_KIND.cautions))


@pytest.mark.parametrize("kind", OUTPUT_KINDS.values(), ids=lambda kind: kind.name)
def test_a_kind_of_output_ends_by_itself_or_keeps_its_state(kind: OutputKind) -> None:
    """What keeps its state either turns round or has two buttons; what ends has a length or is held."""
    assert kind.ends_by_itself != kind.keeps_state
    assert kind.keeps_state == (kind.turns_round or kind.has_two_buttons)
    assert kind.ends_by_itself == (kind.wants_length or kind.while_held)
    assert kind.called
    assert kind.acts
    assert bool(kind.drawn) == (not kind.wants_length)
    assert bool(kind.told) == (not kind.wants_length)


def test_an_unknown_kind_is_refused() -> None:
    """It is not taken for something else in silence."""
    with pytest.raises(KeyError):
        output_kind("momentary")
    with pytest.raises(KeyError):
        device_kind("turnstile")


@cache
def _modules_that_compare() -> dict[str, tuple[str, ...]]:
    """Module → comparisons and tables by the name of a kind, with their lines."""
    names = (set(DEVICE_KINDS) - ALSO_OTHER_KINDS) | (set(OUTPUT_KINDS) - ALSO_OTHER_WORDS)
    modules: dict[str, tuple[str, ...]] = {}
    for path in source_files():
        place = path.relative_to(SOURCE).as_posix()
        if place.startswith("core/") or place == "domain/kinds.py":
            continue
        places = tuple(
            f"{getattr(node, 'lineno', 0)}: {name}"
            for node in nodes_of(path)
            for name in sorted((_compared(node) & names) - OTHER_MEANINGS.get(place, frozenset()))
        )
        if places:
            modules[place] = places
    return modules


def _compared(node: ast.AST) -> set[str]:
    """Words that a node compares with, or looks something up by."""
    if isinstance(node, ast.Compare):
        return {word for side in (node.left, *node.comparators) for word in _literals(side)}
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "get":
        return _literals(node.func.value)
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "frozenset":
        return {word for argument in node.args for word in _literals(argument)}
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.BitAnd | ast.BitOr):
        return _literals(node.left) | _literals(node.right)
    if isinstance(node, ast.Subscript) and isinstance(node.value, ast.Dict):
        return _literals(node.value)
    return set()


def _literals(node: ast.AST) -> set[str]:
    if isinstance(node, ast.Constant):
        return {node.value} if isinstance(node.value, str) else set()
    if isinstance(node, ast.Set | ast.Tuple | ast.List):
        return {word for element in node.elts for word in _literals(element)}
    if isinstance(node, ast.Dict):
        return {word for key in node.keys if key is not None for word in _literals(key)}
    return set()


@pytest.mark.long
def test_nobody_else_compares_with_the_name_of_a_kind() -> None:
    """Ask for a trait of `domain.kinds`; a new kind then needs no other place to be found."""
    modules = _modules_that_compare()

    assert {place: places for place, places in modules.items() if place not in NAMES_KINDS_STILL} == {}


@pytest.mark.long
def test_no_module_is_excused_without_need() -> None:
    """What compares no longer is taken off the list."""
    assert sorted(NAMES_KINDS_STILL - set(_modules_that_compare())) == []
