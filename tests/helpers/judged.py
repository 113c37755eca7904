"""The examples as they stand in the tree, judged once in a process, and given to tests in a browser: a desk
that opens one of them takes over what is the same still, as one does that is open all day.

That a job taken over has every word of one judged from nothing is proven by
`properties/test_edits_are_judged_whole.py`. All other tests begin with nothing judged, and so does whatever
test changes something of the program: a limit that was changed is no field of a job.
"""

from __future__ import annotations

import sys
from types import ModuleType
from typing import Any, Final

import pytest

from helpers.project import EXAMPLES

__all__ = ["begin_judged", "keep_judged"]

TAKING_OVER: Final = "browser"
"""The fixture of tests that begin with the examples judged."""

CHANGING: Final = frozenset({"monkeypatch"})
"""Fixtures of tests that change something of the program."""

_examples: dict[str, Any] = {}
_wanted: dict[str, str] = {}


def begin_judged(item: pytest.Item) -> None:
    """A test begins: with the examples that tests before it have asked for, or with nothing."""
    module = _module()
    if module is not None:
        module.forget_judged()
        if _takes_over(item):
            module._kept.extend(_examples.values())


def keep_judged(item: pytest.Item) -> None:
    """A test has ended. Which examples it has judged is seen; they are judged here, from nothing, and not
    taken from the test, which may have done anything with its own.
    """
    module = _module()
    if module is None or not _takes_over(item):
        return
    for name in {judged.case.job.job for judged in module._kept}:
        folder = _folders().get(name)
        if folder is not None and name not in _examples:
            from farpress.case.door import open_job
            from farpress.judging.assess import assess

            module.forget_judged()
            assess(open_job(EXAMPLES / folder))
            (_examples[name],) = module._kept


def _takes_over(item: pytest.Item) -> bool:
    fixtures = getattr(item, "fixturenames", ())
    return TAKING_OVER in fixtures and CHANGING.isdisjoint(fixtures)


def _folders() -> dict[str, str]:
    """The folder of each example by the name of its job."""
    if not _wanted:
        for path in EXAMPLES.glob("*/job.yaml"):
            lines = path.read_text(encoding="utf-8").split("\n")
            name = next(line.partition(":")[2].strip() for line in lines if line.startswith("job:"))
            _wanted[name] = path.parent.name
    return _wanted


def _module() -> ModuleType | None:
    return sys.modules.get("farpress.judging.taking_over")
