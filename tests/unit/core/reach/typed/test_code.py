"""Plain Python as machine code: every construct that may stand in a loop, against the same loop as it
stands.
"""

from __future__ import annotations

import math
import sys
import types
from collections.abc import Callable, MutableSequence, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from farpress.core.reach.typed.code import MachineLoops, built, loaded, made_for, written
from farpress.core.reach.ways_arrays import layout

_HALF = 0.5
MANY = 40


class Pair(NamedTuple):
    """Two numbers."""

    first: float
    number: int


class Nest(NamedTuple):
    """A group in a group."""

    pair: Pair
    is_set: bool


class Stone(NamedTuple):
    """A row that is read."""

    weight: float
    kind: int


@dataclass(slots=True)
class Sum:
    """A row that is written."""

    total: float
    seen: int


def _halved(x: float) -> float:
    return x * _HALF


def _both(x: float, n: int) -> tuple[float, int]:
    return x - n, n // 3 + n % 3


def _kept(nest: Nest) -> float:
    return nest.pair.first if nest.is_set else -nest.pair.number


def _numbers(x: float, n: int, sums: MutableSequence[Sum]) -> None:
    """Arithmetic, functions, groups and conditions."""
    here = sums[0]
    a, b = _both(x, n)
    a, b = a + 1, b + 1
    nest = Nest(Pair(x, n), x > 0.0 or n > 5)
    total = 0.0
    total += abs(a) ** 0.5 + max(x, 1.0, b) - min(a, 3) + x**2 / (1 + n**2)
    total += math.sqrt(abs(x)) + math.exp(-abs(x)) + math.sin(x) * math.cos(x) + math.log(1.0 + abs(x))
    total += math.log10(2.0 + abs(x)) + math.hypot(x, 3.0) + 10.0 ** (-abs(x) / 10.0) + math.pi
    total += _kept(nest) + _halved(n) + float(int(abs(x)))
    total += 1.0 if not (x < 1.0 <= a) and (x < 0.0) == (a < 0.0) else -(0.0 - _HALF)
    if x > 3.0 and n > 3:
        total += 7.0
    elif x != 2.0 or n == 1:
        total -= 0.25
    else:
        total *= 1.5
    here.total, here.seen = total, here.seen + b


def _loops(stones: Sequence[Stone], marks: MutableSequence[int], sums: MutableSequence[Sum]) -> None:
    """Loops, lists, and ways out of them."""
    for n in range(len(stones)):
        stone = stones[n]
        if stone.kind < 0:
            continue
        if stone.kind > 90:
            break
        for sign, share in ((1, 0.5), (-1, 0.25)):
            if sign * stone.weight < -20.0:
                continue
            sums[0].total += share * stone.weight
        marks[n % len(marks)] += n
    k, best = len(stones), -1
    while k > 0 and best < 0:
        k -= 1
        if not (stones[k].kind == 7 and k >= 0):
            continue
        best = k
    for n in range(1, len(marks)):
        if marks[n] > marks[n - 1]:
            sums[0].seen = best
            return
    sums[0].seen += 100


ROWS: dict[type[Any], Any] = {kind: layout(kind) for kind in (Stone, Sum)}


def machine(**entries: Callable[..., None]) -> MachineLoops:
    """Some of the loops above as machine code."""
    text, handed = written(entries=entries, modules=[sys.modules[__name__]], rows=ROWS)
    return loaded(built(text), handed)


@pytest.fixture(scope="module")
def loops() -> MachineLoops:
    """Both loops."""
    return machine(numbers=_numbers, loops=_loops)


@settings(max_examples=MANY)
@given(st.floats(-50.0, 50.0), st.integers(0, 1000))
def test_numbers_come_out_the_same(loops: MachineLoops, x: float, n: int) -> None:
    """Every operation and function, of any numbers."""
    plain, fast = [Sum(0.0, 3)], np.array([(0.0, 3)], dtype=ROWS[Sum])

    _numbers(x, n, plain)
    loops.call("numbers", x, n, fast)

    assert fast["total"][0] == pytest.approx(plain[0].total, rel=1e-13, abs=1e-12)
    assert fast["seen"][0] == plain[0].seen


@settings(max_examples=MANY)
@given(
    st.lists(st.tuples(st.floats(-99.0, 99.0), st.sampled_from((-1, 3, 7, 95))), max_size=9),
    st.lists(st.integers(0, 3), min_size=1, max_size=4),
)
def test_loops_go_on_and_end_at_the_same_places(
    loops: MachineLoops, stones: list[tuple[float, int]], marks: list[int]
) -> None:
    """Rows that are read, lists that are written, ways out of loops."""
    plain_marks, plain = list(marks), [Sum(0.0, 3)]
    fast_marks, fast = np.array(marks, dtype=np.int64), np.array([(0.0, 3)], dtype=ROWS[Sum])

    _loops([Stone(*stone) for stone in stones], plain_marks, plain)
    loops.call("loops", np.array(stones, dtype=ROWS[Stone]), fast_marks, fast)

    assert fast_marks.tolist() == plain_marks
    assert (fast["total"][0], fast["seen"][0]) == (plain[0].total, plain[0].seen)


def test_an_array_of_other_numbers_is_refused(loops: MachineLoops) -> None:
    """Machine code would read past its end."""
    stones, sums = np.zeros(3, dtype=ROWS[Stone]), np.zeros(1, dtype=ROWS[Sum])
    for marks in (
        np.zeros(8, dtype=np.int32),
        np.zeros(8, dtype=np.int64)[::2],
        np.zeros((2, 2), dtype=np.int64),
    ):
        with pytest.raises(TypeError, match="one after another"):
            loops.call("loops", stones, marks, sums)


@pytest.mark.parametrize(
    "body",
    [
        "sums[0].total = sum([1.0])",
        "sums[0].total = [1.0][0]",
        "sums[0].seen = 1 << 3",
        "sums[0].total = math.tan(1.0)",
        "sums[0].total = float(name)",
        "for here in sums:\n        here.total = 1.0",
        "for n in range(9, 0, -1):\n        sums[0].seen = n",
        "with sums:\n        pass",
    ],
)
def test_what_may_not_stand_in_a_loop_is_named(body: str, tmp_path: Any) -> None:
    """Nothing is left out or guessed: the function and the words that cannot be written."""
    head = "import math\nfrom collections.abc import MutableSequence\n\nname = 'x'\n\n\n"
    file = tmp_path / "refused_loop.py"
    file.write_text(f"{head}def loop(sums):\n    {body}\n", encoding="utf-8")
    module = types.ModuleType("refused_loop")
    module.__file__ = str(file)
    exec(compile(file.read_text(encoding="utf-8"), str(file), "exec"), vars(module))
    module.loop.__annotations__ = {"sums": MutableSequence[Sum], "return": None}

    with pytest.raises(TypeError, match=r"refused_loop\.loop: .* may not stand"):
        written(entries={"loop": module.loop}, modules=[module], rows=ROWS)


def test_the_name_of_a_processor_is_part_of_what_code_is_made_for() -> None:
    """Code for one processor is never handed to another."""
    from llvmlite import binding

    assert binding.get_host_cpu_name() in made_for()
    assert binding.get_host_cpu_features().flatten() in made_for()
