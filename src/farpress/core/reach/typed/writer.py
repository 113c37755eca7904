"""The statements of one function of plain Python in the assembly language of LLVM: see `code`."""

from __future__ import annotations

import ast
from collections.abc import Callable, Sequence
from typing import Any

from farpress.core.reach.typed.kinds import BOOL, INT, NOTHING, GroupKind, Kind
from farpress.core.reach.typed.rows import Loops, Value
from farpress.core.reach.typed.values import ValueWriter

__all__ = ["LoopWriter"]


class LoopWriter(ValueWriter):
    """Writes one function, statement by statement."""

    def __init__(self, loops: Loops, function: Callable[..., Any], tags: dict[str, int]) -> None:
        """Take the functions around, the one meant, and the numbers of what lies apart, which grow."""
        super().__init__(loops, function, tags)
        self._names, self._kinds, self._gives = loops.signature(function)
        self.places.update(zip(self._names, self._kinds))
        self._ways_out: list[tuple[str, str]] = []

    def whole(self, body: Sequence[ast.stmt]) -> str:
        """The function with these statements."""
        for statement in body:
            self.statement(statement)
        self.leave("ret void" if self._gives == NOTHING else "unreachable")
        own = list(zip(self._names, self._kinds))
        handed = ", ".join(f'{kind.text} %"{name}.a"' for name, kind in own)
        places = [f'%"{name}" = alloca {kind.text}' for name, kind in self.places.items()]
        places += [f'store {kind.text} %"{name}.a", ptr %"{name}"' for name, kind in own]
        rows = "\n".join((*places, *self.rows))
        head = f'define internal {self._gives.text} @"{self._loops.name_of(self._function)}"({handed})'
        return f"{head} nounwind {{\n{rows}\n}}"

    def statement(self, node: ast.stmt) -> None:
        """Write a statement; what cannot be reached is left out."""
        if not self.is_open:
            return
        write = getattr(self, f"_{type(node).__name__.lower()}", None)
        if write is None:
            raise self.refused(node)
        write(node)

    def _expr(self, node: ast.Expr) -> None:
        if not isinstance(node.value, ast.Constant):
            self.value(node.value)

    def _assign(self, node: ast.Assign) -> None:
        for target in node.targets:
            if isinstance(target, ast.Tuple) and isinstance(node.value, ast.Tuple):
                values = [self.value(part) for part in node.value.elts]  # all, before any name is given away
                for part, value in zip(target.elts, values, strict=True):
                    self._give(part, value)
            else:
                self._give(target, self.value(node.value))

    def _augassign(self, node: ast.AugAssign) -> None:
        self._give(node.target, self.value(ast.BinOp(node.target, node.op, node.value)))

    def _give(self, target: ast.expr, value: Value) -> None:
        if isinstance(target, ast.Tuple):
            assert isinstance(value.kind, GroupKind)
            for number, part in enumerate(target.elts):
                self._give(part, self.part(value, number))
        elif isinstance(target, ast.Name):
            self.places.setdefault(target.id, value.kind)
            self.store(target.id, self.turned(value, self.places[target.id]))
        elif isinstance(target, ast.Attribute):
            self._put(self.field(self.value(target.value), target.attr), value)
        elif isinstance(target, ast.Subscript):
            self._put(self.entry(target), value)
        else:
            raise self.refused(target)

    def _put(self, where: tuple[str, Kind, str], value: Value) -> None:
        place, kind, tag = where
        self.rows.append(f"store {kind.text} {self.turned(value, kind).text}, ptr {place}{self.told(tag)}")

    def _if(self, node: ast.If) -> None:
        then, otherwise, end = self.label(), self.label(), self.label()
        self.branch(node.test, then, otherwise if node.orelse else end)
        self._block(then, node.body, end)
        if node.orelse:
            self._block(otherwise, node.orelse, end)
        self.begin(end)

    def _block(self, label: str, body: Sequence[ast.stmt], following: str) -> None:
        self.begin(label)
        for statement in body:
            self.statement(statement)
        self.leave(f"br label %{following}")

    def _while(self, node: ast.While) -> None:
        test, body, end = self.label(), self.label(), self.label()
        self.begin(test)
        self.branch(node.test, body, end)
        self._ways_out.append((test, end))
        self._block(body, node.body, test)
        self._ways_out.pop()
        self.begin(end)

    def _for(self, node: ast.For) -> None:
        over = node.iter
        if isinstance(over, ast.Tuple):
            self._for_each(node, over.elts)
        elif isinstance(over, ast.Call) and isinstance(over.func, ast.Name) and over.func.id == "range":
            self._for_range(node, [self.value(argument) for argument in over.args])
        else:
            raise self.refused(over)

    def _for_range(self, node: ast.For, given: Sequence[Value]) -> None:
        if len(given) > 2:
            raise self.refused(node.iter)
        first, last = (Value("0", INT), given[0]) if len(given) == 1 else (given[0], given[1])
        test, body, onward, end = self.label(), self.label(), self.label(), self.label()
        counter = self.nameless(INT)
        self.store(counter, first)
        self.begin(test)
        here = self.load(counter)
        goes_on = self.row(f"icmp slt i64 {here.text}, {last.text}", BOOL)
        self.leave(f"br i1 {goes_on.text}, label %{body}, label %{end}")
        self.begin(body)
        self._give(node.target, here)
        self._ways_out.append((onward, end))
        for statement in node.body:
            self.statement(statement)
        self._ways_out.pop()
        self.begin(onward)
        self.store(counter, self.row(f"add nsw i64 {self.load(counter).text}, 1", INT))
        self.leave(f"br label %{test}")
        self.begin(end)

    def _for_each(self, node: ast.For, each: Sequence[ast.expr]) -> None:
        """A loop over values that stand there, written out once for each."""
        end = self.label()
        for entry in each:
            following = self.label()
            self._give(node.target, self.value(entry))
            self._ways_out.append((following, end))
            for statement in node.body:
                self.statement(statement)
            self._ways_out.pop()
            self.begin(following)
        self.begin(end)

    def _continue(self, node: ast.Continue) -> None:
        self.leave(f"br label %{self._ways_out[-1][0]}")

    def _break(self, node: ast.Break) -> None:
        self.leave(f"br label %{self._ways_out[-1][1]}")

    def _return(self, node: ast.Return) -> None:
        if node.value is None:
            self.leave("ret void")
            return
        given = self.turned(self.value(node.value), self._gives)
        self.leave(f"ret {given.kind.text} {given.text}")
