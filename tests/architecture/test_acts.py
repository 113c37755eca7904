"""What stands in a record is read in one place: everybody else takes acts with typed fields."""

from __future__ import annotations

import ast
import inspect
from typing import get_args

import pytest
from pydantic.fields import FieldInfo

from farpress.domain.acts import ACT_KINDS, Act, AnyAct, UnknownAct, act_named
from farpress.errors import InputError
from helpers.source_trees import source_files, tree_of
from survey import ROOT

PLAIN = {"body", "particulars"}
"""Names under which the plain values of an event can be had."""


def _looks_inside(tree: ast.AST) -> list[int]:
    """Lines that take one field by its name out of the plain values of an event."""
    lines = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Subscript):
            value: ast.expr | None = node.value
        elif isinstance(node, ast.Attribute) and node.attr == "get":
            value = node.value
        else:
            value = None
        if isinstance(value, ast.Call):
            value = value.func
        if isinstance(value, ast.Attribute) and value.attr in PLAIN:
            lines.append(node.lineno)
    return lines


@pytest.mark.long
def test_nobody_looks_into_a_body() -> None:
    """No `.body[…]`, `.body.get(…)`, `.particulars[…]` outside the reader of acts."""
    where = [
        f"{path.relative_to(ROOT)}:{line}"
        for path in source_files()
        if "core" not in path.parts and "acts" not in path.parts
        for line in _looks_inside(tree_of(path))
    ]

    assert where == []
    assert _looks_inside(ast.parse("event.body.get('fob'); event.particulars['fob']; act.body()['fob']")), (
        "the search finds what it looks for"
    )


def test_every_act_is_on_the_list_and_says_what_it_is() -> None:
    """One frozen class a kind, told apart by it; every field has a description."""
    listed = [cls for cls in get_args(AnyAct) if cls is not UnknownAct]
    classes = Act.__subclasses__()

    assert sorted(cls.__name__ for cls in classes) == sorted(cls.__name__ for cls in listed)
    assert len(ACT_KINDS) == len(listed)
    for cls in classes:
        fields: dict[str, FieldInfo] = cls.model_fields
        assert cls.model_config["frozen"]
        assert inspect.getdoc(cls)
        assert [name for name, field in fields.items() if not field.description] == [], cls


@pytest.mark.parametrize(
    ("kind", "fields", "says"),
    [
        ("fob lots", {}, r"There is no event 'fob lots'\. Closest: 'fob lost'\. There are: .*fob lost"),
        ("fob lost", {}, r"'fob' is missing \(label\)\. Its fields: fob, between, reported_by"),
        ("fob lost", {"fob": "A1", "where": "yard"}, "'where' is not a field of it"),
        ("member added", {"member": "m", "role": "lead"}, "'reader', 'keeper', 'installer' or 'manager'"),
        ("trial done", {"test": "t", "presses": "many", "heard": 1}, "'presses' .* is 'many'"),
        ("reading taken", {"what": "weight", "where": "x", "value": 1, "unit": "kg"}, "'level', 'noise'"),
    ],
)
def test_what_is_not_on_the_list_is_refused_with_what_is(
    kind: str, fields: dict[str, object], says: str
) -> None:
    """An unknown kind, a field it does not have, one that is missing, a value that does not fit."""
    with pytest.raises(InputError, match=says):
        act_named(kind, fields)
