"""One function of the small language of models, written in the assembly language of LLVM.

Besides what a model is written in there are arrays, loops, calls and shifts, for the search itself. Every
value is a whole number of 64 bits; both sides of `and` and `or` are looked at, always.
"""

from __future__ import annotations

import ast
import functools
from collections.abc import Iterable, Mapping
from typing import Final

__all__ = ["POINTERS", "WIDTHS", "FunctionWriter"]

_OPERATORS: Final[Mapping[type, str]] = {
    ast.Add: "add",
    ast.Sub: "sub",
    ast.Mult: "mul",
    ast.BitXor: "xor",
    ast.BitAnd: "and",
    ast.BitOr: "or",
    ast.LShift: "shl",
    ast.RShift: "lshr",
}
_COMPARED: Final[Mapping[type, str]] = {
    ast.Lt: "slt",
    ast.LtE: "sle",
    ast.Gt: "sgt",
    ast.GtE: "sge",
    ast.Eq: "eq",
    ast.NotEq: "ne",
}
WIDTHS: Final = {"words": "i64", "halves": "i32", "quarters": "i16"}
"""Kind of an argument that is an array → what it holds."""

POINTERS: Final = frozenset({*WIDTHS, "code"})
"""Kinds of arguments that say where something lies: an array, or a function to be called."""


