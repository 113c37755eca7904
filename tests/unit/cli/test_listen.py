"""The command listen: a recording told, written into a job, and read back from it."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from farpress.case.door import open_job
from farpress.cli.listen import command
from farpress.errors import InputError
from helpers.project import EXAMPLES
from helpers.recordings import as_sigmf, keyed, noise

WORDS = ("--channel", "433.91", "--width", "20", "--full-scale", "-20")


def ran(*words: str) -> str:
    """Standard output."""
    result = CliRunner().invoke(command, list(words), standalone_mode=False)
    if result.exception is not None:
        raise result.exception
    return result.stdout


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Twenty seconds at -100 dBm in 20 kHz with 14 strangers of 60 ms."""
    samples = noise(20.0, -100.0, 20e3, seed=5)
    for begins in np.arange(0.7, 19.5, 1.4):
        keyed(samples, float(begins), 0.06, -75.0, 9_000.0)
    return as_sigmf(tmp_path_factory.mktemp("yard") / "yard", samples)


def test_a_recording_is_told_in_eighty_columns_with_what_it_cannot_show(yard: Path, tmp_path: Path) -> None:
    """Noise, bursts, their return; what was not to be seen; the picture is one sheet; JSON says the same."""
    text = ran(str(yard), *WORDS, "--picture", str(tmp_path / "yard.svg"))
    data = json.loads(ran(str(yard), *WORDS, "--format", "json"))["recordings"][0]

    assert max(map(len, text.splitlines())) <= 80
    assert "14 bursts" in text
    assert "come back every 1.4 s" in " ".join(text.split())
    assert "what comes seldom" in " ".join(text.split())
    assert (tmp_path / "yard.svg").read_text(encoding="utf-8").startswith("<svg")
    assert data["noise_floor"] == pytest.approx(-100.0, abs=0.5)
    assert len(data["bursts"]) == 14


def test_what_was_heard_goes_into_the_job_and_comes_out_of_it(yard: Path, tmp_path: Path) -> None:
    """Noise in the receiver's own bandwidth, the careful side of the share, and the level of presses as a
    reading;
    written, read back, and the same to the digit.
    """
    shutil.copytree(EXAMPLES / "larkfen-house", tmp_path / "job")
    where = (str(yard), *WORDS, "--job", str(tmp_path / "job"), "--receiver", "larkfen/R1")
    told = json.loads(ran(*where, "--format", "json"))
    before = open_job(tmp_path / "job")
    ran(*where, "--write")
    ran(*where, "--pressed-at", "street", "--write")
    after = open_job(tmp_path / "job")
    box = after.job.premises["larkfen"].receivers["R1"]
    sheet = after.equipment.receivers["larkfen/R1"].sheet
    reading = after.job.readings[len(before.job.readings)]

    assert box.noise_floor_dbm == pytest.approx(
        told["recordings"][0]["noise_floor"] + 10.0 * np.log10((sheet.bandwidth_hz or 0.0) / 20e3), abs=0.06
    )
    assert box.noise_bursts_share is not None
    assert told["recordings"][0]["taken_at_most"] <= box.noise_bursts_share
    assert box.noise_bursts_share == pytest.approx(told["recordings"][0]["taken_at_most"], rel=0.01)
    assert reading.level_dbm == pytest.approx(-75.0, abs=1.0)
    assert (reading.receiver, reading.place) == ("larkfen/R1", "street")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--write",), "need --job and --receiver"),
        (("--receiver", "R1"), "give --job too"),
        (("--job", str(EXAMPLES / "larkfen-house"), "--receiver", "R9"), "name one of larkfen/"),
        (
            ("--job", str(EXAMPLES / "larkfen-house"), "--receiver", "larkfen/R1", "--pressed-at", "moon"),
            "no place 'moon'",
        ),
        (("--picture", "levels.txt"), "drawn as .svg"),
    ],
)
def test_what_cannot_be_done_is_said(yard: Path, words: tuple[str, ...], says: str) -> None:
    """In one sentence with what to do."""
    with pytest.raises(InputError, match=says):
        ran(str(yard), *WORDS, *words)


def test_without_a_full_scale_no_level_goes_into_a_job(yard: Path) -> None:
    """Levels from full scale are told as such; the share of bursts is still proposed, the noise floor is
    not.
    """
    job = ("--job", str(EXAMPLES / "larkfen-house"), "--receiver", "larkfen/R1")
    found = json.loads(ran(str(yard), *WORDS[:4], *job, "--format", "json"))

    assert found["recordings"][0]["level_unit"] == "dBFS"
    assert [change["path"][-1] for change in found["changes"]] == ["noise_bursts"]
    with pytest.raises(InputError, match="give --full-scale"):
        ran(str(yard), *WORDS[:4], *job, "--pressed-at", "street")
