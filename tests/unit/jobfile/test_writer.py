"""Writing changes back: comments, order, quotes and every other line survive; nothing is lost."""

from __future__ import annotations

import difflib
import os
import stat
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from farpress.domain.finding import Change
from farpress.errors import JobFileError
from farpress.jobfile import writer
from farpress.jobfile.reader import read_job, read_job_text
from farpress.jobfile.source import decode
from farpress.jobfile.text_to_tree import text_to_tree
from farpress.jobfile.writer import apply_changes
from farpress.jobfile.written import written_scalar

Known = Mapping[str, frozenset[str]]
HOUSE = ("premises", "cottage")
R1 = (*HOUSE, "receivers", "R1")


@pytest.fixture
def folder(tmp_path: Path, sample: str) -> Path:
    """A job folder with the sample in it."""
    (tmp_path / "job.yaml").write_text(sample, encoding="utf-8", newline="\n")
    return tmp_path


def lines_changed(before: str, folder: Path) -> tuple[list[str], list[str]]:
    """Lines taken out and lines put in."""
    after = (folder / "job.yaml").read_bytes().decode()
    diff = [
        line
        for line in difflib.unified_diff(before.split("\n"), after.split("\n"), n=0, lineterm="")
        if not line.startswith(("---", "+++", "@@"))
    ]
    return [line[1:] for line in diff if line[0] == "-"], [line[1:] for line in diff if line[0] == "+"]


ONE_LINE: list[tuple[tuple[str | int, ...], Any, int, int]] = [
    ((*R1, "outputs", "1", "for"), "1 s", 1, 1),
    ((*R1, "outputs", "1", "cable", "part"), "flex-2x0.5", 1, 1),
    ((*HOUSE, "places", "street", "at"), [14, -20.5], 1, 1),
    ((*HOUSE, "places", "porch"), {"at": [1, 2], "level": "ground"}, 0, 1),
    ((*R1, "outputs", "4"), {"kind": "follow", "works": "gate.close"}, 0, 1),
    ((*R1, "outputs", "1", "suppression"), "diode", 1, 1),
    ((*R1, "outputs", "2", "via"), None, 1, 1),
    ((*HOUSE, "walls", 0), None, 1, 0),
    ((*HOUSE, "walls", 1, "openings", 0, "width"), "2.5 m", 1, 1),
    ((*HOUSE, "walls", 2), {"build": "plasterboard", "along": [[1, 2], [3, 4]]}, 0, 1),
    (("rules", 0, "says"), 'it\'s "so": # {x}', 1, 1),
    (("rules", 0), None, 1, 0),
    (("job",), "Quarry: the cottage", 1, 1),
    (("details", "customer"), 'W. "Hollis"', 1, 1),
    (("details", "address"), "it's here", 1, 1),
    (("groups", "family", "buttons", "3"), "open gate", 1, 1),
    (("groups", "family", "spares"), 2, 0, 1),
    (("functions", "call"), {"output": "cottage/R1/1"}, 0, 1),
    (("people", "tavi"), None, 1, 0),
    (("parts", "RX-own", "noise_figure"), "8 dB", 0, 1),
]


@pytest.mark.parametrize(("path", "value", "out", "put_in"), ONE_LINE)
def test_one_change_touches_one_line(
    path: tuple[str | int, ...], value: Any, out: int, put_in: int, folder: Path, sample: str
) -> None:
    """Replaced, added or removed: every other line stays to the byte, remarks and spacing too."""
    taken, new = lines_changed_after(folder, sample, [Change(path, value)])
    assert (len(taken), len(new)) == (out, put_in), (taken, new)
    for line in taken:
        if "#" in line and new:
            assert line[line.rindex("#") :] in new[0]


def lines_changed_after(folder: Path, before: str, changes: list[Change]) -> tuple[list[str], list[str]]:
    """Lines out and in after some changes."""
    apply_changes(folder, changes)
    return lines_changed(before, folder)


