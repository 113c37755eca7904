"""Read a job file: text to tree, tree to model, model to references. All faults at once, or a whole job.

A job that reads without faults is well formed; whether it works is judged elsewhere.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from farpress.domain.job import Job
from farpress.domain.quantity import key_in_file
from farpress.errors import Fault, JobFileError
from farpress.jobfile.each import written_out
from farpress.jobfile.model_to_references import model_to_references
from farpress.jobfile.names_there import Known
from farpress.jobfile.node import Node
from farpress.jobfile.source import FILE_NAME, Source, decode, read_source
from farpress.jobfile.text_to_tree import text_to_tree
from farpress.jobfile.tree_to_model import tree_to_model

__all__ = ["JobDocument", "read_job", "read_job_text", "read_job_tree"]


@dataclass(frozen=True)
class JobDocument:
    """A job with the file it stands in.

    Attributes:
        job: the job.
        fingerprint: SHA-256 of the file's bytes, line ends and byte order mark aside.
        source: the text itself.
        tree: every value with its line, as it is written.
        whole: the same with blocks written out that stand for several; the tree itself where there are none.
        remarks: on what was read otherwise than it stands there, as a key that is no more.
    """

    job: Job
    fingerprint: str
    source: Source = field(repr=False)
    tree: Node = field(repr=False)
    whole: Node = field(repr=False)
    remarks: tuple[Fault, ...] = field(default=(), repr=False)

    @property
    def path(self) -> Path | None:
        """Where the file lies; None for a text made by a program."""
        return self.source.path

    def line_of(self, path: Sequence[str | int]) -> int:
        """Line [1 = first] of the key or entry at a path, or of the deepest part of it that is there.

        Keys may be those of the file (`length`) or names of fields (`length_m`).
        """
        node, line = self.whole, self.whole.line
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


def read_job(folder: Path, *, known: Known) -> JobDocument:
    """Read and check the job in a folder.

    Args:
        folder: the job's folder, or its `job.yaml` itself.
        known: what the catalogue has, as its `known_names` says.

    Raises:
        JobFileError: the file cannot be used; every fault of it is listed.
    """
    return _read(read_source(folder), known)


def read_job_text(text: str | bytes, *, known: Known, file: str = FILE_NAME) -> JobDocument:
    """Read and check a job given as text, as the desk and the writer have it; see `read_job`."""
    data = text.encode("utf-8", "surrogatepass") if isinstance(text, str) else text
    return _read(decode(data, None, file=file), known)


def read_job_tree(source: Source, tree: Node, *, known: Known) -> JobDocument:
    """Check a job whose text was taken apart already, without faults of form; see `read_job`."""
    return _job_of(source, tree, [], known)


def _read(source: Source, known: Known) -> JobDocument:
    tree, faults = text_to_tree(source)
    if faults and (tree is None or tree.data is None):
        raise JobFileError(faults)
    return _job_of(source, tree, faults, known)


def _job_of(source: Source, tree: Node | None, faults: list[Fault], known: Known) -> JobDocument:
    whole, wrong = (tree, []) if tree is None else written_out(tree, source)
    checked = tree_to_model(whole, source)
    faults = [*faults, *wrong, *([] if wrong else checked.faults)]
    if whole is not None and not wrong:
        faults += model_to_references(checked, whole, source, known)
    if faults or tree is None or whole is None or checked.job is None:
        raise JobFileError(list(dict.fromkeys(faults)))  # each once
    return JobDocument(checked.job, source.fingerprint, source, tree, whole, checked.remarks)
