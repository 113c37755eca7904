"""The few statements that a model is written in: checked, and read as a syntax tree.

A small part of Python: `name = expression`, `if`/`elif`/`else`, whole numbers, `+ - *`,
comparisons, `and or not`, `a if c else b`, `min`, `max`. No loops, no calls of anything
else, so that the same text can be run, compiled to a table of instructions, and written
out for another program's checker.
"""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from typing import Any, Final

from farpress.errors import InputError
from farpress.sources import Mark, cites

__all__ = [
    "ModelError",
    "depends_on",
    "names_read",
    "parse_expression",
    "parse_statements",
    "slice_statements",
    "text_lines",
    "text_of",
    "values_given",
    "written_by",
]

_EXPRESSIONS = (ast.BinOp, ast.BoolOp, ast.UnaryOp, ast.Compare, ast.IfExp, ast.Name, ast.Constant, ast.Call)
_OPERATORS = (
    ast.Add,
    ast.Sub,
    ast.Mult,
    ast.And,
    ast.Or,
    ast.Not,
    ast.USub,
    ast.Lt,
    ast.LtE,
    ast.Gt,
    ast.GtE,
    ast.Eq,
    ast.NotEq,
)


_INSIDE: Final[Mapping[type[ast.AST], Callable[[Any], Iterable[ast.AST]]]] = {
    ast.BinOp: lambda node: (node.left, node.right),
    ast.BoolOp: lambda node: node.values,
    ast.UnaryOp: lambda node: (node.operand,),
    ast.Compare: lambda node: (node.left, *node.comparators),
    ast.IfExp: lambda node: (node.test, node.body, node.orelse),
    ast.Constant: lambda node: (),
    ast.Call: lambda node: node.args,
    ast.Assign: lambda node: (node.value,),
    ast.If: lambda node: (node.test, *node.body, *node.orelse),
    ast.Pass: lambda node: (),
}
"""Kind of node of the small language → the nodes in it whose value is looked at."""


class ModelError(InputError):
    """A model that contradicts itself, or says something the language has no word for."""


@lru_cache(maxsize=4096)
@cites("a part of the Python language, checked here", mark=Mark.CHOICE)
def parse_statements(text: str) -> tuple[ast.stmt, ...]:
    """Statements of a model as a syntax tree.

    Raises:
        ModelError: something outside the small language, with its line.
    """
    body = ast.parse(text).body
    for statement in body:
        _check(statement)
    return tuple(body)


@lru_cache(maxsize=4096)
@cites("a part of the Python language, checked here", mark=Mark.CHOICE)
def parse_expression(text: str) -> ast.expr:
    """One expression of a model as a syntax tree.

    Raises:
        ModelError: something outside the small language.
    """
    tree = ast.parse(text, mode="eval").body
    _check_expression(tree)
    return tree


@cites("syntax tree", mark=Mark.COMPUTED)
def names_read(tree: ast.AST) -> frozenset[str]:
    """Names whose value a statement or expression looks at."""
    known: frozenset[str] | None = tree.__dict__.get("reads")
    if known is None:
        known = frozenset(_reads(tree)) - {"min", "max"}
        tree.__dict__["reads"] = known
    return known


def _reads(tree: ast.AST) -> list[str]:
    """Names looked at, in any order and number.

    Only what the small language has is looked into: walking every field of every node, operators too, takes
    five times as long.
    """
    found: list[str] = []
    rest: list[ast.AST] = [tree]
    while rest:
        node = rest.pop()
        if isinstance(node, ast.Name):
            found.append(node.id)
        else:
            rest += _INSIDE[type(node)](node)
    return found


@cites("syntax tree", mark=Mark.COMPUTED)
def written_by(statements: Iterable[ast.stmt]) -> frozenset[str]:
    """Names that statements give a value to."""
    return frozenset(name for statement in statements for name, _ in depends_on(statement))


@cites("cone of influence", mark=Mark.COMPUTED)
def depends_on(statement: ast.stmt) -> tuple[tuple[str, frozenset[str]], ...]:
    """Each name that a statement gives a value to, with the names this value depends on.

    Kept with the statement, because the same ones are looked at again and again.
    """
    known: tuple[tuple[str, frozenset[str]], ...] | None = statement.__dict__.get("depends")
    if known is None:
        known = tuple(_depends(statement, frozenset()))
        statement.__dict__["depends"] = known
    return known


