"""Write constraints.txt: the exact versions this project was tried with.

Run it in the environment whose versions are to be kept:
`python tools/write_constraints.py`. It follows pyproject.toml's own dependencies and
extras through the installed packages; a package that only happens to be installed is
not listed. Plain `name==version` lines: no addresses, no paths.
"""

from __future__ import annotations

import re
import sys
import tomllib
from importlib import metadata
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
HEAD = "# Versions this project was tried with. Written by tools/write_constraints.py; not edited by hand.\n"
_REQUIREMENT = re.compile(r"\s*([A-Za-z0-9][A-Za-z0-9._-]*)\s*(?:\[([^\]]*)\])?[^;]*(?:;(.*))?")
_EXTRA = re.compile(r"""extra\s*==\s*["']([^"']+)["']""")


def normal(name: str) -> str:
    """A package name in the one spelling that compares."""
    return re.sub(r"[-_.]+", "-", name).lower()


def closure(requirements: list[str]) -> dict[str, str]:
    """Name → installed version of everything the requirements pull in here."""
    found: dict[str, str] = {}
    seen: set[tuple[str, frozenset[str]]] = set()
    waiting = [(text, frozenset[str]()) for text in requirements]
    while waiting:
        text, extras_of_parent = waiting.pop()
        parts = _REQUIREMENT.match(text)
        if parts is None:
            continue
        wanted_by = _EXTRA.search(parts[3] or "")
        if wanted_by and wanted_by[1] not in extras_of_parent:
            continue
        name, extras = normal(parts[1]), frozenset(filter(None, re.split(r"[\s,]+", parts[2] or "")))
        if (name, extras) in seen or name == "farpress":
            continue
        seen.add((name, extras))
        try:
            package = metadata.distribution(name)
        except metadata.PackageNotFoundError:
            continue  # not needed on this system or this Python
        found[name] = package.version
        waiting += [(one, extras) for one in package.requires or ()]
    return found


def main() -> int:
    """Write the file; 1 when a direct dependency is not installed."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    direct = list(project["project"]["dependencies"])
    for extra in project["project"].get("optional-dependencies", {}).values():
        direct += extra
    direct += project["build-system"]["requires"] + ["editables", "pip"]
    versions = closure(direct)
    versions.pop("pip", None)
    missing = sorted(
        name
        for text in direct
        if (found := _REQUIREMENT.match(text))
        and (name := normal(found[1])) not in versions | {"pip": "", "farpress": ""}
    )
    lines = [f"{name}=={versions[name]}\n" for name in sorted(versions)]
    (ROOT / "constraints.txt").write_text(HEAD + "".join(lines), encoding="utf-8")
    print(f"constraints.txt: {len(lines)} packages")
    if missing:
        print("not installed here, so not held:", ", ".join(missing))
    return 0


if __name__ == "__main__":
    sys.exit(main())
