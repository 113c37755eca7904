"""Tries one change in judging: which tests run through it, and whether one of them fails; used by
`mutate_judging`.

Two processes stand ready. One has loaded what judging stands on: where a change is at the head of a module,
a copy of it loads judging and the tests anew. The other has loaded all tests too: where a change is in a
function, a copy of it exchanges the code of that function.
"""

from __future__ import annotations

import ast
import gc
import importlib
import importlib.machinery
import os
import re
import signal
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from multiprocessing import Pipe
from multiprocessing.connection import Connection
from types import CodeType, FunctionType
from typing import Final

import pytest
from _pytest.runner import runtestprotocol

from judging_mutants import JUDGING, Mutant, changed
from survey import ROOT
from tests_by_line import Lines, TestsByLine, seen

__all__ = ["FAILED", "FROZEN_FAILED", "NO_END", "NO_NUMBER", "NO_TRY", "PASSED", "Tries"]

UNIT: Final = ROOT / "tests" / "unit" / "judging"
CELL_MONTHS: Final = ROOT / "tests" / "unit" / "papers" / "builders" / "test_cell_months.py"
FROZEN: Final = ROOT / "tests" / "frozen" / "test_findings_frozen.py"
TESTS: Final = tuple(str(path) for path in (JUDGING, UNIT, CELL_MONTHS, FROZEN))

PATIENCE_S: Final = 600.0
"""Until a change counts as one without an end; all tests take a tenth of it on a busy machine."""

WORDS: Final = (
    *("-q", "-x", "-p", "no:cacheprovider", "-p", "no:xdist"),
    *("-W", "ignore::pytest.PytestAssertRewriteWarning"),  # plugins are loaded before pytest asks for them
)

BELOW: Final = [
    ["farpress", name] for name in ("case", "core", "domain", "phrases", "reach", "sources", "units")
]
"""What judging stands on and what never asks it."""

PASSED, FAILED, FROZEN_FAILED, NO_TRY, NO_END, NO_NUMBER = 0, 1, 2, 97, 98, 99


class Tries:
    """The two processes.

    Attributes:
        known: which test runs through what; those that fail without a change are not asked.
    """

    def __init__(self) -> None:
        os.chdir(ROOT)
        sys.path[:0] = [str(ROOT / part) for part in ("src", "tests")]
        _load_what_is_below()
        self._loaded, theirs = Pipe()
        if os.fork() == 0:
            try:
                self._loaded.close()
                _be_silent()
                pytest.main([*WORDS, *TESTS], plugins=[_Loaded(theirs)])
            finally:
                os._exit(0)
        theirs.close()
        self.known: TestsByLine
        self.known, self._run_while_loading = self._loaded.recv()
        for test in self.known.failed:  # it would kill everything
            del self.known.takes_s[test]

    def result(self, mutant: Mutant) -> int:
        """Whether a test of its room fails, or another one, or the frozen findings; in this order."""
        lines = self._run_while_loading.get(str(mutant.file), set())
        is_loading = bool(mutant.names or lines & set(range(mutant.first, mutant.last + 1)))
        stages = list(_stages(mutant, self.known, is_loading=is_loading))
        if not is_loading:
            self._loaded.send((mutant, stages))
            return int(self._loaded.recv())
        return _in_a_process(lambda: _tried_from_the_ground(mutant, stages))


def _load_what_is_below() -> None:
    names = {
        node.module
        for path in JUDGING.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[:2] in BELOW
    }
    for name in (*sorted(names), "numpy.testing", "scipy.optimize", "hypothesis", "jinja2", "sqlite3"):
        importlib.import_module(name)
    from helpers.logic_case import a_case
    from helpers.radio_case import larkfen

    a_case({"1": {"kind": "pulse", "for_s": 0.5, "works": "gate.open"}})
    larkfen()
    assert not any(name.startswith("farpress.judging.") for name in sys.modules)
    gc.freeze()


