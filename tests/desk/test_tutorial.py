"""The tutorial walked through: its commands run, what it names is there, each step does what it says."""

from __future__ import annotations

import json
import re
from pathlib import Path
from urllib.parse import urlencode

from click.testing import CliRunner

from farpress.cli.main import cli
from helpers.desk import served
from helpers.project import ROOT

TEXT = (ROOT / "docs" / "tutorial" / "first-job.md").read_text(encoding="utf-8")
PLAIN = " ".join(TEXT.split())
STEPS = {
    "promises": ("First page",),
    "meter": ("While", "Supplies", "If", "mains off, battery at its end", "this core is broken"),
    "mend": ("Find what mends it",),
    "job": ("Receivers and outputs", "Traffic and readings"),
    "job/receivers": ("Rename",),
    "versions": (),
    "papers": (),
}
"""Page → words that the tutorial names and the page shows."""


def test_every_step_can_be_walked(tmp_path: Path) -> None:
    """From the first command to a change that is saved, one that is refused, and the file behind it."""
    commands = [
        line.split(" -- ")[1].split() for line in TEXT.splitlines() if line.startswith("python3 start.py -- ")
    ]
    assert [command[0] for command in commands] == ["new", "desk", "assess", "assess", "mend"]
    house = tmp_path / "my-house"
    made = CliRunner().invoke(cli, [*commands[0][:1], str(house), *commands[0][2:]])
    assert made.exit_code == 0, made.output
    for command in commands[1:]:
        told = CliRunner().invoke(cli, [command[0], "--help"])
        assert all(word in told.output for word in command if word.startswith("--"))
    with served(house) as desk:
        desk.ask("/j/my-house/job")
        pages = {name: desk.ask(f"/j/my-house/{name}", headers={"Accept": "text/html"}) for name in STEPS}
        for name, words in STEPS.items():
            assert pages[name].status == 200, name
            for word in words:
                assert word in PLAIN, word
                assert word in pages[name].text, (name, word)
        for title in re.findall(r"\*\*([A-Z][^*]+)\*\*", PLAIN):
            assert any(f">{title}<" in page.text for page in pages.values()), title
        judged = (ROOT / "src/farpress/desk/templates/first_page.html").read_text(encoding="utf-8")
        assert all(word in PLAIN and word in judged for word in ("Ask or measure", "why"))
        touch = {"a": "wicket.+", "b": "wicket.0", "moment": "wicket"}
        volts = [
            float(
                re.findall(r"<b>([0-9.]+) V DC</b>", desk.ask(f"/j/my-house/meter?{urlencode(more)}").text)[0]
            )
            for more in (touch, {**touch, "level": "mains off, battery at its end"})
        ]
        assert volts[0] > volts[1] > 0
        path = json.dumps(["premises", "larkfen", "receivers", "R1"])
        saved = [
            desk.ask("/j/my-house/entry", {"values": {"@path": path, "fed/cable/length": length}}).status
            for length in ("3 m", "3")
        ]
        assert saved == [200, 422]
        renamed = desk.ask("/j/my-house/entry/rename", {"path": json.loads(path), "name": "G1"})
        assert renamed.status == 200, renamed.text
        asked = desk.ask("/j/my-house/entry/remove", {"path": [*json.loads(path)[:3], "G1"]})
        assert "Function" in desk.ask(asked.json["open"]).text
    assert "length: 3 m" in (house / "job.yaml").read_text(encoding="utf-8")
