"""Every check there is, found where it is written: in the modules that judge."""

from __future__ import annotations

import importlib
import pkgutil
from functools import cache

from farpress import judging
from farpress.judging.check import Check

__all__ = ["all_checks", "check_of"]


@cache
def all_checks() -> dict[str, Check]:
    """Code → check, in the order of codes.

    Raises:
        ValueError: two checks have one code.
    """
    checks: dict[str, Check] = {}
    for found in pkgutil.walk_packages(judging.__path__, f"{judging.__name__}."):
        for value in vars(importlib.import_module(found.name)).values():
            if not isinstance(value, Check):
                continue
            if checks.setdefault(value.code, value) is not value:
                raise ValueError(f"two checks have the code {value.code}")
    return dict(sorted(checks.items()))


def check_of(code: str) -> Check | None:
    """The check of a code; None where there is none."""
    return all_checks().get(code.upper())
