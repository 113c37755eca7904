"""Jobs whose papers are made: a house as planned, with a record, and the job a new folder starts with."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest

from farpress.case.door import open_job
from farpress.domain.acts import FobIssued, FobLearned, FobLost, ReceiptSigned, TrialDone, Visit
from farpress.jobfile.starter import write_starter
from farpress.papers.builders.basis import Basis, make_basis
from farpress.record.persons import add_person
from farpress.record.store import open_record
from helpers.project import EXAMPLES


@pytest.fixture(scope="session")
def house() -> Basis:
    """The family house as planned, without a record."""
    return make_basis(open_job(EXAMPLES / "larkfen-house"), day=date(2026, 11, 25))


@pytest.fixture(scope="session")
def small(tmp_path_factory: pytest.TempPathFactory) -> Basis:
    """The job that a new folder starts with: one house, one receiver, one gate."""
    folder = tmp_path_factory.mktemp("small")
    write_starter(folder / "thornwick", name="Thornwick Rise")
    return make_basis(open_job(folder / "thornwick"), day=date(2026, 11, 25))


@pytest.fixture
def running(tmp_path: Path) -> Path:
    """The house with a record: one fob issued, learned and lost, another issued, trials, a visit."""
    folder = tmp_path / "larkfen-house"
    shutil.copytree(EXAMPLES / "larkfen-house", folder)
    job = "Larkfen House"
    with open_record(folder) as record:
        pim = add_person(record, "Pim Vardel", job=job, by="installer")
        stranger = add_person(record, "Nela Quist", job=job, by="installer")
        record.append_all(
            [
                FobIssued(
                    fob="LH-001-G",
                    group="cleaner",
                    person=pim.mark,
                    buttons={"1": ["open gate"], "2": ["wicket"]},
                ),
                ReceiptSigned(fob="LH-001-G"),
                FobLearned(fob="LH-001-G", receiver="larkfen/R1", output="1", button="1", slot="7"),
                FobLearned(fob="LH-001-G", receiver="larkfen/R1", output="3", button="2", slot="8"),
                FobIssued(
                    fob="LH-090",
                    person=stranger.mark,
                    organisation="Quist and Daughter",
                    buttons={"1": ["wicket"]},
                ),
                TrialDone(
                    test="reach: larkfen/wicket outside to larkfen/R1",
                    presses=59,
                    heard=59,
                    place="larkfen/wicket outside",
                    receiver="larkfen/R1",
                ),
                FobLost(fob="LH-001-G", between="the market and the bus"),
                Visit(premises="larkfen", why="power supply looked at"),
            ],
            job=job,
            by="installer",
        )
    return folder
