"""Write docs/reference/job-file.md: every key of a job file, read off the models.

A table for each kind of thing, in the order of the file: what a key means, how its value is written,
and what is taken where it is left out. The examples are entries of the jobs in `examples`.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from farpress.domain.job import Job
from farpress.domain.own_parts import OwnReceiver
from farpress.domain.parts import PART_KINDS
from farpress.jobfile.allowed import Allowed, allowed, child_of, fields_of, models_of, wanted
from farpress.jobfile.node import Node
from farpress.jobfile.source import decode
from farpress.jobfile.text_to_tree import text_to_tree
from farpress.jobfile.written import written_scalar
from farpress.units import write_quantity
from survey import ROOT, table_cell

PAGE = ROOT / "docs" / "reference" / "job-file.md"
LONGEST = 150
"""Longest example [characters]; our choice: it is read on one line."""

HEAD = """# The job file

Written by `tools/write_job_file.py` from the models; not edited by hand.

One file, `job.yaml`, holds one customer's installation. A key stands before a colon, what belongs
to it after the colon or further in below it; quantities have their unit (`length: 31 m`), points are plain
metres on your plan (`[14, -25]`). Text with a comma, colon or hash sign goes in quotes. What stands
after a `#` is a remark. What you do not know you leave out: it is asked about, never guessed.

Equal blocks are written once: `R<each>: {each: [A, B, C], part: receiver-2, …}` stands for `RA`, `RB` and
`RC`, and `<each>` inside it for the name; `each: {A: {at: [1, 2]}, B: {at: [5, 2]}}` says what is different.
What stands beside it under one of the names wins.

