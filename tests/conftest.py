"""Keeps every comparison with a printed number, for the validation page.

`Printed` itself stays a plain value; while pytest runs, its `agrees_with` is watched.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from helpers.printed import Printed
from validation import Record, write_records

# a slow machine, or a library that is loaded late, is no fault of what is tested
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")

_records: list[Record] = []
_reference_modules: set[str] = set()
_now: list[pytest.Item] = []


def pytest_addoption(parser: pytest.Parser) -> None:
    """Where to keep the records; used by tools/write_validation.py."""
    parser.addoption(
        "--write-validation",
        metavar="FILE",
        default=None,
        help="keep every comparison with a printed number in FILE",
    )


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
    return " ".join(text.split("\n\n")[0].split()).rstrip(".") if text else "a document without a name"


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Long studies wait to be asked for; the page of records is looked at when the records are there:
    last.
    """
    if not config.option.markexpr:
        slow = [item for item in items if item.get_closest_marker("slow")]
        config.hook.pytest_deselected(items=slow)
        items[:] = [item for item in items if item not in slow]
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
    if (
        _reference_modules >= all_modules
        and not options.keyword
        and not options.markexpr
        and not any("::" in word for word in options.file_or_dir)
    ):
        return list(_records)
    kept = tmp_path / "records.json"
    subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "tests/reference", f"--write-validation={kept}"],
        cwd=ROOT,
        check=False,
        capture_output=True,
    )
    return read_records(kept)


@pytest.fixture(scope="session")
def postgres() -> Iterator[str]:
    """The address of a throw-away PostgreSQL server; see helpers.postgres.new_database."""
    from helpers.postgres import cluster

    with cluster() as address:
        yield address


@pytest.fixture(params=["sqlite", "postgresql"])
def record_address(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Where a new record can be opened, on each of the two databases."""
    from helpers.postgres import new_database

    if request.param == "sqlite":
        return str(tmp_path / "record.sqlite")
    _databases.append(request.node.name)
    return new_database(request.getfixturevalue("postgres"), f"record_{len(_databases)}")


_databases: list[str] = []
