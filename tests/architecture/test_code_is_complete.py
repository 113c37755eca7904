"""Every calculation has a source, every public name is exported, files stay short."""

from __future__ import annotations

import ast
import inspect
from pathlib import Path

import pytest

from farpress.sources import cited
from helpers.source_trees import source_files, tree_of
from survey import ROOT, calculations, modules

SOURCES = source_files()
LONGEST = 740

WITHOUT_A_SOURCE: dict[str, str] = {
    # full name of a public function in core: why no document can be named for it
    "farpress.core.keys.visit_site.check_sites": "looks for faults, reckons nothing",
    "farpress.core.wiring.circuit_checks.check_circuit": "looks for faults, reckons nothing",
    "farpress.core.wiring.circuit_checks.check_stiff": "looks for faults, reckons nothing",
    "farpress.core.wiring.circuit_checks.nodes_of": "a list of names",
    "farpress.core.wiring.elements.ends_of": "a look-up",
    "farpress.core.wiring.netlist.netlist": "writes text",
}


def test_every_calculation_names_its_source() -> None:
    """A public function of the core has `@cites`, or a reason here why there is nothing to cite."""
    uncited = [
        name
        for name, function in calculations().items()
        if not cited(function) and name not in WITHOUT_A_SOURCE
    ]

    assert uncited == []


def test_reasons_for_no_source_are_still_needed() -> None:
    """Nothing is excused that does not exist or that has a source by now."""
    found = calculations()

    assert [name for name in WITHOUT_A_SOURCE if name not in found or cited(found[name])] == []


def test_every_argument_of_a_calculation_is_explained() -> None:
    """The docstring of a public calculation with two arguments or more names each of them."""
    unexplained = [
        f"{name}({argument})"
        for name, function in calculations().items()
        for argument in inspect.signature(function).parameters
        if len(inspect.signature(function).parameters) > 1
        and argument not in (inspect.getdoc(function) or "")
    ]

    assert unexplained == []


def test_numbers_of_a_calculation_are_given_by_name() -> None:
    """Two or more numbers can't be changed over: they are keyword-only."""
    changeable = []
    for name, function in calculations().items():
        positional = [
            one
            for one in inspect.signature(function).parameters.values()
            if one.kind is one.POSITIONAL_OR_KEYWORD and str(one.annotation) in ("float", "int", "ArrayLike")
        ]
        if len(positional) > 1:
            changeable.append(name)

    assert changeable == []


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: path.relative_to(ROOT / "src").as_posix())
def test_a_module_exports_what_is_public(path: Path) -> None:
    """`__all__` holds every public function and class, and nothing that is not there."""
    tree = tree_of(path)
    defined = {
        node.name
        for node in tree.body
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef)
    }
    exported = _exported(tree)
    known = defined | {name for node in tree.body for name in _names(node)}

    assert {name for name in defined if not name.startswith("_")} <= exported, (
        "a public name is not in __all__"
    )
    assert exported <= known, "__all__ names something that is not there"


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: path.relative_to(ROOT / "src").as_posix())
def test_a_module_has_one_subject(path: Path) -> None:
    """A file says what it is, and is short enough to be read whole."""
    text = path.read_text(encoding="utf-8")

    assert ast.get_docstring(tree_of(path))
    assert len(text.splitlines()) <= LONGEST


def test_every_module_can_be_imported_alone() -> None:
    """No module needs another to have been imported before it."""
    assert len(list(modules("farpress"))) > 20


def _exported(tree: ast.Module) -> set[str]:
    for node in tree.body:
        targets = (
            node.targets
            if isinstance(node, ast.Assign)
            else [node.target]
            if isinstance(node, ast.AnnAssign)
            else []
        )
        if any(isinstance(target, ast.Name) and target.id == "__all__" for target in targets):
            return set(ast.literal_eval(node.value))  # type: ignore[attr-defined]
    return set()


def _names(node: ast.stmt) -> list[str]:
    match node:
        case ast.Assign(targets=targets):
            return [one.id for target in targets for one in ast.walk(target) if isinstance(one, ast.Name)]
        case ast.AnnAssign(target=ast.Name(id=name)):
            return [name]
        case ast.Import(names=names) | ast.ImportFrom(names=names):
            return [alias.asname or alias.name for alias in names]
        case ast.If(body=body, orelse=orelse) | ast.Try(body=body, orelse=orelse):
            return [name for inner in [*body, *orelse] for name in _names(inner)]
    return []
