"""A pack of papers: its manifest with a hash for each file, and all of it in one ZIP."""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from collections.abc import Mapping

from farpress.papers.typesetting.spreadsheet import timeless_entry

__all__ = ["SUMS_NAME", "bundle", "manifest", "sums"]

SUMS_NAME = "SHA256SUMS"
"""Name of the list of hashes, in the form that `sha256sum --check` reads."""


def manifest(files: Mapping[str, bytes], facts: Mapping[str, object]) -> bytes:
    """What is in a pack, as JSON with sorted keys: facts of the job, then name, size and SHA-256 of each
    file.
    """
    listed = [
        {"name": name, "bytes": len(content), "sha256": hashlib.sha256(content).hexdigest()}
        for name, content in sorted(files.items())
    ]
    return (
        json.dumps({**facts, "files": listed}, indent=2, sort_keys=True, ensure_ascii=False) + "\n"
    ).encode("utf-8")


def sums(files: Mapping[str, bytes]) -> bytes:
    """One line for each file: its SHA-256, two spaces, its name."""
    return "".join(
        f"{hashlib.sha256(content).hexdigest()}  {name}\n" for name, content in sorted(files.items())
    ).encode("utf-8")


def bundle(files: Mapping[str, bytes]) -> bytes:
    """All files in one ZIP, in the order of names, every entry with the same time: equal files give equal
    bytes.
    """
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as made:
        for name, content in sorted(files.items()):
            made.writestr(timeless_entry(name), content, zipfile.ZIP_DEFLATED)
    return target.getvalue()
