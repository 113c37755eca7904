"""The JSON Schema for editors: current, valid, and of one mind with the reader."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from farpress.jobfile.schema import SCHEMA_NAME, job_schema, schema_text
from farpress.jobfile.source import decode
from farpress.jobfile.starter import starter_text
from farpress.jobfile.text_to_tree import text_to_tree
from helpers.project import ROOT

JOBS = {
    path.relative_to(ROOT).as_posix(): path.read_text(encoding="utf-8")
    for path in [*sorted(ROOT.glob("examples/*/job.yaml")), *sorted(ROOT.glob("tests/data/jobs/*.yaml"))]
} | {"starter": starter_text("Thornwick Rise")}


def values(text: str) -> Any:
    """The values of a job file, as an editor sees them."""
    tree, faults = text_to_tree(decode(text.encode(), None))
    assert tree is not None
    assert not faults
    return json.loads(json.dumps(tree.data))


def errors(data: Any) -> list[str]:
    """What the independent library finds wrong."""
    return [
        f"{'.'.join(map(str, error.path))}: {error.message}"
        for error in Draft202012Validator(job_schema()).iter_errors(data)
    ]


def test_the_schema_file_is_current() -> None:
    """Run `python tools/write_schema.py` after a change of the tables."""
    assert (ROOT / "docs" / "reference" / SCHEMA_NAME).read_text(encoding="utf-8") == schema_text()


@pytest.mark.long
def test_the_schema_is_a_schema_without_a_host() -> None:
    """Valid by the meta-schema of draft 2020-12; its id is a plain relative one."""
    schema = job_schema()
    Draft202012Validator.check_schema(schema)
    assert schema["$id"] == "job.schema.json"
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"


@pytest.mark.parametrize("name", sorted(JOBS))
def test_every_job_of_ours_fits_the_schema(name: str) -> None:
    """Examples, the sample and the starter, judged by the `jsonschema` library."""
    assert errors(values(JOBS[name])) == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("for: 0.5 s", "for: 0.5"),
        ("length: 31 m", "length: 31 M"),
        ("travel: 24 s", "travl: 24 s"),
        ("kind: toggle", "kind: togle"),
        ("grade: 2\n", "grade: 7\n"),
        ("at: [14, -25]", "at: [14]"),
        ("farpress: 1", "farpress: 3"),
        ("floor: 0 m, ", ""),
        ("people: [wren, tavi]", "people: wren"),
    ],
)
def test_what_the_reader_refuses_by_form_the_schema_refuses_too(
    old: str, new: str, sample: str, faults: Callable[[str], list[str]]
) -> None:
    """An editor marks the same slips."""
    text = sample.replace(old, new, 1)
    assert text != sample
    assert faults(text)
    assert errors(values(text))
