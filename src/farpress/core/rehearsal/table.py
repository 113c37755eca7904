"""A network as a table of instructions, for the compiled kernel.

Registers hold the variables, the signals, the numbers and the results in between; each
instruction is a row (operation, target, first, second). Nothing here runs it: that is
`kernel`.
"""

from __future__ import annotations

import ast
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from farpress.core.rehearsal.ready import Network
from farpress.core.rehearsal.wording import ModelError
from farpress.sources import Mark, cites

__all__ = ["OPERATIONS", "CompiledTable", "make_table"]

OPERATIONS: Final = (
    "halt",
    "move",
    "jump",
    "jump if zero",
    "+",
    "-",
    "*",
    "<",
    "<=",
    "==",
    "!=",
    "and",
    "or",
    "not",
    "min",
    "max",
)
"""Operation numbers are places in this list; the kernel follows the same order."""

_NUMBER: Final = {name: number for number, name in enumerate(OPERATIONS)}
_BINARY: Final = {
    ast.Add: "+",
    ast.Sub: "-",
    ast.Mult: "*",
    ast.Lt: "<",
    ast.LtE: "<=",
    ast.Eq: "==",
    ast.NotEq: "!=",
}
_TURNED: Final = {ast.Gt: "<", ast.GtE: "<="}
_WIDEST: Final = 62


@dataclass(frozen=True)
class CompiledTable:
    """A network as arrays.

    Attributes:
        code: instructions, shape (n, 4).
        entries: where each event begins, shape (events,).
        registers: their values before an event: signals 0, numbers in place, shape (r,).
        shifts, masks, highs: place and range of each variable in a packed state, shape (v,).
        bad: register of each bad condition, shape (b,).
        start: packed state at the beginning.
        own: registers of variables and signals, the first ones; only they are set before an event.
    """

    code: NDArray[np.int32]
    entries: NDArray[np.int32]
    registers: NDArray[np.int64]
    shifts: NDArray[np.int64]
    masks: NDArray[np.int64]
    highs: NDArray[np.int64]
    bad: NDArray[np.int32]
    start: int
    own: int


class _Writer:
    def __init__(self, network: Network) -> None:
        self.rows: list[list[int]] = []
        self.names = {name: index for index, name in enumerate((*network.variables, *network.passing))}
        self.values = [0] * len(self.names)
        self.numbers = network.numbers
        self._constants: dict[int, int] = {}

    def register(self) -> int:
        self.values.append(0)
        return len(self.values) - 1

    def constant(self, value: int) -> int:
        if value not in self._constants:
            self._constants[value] = self.register()
            self.values[self._constants[value]] = value
        return self._constants[value]

    def row(self, operation: str, target: int = 0, first: int = 0, second: int = 0) -> int:
        self.rows.append([_NUMBER[operation], target, first, second])
        return len(self.rows) - 1

    def expression(self, tree: ast.expr, target: int | None = None) -> int:
        """Registers the value; in `target` if one is given."""
        if isinstance(tree, (ast.Name, ast.Constant)):
            if isinstance(tree, ast.Name):
                source = (
                    self.names[tree.id] if tree.id in self.names else self.constant(self.numbers[tree.id])
                )
            else:
                assert isinstance(tree.value, int)
                source = self.constant(tree.value)
            if target is None:
                return source
            self.row("move", target, source)
            return target
        into = self.register() if target is None or self._is_read(tree, target) else target
        if isinstance(tree, ast.IfExp):
            skip = self.row("jump if zero", 0, self.expression(tree.test))
            self.expression(tree.body, into)
            end = self.row("jump")
            self.rows[skip][1] = len(self.rows)
            self.expression(tree.orelse, into)
            self.rows[end][1] = len(self.rows)
        elif isinstance(tree, ast.BoolOp):
            operation = "and" if isinstance(tree.op, ast.And) else "or"
            first = self.expression(tree.values[0])
            for value in tree.values[1:]:
                self.row(operation, into, first, self.expression(value))
                first = into
        elif isinstance(tree, ast.UnaryOp):
            inner = self.expression(tree.operand)
            (
                self.row("not", into, inner)
                if isinstance(tree.op, ast.Not)
                else self.row("-", into, self.constant(0), inner)
            )
        elif isinstance(tree, ast.BinOp):
            self.row(_BINARY[type(tree.op)], into, self.expression(tree.left), self.expression(tree.right))
        elif isinstance(tree, ast.Compare):
            left, right, kind = (
                self.expression(tree.left),
                self.expression(tree.comparators[0]),
                type(tree.ops[0]),
            )
            (
                self.row(_TURNED[kind], into, right, left)
                if kind in _TURNED
                else self.row(_BINARY[kind], into, left, right)
            )
        elif isinstance(tree, ast.Call):
            assert isinstance(tree.func, ast.Name)
            self.row(tree.func.id, into, self.expression(tree.args[0]), self.expression(tree.args[1]))
        if target is not None and into != target:
            self.row("move", target, into)
            return target
        return into

    def _is_read(self, tree: ast.expr, target: int) -> bool:
        return any(
            isinstance(node, ast.Name) and self.names.get(node.id) == target for node in ast.walk(tree)
        )

    def statement(self, node: ast.stmt) -> None:
        if isinstance(node, ast.Assign):
            assert isinstance(node.targets[0], ast.Name)
            self.expression(node.value, self.names[node.targets[0].id])
        elif isinstance(node, ast.If):
            skip = self.row("jump if zero", 0, self.expression(node.test))
            for inner in node.body:
                self.statement(inner)
            if node.orelse:
                end = self.row("jump")
                self.rows[skip][1] = len(self.rows)
                for inner in node.orelse:
                    self.statement(inner)
                self.rows[end][1] = len(self.rows)
            else:
                self.rows[skip][1] = len(self.rows)


@cites("three-address code", mark=Mark.COMPUTED)
def make_table(network: Network) -> CompiledTable:
    """Write a network as a table of instructions.

    Raises:
        ModelError: a state does not fit into 62 bits.
    """
    widths = [max(high, 1).bit_length() for high in network.highs]
    if sum(widths) > _WIDEST:
        raise ModelError(
            f"A state takes {sum(widths)} bits; the kernel holds {_WIDEST}. Search fewer things together."
        )
    shifts = [sum(widths[:index]) for index in range(len(widths))]
    writer = _Writer(network)
    entries, ends = [], []
    for event in network.events:
        entries.append(len(writer.rows))
        skip = writer.row("jump if zero", 0, writer.expression(event.when))
        # the guard's rows come first, the jump reads their result
        for statement in event.does:
            writer.statement(statement)
        ends.append(writer.row("jump"))
        writer.rows[skip][1] = len(writer.rows)
        writer.row("halt", 0)
    for end in ends:
        writer.rows[end][1] = len(writer.rows)
    for statement in network.settling:
        writer.statement(statement)
    bad = [writer.expression(tree, writer.register()) for tree in network.bad.values()]
    writer.row("halt", 1)
    start = sum(value << shift for value, shift in zip(network.starts, shifts, strict=True))
    return CompiledTable(
        np.array(writer.rows, np.int32),
        np.array(entries, np.int32),
        np.array(writer.values, np.int64),
        np.array(shifts, np.int64),
        np.array([(1 << width) - 1 for width in widths], np.int64),
        np.array(network.highs, np.int64),
        np.array(bad, np.int32),
        start,
        len(writer.names),
    )
