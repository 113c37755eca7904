"""Farpress: radio remote control at customers' premises, from thumb to moving leaf.

For people who script: `open_job`, `assess`, `change`, `save`, `write_papers`; see `farpress.scripting`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from farpress.version import __version__

if TYPE_CHECKING:
    from farpress.scripting import assess, change, finding, open_job, save, write_papers

__all__ = ["__version__", "assess", "change", "finding", "open_job", "save", "write_papers"]


def __getattr__(name: str) -> Any:
    """What people script with, loaded when it is first asked for, so that a command starts at once."""
    if name in __all__:
        from farpress import scripting

        return getattr(scripting, name)
    raise AttributeError(f"farpress has no '{name}'; it has {', '.join(__all__)}")
