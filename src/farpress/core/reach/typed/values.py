"""Values and conditions of plain Python in the assembly language of LLVM: see `code`.

Every name has a place in memory, of which the optimiser makes registers. Each field of each class of rows
lies apart from all others, and that is told, so what is read of a wall stays read while a point is written.
"""

from __future__ import annotations

import ast
import builtins
import math
import struct
import types
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final

from farpress.core.reach.typed.kinds import BOOL, FLOAT, INT, NOTHING, GroupKind, Kind, ListKind, RowKind
from farpress.core.reach.typed.rows import Loops, Rows, Value

__all__ = ["INTRINSICS", "ValueWriter"]

_MATH: Final = {"sqrt": 1, "exp": 1, "log": 1, "log10": 1, "sin": 1, "cos": 1, "pow": 2, "fabs": 1}
INTRINSICS: Final = tuple(
    f"declare double @llvm.{name}.f64({', '.join(['double'] * count)})" for name, count in _MATH.items()
)
"""Declarations that go before every function."""

_OPERATORS: Final[Mapping[type, str]] = {ast.Add: "add", ast.Sub: "sub", ast.Mult: "mul"}
_COMPARED: Final[Mapping[type, tuple[str, str]]] = {
    ast.Lt: ("olt", "slt"),
    ast.LtE: ("ole", "sle"),
    ast.Gt: ("ogt", "sgt"),
    ast.GtE: ("oge", "sge"),
    ast.Eq: ("oeq", "eq"),
    ast.NotEq: ("une", "ne"),
}
_PLACE: Final = Kind("ptr")


