"""How values stand in a job file: one scalar as text, and everything else through the YAML library.

The library that writes keeps comments, order and quotes of a file that is changed; it is loaded
only where something is written.
"""

from __future__ import annotations

import io
import re
from collections.abc import Mapping
from typing import Any, Final

from farpress.jobfile.scalars import scalar_value

__all__ = ["dumped", "job_text", "laid_out", "round_trip_yaml", "written_scalar", "written_value"]

BLOCKS: Final = 3
"""Levels from the top whose tables always have a line for each key; our choice: down to each
function and group."""


def job_text(values: Mapping[str, Any], *, head: str = "") -> str:
    """The text of a whole job file: tables that hold little stand in braces on one line.

    Args:
        values: keys, units and names as in a job file.
        head: remarks before the first key, each line with its "#" and end.
    """
    return head + dumped(round_trip_yaml((2, 4, 2)), laid_out(values, 0))


def laid_out(value: Any, depth: int = BLOCKS) -> Any:
    """Tables and lists of tables line by line where they hold more than one line can show, else in braces.

    Args:
        value: as for `written_value`.
        depth: how far from the top it comes to stand; below `BLOCKS` tables always have a line for each key.
    """
    from ruamel.yaml.comments import CommentedMap, CommentedSeq

    is_table = isinstance(value, Mapping) and bool(value)
    if is_table and (depth < BLOCKS or any(_nesting(entry) > 1 for entry in value.values())):
        entries = (
            (written_value(str(key)), laid_out(entry, depth + 1))
            for key, entry in value.items()
            if entry is not None
        )
        return CommentedMap(entries)
    if isinstance(value, list) and value and isinstance(value[0], Mapping):
        return CommentedSeq(written_value(entry) for entry in value)
    return written_value(value)


def _nesting(value: Any) -> int:
    if isinstance(value, Mapping):
        return 1 + max(map(_nesting, value.values()), default=0)
    return 1 + max(map(_nesting, value), default=0) if isinstance(value, list | tuple) else 0


def round_trip_yaml(indents: tuple[int, int, int]) -> Any:
    """The library's reader and writer that keeps comments, order and quotes; spacing becomes even.

    Args:
        indents: of tables, of list entries, and of their dash.
    """
    from ruamel.yaml import YAML

    yaml = YAML()
    yaml.preserve_quotes = True
    yaml.width = 100_000
    yaml.allow_duplicate_keys = False
    yaml.version = (1, 2)
    mapping, sequence, offset = indents
    yaml.indent(mapping=mapping, sequence=sequence, offset=offset)
    return yaml


def dumped(yaml: Any, document: Any) -> str:
    """The text of a document of the library, without the line that names the version of YAML."""
    stream = io.StringIO()
    yaml.dump(document, stream)
    return stream.getvalue().removeprefix("%YAML 1.2\n---")[1:]  # a line end or a space follows


def written_value(value: object) -> Any:
    """A value for the library: tables in braces, lists in brackets, text quoted where it must be.

    Args:
        value: table, list, text, number, True or False; entries of None are left out.
    """
    from ruamel.yaml.comments import CommentedMap, CommentedSeq
    from ruamel.yaml.scalarint import ScalarInt
    from ruamel.yaml.scalarstring import DoubleQuotedScalarString, SingleQuotedScalarString

    if isinstance(value, dict):
        table = CommentedMap(
            (written_value(str(key)), written_value(entry))
            for key, entry in value.items()
            if entry is not None
        )
        table.fa.set_flow_style()
        return table
    if isinstance(value, list | tuple):
        entries = CommentedSeq(written_value(entry) for entry in value)
        entries.fa.set_flow_style()
        return entries
    if isinstance(value, str):
        if re.fullmatch("0|[1-9][0-9]{0,8}", value):
            return ScalarInt(int(value))  # a name that looks like a number is written without quotes
        written = written_scalar(value, flow=True)
        if written.startswith("'"):
            return SingleQuotedScalarString(value)
        return DoubleQuotedScalarString(value) if written.startswith('"') else value
    return value


def written_scalar(value: object, *, quote: str = "", flow: bool = False) -> str:
    """A value as it stands in the file: plain where that reads back the same, else in quotes.

    Args:
        value: text, number, True or False.
        quote: quote sign that stood there before; kept where it can be.
        flow: it stands between brackets or braces.
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    text = str(value)
    if quote == "'" and text.isprintable():
        return "'" + text.replace("'", "''") + "'"
    if quote == '"' and text.isprintable():
        return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
    if not isinstance(value, str) or (
        _is_plain(text, flow) and isinstance(scalar_value(text, plain=True), str)
    ):
        return text
    if text.isprintable():
        return "'" + text.replace("'", "''") + "'"
    return f'"{"".join(map(_escaped, text))}"'


def _escaped(sign: str) -> str:
    known = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t"}
    if sign in known or sign.isprintable():
        return known.get(sign, sign)
    return f"\\u{ord(sign):04x}" if ord(sign) < 0x10000 else f"\\U{ord(sign):08x}"


_NEVER_FIRST = "-?:,[]{}#&*!|>'\"%@`"


def _is_plain(text: str, flow: bool) -> bool:
    if not text or text != text.strip() or not text.isprintable() or text.startswith(("---", "...")):
        return False
    if text[0] in _NEVER_FIRST and not re.match(r"-[0-9.]", text):
        return False
    if ": " in text or " #" in text or text.endswith(":"):
        return False
    return not (flow and any(sign in text for sign in ",[]{}:"))
