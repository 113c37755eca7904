"""The parts lie in layers; a program checks it (contracts in pyproject.toml)."""

from __future__ import annotations

import os
import subprocess
import sys

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