def test_the_values_read_back_and_the_fingerprint_is_the_new_one(folder: Path, known: Known) -> None:
    """What was asked for stands in the job afterwards."""
    before = read_job(folder, known=known)
    changes = [
        Change((*R1, "outputs", "1", "for"), "0.8 s"),
        Change((*R1, "outputs", "1", "cable", "length"), "33 m"),
        Change(("register", "lost"), "3 %"),
    ]
    fingerprint = apply_changes(folder, changes, fingerprint=before.fingerprint, known=known)
    after = read_job(folder, known=known)
    assert after.fingerprint == fingerprint != before.fingerprint
    assert after.job.premises["cottage"].receivers["R1"].outputs["1"].for_s == 0.8
    assert after.job.register_.lost_share == 0.03
    assert [path.name for path in folder.iterdir()] == ["job.yaml"]


def test_windows_line_ends_byte_order_mark_and_permissions_stay(folder: Path, sample: str) -> None:
    """A file that came from another system goes back as it was."""
    target = folder / "job.yaml"
    target.write_bytes(b"\xef\xbb\xbf" + sample.replace("\n", "\r\n").encode())
    target.chmod(0o640)
    apply_changes(folder, [Change((*R1, "outputs", "1", "for"), "1 s")])
    apply_changes(folder, [Change(("functions", "call"), {"output": "cottage/R1/1"})])
    data = target.read_bytes()
    assert data.startswith(b"\xef\xbb\xbf# Quarry")
    assert data.count(b"\n") == data.count(b"\r\n") == sample.count("\n") + 1
    assert stat.S_IMODE(target.stat().st_mode) == 0o640


def test_a_file_changed_by_somebody_else_is_left_alone(folder: Path, sample: str, known: Known) -> None:
    """Two editors never overwrite each other silently."""
    seen = read_job(folder, known=known).fingerprint
    theirs = sample.replace("travel: 24 s", "travel: 25 s")
    (folder / "job.yaml").write_text(theirs, encoding="utf-8")
    with pytest.raises(JobFileError, match="changed on disk"):
        apply_changes(folder, [Change(("job",), "Mine")], fingerprint=seen)
    assert (folder / "job.yaml").read_text(encoding="utf-8") == theirs