class _Loaded:
    """A plugin of the process with all tests loaded: notes what they run, then tries change after change."""

    def __init__(self, asked: Connection) -> None:
        self.asked, self.while_loading = asked, Lines(JUDGING)

    def pytest_sessionstart(self) -> None:
        """What runs while tests are loaded cannot be changed afterwards."""
        self.while_loading.__enter__()

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Instead of the tests themselves."""
        self.while_loading.__exit__()
        ours, theirs = Pipe()
        if os.fork() == 0:
            try:
                theirs.send(seen(session.items, JUDGING))
            finally:
                os._exit(0)
        theirs.close()
        self.asked.send((ours.recv(), self.while_loading.seen))
        items = {item.nodeid: item for item in session.items}
        gc.unfreeze()  # what was loaded has been set apart before the tests began
        functions = [
            thing
            for thing in gc.get_objects()
            if isinstance(thing, FunctionType) and thing.__code__.co_filename.startswith(str(JUDGING))
        ]
        gc.freeze()
        while self._has_tried_one(items, functions):
            pass
        return True

    def _has_tried_one(self, items: dict[str, pytest.Item], functions: list[FunctionType]) -> bool:
        try:
            mutant, stages = self.asked.recv()
        except EOFError:
            return False
        self.asked.send(_in_a_process(lambda: _tried_in_place(mutant, stages, items, functions)))
        return True


def _tried_in_place(
    mutant: Mutant, stages: list[list[str]], items: dict[str, pytest.Item], functions: list[FunctionType]
) -> int:
    """The changed code put into the function that has it, and the tests that run through it."""
    _put_in(mutant, functions)
    for number, tests in enumerate(stages):
        for test in tests:
            for report in runtestprotocol(items[test], log=False, nextitem=None):
                if report.failed:
                    return NO_NUMBER if "unsupported operand" in report.longreprtext else _failed(number)
    return PASSED


def _put_in(mutant: Mutant, functions: list[FunctionType]) -> None:
    """Exchange the code of each function that holds the changed line.

    Raises:
        LookupError: there is none, so nothing would be tried.
    """
    path = str(mutant.file)
    codes = _codes(compile(changed(mutant), path, "exec"))
    new = {(code.co_qualname, code.co_firstlineno): code for code in codes}
    exchanged = 0
    for function in functions:
        old = function.__code__
        code = new.get((old.co_qualname, old.co_firstlineno)) if old.co_filename == path else None
        if code is not None and code != old:
            function.__code__ = code
            exchanged += 1
    if not exchanged:
        raise LookupError(f"No function holds {mutant}.")


def _codes(code: CodeType) -> Iterator[CodeType]:
    yield code
    for constant in code.co_consts:
        if isinstance(constant, CodeType):
            yield from _codes(constant)


def _tried_from_the_ground(mutant: Mutant, stages: list[list[str]]) -> int:
    """Everything loaded anew with the change in it."""
    try:
        finder = _Finder(mutant)
        sys.meta_path.insert(0, finder)  # type: ignore[arg-type]
        importlib.import_module(finder.name)
    except Exception:
        return NO_NUMBER
    for number, tests in enumerate(stages):
        if not tests:
            continue
        chosen = _Chosen(tests)
        files = [str(ROOT / file) for file in dict.fromkeys(test.partition("::")[0] for test in tests)]
        result = pytest.main([*WORDS, *files], plugins=[chosen])
        if result == pytest.ExitCode.TESTS_FAILED:
            return NO_NUMBER if chosen.is_no_number else _failed(number)
        if result != pytest.ExitCode.OK:
            return NO_NUMBER
    return PASSED


class _Chosen:
    """A plugin: only these tests, in this order; and whether what fails is an operator without a number."""

    def __init__(self, tests: Sequence[str]) -> None:
        self.tests = {test: place for place, test in enumerate(tests)}
        self.is_no_number = False

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """After everybody else has sorted them."""
        chosen = [item for item in items if item.nodeid in self.tests]
        items[:] = sorted(chosen, key=lambda item: self.tests[item.nodeid])

    def pytest_runtest_makereport(self, item: pytest.Item, call: pytest.CallInfo[None]) -> None:
        """Look at the reason of a failure."""
        if call.excinfo is not None and call.excinfo.errisinstance(TypeError):
            self.is_no_number = "unsupported operand" in str(call.excinfo.value)


class _Finder(importlib.machinery.PathFinder):
    """Finds the changed module before the one on disk."""

    def __init__(self, mutant: Mutant) -> None:
        self.name = ".".join(mutant.file.relative_to(ROOT / "src").with_suffix("").parts)
        self.path, self.code = str(mutant.file), compile(changed(mutant), str(mutant.file), "exec")

    def find_spec(  # type: ignore[override]
        self, name: str, path: object = None, target: object = None
    ) -> importlib.machinery.ModuleSpec | None:
        """Of the changed module only."""
        if name != self.name:
            return None
        loader = _Loader(name, self.path)
        loader.changed = self.code
        spec = importlib.machinery.ModuleSpec(name, loader, origin=self.path)
        spec.has_location = True
        return spec


class _Loader(importlib.machinery.SourceFileLoader):
    changed: CodeType

    def get_code(self, fullname: str) -> CodeType:
        return self.changed


ROOM, ELSEWHERE, REST, LAST = range(4)


def _stages(mutant: Mutant, known: TestsByLine, *, is_loading: bool) -> Iterator[list[str]]:
    """Tests that run through what is changed, the quickest first: those of its room, those of other rooms,
    the rest of its room if it runs while a module is loaded, and the frozen findings. What stands at the head
    of one is run through by whatever reads its names; what its functions make there by any test of the room.
    """
    if mutant.names:
        word = re.compile(rf"\b({'|'.join(mutant.names)})\b")
        touched = known.of_file(mutant.file)
        for path in JUDGING.rglob("*.py"):
            for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
                touched |= known.of(path, number, number) if word.search(line) else set()
    else:
        touched = known.of(mutant.file, mutant.first, mutant.last)
    touched &= known.takes_s.keys()
    room, frozen = (str(path.relative_to(ROOT)) for path in (UNIT / mutant.room, FROZEN))
    ordered = sorted(known.takes_s, key=lambda test: known.takes_s[test])
    own = [test for test in ordered if test.startswith((room, "src/"))]
    last = [test for test in ordered if test.startswith(frozen)]
    yield [test for test in own if test in touched]
    yield [test for test in ordered if test in touched and test not in own and test not in last]
    yield [test for test in own if test not in touched and is_loading]
    yield last if is_loading or touched & set(last) else []


def _failed(stage: int) -> int:
    return FROZEN_FAILED if stage == LAST else FAILED


def _in_a_process(work: Callable[[], int]) -> int:
    """What the work says, done in a copy of this process that says nothing itself."""
    child = os.fork()
    if child == 0:
        result = NO_TRY
        try:
            _be_silent()
            result = int(work())
        finally:
            os._exit(result)
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        found, status = os.waitpid(child, os.WNOHANG)
        if found:
            return os.waitstatus_to_exitcode(status)
        time.sleep(0.01)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return NO_END


def _be_silent() -> None:
    nothing = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nothing, 1)
    os.dup2(nothing, 2)