def _depends(node: ast.stmt, under: frozenset[str]) -> Iterator[tuple[str, frozenset[str]]]:
    if isinstance(node, ast.Assign):
        assert isinstance(node.targets[0], ast.Name)
        yield node.targets[0].id, names_read(node.value) | under
    elif isinstance(node, ast.If):
        under |= names_read(node.test)
        for inner in (*node.body, *node.orelse):
            yield from _depends(inner, under)


@cites("syntax tree", mark=Mark.COMPUTED)
def values_given(statements: Iterable[ast.stmt]) -> Iterator[tuple[str, ast.expr]]:
    """Each name that statements give a value to, with the expression of that value."""
    for statement in statements:
        if isinstance(statement, ast.Assign):
            assert isinstance(statement.targets[0], ast.Name)
            yield statement.targets[0].id, statement.value
        elif isinstance(statement, ast.If):
            yield from values_given((*statement.body, *statement.orelse))


@cites("syntax tree", mark=Mark.COMPUTED)
def text_of(tree: ast.AST) -> str:
    """A statement or expression as text; kept with it, because the same ones are written again and again."""
    known: str | None = tree.__dict__.get("text")
    if known is None:
        known = ast.unparse(tree)
        tree.__dict__["text"] = known
    return known


@cites("syntax tree", mark=Mark.COMPUTED)
def text_lines(statements: Iterable[ast.stmt]) -> list[str]:
    """Statements as lines of text."""
    return [line for statement in statements for line in text_of(statement).split("\n")]


@cites("cone of influence", mark=Mark.COMPUTED)
def slice_statements(statements: Sequence[ast.stmt], wanted: frozenset[str]) -> tuple[ast.stmt, ...]:
    """The `statements` without those that give values only to names outside `wanted`."""
    return tuple(_slice(statements, wanted))


def _slice(statements: Sequence[ast.stmt], wanted: frozenset[str]) -> Iterator[ast.stmt]:
    for statement in statements:
        if isinstance(statement, ast.Assign):
            if depends_on(statement)[0][0] in wanted:
                yield statement
        elif isinstance(statement, ast.If):
            if all(name in wanted for name, _ in depends_on(statement)):
                if depends_on(statement):
                    yield statement
                continue
            body, orelse = list(_slice(statement.body, wanted)), list(_slice(statement.orelse, wanted))
            if body or orelse:
                yield ast.If(statement.test, body or [ast.Pass()], orelse)


def _check(node: ast.stmt) -> None:
    if isinstance(node, ast.Assign) and len(node.targets) == 1 and isinstance(node.targets[0], ast.Name):
        _check_expression(node.value)
    elif isinstance(node, ast.If):
        _check_expression(node.test)
        for inner in (*node.body, *node.orelse):
            _check(inner)
    elif not isinstance(node, ast.Pass):
        raise ModelError(
            f"A model has no '{ast.unparse(node)}' (line {node.lineno}): only 'name = expression' and 'if'."
        )


def _check_expression(tree: ast.expr) -> None:
    rest: list[ast.AST] = [tree]
    while rest:
        node = rest.pop()
        if not isinstance(node, _EXPRESSIONS):
            raise ModelError(f"A model has no '{ast.unparse(node)}' in an expression.")
        for operator in _operators(node):
            if not isinstance(operator, _OPERATORS):
                raise ModelError(
                    f"A model has no operator {type(operator).__name__} in '{ast.unparse(tree)}'."
                )
        if isinstance(node, ast.Call) and not (
            isinstance(node.func, ast.Name)
            and node.func.id in ("min", "max")
            and len(node.args) == 2
            and not node.keywords
        ):
            raise ModelError(f"A model calls nothing but min and max of two, not '{ast.unparse(node)}'.")
        if isinstance(node, ast.Constant) and type(node.value) is not int:
            raise ModelError(f"A model has whole numbers only, not {node.value!r}.")
        if isinstance(node, ast.Compare) and len(node.ops) != 1:
            raise ModelError(f"One comparison at a time, not '{ast.unparse(node)}'.")
        if not isinstance(node, ast.Name):
            rest += _INSIDE[type(node)](node)


def _operators(node: ast.AST) -> Iterable[ast.AST]:
    if isinstance(node, (ast.BinOp, ast.BoolOp, ast.UnaryOp)):
        return (node.op,)
    return node.ops if isinstance(node, ast.Compare) else ()
