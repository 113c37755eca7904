#!/usr/bin/env python3
"""Try Farpress, or check it: one command, nothing to prepare.

    python3 start.py demo            judge the example job and set its summary as a PDF
    python3 start.py test [...]      run everything that has to hold; words after it go to pytest
    python3 start.py test --quick    the part that needs no browser, database or other program: a minute
    python3 start.py setup           only make the environment, with everything in it
    python3 start.py desk [JOB]      open a job in the browser: the example, or the folder you name
    python3 start.py -- WORDS        run the farpress command itself, as in: -- assess my-job

Everything is kept in `.venv` beside this file; removing that folder undoes it all. The
versions are those of constraints.txt. The network is used to fetch packages, once, and
never afterwards. Standard library only; Linux, macOS and Windows; Python 3.11 or newer.
"""

from __future__ import annotations

import sys

if sys.version_info < (3, 11):
    sys.exit(
        "Farpress needs Python 3.11 or newer; this is Python %d.%d. Run start.py with a newer one, as in:"
        " python3.12 start.py" % sys.version_info[:2]
    )

import hashlib
import os
import shutil
import subprocess
import time
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent
HOME = ROOT / ".venv"
BIN = HOME / ("Scripts" if os.name == "nt" else "bin")
PYTHON = BIN / ("python.exe" if os.name == "nt" else "python")
EXAMPLE = "examples/larkfen-house"
KINDS = ("base", "desk", "dev")
"""Of environments, each with everything of those before it."""

SYSTEM_PIECES = {
    # command: (Debian package, why the tests want it)
    "ngspice": ("ngspice", "the witness for circuits: an independent circuit simulator"),
    "spin": ("spin", "the witness for press stories: an independent model checker"),
    "gcc": ("gcc", "spin makes C programs; something must compile them"),
    "pdftotext": ("poppler-utils", "the witness for papers: an independent reader of PDF"),
    "initdb": ("postgresql", "the record is tried on it as well, in a cluster that is thrown away"),
    "chromium": ("chromium", "the desk is tried in a real browser, as a person would use it"),
}
"""Programs that are no Python packages; only the tests need them."""

QUICK = "not (browser or database or witness or long or slow)"
"""Tests that need nothing but Python and a moment; tests/README.md says what the marks mean."""


class Stopped(Exception):
    """Something is missing; the text says what and how to get it."""


def main(words: list[str]) -> int:
    """Do what the first word says; without one, say what there is."""
    # no match statement, no newer syntax: an old Python must get as far as the sentence above
    first, rest = (words[0], words[1:]) if words else ("", [])
    if first == "demo" and not rest:
        return demo()
    if first == "test":
        return test(rest)
    if first == "setup" and not rest:
        prepare("dev")
        system_pieces()
        print(f"Ready: {PYTHON}")
        return 0
    if first == "desk":
        prepare("desk")
        job = rest if rest and not rest[0].startswith("-") else [str(ROOT / EXAMPLE), *rest]
        return subprocess.call([str(PYTHON), "-m", "farpress", "desk", *job], env=environment())
    if first == "--" and rest:
        prepare("desk" if rest[0] == "desk" else "base")
        return subprocess.call(
            [str(PYTHON), "-m", "farpress", *rest], env=environment()
        )  # in the folder the user stands in
    print((__doc__ or "").strip())
    return 0 if first in ("", "help", "-h", "--help") else 2


def demo() -> int:
    """Judge the example job and set its summary; ends with where the paper lies."""
    prepare("base")
    out = ROOT / "out"
    out.mkdir(exist_ok=True)
    paper = out / f"{Path(EXAMPLE).name}-summary.pdf"
    paper.unlink(missing_ok=True)
    say(f"Judging {EXAMPLE}: every link of every promise")
    code = call("-m", "farpress", "assess", EXAMPLE, "--pdf", str(paper))
    if code not in (0, 1) or not paper.is_file():
        raise Stopped(f"The example job could not be judged (exit code {code}); the lines above say why.")
    print(f"\nThe summary paper:  {paper}")
    print(f"The job itself:     {ROOT / EXAMPLE / 'job.yaml'}: change it and run this again")
    print(f"In this folder 'farpress' is called so:  python3 start.py -- assess {EXAMPLE} 1")
    print("The same job in the browser:  python3 start.py desk")
    if code == 1:
        print(
            "The broken links are meant: this job was drawn up with faults, so that there is something to"
            " find."
        )
    return 0


def test(rest: list[str]) -> int:
    """Everything that has to hold, in this order; all of it runs, whatever fails. pytest also checks that the
    generated pages are current, and, where it runs whole or quick, keeps every core busy.
    """
    is_quick = "--quick" in rest
    words = [word for word in rest if word != "--quick"]
    prepare("dev")
    if not is_quick:
        system_pieces()
    layers = (
        "import sys; from importlinter.cli import lint_imports_command as run;"
        " sys.path.insert(0, 'src'); run()"
    )
    chosen = ["-m", QUICK] if is_quick else []
    spread = [] if words else ["-n", "auto", "--maxprocesses", "8"]
    steps = [
        ("style", ["-m", "ruff", "check", "src", "tests", "tools", "benchmarks", "start.py"]),
        ("types", ["-m", "mypy"]),
        ("layers", ["-c", layers]),
        ("tests", ["-m", "pytest", *chosen, *spread, *words]),
    ]
    failed = []
    for name, command in steps:
        say(f"Checking: {name}")
        begun = time.monotonic()
        if call(*command):
            failed.append(name)
        print(f"   {time.monotonic() - begun:.0f} s", flush=True)
    if failed:
        print(f"\nNot in order: {', '.join(failed)}")
        return 1
    print("\nWhat is quick holds. The rest: python3 start.py test" if is_quick else "\nAll of it holds.")
    return 0


