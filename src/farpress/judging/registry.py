"""Every check there is, found where it is written: in the modules that judge."""

from __future__ import annotations

import importlib
import pkgutil
from functools import cache

from farpress import judging
from farpress.judging.check import Check

__all__ = ["all_checks", "check_of", "home_of"]


@cache
def all_checks() -> dict[str, Check]:
    """Code → check, in the order of codes.

    Raises:
        ValueError: two checks have one code.
    """
    return {code: check for code, (check, _) in _found().items()}


def check_of(code: str) -> Check | None:
    """The check of a code; None where there is none."""
    return all_checks().get(code.upper())


def home_of(code: str) -> str:
    """The module a check is written in."""
    return _found()[code][1]


@cache
def _found() -> dict[str, tuple[Check, str]]:
    found: dict[str, tuple[Check, str]] = {}
    for module in pkgutil.walk_packages(judging.__path__, f"{judging.__name__}."):
        for value in vars(importlib.import_module(module.name)).values():
            if not isinstance(value, Check):
                continue
            if found.setdefault(value.code, (value, module.name))[0] is not value:
                raise ValueError(f"two checks have the code {value.code}")
    return dict(sorted(found.items()))
