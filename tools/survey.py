"""What there is to document and to check: calculations, codes of findings, commands.

Used by the other tools and by tests/architecture; it writes nothing.
"""

from __future__ import annotations

import ast
import importlib
import inspect
import pkgutil
from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

__all__ = ["ROOT", "calculations", "checked_calculations", "codes", "commands", "modules", "table_cell"]

ROOT = Path(__file__).resolve().parent.parent


def modules(package: str) -> Iterator[ModuleType]:
    """Every module of a package, itself first, in the order of names."""
    root = importlib.import_module(package)
    yield root
    for found in sorted(pkgutil.walk_packages(root.__path__, f"{package}."), key=lambda one: one.name):
        if not found.name.endswith(".__main__"):
            yield importlib.import_module(found.name)


def calculations() -> dict[str, Callable[..., Any]]:
    """Public functions of the core: "farpress.core.reach.walls.name" → function."""
    found = {}
    for module in modules("farpress.core"):
        for name in getattr(module, "__all__", ()):
            thing = inspect.unwrap(getattr(module, name)) if callable(getattr(module, name, None)) else None
            if inspect.isfunction(thing) and thing.__module__ == module.__name__:
                found[f"{module.__name__}.{name}"] = thing
    return found


def checked_calculations() -> set[str]:
    """Those that some module of tests/reference imports, by their full names."""
    found = set()
    for path in sorted((ROOT / "tests" / "reference").rglob("test_*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("farpress.core"):
                for alias in node.names:
                    module = importlib.import_module(node.module or "")
                    thing = getattr(module, alias.name, None)
                    if inspect.isfunction(thing):
                        found.add(f"{thing.__module__}.{alias.name}")
                    elif inspect.ismodule(thing):
                        found |= {
                            f"{thing.__name__}.{name}"
                            for name in _attributes_used(path, alias.asname or alias.name)
                        }
    return found


def _attributes_used(path: Path, name: str) -> set[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return {
        node.attr
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == name
    }


def codes() -> list[tuple[str, str, str]]:
    """Code, its sentence and its module, for every check; sorted."""
    from farpress.judging.registry import all_checks, home_of

    return sorted((code, check.says, home_of(code)) for code, check in all_checks().items())


def commands() -> Iterator[tuple[str, str]]:
    """Every command, "farpress assess", with the text of its --help at 80 columns."""
    import click

    main = importlib.import_module("farpress.cli.main").cli

    def walk(command: click.Command, name: str, parent: click.Context | None) -> Iterator[tuple[str, str]]:
        settings = command.context_settings | {"terminal_width": 80, "max_content_width": 80}
        context = click.Context(command, info_name=name.rpartition(" ")[2], parent=parent, **settings)
        if hasattr(command, "_help_option"):
            command._help_option = (
                None  # kept from an earlier call of the command on its own, with other names of --help
            )
        yield name, command.get_help(context)
        if isinstance(command, click.Group):
            for child in command.list_commands(context):
                found = command.get_command(context, child)
                if found is not None and not found.hidden:
                    yield from walk(found, f"{name} {child}", context)

    yield from walk(main, "farpress", None)


def table_cell(text: str) -> str:
    """Text that does not break out of a Markdown table."""
    return " ".join(text.replace("|", "\\|").split())
