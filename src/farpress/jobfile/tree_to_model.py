"""The second step of reading: the tree of a file held against the tables of a job.

A tree that fits becomes a job. One that does not is told fault by fault, and becomes a job
without its faulty entries, so that the names in all the others can still be checked; nothing
is ever calculated from such a job.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Final

from pydantic import ValidationError

from farpress.domain.job import Job
from farpress.errors import Fault
from farpress.jobfile.allowed import Moved, find_location, words_of
from farpress.jobfile.form_faults import form_fault, meant_word
from farpress.jobfile.formats import FORMATS, NEWEST, newer_than_first
from farpress.jobfile.node import Node, path_text, place_of
from farpress.jobfile.removed_keys import without_removed_keys
from farpress.jobfile.source import Source
from farpress.phrases import listed, plural

__all__ = ["MOST_FAULTS", "Checked", "tree_to_model"]

MOST_FAULTS: Final = 100
"""Faults listed at most; our choice: nobody mends more in one go."""

MOST_ROUNDS: Final = 8
"""How often a job without its faulty entries is tried; our choice: parents are left out one by one."""

_EMPTY: Final = (
    f"the file is empty. A job begins with 'farpress: {NEWEST}' and 'job: its name'; 'farpress new FOLDER'"
    " writes a first one"
)


@dataclass(frozen=True)
class Checked:
    """What a tree has become.

    Attributes:
        job: the job; None where the tree has a fault of form.
        readable: the job, or what is left of it without its faulty entries; None where too much is wrong.
        moved: lists that are shorter in `readable` than in the file.
        faults: of form.
        remarks: on what was read otherwise than it stands there.
    """

    job: Job | None = None
    readable: Job | None = None
    moved: Moved = field(default_factory=dict)
    faults: tuple[Fault, ...] = ()
    remarks: tuple[Fault, ...] = ()


def tree_to_model(tree: Node | None, source: Source) -> Checked:
    """The job that a tree is, or its faults.

    Args:
        tree: of the file; None where the file is empty.
        source: the text, for the faults.
    """
    if tree is None or (tree.kind == "scalar" and tree.data is None):
        return Checked(faults=(source.fault(1, 1, "", _EMPTY),))
    wrong = _fault_of_top(tree, source) or _fault_of_format(tree, source)
    if wrong is not None:
        return Checked(faults=(wrong,))  # another format has other keys: checking them would mislead
    values, remarks = without_removed_keys(tree, source)
    try:
        job = Job.model_validate(values, by_alias=True, by_name=False)
    except ValidationError as slip:
        values, understood = _with_words_meant(values, slip, tree, source)
        try:
            job = Job.model_validate(values, by_alias=True, by_name=False)
        except ValidationError as error:
            readable, moved = _without_faulty_entries(tree, error)
            return Checked(None, readable, moved, tuple(_faults_of_form(error, tree, source)), remarks)
        remarks = (*remarks, *understood)
    return Checked(job, job, remarks=(*remarks, *_remark_on_format(values, tree, source)))


def _fault_of_top(tree: Node, source: Source) -> Fault | None:
    if tree.kind == "mapping":
        return None
    shown = "a list" if tree.kind == "sequence" else "a single text"
    message = (
        f"{shown} stands at the top, but a job is a table of keys: 'farpress: {NEWEST}', 'job: its name',"
        " 'premises:' and so on"
    )
    return source.fault(tree.line, tree.column, "", message)


def _fault_of_format(tree: Node, source: Source) -> Fault | None:
    node = tree.child("farpress")
    if node is None:
        message = (
            f"'farpress' is missing: the first line of a job file says its format, 'farpress: {NEWEST}'. Is"
            " this a job file?"
        )
        return source.fault(tree.line, tree.column, "farpress", message)
    number = node.data
    is_read = f"this version of Farpress reads the formats {listed(map(str, FORMATS))}"
    if not isinstance(number, int) or isinstance(number, bool):
        message = f"the format is a whole number: write 'farpress: {NEWEST}'"
    elif number > NEWEST:
        message = (
            f"the file has format {number}, but {is_read}. It was written by a newer version: use that one"
        )
    elif number not in FORMATS:
        message = f"there is no format {number}; {is_read}. Write 'farpress: {NEWEST}'"
    else:
        return None
    return source.fault(node.line, node.column, "farpress", message)


def _with_words_meant(
    values: Any, error: ValidationError, tree: Node, source: Source
) -> tuple[Any, tuple[Fault, ...]]:
    """The values with 'false' as 'off' and the like where one word alone can be meant; a remark for each."""
    remarks: list[Fault] = []
    for wrong in error.errors(include_url=False, include_input=False):
        place = find_location(wrong["loc"], tree)
        is_yes_or_no = wrong["type"] == "literal_error" and isinstance(place.node.data, bool)
        if not is_yes_or_no or place.allowed is None:
            continue
        word = meant_word(place.node.data, words_of(place.allowed))
        if word is None:
            continue
        values = _with_value(values, place.path, word)
        given = "true" if place.node.data else "false"
        message = f"'{given}' means yes or no; it is read as '{word}' here, the only word that can be meant"
        remarks.append(source.fault(place.node.line, place.node.column, path_text(place.path), message))
    return values, tuple(remarks)


def _with_value(values: Any, path: tuple[str | int, ...], value: object) -> Any:
    """Values with another one at a path; the given ones stay as they are."""
    if not path:
        return value
    copied: Any = dict(values) if isinstance(values, dict) else list(values)
    copied[path[0]] = _with_value(values[path[0]], path[1:], value)
    return copied


def _remark_on_format(values: Any, tree: Node, source: Source) -> tuple[Fault, ...]:
    """What a file of format 1 has that came later: read all the same, and said."""
    if values["farpress"] != 1:
        return ()
    newer = list(newer_than_first(values))
    if not newer:
        return ()
    more = f", like {plural(len(newer) - 1, 'other place')}" if len(newer) > 1 else ""
    message = (
        f"this came with format {NEWEST}{more}; it is read all the same. Write 'farpress: {NEWEST}' in the"
        " first line, or leave it to the next change that Farpress writes into this file"
    )
    return (source.fault(*place_of(tree, newer[0]), path_text(newer[0]), message),)


def _faults_of_form(error: ValidationError, tree: Node, source: Source) -> list[Fault]:
    faults: list[Fault] = []
    told: set[tuple[int, int, str]] = set()
    for wrong in error.errors(include_url=False):
        fault = form_fault(wrong, tree, source)
        if fault is None or (fault.line, fault.column, fault.path) in told:
            continue
        if len(faults) >= MOST_FAULTS:
            message = f"and more: {error.error_count()} places in all do not fit. Mend those above first"
            return [*faults, source.fault(len(source.lines), 1, "", message)]
        if fault.column != 0 and wrong["type"] != "missing":
            told.add((fault.line, fault.column, fault.path))
        faults.append(fault)
    return faults


def _without_faulty_entries(tree: Node, error: ValidationError) -> tuple[Job | None, Moved]:
    """The job without what is wrong in it, None where that is too much, and the lists it is shorter in."""
    drop: set[tuple[str | int, ...]] = set()
    moved: dict[tuple[str | int, ...], list[int]] = {}
    errors = error.errors(include_url=False, include_input=False)
    for _ in range(MOST_ROUNDS):
        before = frozenset(
            drop
        )  # several members of a choice complain of one value: it goes, its table stays
        for wrong in errors:
            path = find_location(wrong["loc"], tree, moved).path
            while path in before:  # it was left out before and is missed now: the entry cannot do without it
                path = path[:-1]
            if path:
                drop.add(path)
        moved = {}
        data = _without(tree, (), drop, moved)
        data.setdefault("job", "?")
        data["farpress"] = NEWEST
        try:
            return Job.model_validate(data, by_alias=True, by_name=False), moved
        except ValidationError as again:
            errors = again.errors(include_url=False, include_input=False)
    return None, {}


def _without(
    node: Node,
    path: tuple[str | int, ...],
    drop: set[tuple[str | int, ...]],
    moved: dict[tuple[str | int, ...], list[int]],
) -> Any:
    if node.kind == "mapping":
        return {
            key: _without(child, (*path, key), drop, moved)
            for key, (_, _, child) in node.items.items()
            if (*path, key) not in drop
        }
    if node.kind == "sequence":
        kept = [index for index in range(len(node.elements)) if (*path, index) not in drop]
        if len(kept) < len(node.elements):
            moved[path] = kept
        return [_without(node.elements[index], (*path, index), drop, moved) for index in kept]
    return node.data
