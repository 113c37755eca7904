"""What a start loads: a command line is used for its help most, and judging needs no scipy to begin."""

from __future__ import annotations

import subprocess
import sys

import pytest


@pytest.mark.parametrize(
    ("modules", "not_loaded"),
    [
        ("farpress.cli.main", ("numpy", "pydantic", "scipy", "yaml")),
        ("farpress.case.door, farpress.judging.assess", ("llvmlite", "scipy", "sqlalchemy", "typst")),
    ],
)
def test_a_start_loads_only_what_it_needs(modules: str, not_loaded: tuple[str, ...]) -> None:
    """Libraries that take longer to load than the work takes come when they are asked for."""
    script = f"import sys, {modules}; print(*sorted({{name.split('.')[0] for name in sys.modules}}))"
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    loaded = set(run.stdout.split())

    assert "farpress" in loaded
    assert not loaded & set(not_loaded)
