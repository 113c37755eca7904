"""Which tests run on the same worker, where pytest-xdist spreads them over several."""

from __future__ import annotations

from typing import Any

import pytest
from xdist.scheduler import LoadScopeScheduling

from helpers.kinds import is_page_of_records, is_reference

__all__ = ["ByFile"]


class ByFile(LoadScopeScheduling):
    """A file stays together: what it has served, judged or drawn serves all its tests. The comparisons with
    documents stay together too, and with the page that shows them; so do the rules of the code, which read
    the whole source. Files begin in the collection's order.
    """

    def __init__(self, config: pytest.Config, log: Any = None) -> None:
        """Take over the order of the collection."""
        config.option.loadscopereorder = False
        super().__init__(config, log)

    def _split_scope(self, nodeid: str) -> str:
        file = nodeid.partition("::")[0]
        parts = tuple(file.split("/"))
        if is_reference(parts) or is_page_of_records(parts):
            return "reference"
        return "architecture" if "architecture" in parts[:-1] else file
