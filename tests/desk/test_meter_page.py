"""The meter at the desk: read by its address alone, refused in words, a core led to another terminal."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlencode

import pytest

from farpress.jobfile.starter import starter_text
from farpress.jobfile.text_to_values import values_of
from helpers.desk import Served, served

DRAWN = """    cables:
      W9:
        part: alarm-6x0.22
        length: 30 m
        cores:
          red: [main.+, J1.1]
          black: [main.0, J1.2]
    junctions:
      J1: {at: [3, 3]}
"""


@pytest.fixture(scope="module")
def alder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A cable drawn to a junction box."""
    folder: Path = tmp_path_factory.mktemp("meter") / "alder"
    folder.mkdir()
    text = starter_text("Alder").replace("    devices:\n", f"{DRAWN}    devices:\n")
    (folder / "job.yaml").write_text(text, encoding="utf-8")
    with served(folder) as desk:
        desk.ask("/j/alder/meter")
        yield desk


def test_volts_are_read_at_the_far_end_and_gone_with_a_break(alder: Served) -> None:
    """As the page shows them without any script."""
    touch = {"a": "J1.1", "b": "J1.2"}
    right = alder.ask(f"/j/alder/meter?{urlencode(touch)}").text
    broken = alder.ask(f"/j/alder/meter?{urlencode({**touch, 'fault': 'broken', 'core': 'W9 red'})}").text

    assert right.count(" V DC</b>") == 1
    assert broken.count("V DC</b>") + broken.count("no volts of a known supply reach J1.1") == 2
    assert "no volts of a known supply reach J1.1" in broken or "<b>0 V DC</b>" in broken


@pytest.mark.parametrize(
    "asked",
    [
        {"a": "nowhere.1"},
        {"moment": "never"},
        {"level": "x"},
        {"premises": "elsewhere"},
        {"fault": "melted", "core": "W9 red"},
        {"fault": "broken", "core": ""},
        {"fault": "moved", "core": "W9 red", "to": "nowhere.1"},
    ],
)
def test_what_is_not_there_is_refused(alder: Served, asked: dict[str, str]) -> None:
    """In words, with what there is."""
    answer = alder.ask(f"/j/alder/meter?{urlencode(asked)}", headers={"Accept": "text/html"})

    assert answer.status == 422


def test_a_drawn_core_is_led_to_another_terminal(alder: Served) -> None:
    """In the job, and back by Undo; a run that is not drawn core by core says what to do."""
    file = alder.folder / "job.yaml"
    before = values_of(file.read_text(encoding="utf-8"))
    answer = alder.ask("/j/alder/meter/move", {"core": "W9 red", "to": "J1.2"})
    assert answer.status == 200, answer.text
    cores = values_of(file.read_text(encoding="utf-8"))["premises"]["house"]["cables"]["W9"]["cores"]
    assert cores == {"red": ["main.+", "J1.2"], "black": ["main.0", "J1.2"]}
    alder.ask("/j/alder/undo", {})
    assert values_of(file.read_text(encoding="utf-8")) == before
    run = alder.ask("/j/alder/meter/move", {"core": "main to R1, out", "to": "J1.2"})

    assert run.status == 422
    assert "core by core" in run.json["says"]
