"""The parts lie in layers; a program checks it (contracts in pyproject.toml)."""

from __future__ import annotations

import os
import subprocess
import sys

import grimp
import networkx

from survey import ROOT

RUN = "from importlinter.cli import lint_imports_command as run; run()"


def test_lower_parts_never_import_higher_ones() -> None:
    """Every contract is kept; a broken one is shown with file and line."""
    environment = os.environ | {"PYTHONPATH": str(ROOT / "src"), "PYTHONUTF8": "1"}
    found = subprocess.run(
        [sys.executable, "-c", RUN],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )

    assert found.returncode == 0, found.stdout + found.stderr


def test_no_module_imports_itself_by_a_way_round() -> None:
    """No circle of imports anywhere, those inside functions and those for types alone counted too: a part
    that needs its user is one part with it.
    """
    graph = grimp.build_graph("farpress", cache_dir=None)
    imports = networkx.DiGraph(
        (module, other)
        for module in graph.modules
        for other in graph.find_modules_directly_imported_by(module)
    )
    circles = [
        sorted(circle) for circle in networkx.strongly_connected_components(imports) if len(circle) > 1
    ]

    assert len(graph.modules) > 300
    assert circles == []