def test_a_file_changed_while_we_were_writing_is_left_alone(
    folder: Path, sample: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The last look before the replacement finds the other's change."""
    theirs = sample + "# theirs\n"
    real = writer.ways_to_write

    def slow(*given: Any) -> str:
        (folder / "job.yaml").write_text(theirs, encoding="utf-8")
        return real(*given)

    monkeypatch.setattr(writer, "ways_to_write", slow)
    with pytest.raises(JobFileError, match="while the change was being made"):
        apply_changes(folder, [Change(("job",), "Mine")])
    assert (folder / "job.yaml").read_text(encoding="utf-8") == theirs
    assert [path.name for path in folder.iterdir()] == ["job.yaml"]


@pytest.mark.parametrize(
    ("path", "value", "says"),
    [
        ((*R1, "outputs", "1", "for"), "1", "has no unit"),
        ((*R1, "outputs", "1", "works"), "gait.open", "Did you mean 'gate'?"),
        (("groups", "nobody", "x"), "1", "not known"),
        (("rules", 7, "of"), ["open gate"], "there is no rules\\[7\\]"),
        (("rules", 9), {"never": "toggles"}, "there is no rules\\[9\\]"),
        (("people", "nobody"), None, "to remove"),
        (("job", "deeper"), "x", "there is no job"),
        ((), "x", "needs a path"),
        (("job",), None, "'job' is missing"),
        (("job",), "a\x07b", "control character"),
    ],
)
def test_a_change_with_a_fault_leaves_the_file_as_it_was(
    path: tuple[str | int, ...], value: Any, says: str, folder: Path, sample: str, known: Known
) -> None:
    """All changes or none; the result is read before the file is replaced."""
    with pytest.raises(JobFileError, match=says):
        apply_changes(folder, [Change(("region",), "north america"), Change(path, value)], known=known)
    assert (folder / "job.yaml").read_bytes() == sample.encode()
    assert [one.name for one in folder.iterdir()] == ["job.yaml"]


def test_a_full_disk_leaves_the_old_file(folder: Path, sample: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The old file stays whole and no half file is left behind."""

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(JobFileError, match=r"No space left on device\. It is as it was"):
        apply_changes(folder, [Change(("job",), "Mine")])
    assert (folder / "job.yaml").read_bytes() == sample.encode()
    assert [one.name for one in folder.iterdir()] == ["job.yaml"]


def test_a_link_within_the_folder_stays_a_link(folder: Path) -> None:
    """The file behind the link is replaced, not the link."""
    (folder / "job.yaml").rename(folder / "design.yaml")
    (folder / "job.yaml").symlink_to("design.yaml")
    apply_changes(folder, [Change(("job",), "Mine")])
    assert (folder / "job.yaml").is_symlink()
    assert "job: Mine" in (folder / "design.yaml").read_text(encoding="utf-8")


def test_a_shared_value_is_changed_in_one_place_only(tmp_path: Path, known: Known) -> None:
    """A value written once and used twice: the change does not reach the other use, and is refused with the
    reason where it cannot be kept apart.
    """
    text = "farpress: 1\njob: x\npremises:\n  a: {places: &both {door: {at: [1, 2]}}}\n  b: {places: *both}\n"
    (tmp_path / "job.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(JobFileError, match="used twice"):
        apply_changes(tmp_path, [Change(("premises", "b", "places", "door", "at"), [3, 4])], known=known)
    assert (tmp_path / "job.yaml").read_text(encoding="utf-8") == text
    apply_changes(tmp_path, [Change(("premises", "b", "places"), {"door": {"at": [3, 4]}})], known=known)
    job = read_job(tmp_path, known=known).job
    assert job.premises["a"].places["door"].at == (1.0, 2.0)
    assert job.premises["b"].places["door"].at == (3.0, 4.0)


@pytest.mark.parametrize(
    "word",
    [
        "no",
        "true",
        "null",
        "~",
        "010",
        "0.5",
        "1e5",
        "- x",
        "a: b",
        "a #b",
        "#x",
        "",
        " x",
        "x ",
        "'",
        '"',
        "a'b",
        "{x}",
        "[x",
        "a,b",
        "%x",
        "@x",
        "---",
        "a:",
        "é中😀",
        "x\ny",
        "\u2028",
        "a\\b",
        "-5 m",
        "-",
        "?x",
        "=",
        "<<",
        "*a",
        "&a",
        "!a",
        "|",
        ">",
        "`",
    ],
)
@pytest.mark.parametrize("frame", ["v: {}\n", "v: {{k: {}}}\n", "v: [{}, 1]\n"])
def test_every_text_written_reads_back_the_same(word: str, frame: str) -> None:
    """Quotes are set exactly where the text would otherwise mean something else."""
    text = frame.format(written_scalar(word, flow="{" in frame[3:5] or "[" in frame))
    tree, _ = text_to_tree(decode(text.encode(), None))
    assert tree is not None
    value = tree.data["v"]
    value = value["k"] if isinstance(value, dict) else value[0] if isinstance(value, list) else value
    assert value == word
    assert isinstance(value, str)


def test_block_style_files_of_other_hands_keep_their_form(tmp_path: Path, known: Known) -> None:
    """Indentation by four, lists without indentation, quoted keys: one line changes."""
    text = (
        'farpress: 1\njob: "x"\npremises:\n    "a":\n        walls:\n        - build: plasterboard   # thin\n'
        "          along:\n          - [1, 2]\n          - [3, 4]\n        places:\n            door:\n      "
        "          at: [1, 2]\n"
    )
    (tmp_path / "job.yaml").write_text(text, encoding="utf-8")
    apply_changes(tmp_path, [Change(("premises", "a", "places", "window"), {"at": [5, 6]})], known=known)
    taken, new = lines_changed(text, tmp_path)
    assert taken == []
    assert new == ["            window: {at: [5, 6]}"]
    assert read_job_text((tmp_path / "job.yaml").read_bytes(), known=known).job.premises["a"].places[
        "window"
    ].at == (5.0, 6.0)
