"""Read a job file: text, tree, form, names. All faults at once, or a whole job.

A job that reads without faults is well formed; whether it works is judged elsewhere.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from farpress.domain.job import Job
from farpress.domain.quantity import key_in_file
from farpress.errors import Fault, JobFileError
from farpress.jobfile.checking import check_form
from farpress.jobfile.migrate import check_format
from farpress.jobfile.pruning import pruned_job
from farpress.jobfile.references import check_references
from farpress.jobfile.source import FILE_NAME, Source, decode, read_source
from farpress.jobfile.tree import Node, parse_tree

__all__ = ["JobDocument", "read_job", "read_job_text", "read_job_tree"]


@dataclass(frozen=True)
class JobDocument:
    """A job with the file it stands in.

    Attributes:
        job: the job.
        fingerprint: SHA-256 of the file's bytes, line ends and byte order mark aside.
        source: the text itself.
        tree: every value with its line.
    """

    job: Job
    fingerprint: str
    source: Source = field(repr=False)
    tree: Node = field(repr=False)

    @property
    def path(self) -> Path | None:
        """Where the file lies; None for a text made by a program."""
        return self.source.path

    def line_of(self, path: Sequence[str | int]) -> int:
        """Line [1 = first] of the key or entry at a path, or of the deepest part of it that is there.

        Keys may be those of the file (`length`) or names of fields (`length_m`).
        """
        node, line = self.tree, self.tree.line
        for key in path:
            child, used = node.child(key), key
            if child is None and isinstance(key, str):
                used = key_in_file(key)
                child = node.child(used)
            if child is None:
                break
            line = node.items[str(used)][0] if node.kind == "mapping" else child.line
            node = child
        return line

    def place_text(self, path: Sequence[str | int]) -> str:
        """The place of a value for a paper: "job.yaml line 31"."""
        return f"{self.source.file} line {self.line_of(path)}"


def read_job(folder: Path, *, known: Mapping[str, frozenset[str]]) -> JobDocument:
    """Read and check the job in a folder.

    Args:
        folder: the job's folder, or its `job.yaml` itself.
        known: kind of part (and "build") → names in the catalogue.

    Raises:
        JobFileError: the file cannot be used; every fault of it is listed.
    """
    return _read(read_source(folder), known)


def read_job_text(
    text: str | bytes, *, known: Mapping[str, frozenset[str]], file: str = FILE_NAME
) -> JobDocument:
    """Read and check a job given as text, as the desk and the writer have it; see `read_job`."""
    data = text.encode("utf-8", "surrogatepass") if isinstance(text, str) else text
    return _read(decode(data, None, file=file), known)


_EMPTY: Final = (
    "the file is empty. A job begins with 'farpress: 1' and 'job: its name'; 'farpress new FOLDER' writes a"
    " first one"
)


def read_job_tree(source: Source, tree: Node, *, known: Mapping[str, frozenset[str]]) -> JobDocument:
    """Check a job whose text was taken apart already, without faults of form; see `read_job`."""
    return _checked(source, tree, [], known)


def _read(source: Source, known: Mapping[str, frozenset[str]]) -> JobDocument:
    tree, faults = parse_tree(source)
    return _checked(source, tree, faults, known)


def _checked(
    source: Source, tree: Node | None, faults: list[Fault], known: Mapping[str, frozenset[str]]
) -> JobDocument:
    if tree is None or (tree.kind == "scalar" and tree.data is None):
        raise JobFileError(faults or [source.fault(1, 1, "", _EMPTY)])
    if tree.kind != "mapping":
        shown = "a list" if tree.kind == "sequence" else "a single text"
        says = (
            f"{shown} stands at the top, but a job is a table of keys: 'farpress: 1', 'job: its name',"
            " 'premises:' and so on"
        )
        raise JobFileError([*faults, source.fault(tree.line, tree.column, "", says)])
    faults += check_format(tree, source)
    if any(fault.path == "farpress" for fault in faults):
        raise JobFileError(faults)  # another format has other keys: checking them would mislead
    job, wrong, error = check_form(tree, source)
    faults += wrong
    readable, moved = (job, {}) if error is None else pruned_job(tree, error)
    if readable is not None:
        faults += check_references(readable, tree, source, known, moved)
    if faults or job is None:
        raise JobFileError(_each_once(faults))
    return JobDocument(job, source.fingerprint, source, tree)


def _each_once(faults: list[Fault]) -> list[Fault]:
    return list(dict.fromkeys(faults))
