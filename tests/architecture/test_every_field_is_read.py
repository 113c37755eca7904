"""What a job file can say is explained, and is used: by a check, a calculation, a drawing or a paper."""

from __future__ import annotations

import ast
from collections.abc import Iterator

import pytest

import farpress.domain.job  # noqa: F401  (it brings every model of a job)
from farpress.domain.quantity import Model
from helpers.source_trees import SOURCE, nodes_of, source_files

PLUMBING = {"domain", "jobfile", "catalogue"}
"""Rooms that hold, read and fill in the values without using one."""

HELD_BY_NAME = {"pocket_loss_db", "car_loss_db"}
"""Looked up under a name put together from how a fob is held (`reach/radio_budget.py`)."""


def _models() -> Iterator[type[Model]]:
    waiting = [Model]
    while waiting:
        model = waiting.pop()
        waiting += model.__subclasses__()
        if model is not Model:
            yield model


def _own_fields() -> dict[str, str]:
    """Field as "Table.field" → its name, each where it is first written down."""
    return {
        f"{base.__name__}.{name}": name
        for model in _models()
        for base in model.__mro__
        for name in vars(base).get("__annotations__", {})
        if name in model.model_fields
    }


def _read_names() -> set[str]:
    """Every attribute that is asked for outside the plumbing."""
    return {
        node.attr
        for path in source_files()
        if path.relative_to(SOURCE).parts[0] not in PLUMBING
        for node in nodes_of(path)
        if isinstance(node, ast.Attribute)
    }


@pytest.mark.long
def test_every_field_of_a_job_is_read() -> None:
    """Whoever fills in a key gets something for it; two fields of one name are taken together."""
    read = _read_names() | HELD_BY_NAME | {"farpress"}  # the format, which only reading needs
    unread = {field for field, name in _own_fields().items() if name not in read}

    assert unread == set()


def test_every_field_of_a_job_is_explained() -> None:
    """Each has a description, for the page of the job file, for messages and for the forms."""
    bare = {
        f"{model.__name__}.{name}"
        for model in _models()
        for name, field in model.model_fields.items()
        if not (field.description or "").strip()
    }

    assert bare == set()
