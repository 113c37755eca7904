"""Reading a job file: what comes in, where things stand, what a file may not be."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from farpress.errors import JobFileError
from farpress.jobfile import text_to_tree as tree
from farpress.jobfile.reader import read_job, read_job_text
from helpers.work import counted_work

Known = Mapping[str, frozenset[str]]
Faults = Callable[[str | bytes], list[str]]


def test_the_sample_reads_with_units_turned_into_numbers(sample: str, known: Known) -> None:
    """Every table of the sample is read; quantities are floats in their canonical unit."""
    job = read_job_text(sample, known=known).job
    box = job.premises["cottage"].receivers["R1"]
    assert box.outputs["1"].for_s == 0.5
    assert box.outputs["1"].cable is not None
    assert box.outputs["1"].cable.length_m == 31.0
    assert job.parts["pocket-fob"].frequency_hz == 433.92e6  # type: ignore[union-attr]
    assert job.promises[0].at_least_share == 0.95
    assert box.outputs["2"].interlock == "3"
    assert job.details.issue == "3"
    assert job.traffic[0].arrivals == {"07:40-07:55": 12, "17:00-17:30": 8}


def test_plain_words_mean_what_yaml_1_2_says(known: Known) -> None:
    """YAML 1.2.2, 10.3.2: `no` is text, `12:30` is text, `0123` is a number that is kept as written where
    text is wanted.
    """
    text = (
        "farpress: 1\njob: no\ndetails: {issue: 0123, customer: 12:30, telephone: 0o17}\npeople: {no: {},"
        " 010: {age: 010}, true: {}}\npremises: {yes: {}}\n"
    )
    job = read_job_text(text, known=known).job
    assert (job.job, job.details.issue, job.details.customer, job.details.telephone) == (
        "no",
        "0123",
        "12:30",
        "0o17",
    )
    assert list(job.people) == ["no", "010", "true"]
    assert job.people["010"].age == 10
    assert list(job.premises) == ["yes"]


def test_simple_anchors_are_read_and_not_counted_as_a_bomb(known: Known) -> None:
    """A value may be written once and used twice."""
    text = "farpress: 1\njob: x\npremises:\n  a: {places: &both {door: {at: [1, 2]}}}\n  b: {places: *both}\n"
    assert read_job_text(text, known=known).job.premises["b"].places["door"].at == (1.0, 2.0)


def test_places_are_told_by_keys_of_the_file_and_by_names_of_fields(sample: str, known: Known) -> None:
    """`place_text` finds the line of a key, and of the deepest part that is there."""
    document = read_job_text(sample, known=known)
    lines = sample.split("\n")
    at = next(number for number, line in enumerate(lines, 1) if line.strip().startswith("1: {kind: pulse"))
    path = ("premises", "cottage", "receivers", "R1", "outputs", "1")
    assert document.place_text((*path, "cable", "length_m")) == f"job.yaml line {at}"
    assert document.place_text((*path, "for")) == f"job.yaml line {at}"
    assert document.line_of((*path, "contact")) == at
    second = next(number for number, line in enumerate(lines, 1) if "function: garage" in line)
    assert document.line_of(("promises", 1, "function")) == second
    assert document.line_of(("nothing", "here")) == 2


def test_the_fingerprint_is_of_the_bytes_line_ends_and_mark_aside(sample: str, known: Known) -> None:
    """Computed here a second way; another line end or a byte order mark changes nothing, a space does."""
    expected = hashlib.sha256(sample.encode()).hexdigest()
    assert read_job_text(sample, known=known).fingerprint == expected
    assert (
        read_job_text(b"\xef\xbb\xbf" + sample.replace("\n", "\r\n").encode(), known=known).fingerprint
        == expected
    )
    assert read_job_text(sample + " ", known=known).fingerprint != expected


def test_folder_and_file_read_alike(tmp_path: Path, sample: str, known: Known) -> None:
    """The folder of a job, or the file in it."""
    (tmp_path / "job.yaml").write_text(sample, encoding="utf-8")
    assert (
        read_job(tmp_path, known=known).fingerprint
        == read_job(tmp_path / "job.yaml", known=known).fingerprint
    )
    assert read_job(tmp_path, known=known).path == tmp_path / "job.yaml"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (b"", "the file is empty"),
        (b"# only a remark\n", "the file is empty"),
        (b"- a\n- b\n", "a list stands at the top"),
        (b"hello", "a single text stands at the top"),
        (b"\x89PNG\r\n\0\0", "NUL bytes"),
        ("farpress: 1\njob: Höfe\n".encode("latin-1"), "not UTF-8"),
        ("farpress: 1\n".encode("utf-16"), "UTF-16"),
        ("farpress: 1\n".encode("utf-32"), "UTF-32"),
        (b"farpress: 1\njob: x\n---\njob: y\n", "one document"),
        (b"farpress: 1\n\tjob: x\n", "a tab stands"),
        (b"farpress: 1\njob: [x\n", "bracket '[' is not closed"),
        (b"farpress: 1\njob: 'x\n", "closing quote is missing"),
        (b"farpress: 1\njob: a: b\n", "colon"),
        (b"farpress: 1\njob: !!python/name:os.system x\n", "no tags"),
        (b"farpress: 1\njob: *here\n", "there is none above"),
        (b"farpress: 1\njob: &here [*here]\n", "never end"),
        (b"farpress: 1\n<<: {job: x}\n", "not merged"),
        (b"farpress: 1\njob: x\n? [a, b]\n: 1\n", "brackets or braces where a name is wanted"),
        (b'farpress: 1\njob: "a\\x07b"\n', "control character (U+0007)"),
        (b"farpress: 1\njob: a\x07b\n", "control character (U+0007)"),
        (b"farpress: 1\njob: " + b"x" * 301 + b"\n", "301 characters"),
        (b"farpress: 1\njob: " + b"[" * 500, "nested"),
        (b"job: x\npremises: {a: {}}\n", "'farpress' is missing"),
        (b"farpress: 3\nother: x\n", "newer version"),
        (b"farpress: 0\njob: x\n", "there is no format 0"),
        (b"farpress: one\njob: x\n", "whole number"),
        (b"farpress: 1\njob: x\npremises: {}\n", "at least one premises"),
    ],
)
def test_what_no_job_file_can_be_is_refused_with_what_to_do(text: bytes, says: str, faults: Faults) -> None:
    """Empty, binary, another encoding, another form: one sentence each."""
    found = faults(text)
    assert len(found) >= 1
    assert any(says in one for one in found), found


def test_both_places_of_a_doubled_key_are_named(faults: Faults) -> None:
    """Nothing is taken silently: the first and the second place are told."""
    found = faults("farpress: 1\njob: x\npremises:\n  a: {}\n  b: {}\n  a: {}\n")
    assert found == [
        "6:3 premises.a: 'a' stands here a second time; the first is at line 4, column 3. Keep one of the two"
    ]


def test_an_alias_bomb_is_refused_before_it_is_expanded(faults: Faults) -> None:
    """Nine levels of nine would be 387 million values; refused before anything is made of them."""
    lines = ["farpress: 1", "a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 9)]
    with counted_work() as work:
        found = faults("\n".join(lines) + "\n")
    assert work.calls < 10_000
    assert any("anchors" in one and str(tree.MOST_NODES) in one for one in found)


def test_fifty_megabytes_are_refused_without_being_read(tmp_path: Path, known: Known) -> None:
    """The size is looked at first; a sparse file stands for a large one."""
    with (tmp_path / "job.yaml").open("wb") as stream:
        stream.truncate(50_000_000)
    with pytest.raises(JobFileError, match=r"50\.0 MB, but a job file has at most 4 MB"):
        read_job(tmp_path, known=known)


def test_what_is_not_there_is_said(tmp_path: Path, known: Known) -> None:
    """No folder, no file, a folder of that name, a pipe: each its own sentence."""
    with pytest.raises(JobFileError, match=r"there is no job\.yaml in"):
        read_job(tmp_path, known=known)
    with pytest.raises(JobFileError, match="there is no file or folder"):
        read_job(tmp_path / "nowhere", known=known)
    with pytest.raises(JobFileError, match="NUL"):
        read_job(Path("a\0b"), known=known)
    (tmp_path / "a" / "job.yaml").mkdir(parents=True)
    with pytest.raises(JobFileError, match="is not a file"):
        read_job(tmp_path / "a", known=known)
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(JobFileError, match="is not a file"):
        read_job(tmp_path / "pipe", known=known)


def test_a_link_out_of_the_folder_is_refused(tmp_path: Path, sample: str, known: Known) -> None:
    """A job folder from elsewhere cannot make us read another file of this machine."""
    (tmp_path / "secret.yaml").write_text(sample, encoding="utf-8")
    (tmp_path / "job").mkdir()
    (tmp_path / "job" / "job.yaml").symlink_to(tmp_path / "secret.yaml")
    with pytest.raises(JobFileError, match="leads out of its folder"):
        read_job(tmp_path / "job", known=known)


@pytest.mark.parametrize("name", ["../yard", "a/b", "..", "a\\b"])
def test_names_that_could_leave_a_folder_or_break_a_path_are_refused(name: str, faults: Faults) -> None:
    """Papers and maps are named after premises; a slash also separates names in
    `premises/receiver/output`.
    """
    found = faults(f"farpress: 1\njob: x\npremises: {{'{name}': {{}}}}\n")
    assert len(found) == 1
    assert "Use another name" in found[0]


def test_the_pure_parser_gives_the_same_answers(
    monkeypatch: pytest.MonkeyPatch, sample: str, known: Known, faults: Faults
) -> None:
    """Where libyaml is not built in, the Python parser reads the same job and finds the same faults."""
    import yaml

    wrong = sample.replace("for: 0.5 s", "for: 0.5").replace("build: coated glazing", "build: coated glasing")
    before, refused = read_job_text(sample, known=known).job, faults(wrong)
    monkeypatch.setattr(tree, "_LOADER", yaml.SafeLoader)
    assert read_job_text(sample, known=known).job == before
    assert faults(wrong) == refused
    assert len(refused) == 2


def test_reading_never_changes_the_file(tmp_path: Path, sample: str, known: Known) -> None:
    """Bytes and time of change stay."""
    target = tmp_path / "job.yaml"
    target.write_text(sample, encoding="utf-8")
    before = (target.read_bytes(), target.stat().st_mtime_ns)
    read_job(tmp_path, known=known)
    assert (target.read_bytes(), target.stat().st_mtime_ns) == before