class FunctionWriter:
    """Writes one function: every name has a place in memory, of which the optimiser makes registers."""

    def __init__(self, kinds: Mapping[str, str], numbers: Mapping[str, int] | None = None) -> None:
        self.kinds, self.numbers = kinds, numbers or {}
        self.rows: list[str] = []
        self.names: dict[str, None] = {}
        self._count = 0

    def row(self, text: str) -> str:
        """An instruction that gives a value; the name of the value."""
        self._count += 1
        self.rows.append(f"%t{self._count} = {text}")
        return f"%t{self._count}"

    def label(self) -> str:
        """A name for a place to go on from."""
        self._count += 1
        return f"l{self._count}"

    def begin(self, label: str) -> None:
        """What follows is reached by this label."""
        self.rows.append(f"{label}:")

    def jump(self, label: str) -> None:
        """Go on at a label."""
        self.rows.append(f"br label %{label}")

    def branch(self, truth: str, then: str, otherwise: str) -> None:
        """Go on at one of two labels."""
        self.rows.append(f"br i1 {truth}, label %{then}, label %{otherwise}")

    def value(self, operation: str, first: str, second: str | int) -> str:
        """An operation on two values."""
        return self.row(f"{operation} i64 {first}, {second}")

    def flag(self, relation: str, first: str, second: str | int) -> str:
        """Whether two values stand in a relation, as 0 or 1."""
        return self.row(f"zext i1 {self.row(f'icmp {relation} i64 {first}, {second}')} to i64")

    def get(self, name: str) -> str:
        """The value of a name."""
        return self.row(f"load i64, ptr %{name}.v")

    def set(self, name: str, value: str) -> None:
        """Give a name its value."""
        self.names[name] = None
        self.rows.append(f"store i64 {value}, ptr %{name}.v")

    def place(self, name: str, index: str) -> tuple[str, str]:
        """Where an entry of an array lies, and what it is."""
        width = WIDTHS[self.kinds[name]]
        return self.row(f"getelementptr {width}, ptr %{name}, i64 {index}"), width

    def store(self, name: str, index: str, value: str) -> None:
        """Write an entry of an array, cut to its width."""
        place, width = self.place(name, index)
        narrow = value if width == "i64" else self.row(f"trunc i64 {value} to {width}")
        self.rows.append(f"store {width} {narrow}, ptr {place}")

    def truth(self, tree: ast.expr) -> str:
        """A condition as one bit."""
        if isinstance(tree, ast.Compare):
            relation = _COMPARED[type(tree.ops[0])]
            first, second = self.expression(tree.left), self.expression(tree.comparators[0])
            return self.row(f"icmp {relation} i64 {first}, {second}")
        if isinstance(tree, ast.BoolOp):
            sign = "and" if isinstance(tree.op, ast.And) else "or"
            truths = [self.truth(value) for value in tree.values]
            return functools.reduce(lambda first, second: self.row(f"{sign} i1 {first}, {second}"), truths)
        if isinstance(tree, ast.UnaryOp) and isinstance(tree.op, ast.Not):
            return self.row(f"xor i1 {self.truth(tree.operand)}, true")
        return self.row(f"icmp ne i64 {self.expression(tree)}, 0")

    def expression(self, tree: ast.expr) -> str:
        """A value of 64 bits."""
        if isinstance(tree, ast.Constant):
            return str(tree.value)
        if isinstance(tree, ast.Name):
            return str(self.numbers[tree.id]) if tree.id in self.numbers else self.get(tree.id)
        if isinstance(tree, ast.IfExp):
            return self._chosen(
                self.truth(tree.test), self.expression(tree.body), self.expression(tree.orelse)
            )
        if isinstance(tree, ast.BinOp):
            first, second = self.expression(tree.left), self.expression(tree.right)
            return self.value(_OPERATORS[type(tree.op)], first, second)
        if isinstance(tree, ast.UnaryOp) and isinstance(tree.op, ast.USub):
            return self.value("sub", "0", self.expression(tree.operand))
        if isinstance(tree, ast.Subscript):
            place, width = self.place(_name(tree.value), self.expression(tree.slice))
            read = self.row(f"load {width}, ptr {place}")
            return read if width == "i64" else self.row(f"sext {width} {read} to i64")
        if isinstance(tree, ast.Call):
            return self._called(_name(tree.func), tree.args)
        return self.row(f"zext i1 {self.truth(tree)} to i64")

    def _chosen(self, truth: str, first: str, second: str) -> str:
        return self.row(f"select i1 {truth}, i64 {first}, i64 {second}")

    def _called(self, name: str, arguments: list[ast.expr]) -> str:
        if name in ("min", "max"):
            first, second = (self.expression(given) for given in arguments)
            relation = "slt" if name == "min" else "sgt"
            return self._chosen(self.row(f"icmp {relation} i64 {first}, {second}"), first, second)
        if name == "fetch":  # what will be needed soon is brought nearer
            place, _ = self.place(_name(arguments[0]), self.expression(arguments[1]))
            self.rows.append(f"call void @llvm.prefetch.p0(ptr {place}, i32 0, i32 3, i32 1)")
            return "0"
        handed = ", ".join(
            f"ptr %{given.id}"
            if isinstance(given, ast.Name) and self.kinds.get(given.id) in WIDTHS
            else f"i64 {self.expression(given)}"
            for given in arguments
        )
        sign = "%" if self.kinds.get(name) == "code" else "@"
        return self.row(f"call i64 {sign}{name}({handed})")

    def statement(self, node: ast.stmt) -> None:
        """An assignment, condition, loop, call or the end of the function; anything else is passed over."""
        if isinstance(node, ast.Assign):
            self._assign(node.targets[0], self.expression(node.value))
        elif isinstance(node, ast.If):
            then, otherwise, end = self.label(), self.label(), self.label()
            self.branch(self.truth(node.test), then, otherwise)
            for label, body in ((then, node.body), (otherwise, node.orelse)):
                self.begin(label)
                self._block(body)
                self.jump(end)
            self.begin(end)
        elif isinstance(node, ast.While):
            again, inside, end = self.label(), self.label(), self.label()
            self.jump(again)
            self.begin(again)
            self.branch(self.truth(node.test), inside, end)
            self.begin(inside)
            self._block(node.body)
            self.jump(again)
            self.begin(end)
        elif isinstance(node, ast.Return):
            assert node.value is not None
            self.rows.append(f"ret i64 {self.expression(node.value)}")
            self.begin(self.label())
        elif isinstance(node, ast.Expr) and isinstance(node.value, ast.Call):
            self.expression(node.value)

    def _assign(self, target: ast.expr, value: str) -> None:
        if isinstance(target, ast.Subscript):
            self.store(_name(target.value), self.expression(target.slice), value)
        else:
            self.set(_name(target), value)

    def _block(self, body: Iterable[ast.stmt]) -> None:
        for inner in body:
            self.statement(inner)

    def function(self, name: str, arguments: tuple[str, ...], *, inner: bool = False) -> str:
        """The whole function; names that are read before they are set are 0."""
        takes = ", ".join(
            f"{'ptr noalias' if self.kinds[given] in POINTERS else 'i64'} %{given}" for given in arguments
        )
        numbers = [given for given in arguments if self.kinds[given] not in POINTERS]
        places = dict.fromkeys((*numbers, *self.names))
        begins = [f"%{place}.v = alloca i64" for place in places]
        begins += [f"store i64 {f'%{place}' if place in numbers else 0}, ptr %{place}.v" for place in places]
        head = (
            f"define {'internal' if inner else ''} i64 @{name}({takes}) {'alwaysinline' if inner else ''} {{"
        )
        return "\n".join([head, *begins, *self.rows, "ret i64 0" if self.rows else "", "}"])


def _name(tree: ast.expr) -> str:
    assert isinstance(tree, ast.Name)
    return tree.id
