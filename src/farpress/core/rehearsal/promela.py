"""A network written out in Promela, for spin: an independent search of the same model.

Each event becomes one `d_step`; a bad condition becomes an assertion at its end. Nothing
here runs spin: the tests do.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator, Mapping
from typing import Final

from farpress.core.rehearsal.ready import Network
from farpress.sources import Mark, cites

__all__ = ["write_promela"]

_BINARY: Final = {
    ast.Add: "+",
    ast.Sub: "-",
    ast.Mult: "*",
    ast.Lt: "<",
    ast.LtE: "<=",
    ast.Gt: ">",
    ast.GtE: ">=",
    ast.Eq: "==",
    ast.NotEq: "!=",
}


@cites("Holzmann, The SPIN Model Checker", place="language: d_step, if, do, assert", mark=Mark.MEMORY)
def write_promela(network: Network) -> str:
    """The network as a Promela program of one process.

    Signals are put back to 0 at the end of each step, so that they add no states.
    """
    largest = max([255, *network.highs])
    lines = [
        f"{_integer_type(high)} {name}_ = {start};"
        for name, high, start in zip(network.variables, network.highs, network.starts, strict=True)
    ]
    lines += [f"{'short' if largest <= 32767 else 'int'} {name}_;" for name in network.passing]
    lines.append("active proctype all() { do")
    for event in network.events:
        lines.append(f":: d_step {{ ({_expression(event.when, network.numbers)}) ->")
        for statement in (*event.does, *network.settling):
            lines += [f"  {line}" for line in _statement(statement, network.numbers)]
        lines += [f"  assert(!({_expression(tree, network.numbers)}));" for tree in network.bad.values()]
        lines += [f"  {name}_ = 0;" for name in network.passing]
        lines.append("  skip }")
    return "\n".join([*lines, "od }", ""])


def _integer_type(high: int) -> str:
    if high <= 255:
        return "byte"
    return "short" if high <= 32767 else "int"


def _statement(node: ast.stmt, numbers: Mapping[str, int]) -> Iterator[str]:
    if isinstance(node, ast.Assign):
        assert isinstance(node.targets[0], ast.Name)
        yield f"{node.targets[0].id}_ = {_expression(node.value, numbers)};"
    elif isinstance(node, ast.If):
        yield f"if :: ({_expression(node.test, numbers)}) ->"
        for inner in node.body:
            yield from (f"  {line}" for line in _statement(inner, numbers))
        yield "  skip"
        yield ":: else ->"
        for inner in node.orelse:
            yield from (f"  {line}" for line in _statement(inner, numbers))
        yield "  skip"
        yield "fi;"
    else:
        yield "skip;"


def _expression(tree: ast.expr, numbers: Mapping[str, int]) -> str:
    if isinstance(tree, ast.Constant):
        return str(tree.value)
    if isinstance(tree, ast.Name):
        return str(numbers[tree.id]) if tree.id in numbers else f"{tree.id}_"
    if isinstance(tree, ast.IfExp):
        return (
            f"(({_expression(tree.test, numbers)}) -> ({_expression(tree.body, numbers)}) :"
            f" ({_expression(tree.orelse, numbers)}))"
        )
    if isinstance(tree, ast.BoolOp):
        sign = " && " if isinstance(tree.op, ast.And) else " || "
        return "(" + sign.join(f"({_expression(value, numbers)})" for value in tree.values) + ")"
    if isinstance(tree, ast.UnaryOp):
        return f"({'!' if isinstance(tree.op, ast.Not) else '-'}({_expression(tree.operand, numbers)}))"
    if isinstance(tree, ast.BinOp):
        return (
            f"(({_expression(tree.left, numbers)}) {_BINARY[type(tree.op)]}"
            f" ({_expression(tree.right, numbers)}))"
        )
    if isinstance(tree, ast.Compare):
        return (
            f"(({_expression(tree.left, numbers)}) {_BINARY[type(tree.ops[0])]}"
            f" ({_expression(tree.comparators[0], numbers)}))"
        )
    assert isinstance(tree, ast.Call)
    assert isinstance(tree.func, ast.Name)
    first, second = (_expression(argument, numbers) for argument in tree.args)
    return f"(({first}) {'<' if tree.func.id == 'min' else '>'} ({second}) -> ({first}) : ({second}))"
