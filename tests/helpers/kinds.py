"""The kinds of test that need more than Python and a moment. A helper that needs more does not work for a
test that is not marked so: a quick run stays quick.
"""

from __future__ import annotations

import pytest

__all__ = ["RUNNING", "is_page_of_records", "is_reference", "kinds_of", "need"]

RUNNING: list[pytest.Item] = []
"""The test that runs now, its fixtures included; kept by the conftest."""

_WITNESSES = {"helpers.ngspice", "helpers.spin"}
"""Helpers that run another program; whatever a module takes from them, all its tests are about it."""

_READERS = {"poppler_facts", "poppler_text"}
"""Functions that do, of a helper whose other functions do not; a test calls them by name."""


def kinds_of(item: pytest.Item) -> set[str]:
    """The marks that follow from what a test asks for: a browser, the other database, a witness. Those that
    do not show there are written above the test.
    """
    kinds = set()
    fixtures = set(getattr(item, "fixturenames", ()))
    values = getattr(getattr(item, "callspec", None), "params", {})
    if "browser" in fixtures:
        kinds.add("browser")
    chosen = [value for value in values.values() if isinstance(value, str)]
    if "postgres" in fixtures or "postgresql" in chosen:
        kinds.add("database")
    module = getattr(item, "module", None)
    if any(
        getattr(value, "__module__", "") in _WITNESSES for value in getattr(module, "__dict__", {}).values()
    ):
        kinds.add("witness")
    code = getattr(getattr(item, "function", None), "__code__", None)
    if code is not None and not _READERS.isdisjoint(code.co_names):
        kinds.add("witness")
    return kinds


def need(kind: str) -> None:
    """Nothing where the test that runs is marked as of this kind.

    Raises:
        AssertionError: it is not; the text says how to mark it.
    """
    if RUNNING and RUNNING[-1].get_closest_marker(kind) is None:
        raise AssertionError(
            f"{RUNNING[-1].nodeid} is not marked '{kind}', and needs it: write @pytest.mark.{kind} above it"
        )


def is_reference(parts: tuple[str, ...]) -> bool:
    """Whether a test file, given by the parts of its path, compares with documents."""
    return "reference" in parts[:-1]


def is_page_of_records(parts: tuple[str, ...]) -> bool:
    """Whether it is about the page that shows those comparisons."""
    return parts[-1] == "test_validation_page.py"
