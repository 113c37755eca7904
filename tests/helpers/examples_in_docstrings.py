"""Which modules of the program are gone through for examples in docstrings."""

from __future__ import annotations

from pathlib import Path

import pytest

from helpers.project import ROOT

__all__ = ["OnlyExamples"]


class OnlyExamples:
    """A module of the program without an example has none to run: it is not made a part of the collection."""

    @pytest.hookimpl
    def pytest_ignore_collect(self, collection_path: Path) -> bool | None:
        """Leave out what holds no prompt of Python."""
        is_module = collection_path.suffix == ".py" and collection_path.is_relative_to(ROOT / "src")
        return True if is_module and b">>>" not in collection_path.read_bytes() else None
