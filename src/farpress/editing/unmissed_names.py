"""Uses of a name that nobody misses when it goes: terminals of a zone, which may have any name, and the words
of kept stories, which are understood when they are played.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from farpress.editing.hanging import places_in
from farpress.errors import InputError
from farpress.jobfile.names_there import Path
from farpress.jobfile.node import Node

__all__ = ["unmissed_uses"]


def unmissed_uses(tree: Node, path: Path, name: str) -> Iterator[tuple[Path, Node, str]]:
    """Texts of a job file that speak of an entry by its name; no reader looks whether it is there.

    Args:
        tree: of the file.
        path: of the entry, its present name last.
        name: the new one.

    Yields:
        Where the text stands, its node, and the text with the new name.

    Raises:
        InputError: a kept story goes over several lines, and cannot be changed here.
    """
    terminal, told = _terminal(path), _told(path)
    for _, where, node in places_in(tree):
        if node.kind != "scalar" or not isinstance(node.data, str):
            continue
        text, made = node.data, node.data
        if terminal is not None and where[:2] == path[:2]:
            made = terminal.sub(lambda found: f"{found[1]}{name}{found[2]}", text)
        elif told is not None and where[:1] == ("stories",) and "steps" in where:
            made = told.sub(name, text)
        if made == text:
            continue
        if node.line != node.end_line:
            raise InputError(
                f"The story '{where[1]}' speaks of '{path[-1]}' over several lines; change it first."
            )
        yield where, node, made


def _terminal(path: Path) -> re.Pattern[str] | None:
    """The two terminals of a zone of a panel."""
    if len(path) != 6 or path[2] != "panels" or path[4] != "zones":
        return None
    return re.compile(rf"\A({re.escape(f'{path[3]}.zone ')}){re.escape(str(path[5]))}( common|)\Z")


def _told(path: Path) -> re.Pattern[str] | None:
    """An entry in the steps of a story; None for what no story speaks of.

    A name stands whole: a group or person before what it does, a thing behind a word that leads to it.
    """
    old = re.escape(str(path[-1]))
    if len(path) == 2 and path[0] in ("groups", "people"):
        return re.compile(rf"(?i:(?<=: )|(?<=else of )){old}(?= (?:holds?|press(?:es)?) )")
    if len(path) == 2 and path[0] == "premises":
        return re.compile(rf"(?<= ){old}(?=/)")
    leads = r"(?:(?<= of )|(?<=under )|(?<=clear )|(?<=into )|(?<=on )|(?<=with )|(?<=by )|(?<=/))"
    if len(path) == 4 and path[2] in ("devices", "panels", "supplies", "receivers", "gate_locks"):
        return re.compile(rf"{leads}{old}(?=\Z|[.;]|\s*;| by | on\b)")
    if len(path) == 6 and path[4] == "areas":
        return re.compile(rf"(?:(?<=\.)|{leads[3:-1]}){old}(?=\Z|\s*;)")
    return None