class ValueWriter(Rows):
    """Writes the values and conditions of one function."""

    def __init__(self, loops: Loops, function: Callable[..., Any], tags: dict[str, int]) -> None:
        """Take the functions around, the one meant, and the numbers of what lies apart, which grow."""
        super().__init__()
        assert isinstance(function, types.FunctionType)
        self.called: list[Callable[..., Any]] = []
        self._loops, self._function, self._tags = loops, function, tags

    def value(self, node: ast.expr) -> Value:
        """Write an expression."""
        write = getattr(self, f"_{type(node).__name__.lower()}", None)
        if write is None:
            raise self.refused(node)
        found: Value = write(node)
        return found

    def refused(self, node: ast.AST) -> TypeError:
        """What to say of something that may not stand here."""
        where = f"{self._function.__module__}.{self._function.__name__}"
        return TypeError(f"{where}: {ast.unparse(node)!r} may not stand in a loop that becomes machine code")

    def branch(self, test: ast.expr, then: str, otherwise: str) -> None:
        """Go on at one of two labels; what need not be looked at is not."""
        if isinstance(test, ast.BoolOp):
            is_and = isinstance(test.op, ast.And)
            for part in test.values[:-1]:
                on = self.label()
                self.branch(part, *((on, otherwise) if is_and else (then, on)))
                self.begin(on)
            self.branch(test.values[-1], then, otherwise)
        elif isinstance(test, ast.UnaryOp) and isinstance(test.op, ast.Not):
            self.branch(test.operand, otherwise, then)
        else:
            self.leave(f"br i1 {self._truth(self.value(test))}, label %{then}, label %{otherwise}")

    def turned(self, value: Value, kind: Kind) -> Value:
        """A value as another kind: whole numbers become broken ones where these are meant."""
        if value.kind == kind:
            return value
        if isinstance(value.kind, GroupKind) and isinstance(kind, GroupKind):
            if value.kind.text == kind.text:
                return Value(value.text, kind)
            parts = [self.turned(self.part(value, n), part) for n, part in enumerate(kind.kinds)]
            return self._grouped(parts, kind)
        if kind == FLOAT and value.kind in (INT, BOOL):
            sign = "s" if value.kind == INT else "u"
            return self.row(f"{sign}itofp {value.kind.text} {value.text} to double", FLOAT)
        if kind == INT and value.kind == BOOL:
            return self.row(f"zext i1 {value.text} to i64", INT)
        raise TypeError(f"{self._function.__name__}: {value.kind.text} stands where {kind.text} is meant")

    def part(self, value: Value, number: int) -> Value:
        """One value of a group or list."""
        kinds = value.kind.kinds if isinstance(value.kind, GroupKind) else (_PLACE, INT)
        return self.row(f"extractvalue {value.kind.text} {value.text}, {number}", kinds[number])

    def field(self, row: Value, name: str) -> tuple[str, Kind, str]:
        """Where a field of a row lies, its kind, and what it is told apart by."""
        assert isinstance(row.kind, RowKind)
        offset, kind = row.kind.fields[name]
        place = self.row(f"getelementptr inbounds i8, ptr {row.text}, i64 {offset}", _PLACE).text
        return place, kind, f"{row.kind.name}.{name}"

    def entry(self, node: ast.Subscript) -> tuple[str, Kind, str]:
        """Where an entry of a list lies, its kind, and what it is told apart by."""
        whole, number = self.value(node.value), self.turned(self.value(node.slice), INT).text
        if not isinstance(whole.kind, ListKind):
            raise self.refused(node)
        item = whole.kind.item
        size = f"[{item.size} x i8]" if isinstance(item, RowKind) else item.text
        place = self.row(
            f"getelementptr inbounds {size}, ptr {self.part(whole, 0).text}, i64 {number}", _PLACE
        )
        return place.text, item, f"list of {item.text}"

    def told(self, tag: str) -> str:
        """What is read or written here lies apart from everything with another tag."""
        return f", !tbaa !{self._tags.setdefault(tag, 1 + 2 * len(self._tags)) + 1}"

    def _truth(self, value: Value) -> str:
        if value.kind == BOOL:
            return value.text
        return self.row(f"icmp ne i64 {self.turned(value, INT).text}, 0", BOOL).text

    def _grouped(self, parts: Sequence[Value], kind: Kind) -> Value:
        whole = Value("poison", kind)
        for number, part in enumerate(parts):
            held = f"{part.kind.text} {part.text}, {number}"
            whole = self.row(f"insertvalue {kind.text} {whole.text}, {held}", kind)
        return whole

    def _constant(self, node: ast.Constant) -> Value:
        return self._number(node.value, node)

    def _number(self, given: object, node: ast.AST) -> Value:
        if isinstance(given, bool):
            return Value("true" if given else "false", BOOL)
        if isinstance(given, int):
            return Value(str(given), INT)
        if isinstance(given, float):
            return Value(f"0x{struct.unpack('<Q', struct.pack('<d', given))[0]:016X}", FLOAT)
        raise self.refused(node)

    def _name(self, node: ast.Name) -> Value:
        if node.id in self.places:
            return self.load(node.id)
        return self._number(self._function.__globals__.get(node.id), node)

    def _tuple(self, node: ast.Tuple) -> Value:
        values = [self.value(part) for part in node.elts]
        return self._grouped(values, self._loops.kinds.group(value.kind for value in values))

    def _attribute(self, node: ast.Attribute) -> Value:
        if isinstance(node.value, ast.Name) and self._function.__globals__.get(node.value.id) is math:
            return self._number(getattr(math, node.attr), node)
        where = self._where(node)
        if where is not None:
            return self.row(f"load {where.kind.text}, ptr {where.text}", where.kind)
        whole = self.value(node.value)
        if isinstance(whole.kind, GroupKind):
            return self.part(whole, whole.kind.names.index(node.attr))
        if not isinstance(whole.kind, RowKind):
            raise self.refused(node)
        place, kind, tag = self.field(whole, node.attr)
        if isinstance(kind, ListKind):  # a table lies in the row itself
            return self._grouped([Value(place, _PLACE), Value(str(whole.kind.lengths[node.attr]), INT)], kind)
        return self.row(f"load {kind.text}, ptr {place}{self.told(tag)}", kind)

    def _where(self, node: ast.expr) -> Value | None:
        """Where a name, or a value in the group that a name holds, lies; None for everything else."""
        if isinstance(node, ast.Name) and node.id in self.places:
            return Value(f'%"{node.id}"', self.places[node.id])
        if isinstance(node, ast.Attribute):
            whole = self._where(node.value)
            if whole is not None and isinstance(whole.kind, GroupKind):
                number = whole.kind.names.index(node.attr)
                path = f"getelementptr inbounds {whole.kind.text}, ptr {whole.text}, i32 0, i32 {number}"
                return self.row(path, whole.kind.kinds[number])
        return None

    def _subscript(self, node: ast.Subscript) -> Value:
        place, kind, tag = self.entry(node)
        if isinstance(kind, RowKind):
            return Value(place, kind)
        return self.row(f"load {kind.text}, ptr {place}{self.told(tag)}", kind)

    def _unaryop(self, node: ast.UnaryOp) -> Value:
        given = self.value(node.operand)
        if isinstance(node.op, ast.Not):
            return self.row(f"xor i1 {self._truth(given)}, true", BOOL)
        if not isinstance(node.op, ast.USub):
            raise self.refused(node)
        if given.kind == FLOAT:
            return self.row(f"fneg double {given.text}", FLOAT)
        return self.row(f"sub i64 0, {given.text}", INT)

    def _binop(self, node: ast.BinOp) -> Value:
        first = self.value(node.left)
        if isinstance(node.op, ast.Pow) and isinstance(node.right, ast.Constant) and node.right.value == 2:
            return self._operated("mul", first, first)
        second = self.value(node.right)
        if type(node.op) in _OPERATORS:
            return self._operated(_OPERATORS[type(node.op)], first, second)
        if isinstance(node.op, ast.FloorDiv | ast.Mod) and (first.kind, second.kind) == (INT, INT):
            # whole numbers of these loops are counts: neither is below zero
            what = "sdiv" if isinstance(node.op, ast.FloorDiv) else "srem"
            return self.row(f"{what} i64 {first.text}, {second.text}", INT)
        left, right = self.turned(first, FLOAT), self.turned(second, FLOAT)
        if isinstance(node.op, ast.Div):
            return self.row(f"fdiv double {left.text}, {right.text}", FLOAT)
        if isinstance(node.op, ast.Pow):
            return self._computed("pow", [left, right])
        raise self.refused(node)

    def _operated(self, what: str, first: Value, second: Value) -> Value:
        kind = first.kind.with_(second.kind)
        left, right = self.turned(first, kind), self.turned(second, kind)
        sign = "f" if kind == FLOAT else ""
        return self.row(f"{sign}{what} {kind.text} {left.text}, {right.text}", kind)

    def _computed(self, name: str, given: Sequence[Value]) -> Value:
        handed = ", ".join(f"double {self.turned(value, FLOAT).text}" for value in given)
        return self.row(f"call double @llvm.{name}.f64({handed})", FLOAT)

    def _compare(self, node: ast.Compare) -> Value:
        values = [self.value(part) for part in (node.left, *node.comparators)]
        holds: list[Value] = []
        for operator, first, second in zip(node.ops, values, values[1:]):
            holds.append(self._compared(operator, first, second))
        whole = holds[0]
        for part in holds[1:]:
            whole = self.row(f"and i1 {whole.text}, {part.text}", BOOL)
        return whole

    def _compared(self, operator: ast.cmpop, first: Value, second: Value) -> Value:
        broken, whole = _COMPARED[type(operator)]
        kind = first.kind.with_(second.kind)
        left, right = self.turned(first, kind), self.turned(second, kind)
        what = f"fcmp {broken}" if kind == FLOAT else f"icmp {whole}"
        return self.row(f"{what} {kind.text} {left.text}, {right.text}", BOOL)

    def _boolop(self, node: ast.BoolOp) -> Value:
        return self._either(node, ast.Constant(True), ast.Constant(False))

    def _ifexp(self, node: ast.IfExp) -> Value:
        return self._either(node.test, node.body, node.orelse)

    def _either(self, test: ast.expr, body: ast.expr, otherwise: ast.expr) -> Value:
        """One of two values; only the one that is meant is looked at."""
        then, orelse, end = self.label(), self.label(), self.label()
        self.branch(test, then, orelse)
        self.begin(then)
        first = self.value(body)
        rows = self.rows
        self.rows = []  # the other is looked at for its kind before the first is kept
        self.is_open = True
        second = self.value(otherwise)
        behind, self.rows = self.rows, rows
        kind = first.kind.with_(second.kind)
        place = self.nameless(kind)
        self.store(place, self.turned(first, kind))
        self.leave(f"br label %{end}")
        self.begin(orelse)
        self.rows += behind
        self.store(place, self.turned(second, kind))
        self.begin(end)
        return self.load(place)

    def _call(self, node: ast.Call) -> Value:
        if isinstance(node.func, ast.Attribute):
            return self._of_math(node, [self.value(part) for part in node.args])
        if not isinstance(node.func, ast.Name) or node.keywords:
            raise self.refused(node)
        name = node.func.id
        called = self._function.__globals__.get(name, getattr(builtins, name, None))
        if called is len:
            whole = self.value(node.args[0])
            return self.part(whole, 1)
        given = [self.value(part) for part in node.args]
        if called in (min, max):
            return self._least(called is min, given)
        if called is abs:
            return self._computed("fabs", given)
        if called is float:
            return self.turned(given[0], FLOAT)
        if called is int:
            return self._whole(given[0])
        if isinstance(called, type):
            kind = self._loops.kinds.of(called)
            if not isinstance(kind, GroupKind) or len(given) != len(kind.kinds):
                raise self.refused(node)
            return self._grouped([self.turned(part, own) for part, own in zip(given, kind.kinds)], kind)
        return self._own(node, called, given)

    def _own(self, node: ast.Call, called: Any, given: Sequence[Value]) -> Value:
        """A call of another loop."""
        symbol = self._loops.name_of(called)
        if not symbol:
            raise self.refused(node)
        self.called.append(called)
        _, kinds, gives = self._loops.signature(called)
        turned = [self.turned(part, kind) for part, kind in zip(given, kinds, strict=True)]
        handed = ", ".join(f"{part.kind.text} {part.text}" for part in turned)
        if gives == NOTHING:
            self.rows.append(f'call void @"{symbol}"({handed})')
            return Value("", NOTHING)
        return self.row(f'call {gives.text} @"{symbol}"({handed})', gives)

    def _of_math(self, node: ast.Call, given: Sequence[Value]) -> Value:
        assert isinstance(node.func, ast.Attribute)
        name, base = node.func.attr, node.func.value
        if not isinstance(base, ast.Name) or self._function.__globals__.get(base.id) is not math:
            raise self.refused(node)
        if name == "hypot" and len(given) == 2:
            squares = [self._operated("mul", value, value) for value in given]
            return self._computed("sqrt", [self._operated("add", *squares)])
        if _MATH.get(name) != len(given):
            raise self.refused(node)
        return self._computed(name, given)

    def _least(self, is_least: bool, given: Sequence[Value]) -> Value:
        whole = given[0]
        for value in given[1:]:
            kind = whole.kind.with_(value.kind)
            whole, other = self.turned(whole, kind), self.turned(value, kind)
            isit = self._compared(ast.Lt() if is_least else ast.Gt(), other, whole)
            chosen = f"{kind.text} {other.text}, {kind.text} {whole.text}"
            whole = self.row(f"select i1 {isit.text}, {chosen}", kind)
        return whole

    def _whole(self, value: Value) -> Value:
        if value.kind == FLOAT:
            return self.row(f"fptosi double {value.text} to i64", INT)
        return self.turned(value, INT)
