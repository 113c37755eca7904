"""The new text of a job file after some changes, with as few lines touched as can be."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator, Sequence
from typing import Any

from farpress.domain.finding import Change
from farpress.jobfile.cutting import cuts_for
from farpress.jobfile.node import Node
from farpress.jobfile.source import LINE_ENDS, Source
from farpress.jobfile.written import dumped, laid_out, round_trip_yaml, written_scalar, written_value

__all__ = ["ways_to_write"]


def ways_to_write(source: Source, tree: Node, changes: Sequence[Change]) -> Iterator[str]:
    """Texts with the changes made, the one that touches fewest lines first; take the first that reads back as
    wanted.

    Args:
        source, tree: the file as it is.
        changes: what to do, in this order.
    """
    edits = [_in_place(tree, change) for change in changes]
    if all(edit is not None for edit in edits) and len({change.path for change in changes}) == len(changes):
        yield _with_edits(source, [edit for edit in edits if edit is not None])
        return
    end = "\r\n" if "\r\n" in source.text else "\n"
    text = source.text.replace("\r\n", "\n")
    indents = _indents(text)
    small = _in_pieces(text, tree, changes, indents)
    if small is not None:
        yield small.replace("\n", end)
    before, after = _round_trip(text, [], indents), _round_trip(text, changes, indents)
    yield _taken_over(text, before, after).replace("\n", end)
    yield after.replace("\n", end)


def _in_pieces(text: str, tree: Node, changes: Sequence[Change], indents: tuple[int, int, int]) -> str | None:
    """The text with each change made in the lines of its own entry; None where that cannot be done."""
    from ruamel.yaml.error import YAMLError

    lines = text.split("\n")
    if len(LINE_ENDS.findall(text)) != len(lines) - 1:
        return None  # the parser counts line ends that are none here
    cuts = cuts_for(tree, lines, changes, offset=indents[2])
    if cuts is None:
        return None
    try:
        for cut in reversed(cuts):
            before, after = _round_trip(cut.text, [], indents), _round_trip(cut.text, cut.changes, indents)
            lines[cut.start : cut.stop] = cut.put_back(_taken_over(cut.text, before, after))
    except (YAMLError, LookupError, TypeError, ValueError):
        return None  # it needs something outside its lines, as a value shared by name
    return "\n".join(lines)


def _in_place(tree: Node, change: Change) -> tuple[Node, str] | None:
    """The node and its new text, where one scalar becomes another on its line; else None."""
    node: Node | None = tree
    flow = False
    for key in change.path:
        flow = flow or (node is not None and node.flow)
        node = node.child(key) if node is not None else None
        if node is None or node.shared:
            return None
    if (
        node is None
        or node.kind != "scalar"
        or node.line != node.end_line
        or node.style in ("|", ">")
        or node.data is None
    ):
        return None
    if not isinstance(change.value, str | int | float):
        return None
    return node, written_scalar(change.value, quote=node.style, flow=flow)


def _with_edits(source: Source, edits: list[tuple[Node, str]]) -> str:
    starts = [0] + [found.end() for found in LINE_ENDS.finditer(source.text)]
    text = source.text
    for node, written in sorted(edits, key=lambda edit: (edit[0].line, edit[0].column), reverse=True):
        start, end = starts[node.line - 1] + node.column - 1, starts[node.end_line - 1] + node.end_column - 1
        text = text[:start] + written + text[end:]
    return text


def _round_trip(text: str, changes: Sequence[Change], indents: tuple[int, int, int]) -> str:
    """The text through a reader and writer that keeps comments, order and quotes; spacing becomes even."""
    yaml = round_trip_yaml(indents)
    document = yaml.load(text)
    for change in changes:
        _apply(document, change)
    return dumped(yaml, document)


def _indents(text: str) -> tuple[int, int, int]:
    """Indentation of tables, of list entries, and of their dash, as the file has it."""
    lines = [line for line in text.split("\n") if line.strip() and not line.lstrip().startswith("#")]
    steps = [len(line) - len(line.lstrip()) for line in lines]
    mapping, offset = 2, 2
    for above, below, first, second in zip(steps, steps[1:], lines, lines[1:], strict=False):
        if below > above and not second.lstrip().startswith("- ") and first.rstrip().endswith(":"):
            mapping = below - above
            break
    for above, below, first, second in zip(steps, steps[1:], lines, lines[1:], strict=False):
        if (
            second.lstrip().startswith("- ")
            and first.rstrip().endswith(":")
            and not first.lstrip().startswith("- ")
        ):
            offset = max(below - above, 0)
            break
    return mapping, offset + 2, offset


def _apply(document: Any, change: Change) -> None:
    place = document
    for number, key in enumerate(change.path[:-1], start=1):
        if isinstance(place, dict):
            found = _key(place, key)
            if found not in place:
                holds_tables = isinstance(change.value, dict) or number < len(change.path) - 1
                place[found] = _new_table(in_lines=holds_tables and _is_in_lines(place))
            place = place[found]
        else:
            place = place[key]
    last = change.path[-1]
    if isinstance(place, dict):
        found = _key(place, last)
        if change.value is None:
            del place[found]
        else:
            place[found] = (laid_out if _is_in_lines(place) else written_value)(change.value)
    elif change.value is None:
        del place[last]
    elif last == len(place):
        place.append(written_value(change.value))
    else:
        place[last] = written_value(change.value)


def _is_in_lines(place: Any) -> bool:
    """Whether a table has a line for each key, so that a table in it may have too."""
    return not place.fa.flow_style()


def _new_table(*, in_lines: bool) -> Any:
    """A table that nothing stands in yet."""
    from ruamel.yaml.comments import CommentedMap

    return CommentedMap() if in_lines else written_value({})


def _key(place: Any, key: str | int) -> Any:
    """The key as that table has it: `1` may be a number there and text here."""
    return next((there for there in place if str(there) == str(key)), written_value(str(key)))


def _taken_over(text: str, before: str, after: str) -> str:
    """The original text with the differences between two round trips made in it."""
    lines, old, new = text.split("\n"), before.split("\n"), after.split("\n")
    even = [_even(line) for line in lines]
    place: dict[int, int] = {}  # line of the round trip → line of the original
    for block in difflib.SequenceMatcher(
        None, [_even(line) for line in old], even, autojunk=False
    ).get_matching_blocks():
        for step in range(block.size):
            place[block.a + step] = block.b + step
    place[len(old)] = len(lines)
    result: list[str] = []
    taken = 0
    for kind, start, end, first, last in difflib.SequenceMatcher(
        None, old, new, autojunk=False
    ).get_opcodes():
        if kind == "equal":
            continue
        begin = place.get(start, _after(place, start))
        stop = begin if start == end else place.get(end - 1, begin) + 1
        put_in = new[first:last]
        while stop > begin and _is_remark(lines[stop - 1]) and lines[stop - 1] not in put_in:
            stop -= 1  # the round trip hangs the remarks of what follows on what goes: they stay
        result += lines[taken:begin] + put_in
        taken = max(stop, begin)
    return "\n".join(result + lines[taken:])


def _after(place: dict[int, int], line: int) -> int:
    earlier = [number for number in place if number < line]
    return place[max(earlier)] + 1 if earlier else 0


def _is_remark(line: str) -> bool:
    return not line.strip() or line.lstrip().startswith("#")


def _even(line: str) -> str:
    return re.sub(r"\s+", "", line)
