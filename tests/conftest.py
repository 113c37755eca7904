"""Marks each test by what it needs, spreads the tests over workers, and keeps every comparison with a printed
number for the validation page.

`Printed` itself stays a plain value; while pytest runs, its `agrees_with` is watched.
"""

from __future__ import annotations

import os
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

from helpers.examples_in_docstrings import OnlyExamples
from helpers.judged import begin_judged, keep_judged
from helpers.kinds import RUNNING, is_page_of_records, is_reference, kinds_of
from helpers.printed import Printed
from helpers.process import forget_nothing_while_loading, keep_bytecode, keep_loops, what_is_loaded_stays
from validation import Record, write_records

keep_bytecode()
forget_nothing_while_loading()

# a slow machine, or a library that is loaded late, is no fault of what is tested; where tests run unattended
# they are the same ones every time
settings.register_profile("untimed", deadline=None)
settings.register_profile("repeatable", deadline=None, derandomize=True, database=None, print_blob=True)
settings.load_profile("repeatable" if os.environ.get("CI") else "untimed")

# what a test sees is computed now; the tests of kept results allow them in a folder of their own
os.environ["FARPRESS_NO_CACHE"] = "1"

# lists that a user keeps are none of the tests' business
_SETTINGS = tempfile.TemporaryDirectory(prefix="farpress-settings-")
os.environ["XDG_CONFIG_HOME"] = _SETTINGS.name
keep_loops(Path(_SETTINGS.name) / "loops")


@pytest.fixture(autouse=True)
def _judged_before(request: pytest.FixtureRequest) -> Iterator[None]:
    """Each test begins as a process does; one in a browser with the examples judged: see helpers.judged."""
    begin_judged(request.node)
    yield
    keep_judged(request.node)


_records: list[Record] = []
_reference_modules: set[str] = set()
_left_out: set[str] = set()


def pytest_addoption(parser: pytest.Parser) -> None:
    """Where to keep the records; used by tools/write_validation.py."""
    parser.addoption(
        "--write-validation",
        metavar="FILE",
        default=None,
        help="keep every comparison with a printed number in FILE",
    )


def pytest_configure(config: pytest.Config) -> None:
    """Begin to watch. Of modules of the program no conftest of the tests is asked: a plugin of its own
    chooses among them.
    """
    config.pluginmanager.register(OnlyExamples(), "only modules with examples")
    Printed.agrees_with = _watched(Printed.agrees_with)  # type: ignore[method-assign]


def _watched(compare: Callable[[Printed, float], bool]) -> Callable[[Printed, float], bool]:
    def agrees_with(self: Printed, computed: float) -> bool:
        agrees = compare(self, computed)
        if RUNNING and is_reference(RUNNING[-1].path.parts):
            item = RUNNING[-1]
            test = f"{item.path.name}::{item.name}"
            place = sum(record.test == test for record in _records)
            document = _first_line(getattr(item, "module", None))
            _records.append(Record(document, test, place, self.text, float(computed), bool(agrees), self.why))
        return agrees

    return agrees_with


def _first_line(module: object) -> str:
    text = (getattr(module, "__doc__", None) or "").strip()
    return " ".join(text.split("\n\n")[0].split()).rstrip(".") if text else "a document without a name"


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Marks come first, so that -m can choose by them. Long studies wait to be asked for. What takes longest
    begins first, and a file stays together on one worker; the page of records is looked at when the records
    are there: last, on the worker that has them.
    """
    for item in items:
        for kind in kinds_of(item):
            item.add_marker(kind)
    if "slow" not in config.option.markexpr:
        slow = [item for item in items if item.get_closest_marker("slow")]
        config.hook.pytest_deselected(items=slow)
        items[:] = [item for item in items if item not in slow]
    files: dict[Path, set[str]] = {}
    for item in items:
        files.setdefault(item.path, set()).update(mark.name for mark in item.iter_markers())
    places = _places({path: _turn(marks) for path, marks in files.items()})
    items.sort(key=lambda item: (is_page_of_records(item.path.parts), places[item.path]))
    _reference_modules.update(item.path.name for item in items if is_reference(item.path.parts))


def pytest_collection_finish(session: pytest.Session) -> None:
    """Tests begin."""
    what_is_loaded_stays()


def pytest_deselected(items: list[pytest.Item]) -> None:
    """Remember which comparisons will not be made."""
    _left_out.update(item.nodeid for item in items if is_reference(item.path.parts))


def _places(turns: dict[Path, int]) -> dict[Path, tuple[int, float]]:
    """Where in the order each file stands. Those of browsers, which wait half of their time, and long ones,
    which never do, begin by turns: the one worker's waits are the other's time.
    """
    counts = Counter(turns.values())
    seen: Counter[int] = Counter()
    places = {}
    for path, turn in turns.items():
        places[path] = (max(turn, 1), seen[turn] / counts[turn])
        seen[turn] += 1
    return places


def _turn(marks: set[str]) -> int:
    """When the tests of a file with these marks begin: browsers, then what is long, then what waits for other
    programs, then the rest.
    """
    order = ("browser", "long", "database", "witness")
    return next((place for place, kind in enumerate(order) if kind in marks), len(order))


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """With `-n`: see helpers.workers."""
    from helpers.workers import ByFile

    return ByFile(config, log)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Iterator[None]:
    """Remember which test is running."""
    RUNNING.append(item)
    try:
        return (yield)
    finally:
        RUNNING.pop()


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Keep the records where that was asked for."""
    target = session.config.getoption("--write-validation")
    if target and (_records or not session.config.getoption("numprocesses", None)):
        write_records(_records, Path(target))


@pytest.fixture
def printed_records(request: pytest.FixtureRequest, tmp_path: Path) -> list[Record]:
    """Every comparison of tests/reference: of this run if all of it ran, else of a run of its own."""
    import subprocess

    from survey import ROOT
    from validation import comparing_modules, read_records

    all_modules = {path.name for path in (ROOT / "tests" / "reference").rglob("test_*.py")}
    chosen = request.config.option.file_or_dir
    if _reference_modules >= all_modules and not _left_out and not any("::" in word for word in chosen):
        return list(_records)
    kept = tmp_path / "records.json"
    subprocess.run(
        [sys.executable, "-m", "pytest", "-q", *comparing_modules(), f"--write-validation={kept}"],
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