def prepare(kind: str) -> None:
    """Make or complete the environment: "base" to use Farpress, "desk" with the browser pages, "dev" to
    check it as well.
    """
    stamp, wanted = HOME / "farpress-stamp", fingerprint()
    present = stamp.read_text(encoding="utf-8").split() if stamp.is_file() else []
    if PYTHON.is_file() and wanted in present and present[-1] in KINDS[KINDS.index(kind) :]:
        return
    begun = time.monotonic()
    if not PYTHON.is_file():
        say("Making a private environment in .venv")
        try:
            venv.create(HOME, with_pip=True, clear=True)
        except (subprocess.CalledProcessError, OSError) as error:
            shutil.rmtree(HOME, ignore_errors=True)
            raise Stopped(
                f"Python could not make an environment ({error}). On Debian or Ubuntu: apt-get install"
                " python3-venv"
            ) from error
    say("Fetching the packages it needs (once; about a minute)")
    target = "." if kind == "base" else f".[{kind}]"
    wanted_packages = ["-c", "constraints.txt", "-e", target]
    uv = shutil.which("uv")
    if uv:
        command = [uv, "pip", "install", "--python", str(PYTHON), *wanted_packages]
    else:
        command = [str(PYTHON), "-m", "pip", "install", "--no-compile", "--no-input", *wanted_packages]
    done = subprocess.run(
        command,
        cwd=ROOT,
        env=environment(),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        encoding="utf-8",
        errors="replace",
    )
    if done.returncode:
        print(done.stdout, done.stderr, sep="\n", flush=True)
        raise Stopped(
            "The packages could not be fetched; the lines above say why. Is there a network? Running this"
            " again goes on."
        )
    stamp.write_text(f"{wanted} {kind}\n", encoding="utf-8")
    print(f"   {time.monotonic() - begun:.0f} s", flush=True)


def fingerprint() -> str:
    """Changes whenever another set of packages, another Python or another folder is meant."""
    text = b"".join((ROOT / name).read_bytes() for name in ("pyproject.toml", "constraints.txt"))
    return hashlib.sha256(text + f"{sys.version_info[:2]} {ROOT}".encode()).hexdigest()[:16]


def system_pieces() -> None:
    """Find the programs the tests want; fetch them where that is allowed, else say how."""
    missing = {piece: reason for command, (piece, reason) in SYSTEM_PIECES.items() if not is_here(command)}
    if not missing:
        return
    if shutil.which("apt-get") and hasattr(os, "geteuid") and os.geteuid() == 0:
        for piece, reason in missing.items():
            say(f"Installing {piece}: {reason}")
        quiet = {
            "stdin": subprocess.DEVNULL,
            "stdout": subprocess.DEVNULL,
            "env": environment() | {"DEBIAN_FRONTEND": "noninteractive"},
        }
        install = ["apt-get", "install", "-y", "-q", "--no-install-recommends", *missing]
        if subprocess.call(install, **quiet) and (
            subprocess.call(["apt-get", "update", "-q"], **quiet) or subprocess.call(install, **quiet)
        ):
            raise Stopped(f"apt-get could not install: {', '.join(missing)}. The tests need them.")
        return
    lines = [f"  {piece}: {reason}" for piece, reason in missing.items()]
    raise Stopped(
        "\n".join(
            [
                "The tests need these programs, which are not here:",
                *lines,
                (
                    f"On Debian or Ubuntu: sudo apt-get install {' '.join(missing)}. Elsewhere: the"
                    f" package of"
                    " the same name, as in brew install."
                ),
            ]
        )
    )


def is_here(command: str) -> bool:
    """Whether a program can be found; Debian keeps those of a database server apart."""
    return bool(shutil.which(command) or list(Path("/usr/lib/postgresql").glob(f"*/bin/{command}")))


def environment() -> dict[str, str]:
    """The surroundings of every program started here: quiet, UTF-8, asking nothing. What Python makes of the
    modules it has read is kept in .venv, also where that is switched off elsewhere: it halves the start.
    """
    return os.environ | {
        "PYTHONDONTWRITEBYTECODE": "",
        "PYTHONPYCACHEPREFIX": str(HOME / "bytecode"),
        "PIP_DISABLE_PIP_VERSION_CHECK": "1",
        "PIP_ROOT_USER_ACTION": "ignore",
        "PYTHONUTF8": "1",
        "UV_PYTHON_DOWNLOADS": "never",
    }


def call(*words: str) -> int:
    """Run the environment's Python and return its exit code."""
    return subprocess.call([str(PYTHON), *words], cwd=ROOT, env=environment(), stdin=subprocess.DEVNULL)


def say(text: str) -> None:
    """One line of progress."""
    print(f"── {text}", flush=True)


if __name__ == "__main__":
    if hasattr(sys.stdout, "reconfigure"):
        sys.stdout.reconfigure(encoding="utf-8", errors="replace")
    try:
        sys.exit(main(sys.argv[1:]))
    except Stopped as stopped:
        sys.exit(f"\n{stopped}")
    except KeyboardInterrupt:
        sys.exit("\nStopped. Running it again goes on from here.")
