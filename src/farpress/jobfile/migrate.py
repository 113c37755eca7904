"""The number of the file format, and the place where older formats are brought up to date.

There is one format so far. When a second one comes, its step from 1 to 2 stands here
and `farpress: 1` is still read.
"""

from __future__ import annotations

from typing import Final

from farpress.errors import Fault
from farpress.jobfile.source import Source
from farpress.jobfile.tree import Node

__all__ = ["FORMAT", "check_format"]

FORMAT: Final = 1
"""The format that this version reads and writes."""


def check_format(tree: Node, source: Source) -> list[Fault]:
    """A fault where the format's number is missing or is one that cannot be read."""
    found = tree.items.get("farpress")
    if found is None:
        says = (
            f"'farpress' is missing: the first line of a job file says its format, 'farpress: {FORMAT}'. Is"
            " this a job file?"
        )
        return [source.fault(tree.line, tree.column, "farpress", says)]
    node = found[2]
    number = node.data
    if isinstance(number, int) and not isinstance(number, bool):
        if number == FORMAT:
            return []
        if number > FORMAT:
            says = (
                f"the file has format {number}, but this version of Farpress reads format {FORMAT}. It was"
                " written by a newer version: use that one"
            )
        else:
            says = (
                f"there is no format {number}; this version of Farpress reads format {FORMAT}. Write"
                f" 'farpress: {FORMAT}'"
            )
    else:
        says = f"the format is a whole number: write 'farpress: {FORMAT}'"
    return [source.fault(node.line, node.column, "farpress", says)]
