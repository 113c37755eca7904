"""What must not stand in the repository: addresses, machine paths, ambiguous trade words."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

from survey import ROOT

HOSTS = {
    "docs.scipy.org",
    "github.com",
    "json-schema.org",
    "ngspice.sourceforge.io",
    "scripts.sil.org",
    "www.adobe.com",
    "www.apache.org",
    "www.itl.nist.gov",
    "www.w3.org",
}
"""Who may be named by address: those who publish a source, a schema, a licence or a name space."""
RESERVED = ("localhost", ".example", ".invalid", ".test")
"""Names that RFC 2606 and RFC 6761 keep for examples and for the machine itself."""
HOMES = [r"/ro{2}t/", r"/home/[a-z][\w.-]*/", r"/Users/[A-Za-z][\w.-]*/", r"[A-Z]:\\Users\\\w"]
# in pieces, so that this file does not hold what it looks for
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


def _text(path: Path) -> str:
    """What a file says; nothing for one that is not text."""
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        return ""


def _lines_with(pattern: str, flags: re.RegexFlag = re.IGNORECASE) -> list[str]:
    found = []
    wanted = re.compile(pattern, flags)
    for path in _tracked():
        text = _text(path)
        if wanted.search(text):
            found += [
                f"{path.relative_to(ROOT)}:{number}"
                for number, line in enumerate(text.splitlines(), 1)
                if wanted.search(line)
            ]
    return found


def test_only_publishers_of_sources_are_named_by_address() -> None:
    """Versions are held by name only; where they come from is the user's choice."""
    address = re.compile(r"https?://([A-Za-z0-9][A-Za-z0-9.-]*[A-Za-z0-9])")
    named = {
        f"{path.relative_to(ROOT)}: {host}"
        for path in _tracked()
        for host in address.findall(_text(path))
        if host not in HOSTS and not host.endswith(RESERVED) and not host.startswith("127")
    }
    assert named == set()


def test_no_path_of_a_machine() -> None:
    """Nothing here depends on, or tells of, the machine it was written on."""
    own = [re.escape(f"{ROOT}/")] if len(ROOT.parts) > 2 else []
    assert _lines_with("|".join([*HOMES, *own])) == []


@pytest.mark.parametrize("word", TRADE)
def test_ambiguous_trade_words_are_not_used(word: str) -> None:
    """One word for one thing, and none that belongs to one maker."""
    assert _lines_with(rf"\b{re.escape(word)}", re.NOFLAG if word.isupper() else re.IGNORECASE) == [], (
        f"say: {TRADE[word]}"
    )