An editor that knows JSON Schema completes and checks keys with [job.schema.json](job.schema.json).
"""

SHEETS = {model: kind for kind, model in PART_KINDS.items()}
OWN = next(base for base in OwnReceiver.__mro__ if base.__name__ == "_Own")


def render() -> str:
    """The whole page."""
    lines = [HEAD]
    examples = dict(_examples())
    for model in _models():
        lines += [f"## {_title(model)}", "", _about(model), ""]
        sheet = next((base for base in model.__mro__[1:] if base in SHEETS), None)
        lines += ["| key | what it means | written | left out |", "| --- | --- | --- | --- |"]
        lines += [
            _row(key, field)
            for key, field in fields_of(model).items()
            if sheet is None or _name_of(model, key) not in sheet.model_fields
        ]
        lines.append("")
        if sheet is not None:
            lines += [
                f"Besides, every key of the [{SHEETS[sheet]}'s data sheet](#{_anchor(_title(sheet))}); a"
                " value here wins over the part's.",
                "",
            ]
        if model in examples:
            lines += ["```yaml", examples[model], "```", ""]
    return "\n".join(lines).rstrip() + "\n"


def _models() -> list[type[BaseModel]]:
    """Every table of a job, each once, in the order of the file; parts come last."""
    found: list[type[BaseModel]] = []

    def visit(model: type[BaseModel]) -> None:
        if model in found or OWN in model.__mro__:
            return
        if model not in SHEETS:
            found.append(model)
        for field in model.model_fields.values():
            for inner in _inner(allowed(field.annotation)):
                visit(inner)

    visit(Job)
    parts: list[type[BaseModel]] = [OWN]
    for sheet in SHEETS:
        parts.append(sheet)
        parts += [
            model for model in found if model in _below(sheet) and model not in parts and model not in SHEETS
        ]
    return [model for model in found if model not in parts] + parts


def _below(model: type[BaseModel]) -> list[type[BaseModel]]:
    below: list[type[BaseModel]] = []
    for field in model.model_fields.values():
        for inner in _inner(allowed(field.annotation)):
            below += [inner, *_below(inner)]
    return below


def _inner(place: Allowed) -> Iterator[type[BaseModel]]:
    """Tables that stand at a place, in its lists and tables of names too."""
    yield from models_of(place)
    cores = place.core if isinstance(place.core, tuple) else (place.core,)
    for core in cores:
        for argument in get_args(core) if get_origin(core) in (dict, tuple) else ():
            if argument is not Ellipsis:
                yield from _inner(allowed(argument))


def _title(model: type[BaseModel]) -> str:
    if model in SHEETS:
        return f"Data sheet of {_an(SHEETS[model])}"
    if model is OWN:
        return "Parts of your own"
    words = "".join(f" {sign.lower()}" if sign.isupper() else sign for sign in model.__name__).strip()
    return {"job": "A job"}.get(words, words.capitalize())


def _about(model: type[BaseModel]) -> str:
    if model is OWN:
        return (
            "A part under `parts` has these keys and those of its data sheet. What is not given comes from"
            " the part it is like, or is not known."
        )
    return str(model.__doc__).strip().split("\n\n")[0].replace("\n", " ")


def _anchor(title: str) -> str:
    return title.lower().replace(" ", "-")


def _name_of(model: type[BaseModel], key: str) -> str:
    return next(name for name, field in model.model_fields.items() if (field.alias or name) == key)


def _row(key: str, field: FieldInfo) -> str:
    place = allowed(field.annotation, field.metadata, field.description or "")
    cells = (
        f"`{key}`",
        table_cell(field.description or ""),
        table_cell(_written(place)),
        _left_out(place, field),
    )
    return f"| {' | '.join(cells)} |"


def _written(place: Allowed) -> str:
    """How a value is written: with a link where it is a table of its own."""
    inner = [model for model in dict.fromkeys(_inner(place)) if OWN not in model.__mro__]
    if any(OWN in model.__mro__ for model in _inner(place)):
        return f"name: a [part]({'#' + _anchor(_title(OWN))})"
    if not inner:
        return wanted(place)
    links = " or ".join(f"[{_title(model).lower()}](#{_anchor(_title(model))})" for model in inner)
    core = place.core
    if isinstance(core, tuple):
        return " or ".join(_written(allowed(member)) for member in core)
    if get_origin(core) is dict:
        texts = isinstance(allowed(get_args(core)[1]).core, tuple)
        return f"name: text, a list, or a {links}" if texts else f"name: {links}"
    return f"list, each {_an(links)}" if get_origin(core) is tuple else links


def _an(words: str) -> str:
    return f"{'an' if words.lstrip('[')[0] in 'aeiou' else 'a'} {words}"


def _left_out(place: Allowed, field: FieldInfo) -> str:
    if field.is_required():
        return "**needed**"
    default = field.default
    if default is PydanticUndefined or default is None or default == "" or default == ():
        return ""
    kind = next(
        (
            note.json_schema["x-kind"]
            for note in place.notes
            if "x-kind" in (getattr(note, "json_schema", 0) or {})
        ),
        None,
    )
    if kind is not None and isinstance(default, float):
        return write_quantity(default, kind)
    if isinstance(default, bool):
        return "true" if default else "false"
    return "" if isinstance(default, BaseModel) else str(default)


def _examples() -> Iterator[tuple[type[BaseModel], str]]:
    """Of each table the longest entry of the example jobs that fits on a line."""
    found: dict[type[BaseModel], str] = {}
    for path in [
        *sorted((ROOT / "examples").glob("*/job.yaml")),
        ROOT / "tests/data/jobs/quarry-cottage.yaml",
    ]:
        tree, _ = text_to_tree(decode(path.read_bytes(), None))
        assert tree is not None
        for model, text in _entries(tree, allowed(Job), ""):
            if len(found.get(model, "")) < len(text) <= LONGEST:
                found[model] = text
    yield from found.items()


def _entries(node: Node, place: Allowed, key: str) -> Iterator[tuple[type[BaseModel], str]]:
    if node.kind == "mapping":
        for model in models_of(place, node.data)[:1]:
            sheet = next((base for base in model.__mro__ if base in SHEETS), model)
            shown = f"{written_scalar(key)}: {_flow(node)}" if key else f"- {_flow(node)}"
            yield (sheet if OWN in model.__mro__ else model), shown
        for name, (_, _, child) in node.items.items():
            inner = child_of(place, name, node.data)
            if inner is not None:
                yield from _entries(child, inner, name)
    for index, child in enumerate(node.elements):
        inner = child_of(place, index, None)
        if inner is not None:
            yield from _entries(child, inner, "")


def _flow(node: Node) -> str:
    if node.kind == "mapping":
        return "{" + ", ".join(f"{key}: {_flow(child)}" for key, (_, _, child) in node.items.items()) + "}"
    if node.kind == "sequence":
        return "[" + ", ".join(map(_flow, node.elements)) + "]"
    value: Any = node.data
    return written_scalar(value, quote=node.style, flow=True)


if __name__ == "__main__":
    PAGE.write_text(render(), encoding="utf-8")
    print(PAGE.relative_to(ROOT))
