"""Keeps every comparison with a printed number, for the validation page.

`Printed` itself stays a plain value; while pytest runs, its `agrees_with` is watched.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from helpers.printed import Printed
from validation import Record, write_records

_records: list[Record] = []
_reference_modules: set[str] = set()
_now: list[pytest.Item] = []


def pytest_addoption(parser: pytest.Parser) -> None:
    """Where to keep the records; used by tools/write_validation.py."""
    parser.addoption("--write-validation", metavar="FILE", default=None, help="keep every comparison with a printed number in FILE")


def pytest_configure(config: pytest.Config) -> None:
    """Begin to watch."""
    Printed.agrees_with = _watched(Printed.agrees_with)  # type: ignore[method-assign]


def _watched(compare: Callable[[Printed, float], bool]) -> Callable[[Printed, float], bool]:
    def agrees_with(self: Printed, computed: float) -> bool:
        agrees = compare(self, computed)
        if _now and "reference" in _now[-1].path.parts:
            item = _now[-1]
            test = f"{item.path.name}::{item.name}"
            place = sum(record.test == test for record in _records)
            document = _first_line(getattr(item, "module", None))
            _records.append(Record(document, test, place, self.text, float(computed), bool(agrees), self.why))
        return agrees

    return agrees_with


def _first_line(module: object) -> str:
    text = (getattr(module, "__doc__", None) or "").strip()
    return text.splitlines()[0].rstrip(".") if text else "a document without a name"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The page of records is looked at when the records are there: last."""
    items.sort(key=lambda item: item.path.name == "test_validation_page.py")
    _reference_modules.update(item.path.name for item in items if "reference" in item.path.parts)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call(item: pytest.Item) -> Iterator[None]:
    """Remember which test is running."""
    _now.append(item)
    try:
        return (yield)
    finally:
        _now.pop()


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Keep the records where that was asked for."""
    target = session.config.getoption("--write-validation")
    if target:
        write_records(_records, Path(target))


@pytest.fixture
def printed_records(request: pytest.FixtureRequest, tmp_path: Path) -> list[Record]:
    """Every comparison of tests/reference: of this run if all of it ran, else of a run of its own."""
    import subprocess
    import sys

    from survey import ROOT
    from validation import read_records

    all_modules = {path.name for path in (ROOT / "tests" / "reference").rglob("test_*.py")}
    options = request.config.option
    if _reference_modules >= all_modules and not options.keyword and not options.markexpr and not any("::" in word for word in options.file_or_dir):
        return list(_records)
    kept = tmp_path / "records.json"
    subprocess.run([sys.executable, "-m", "pytest", "-q", "tests/reference", f"--write-validation={kept}"], cwd=ROOT, check=False, capture_output=True)
    return read_records(kept)
