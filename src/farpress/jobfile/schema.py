"""The JSON Schema of a job file, for editors that complete and check while one types.

It knows the tables and the units. It does not know which names a job holds; those are
checked when the job is read.
"""

from __future__ import annotations

import json
from typing import Any, Final

from farpress.domain.job import Job
from farpress.jobfile.each import EACH
from farpress.jobfile.formats import FORMATS

__all__ = ["SCHEMA_NAME", "job_schema", "schema_text"]

SCHEMA_NAME = "job.schema.json"
"""Name of the schema file, beside the reference page of the job file."""


def job_schema() -> dict[str, Any]:
    """The schema as plain values: JSON Schema, draft 2020-12."""
    schema: dict[str, Any] = _loosened(Job.model_json_schema(by_alias=True))
    for name in _named_tables(schema):
        table = schema["$defs"][name]
        table["properties"][EACH] = _EACH
        if "required" in table:
            table["anyOf"] = [{"required": table.pop("required")}, {"required": [EACH]}]
    schema["properties"]["farpress"] = {
        "enum": list(FORMATS),
        "title": "Format of the file",
        "type": "integer",
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": SCHEMA_NAME,
        "title": "Farpress job file",
        **{key: value for key, value in schema.items() if key not in ("title", "$schema", "$id")},
    }


_EACH: Final = {
    "description": "names this block is written out for, '<each>' standing for the name in it",
    "anyOf": [
        {"type": "array", "items": {"type": ["string", "number"]}, "minItems": 1},
        {"type": "object", "minProperties": 1},
    ],
}


def _named_tables(schema: dict[str, Any]) -> list[str]:
    """Tables of which several stand under names, as receivers; any of them may stand for several."""
    found: list[str] = []
    waiting: list[Any] = [schema]
    while waiting:
        value = waiting.pop()
        if isinstance(value, list):
            waiting += value
        elif isinstance(value, dict):
            waiting += value.values()
            named = value.get("additionalProperties")
            if isinstance(named, dict):
                members = named.get("anyOf") or named.get("oneOf") or [named]
                found += [str(member["$ref"]).rpartition("/")[2] for member in members if "$ref" in member]
    return sorted(set(found))


def schema_text() -> str:
    """The schema as it stands in its file."""
    return json.dumps(job_schema(), indent=1, ensure_ascii=False, sort_keys=True) + "\n"


def _loosened(value: Any, *, names: bool = False) -> Any:
    """Text may be written like a number (`output: 2`), as the reader allows; defaults of Python are left
    out.
    """
    if isinstance(value, list):
        return [_loosened(entry) for entry in value]
    if not isinstance(value, dict):
        return value
    if names:
        return {key: _loosened(entry) for key, entry in value.items()}
    kept = {
        key: _loosened(entry, names=key in ("properties", "$defs"))
        for key, entry in value.items()
        if key not in ("title", "default")
    }
    if kept.get("type") == "string" and not {"pattern", "enum", "const"} & kept.keys():
        kept["type"] = ["string", "number"]
    return kept
