"""A pack of papers is whole, can be checked, and is the same whoever makes it."""

from __future__ import annotations

import hashlib
import io
import json
import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from openpyxl import load_workbook

from farpress.case.door import open_job
from farpress.papers.builders.basis import Basis, make_basis
from farpress.papers.builders.make import make_papers
from farpress.papers.builders.pack import write_papers
from farpress.papers.typesetting.kinds import KINDS
from helpers.project import EXAMPLES
from helpers.read_pdf import poppler_facts, qr_codes

pytestmark = pytest.mark.long


def test_every_file_of_a_pack_is_the_same_whoever_makes_it_and_where(tmp_path: Path, running: Path) -> None:
    """Two processes with other seeds for hashes, in other time zones, in other languages of the machine:
    every PDF, workbook, CSV and the ZIP to the byte.
    """
    made = []
    for seed, zone, language in (
        ("1", "Pacific/Auckland", "C.UTF-8"),
        ("4242", "America/St_Johns", "de_DE.UTF-8"),
    ):
        folder = tmp_path / f"made-{seed}"
        done = subprocess.run(
            [
                sys.executable,
                "-m",
                "farpress",
                "papers",
                str(running),
                "-o",
                str(folder),
                "--date",
                "2026-11-25",
                "--zip",
            ],
            capture_output=True,
            text=True,
            check=False,
            env=os.environ
            | {
                "PYTHONPATH": str(EXAMPLES.parent / "src"),
                "PYTHONHASHSEED": seed,
                "TZ": zone,
                "LC_ALL": language,
            },
        )
        assert done.returncode == 0, done.stderr
        made.append(
            {
                path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
                for path in sorted(folder.rglob("*"))
                if path.is_file()
            }
        )

    assert set(made[0]) >= {f"{name}.pdf" for name in KINDS} | {"larkfen-house-papers.zip", "manifest.json"}
    assert [name for name in made[0] if made[0][name] != made[1].get(name)] == []
    assert set(made[0]) == set(made[1])


def test_looking_for_papers_makes_no_record(tmp_path: Path) -> None:
    """A folder without a record has none afterwards."""
    shutil.copy(EXAMPLES / "larkfen-house" / "job.yaml", tmp_path)
    make_basis(open_job(tmp_path))

    assert sorted(path.name for path in tmp_path.iterdir()) == ["job.yaml"]


def test_a_pack_is_whole_and_can_be_checked(tmp_path: Path, small: Basis) -> None:
    """Papers, tables, contents, manifest and hashes; the ZIP holds the same bytes; a second pack is the
    same.
    """
    pack = write_papers(small, tmp_path / "a", audience="installer", size="letter", as_zip=True)
    again = write_papers(small, tmp_path / "b", audience="installer", size="letter", as_zip=True)
    listed = json.loads((tmp_path / "a" / "manifest.json").read_text(encoding="utf-8"))

    assert pack.zip_file is not None
    assert again.zip_file is not None
    assert pack.zip_file.read_bytes() == again.zip_file.read_bytes()
    assert {one["name"] for one in listed["files"]} == {one.name for one in pack.files}
    for one in listed["files"]:
        assert hashlib.sha256((tmp_path / "a" / one["name"]).read_bytes()).hexdigest() == one["sha256"]
    with zipfile.ZipFile(pack.zip_file) as archive:
        assert {"contents.pdf", "manifest.json", "SHA256SUMS", "tables/wiring-schedule.xlsx"} <= set(
            archive.namelist()
        )
    for paper in pack.papers:
        assert poppler_facts(paper.content)["Tagged"] == "yes", paper.name
        assert poppler_facts(paper.content)["Page size"].startswith(("612 x 792", "792 x 612")), paper.name
    assert (listed["date"], listed["paper"], listed["for"]) == ("2026-11-25", "letter", "installer")
    assert qr_codes((tmp_path / "a" / "labels.pdf").read_bytes())[0].startswith("farpress:fob/TR-001-")


def test_tables_read_back_from_the_workbook(house: Basis) -> None:
    """The list of outputs: ten rows, the fourth is the alarm."""
    made = {one.name: one.content for one in make_papers(house, ["system-design-proposal"])}
    rows = list(load_workbook(io.BytesIO(made["tables/system-design-proposal.xlsx"]))["outputs"].values)

    assert len(rows) == 11
    assert rows[4][:2] == ("larkfen/R1/4", "alarm")
    assert (
        made["tables/system-design-proposal/outputs.csv"]
        .decode("utf-8-sig")
        .splitlines()[0]
        .startswith("output,purpose,mode and time")
    )


def test_a_pack_leaves_nothing_of_the_pack_before(tmp_path: Path, small: Basis) -> None:
    """A smaller pack in the same folder: its own files only, but what somebody changed or added stays."""
    write_papers(small, tmp_path, audience="installer")
    (tmp_path / "mine.txt").write_text("mine", encoding="utf-8")
    (tmp_path / "reach-report.pdf").write_bytes(b"written over")
    write_papers(small, tmp_path, audience="customer")

    assert not (tmp_path / "survey-record.pdf").exists()
    assert not (tmp_path / "tables" / "survey-record.xlsx").exists()
    assert (tmp_path / "mine.txt").exists()
    assert (tmp_path / "reach-report.pdf").read_bytes() == b"written over"
    assert (tmp_path / "key-register.pdf").exists()


def test_a_cancelled_pack_is_no_pack(tmp_path: Path, small: Basis) -> None:
    """Stopped in the middle: the pack before lies there as it was, to the byte; a fresh folder is gone
    again.
    """

    def stop(done: int, of: int, what: str) -> None:
        if done == 5:
            raise KeyboardInterrupt

    def content() -> dict[str, bytes]:
        return {
            path.relative_to(tmp_path).as_posix(): path.read_bytes()
            for path in tmp_path.rglob("*")
            if path.is_file()
        }

    write_papers(small, tmp_path, audience="customer")
    before = content()
    with pytest.raises(KeyboardInterrupt):
        write_papers(small, tmp_path, progress=stop)
    with pytest.raises(KeyboardInterrupt):
        write_papers(small, tmp_path / "fresh", progress=stop)

    assert content() == before
    assert not (tmp_path / "fresh").exists()
