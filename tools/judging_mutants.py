"""Which changes of one limit, doubt, factor or sign there could be in judging.

A change is made in the syntax tree and not in the text, so that it can stand in the middle of a long string.
What is none of the four is left alone: minutes that a question takes, places in a list, digits of a rounding,
zero, one and what keeps a division from nothing (a thousandth and less), unless it has a name or something is
held against it, and the factors of units (10, 60, 100, 1000, 3600), which every figure hangs on.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from pathlib import Path
from typing import Final

from survey import ROOT

JUDGING: Final = ROOT / "src" / "farpress" / "judging"


class Kind(StrEnum):
    """What is changed."""

    LIMIT = "limit"
    DOUBT = "doubt"
    FACTOR = "factor"
    SIGN = "sign"


@dataclass(frozen=True)
class Mutant:
    """One change.

    Attributes:
        file: changed.
        number: of the changed node, as `ast.walk` counts them.
        line: where it stands.
        kind: what it is.
        was, now: the expression round it.
        first, last: lines of the statement in a function that it stands in; of the names at the head of the
            module that hang on it, if it stands there.
        names: those names; empty in a function.
    """

    file: Path
    number: int
    line: int
    kind: Kind
    was: str
    now: str
    first: int
    last: int
    names: tuple[str, ...] = ()

    def __str__(self) -> str:
        return f"{self.file.relative_to(ROOT)}:{self.line}: {self.kind}: {self.was}  ->  {self.now}"

    @property
    def room(self) -> str:
        """The folder in judging; empty for what stands above all rooms."""
        parts = self.file.relative_to(JUDGING).parts
        return parts[0] if len(parts) > 1 else ""


def mutants() -> list[Mutant]:
    """Every change there could be, in the order of files and lines."""
    return [mutant for path in sorted(JUDGING.rglob("*.py")) for mutant in sorted(_in(path), key=_place)]


def _place(mutant: Mutant) -> tuple[int, int]:
    return mutant.line, mutant.number


def changed(mutant: Mutant) -> ast.Module:
    """The module with this one change."""
    tree = ast.parse(_text(mutant.file))
    node = list(ast.walk(tree))[mutant.number]
    assert isinstance(node, ast.expr)
    _change(node)
    if isinstance(node, ast.Name):  # the other side of a limit need not be known to the module
        names = [ast.alias(node.id)]
        later = next(
            n for n, thing in enumerate(tree.body) if not isinstance(thing, ast.Expr | ast.ImportFrom)
        )
        tree.body.insert(later, ast.ImportFrom("farpress.judging.check", names, 0))
    return ast.fix_missing_locations(tree)


@cache
def _text(path: Path) -> str:
    """As it was at first, whoever works on it meanwhile."""
    return path.read_text(encoding="utf-8")


def _in(path: Path) -> Iterator[Mutant]:
    tree = ast.parse(_text(path))
    above = {child: node for node in ast.walk(tree) for child in ast.iter_child_nodes(node)}
    held = _held_against(tree)
    for number, node in enumerate(ast.walk(tree)):
        kind = _kind(node, above, held)
        if kind is None or not isinstance(node, ast.expr):
            continue
        shown = _shown(node, above)
        was = ast.unparse(shown)
        undo = _change(node)
        stands, names = _stands(node, above, tree)
        first, last = stands.lineno, stands.end_lineno or stands.lineno
        yield Mutant(path, number, node.lineno, kind, was, ast.unparse(shown), first, last, names)
        undo()


def _stands(
    node: ast.expr, above: dict[ast.AST, ast.AST], tree: ast.Module
) -> tuple[ast.stmt, tuple[str, ...]]:
    """The statement a node stands in, and the names at the head of the module that hang on it."""
    stands: ast.AST = node
    while not isinstance(stands, ast.stmt):
        stands = above[stands]
    round_it: ast.AST = stands
    while not isinstance(round_it, ast.Module):
        if isinstance(round_it, ast.FunctionDef) and round_it is not stands:
            return stands, ()
        round_it = above[round_it]
    names = _named(stands)
    while True:
        more = {
            name
            for assigned in tree.body
            if isinstance(assigned, ast.Assign | ast.AnnAssign | ast.FunctionDef)
            and not (isinstance(assigned, ast.FunctionDef) and not _is_called_at_head(assigned, tree))
            and names & {name.id for name in ast.walk(assigned) if isinstance(name, ast.Name)}
            for name in _named(assigned)
        }
        if more <= names:
            return stands, tuple(sorted(names))
        names |= more


def _is_called_at_head(function: ast.FunctionDef, tree: ast.Module) -> bool:
    return any(
        isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id == function.name
        for assigned in tree.body
        if isinstance(assigned, ast.Assign | ast.AnnAssign)
        for call in ast.walk(assigned)
    )


def _named(stands: ast.AST) -> set[str]:
    match stands:
        case ast.Assign(targets=[ast.Name(id=name)]) | ast.AnnAssign(target=ast.Name(id=name)):
            return {name}
        case ast.FunctionDef(name=name) | ast.ClassDef(name=name):
            return {name}
    return set()


def _shown(node: ast.expr, above: dict[ast.AST, ast.AST]) -> ast.AST:
    """The expression round a node that tells what it is, no longer than a line."""
    shown: ast.AST = node
    while (round_it := above.get(shown)) is not None:
        text = ast.unparse(round_it)
        if len(text) > _LINE or "\n" in text:
            break
        shown = round_it
    return shown


_LINE: Final = 90

_OPERATOR: Final[dict[type[ast.operator], type[ast.operator]]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
}
_COMPARISON: Final[dict[type[ast.cmpop], type[ast.cmpop]]] = {
    ast.Lt: ast.GtE,
    ast.GtE: ast.Lt,
    ast.Gt: ast.LtE,
    ast.LtE: ast.Gt,
}


def _change(node: ast.expr) -> Callable[[], None]:
    """Change a node in its place; call what comes back to undo it."""
    before = dict(node.__dict__)
    if isinstance(node, ast.Constant):
        node.value = _other(node.value)
    elif isinstance(node, ast.BinOp):
        node.op = _OPERATOR[type(node.op)]()
    elif isinstance(node, ast.Compare):
        node.ops = [_COMPARISON[type(node.ops[0])](), *node.ops[1:]]
    elif isinstance(node, ast.UnaryOp):
        node.op = ast.UAdd()
    elif isinstance(node, ast.Name):
        node.id = {"AT_MOST": "AT_LEAST", "AT_LEAST": "AT_MOST"}[node.id]
    return lambda: node.__dict__.update(before)


def _other(number: object) -> float:
    """Three tenths more, a whole number at least one more; one in the place of none."""
    assert isinstance(number, int | float)
    if number == 0:
        return 1.0
    return number * 1.3 if isinstance(number, float) else number + max(number // 3, 1)


_UNITS: Final = (0, 10, 60, 100, 1000, 3600, 1e6, 1e-6)
_NEXT_TO_NOTHING: Final = 1e-3
_ROUNDING: Final = 1e-5
_DOUBT_NAME: Final = re.compile(r"(^|_)(SD|SDS|SPREAD|DOUBT|SIGMA|ROUNDING)(_|$)", re.IGNORECASE)
_LIMIT_NAME: Final = re.compile(
    r"(^|_)(LEAST|MOST|LONGEST|SHORTEST|WIDEST|LIMIT|ALLOWED|NEVER|SOON|SMALL|BELOW|ABOVE|FROM|UP_TO)(_|$)",
    re.IGNORECASE,
)


def _kind(node: ast.AST, above: dict[ast.AST, ast.AST], held: set[str]) -> Kind | None:
    match node:
        case ast.BinOp(op=ast.Add() | ast.Sub() | ast.Mult() | ast.Div()):
            return None if _is_text(node.left) or _is_text(node.right) else Kind.SIGN
        case ast.Compare(ops=[ast.Lt() | ast.LtE() | ast.Gt() | ast.GtE()]):
            return None if _is_count(node) else Kind.SIGN
        case ast.UnaryOp(op=ast.USub(), operand=ast.Constant()):
            return None if isinstance(above[node], ast.Subscript | ast.Slice) else Kind.SIGN
        case ast.Name(id="AT_MOST" | "AT_LEAST", ctx=ast.Load()) if isinstance(above[node], ast.keyword):
            return Kind.SIGN
        case ast.Constant(value=int() | float()) if not isinstance(node.value, bool):
            return _kind_of_number(node, above, held)
    return None


def _kind_of_number(node: ast.Constant, above: dict[ast.AST, ast.AST], held: set[str]) -> Kind | None:
    """By the nearest thing round it that says what it is for."""
    assert isinstance(node.value, int | float)
    child: ast.AST = node
    is_computed = False
    for number in range(8):
        parent = above.get(child)
        match parent:
            case ast.Call(func=ast.Name(id="Limit")):
                return Kind.LIMIT
            case ast.Call(func=ast.Name(id="Estimate"), args=args):
                if node.value == 0:
                    return None
                return Kind.DOUBT if len(args) > 1 and child is args[1] else Kind.FACTOR
            case ast.Call(func=ast.Name(id="share_edge" | "wide_edge" | "Edge")):
                return None if node.value == 0 else Kind.DOUBT
            case ast.Call(func=ast.Name(id="Ask")):
                return None
            case ast.Call(args=args) if number == 0 and (isinstance(node.value, int) or _is_asked(args)):
                return None
            case ast.keyword(arg="minutes" | "key" | "default_m"):
                return None
            case ast.keyword(arg="doubt"):
                return None if node.value == 0 else Kind.DOUBT
            case ast.Compare(ops=[ast.Lt() | ast.LtE() | ast.Gt() | ast.GtE()]):
                return None if abs(node.value) < _ROUNDING or _is_count(parent) else Kind.LIMIT
            case ast.Compare() | ast.Subscript() | ast.Slice():
                return None
            case ast.FormattedValue():
                return Kind.FACTOR if is_computed else None
            case ast.BinOp() if node.value in (1, *_UNITS) or abs(node.value) <= _NEXT_TO_NOTHING:
                return None
            case ast.BinOp():
                is_computed = True
            case ast.Assign(targets=[ast.Name(id=name)]) | ast.AnnAssign(target=ast.Name(id=name)):
                return _kind_by_name(name, node, held)
            case ast.stmt() | None:
                break
        child = parent
    is_figure = isinstance(node.value, float) and node.value != 1.0 and node.value > _NEXT_TO_NOTHING
    return Kind.FACTOR if is_figure else None


def _is_asked(args: list[ast.expr]) -> bool:
    """Whether these are the words of a question: who can answer it, in how many minutes."""
    return any(ast.unparse(word).startswith("Who.") for word in args)


def _kind_by_name(name: str, node: ast.Constant, held: set[str]) -> Kind | None:
    assert isinstance(node.value, int | float)
    if node.value == 0 or name in ("minutes", "SCHEMA"):
        return None
    if not name.strip("_").isupper() and (
        isinstance(node.value, int) or node.value == 1.0 or node.value <= _NEXT_TO_NOTHING
    ):
        return None
    if _DOUBT_NAME.search(name):
        return Kind.DOUBT
    return Kind.LIMIT if name in held or _LIMIT_NAME.search(name) else Kind.FACTOR


def _held_against(tree: ast.AST) -> set[str]:
    """Names that a value is held against in this module."""
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Compare) or (
            isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Limit"
        ):
            found |= {name.id for name in ast.walk(node) if isinstance(name, ast.Name)}
    return {name for name in found if name.strip("_").isupper()}


def _is_text(node: ast.AST) -> bool:
    """Whether this is a text or a list, as far as it can be seen: those are joined, not added."""
    if isinstance(node, ast.BinOp):
        return _is_text(node.left) or _is_text(node.right)
    listed = ast.JoinedStr | ast.List | ast.Tuple | ast.Dict | ast.Set | ast.ListComp
    return isinstance(node, listed) or (isinstance(node, ast.Constant) and isinstance(node.value, str))


def _is_count(node: ast.Compare) -> bool:
    """Whether something is counted: `len(floors) > 1` asks whether there are two, and holds no value."""
    return any(
        isinstance(side, ast.Call) and isinstance(side.func, ast.Name) and side.func.id == "len"
        for side in (node.left, *node.comparators)
    )
