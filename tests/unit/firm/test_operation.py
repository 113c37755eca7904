"""The files for running the service hold together: commands they call exist, the unit is one that systemd
reads.
"""

from __future__ import annotations

import configparser
import re
import shutil
import subprocess

import pytest
from click.testing import CliRunner

from farpress.cli.firm import command
from survey import ROOT

DEPLOY = ROOT / "deploy"


@pytest.mark.parametrize(
    "name", ["farpress-firm.service", "farpress-backup.service", "farpress-backup.timer"]
)
def test_a_unit_is_read_and_has_its_sections(name: str) -> None:
    """Each line is a section, a setting or a remark; where systemd is here, it says so itself."""
    unit = configparser.RawConfigParser(strict=False, comment_prefixes=("#",), delimiters=("=",))
    unit.optionxform = str  # type: ignore[assignment,method-assign]
    unit.read(DEPLOY / name)

    assert set(unit.sections()) >= {"Unit", "Timer" if name.endswith("timer") else "Service"}
    if shutil.which("systemd-analyze"):
        done = subprocess.run(
            ["systemd-analyze", "verify", "--man=no", str(DEPLOY / name)],
            capture_output=True,
            text=True,
            check=False,
        )
        told = [
            line
            for line in (done.stdout + done.stderr).splitlines()
            if name in line and "is not executable" not in line and "not found" not in line
        ]
        assert told == []


@pytest.mark.parametrize("name", ["Containerfile", "farpress-firm.service", "farpress-backup.service"])
def test_what_is_started_is_a_command_with_those_options(name: str) -> None:
    """Every option that the file gives to a command is one of that command."""
    text = (DEPLOY / name).read_text()
    words = (
        re.findall(r'"([^"]+)"', re.search(r"^CMD \[(.*)\]$", text, re.MULTILINE)[1])
        if name == "Containerfile"
        else re.search(r"farpress firm ([^\n']*)", text)[1].split()
    )  # type: ignore[index]

    found = command.get_command(command.make_context("firm", [], resilient_parsing=True), words[0])

    assert found is not None
    known = {option for one in found.params for option in one.opts}
    assert {word for word in words if word.startswith("--")} <= known


def test_the_container_does_not_run_as_root_and_copies_what_is_there() -> None:
    """A user of its own; every file that is copied exists."""
    text = (DEPLOY / "Containerfile").read_text()
    lines = text.splitlines()

    assert lines.index("USER farpress") < next(
        index for index, line in enumerate(lines) if line.startswith("ENTRYPOINT")
    )
    for line in lines:
        if line.startswith("COPY"):
            assert all((ROOT / word).exists() for word in line.split()[1:-1])


@pytest.mark.parametrize(
    "words",
    [
        ["start"],
        ["find"],
        ["due"],
        ["assess"],
        ["part", "x", "--value", "a=b"],
        ["member", "list"],
        ["backup", "x"],
        ["versions", "y"],
        ["outlook"],
        ["audit"],
        ["serve"],
    ],
)
def test_without_a_shelf_every_command_says_what_to_do(
    words: list[str], tmp_path_factory: pytest.TempPathFactory
) -> None:
    """No file is made by a slip; only `start` makes one."""
    from farpress.errors import InputError

    where = tmp_path_factory.mktemp("empty") / "firm.sqlite"
    done = CliRunner().invoke(command, ["--database", str(where), *words])

    if words == ["start"]:
        assert done.exit_code == 0
        assert where.is_file()
    else:
        assert isinstance(done.exception, InputError)
        assert "firm start" in str(done.exception)
        assert not where.exists()
