"""Write docs/validation/index.md: run the reference tests and set ours beside print."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

from survey import ROOT
from validation import PAGE, comparing_modules, read_records, render


def main() -> int:
    """Run what compares in tests/reference, write the page; pytest's exit code."""
    with tempfile.TemporaryDirectory() as folder:
        kept = Path(folder) / "records.json"
        code = subprocess.call(
            [sys.executable, "-m", "pytest", "-q", *comparing_modules(), f"--write-validation={kept}"],
            cwd=ROOT,
        )
        if not kept.is_file():
            print("The reference tests gave no records; the page was left as it was.")
            return code or 1
        PAGE.parent.mkdir(parents=True, exist_ok=True)
        PAGE.write_text(render(read_records(kept)), encoding="utf-8")
    print(PAGE.relative_to(ROOT))
    return code


if __name__ == "__main__":
    sys.exit(main())
