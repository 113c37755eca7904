"""What the process that runs tests does but once, and not again for every worker, program and test."""

from __future__ import annotations

import gc
import os
import sys
from pathlib import Path
from typing import Final

__all__ = ["forget_nothing_while_loading", "keep_bytecode", "keep_loops", "what_is_loaded_stays"]

NEWEST: Final = (20_000, 20, 20)
"""So many new objects before they are looked through; our choice. A test makes hundreds of thousands and
drops nearly all of them by themselves."""


def keep_bytecode() -> None:
    """What Python makes of the modules it has read is kept in the environment, as `start.py` does, also where
    that is switched off elsewhere: every worker, and every program a test starts, would make it anew.
    """
    if sys.prefix == sys.base_prefix:  # no environment of the project's own
        return
    sys.dont_write_bytecode = False
    sys.pycache_prefix = sys.pycache_prefix or str(Path(sys.prefix) / "bytecode")
    os.environ.update(PYTHONDONTWRITEBYTECODE="", PYTHONPYCACHEPREFIX=sys.pycache_prefix)


def keep_loops(otherwise: Path) -> None:
    """The machine code of maps is kept beside the bytecode, or in another folder where there is no
    environment of the project's own: every worker, and every program and process that a test starts, would
    build it anew for some seconds.
    """
    is_own = sys.prefix != sys.base_prefix
    os.environ["FARPRESS_LOOPS"] = str(Path(sys.prefix) / "loops" if is_own else otherwise)


def forget_nothing_while_loading() -> None:
    """Modules and tests stay; looking for what could be given back finds nothing."""
    gc.disable()


def what_is_loaded_stays() -> None:
    """From now on only what tests make is looked through for what could be given back, not the modules and
    thousands of tests beside it.
    """
    gc.freeze()
    gc.set_threshold(*NEWEST)
    gc.enable()
