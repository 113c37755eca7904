"""Write the JSON Schema of the job file to docs/reference; run after a change of its tables.

python tools/write_schema.py
"""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "src"))


def main() -> None:
    """Write the file and say where."""
    from farpress.jobfile.schema import SCHEMA_NAME, schema_text

    target = ROOT / "docs" / "reference" / SCHEMA_NAME
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_text(schema_text(), encoding="utf-8", newline="\n")
    print(f"written: {target.relative_to(ROOT)}")


if __name__ == "__main__":
    main()
