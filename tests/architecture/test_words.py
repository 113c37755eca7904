"""What must not stand in the repository: addresses, machine paths, ambiguous trade words."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

from survey import ROOT

# written in pieces, so that this file does not hold what it looks for
HOSTS = [
    ".".join(pieces)
    for pieces in (
        ("py" + "pi", "org"),
        ("python" + "hosted", "org"),
        ("npm" + "js", "org"),
        ("cra" + "tes", "io"),
        ("ana" + "conda", "org"),
    )
]
PATHS = [
    "/" + "/".join(pieces) + "/"
    for pieces in (
        ("wo" + "rk", "shared"),
        ("wo" + "rk", "main"),
        ("tm" + "p", "wt"),
        ("ro" + "ot",),
        ("home" + "", "[a-z]+"),
    )
]
INSIDE = ["doss" + "ier", "seed " + "document", "shared" + "/design", "shared" + "/reference"]
TRADE = {
    "PG" + "M": "programmable output",
    "key" + "switch zone": "set/unset input",
    "dead" + "-man": "hold-to-run",
    "dis" + "arm": "unset",
    "master " + "remote": "authorising fob",
    "party " + "mode": "held open",
    "condo" + "minium": "shared-entrance logic",
    "hands" + "-free": "describe what happens",
    "vacation " + "mode": "absent programme",
}
"""Words that are ambiguous or sound like one maker's → what is said here."""


def _tracked() -> list[Path]:
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        check=False,
    )
    if listed.returncode == 0:
        names = [name for name in listed.stdout.decode("utf-8").split("\0") if name]
    else:  # unpacked without version control
        kept = ("src", "tests", "docs", "examples", "tools", "benchmarks", "changelog.d")
        names = [
            str(path.relative_to(ROOT))
            for path in ROOT.rglob("*")
            if path.is_file() and path.relative_to(ROOT).parts[0] in kept
        ]
    return [ROOT / name for name in names if (ROOT / name).is_file()]


def _lines_with(pattern: str, flags: re.RegexFlag = re.IGNORECASE) -> list[str]:
    found = []
    wanted = re.compile(pattern, flags)
    for path in _tracked():
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue
        if wanted.search(text):
            found += [
                f"{path.relative_to(ROOT)}:{number}"
                for number, line in enumerate(text.splitlines(), 1)
                if wanted.search(line)
            ]
    return found


def test_no_address_of_a_package_registry() -> None:
    """Versions are held by name only; where they come from is the user's choice."""
    assert _lines_with("|".join(map(re.escape, HOSTS))) == []


def test_no_path_of_a_machine() -> None:
    """Nothing here depends on, or tells of, the machine it was written on."""
    assert _lines_with("|".join(PATHS)) == []


def test_nothing_speaks_of_papers_that_are_not_here() -> None:
    """Sources are named as documents, not as somebody's notes."""
    assert _lines_with("|".join(map(re.escape, INSIDE))) == []


@pytest.mark.parametrize("word", TRADE)
def test_ambiguous_trade_words_are_not_used(word: str) -> None:
    """One word for one thing, and none that belongs to one maker."""
    assert _lines_with(rf"\b{re.escape(word)}", re.NOFLAG if word.isupper() else re.IGNORECASE) == [], (
        f"say: {TRADE[word]}"
    )
