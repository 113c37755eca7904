"""Many jobs judged: one broken one stops nothing, a stopped run goes on, and every way of running gives the
same bytes.
"""

from __future__ import annotations

import itertools
import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from functools import partial
from pathlib import Path
from typing import Any

import pytest

import farpress.firm.run as firm_run
from farpress import __version__
from farpress.domain.event import Event
from farpress.errors import InputError
from farpress.firm import machines
from farpress.firm.judging import Question, judge_text
from farpress.firm.run import RunProgress, run_jobs
from farpress.firm.shelf import Firm
from helpers.waiting import NEVER_S, until
from make_jobs import made_job
from survey import ROOT

pytestmark = pytest.mark.long


def _names(firm: Firm) -> list[str]:
    return [entry.job for entry in firm.find()]


def test_a_broken_job_is_reported_and_the_rest_is_judged(stocked: Firm) -> None:
    """What is wrong in it is said with its line; the other five have results."""
    ticks: list[RunProgress] = []

    run = run_jobs(stocked, _names(stocked), progress=ticks.append)

    assert list(run.broken) == [made_job(5).name]
    assert "job.yaml:" in run.broken[made_job(5).name]["broken"][0]
    assert len(run.results) == 6
    assert [tick.done for tick in ticks] == [1, 2, 3, 4, 5, 6]
    assert all(len(result["digest"]) == 64 for job, result in run.results.items() if job not in run.broken)


def test_a_second_run_uses_the_first_until_a_job_changes(stocked: Firm) -> None:
    """Only the job that changed is judged again."""
    names = _names(stocked)
    first = run_jobs(stocked, names)
    assert len(first.results) == 6
    version = stocked.shelf.version(names[0])
    text = version.text.replace("region: europe", "region: north america")
    from farpress.firm.facts import read_text

    read = read_text(text)
    stocked.shelf.change(names[0], text, read.fingerprint, read.facts, parent=1, by="me", says="")

    second = run_jobs(stocked, names)

    assert (first.kept, second.kept) == (0, 5)
    assert second.results[names[0]]["fingerprint"] == read.fingerprint
    assert {job: one for job, one in second.results.items() if job != names[0]} == {
        job: one for job, one in first.results.items() if job != names[0]
    }


def test_a_stopped_run_goes_on_where_it_was(stocked: Firm) -> None:
    """Two are judged, then it is stopped; the next run judges the other four and gives the same as one run
    through.
    """
    names = _names(stocked)
    done: list[str] = []

    part = run_jobs(stocked, names, progress=lambda tick: done.append(tick.job), stop=lambda: len(done) >= 2)
    assert len(part.results) == 2
    rest = run_jobs(stocked, names)

    assert (part.stopped, len(part.results), rest.stopped, rest.kept) == (True, 2, False, 2)
    assert rest.text == run_jobs(stocked, names, afresh=True).text


def test_processes_give_the_same_bytes(shelf_of: Callable[[int], Firm]) -> None:
    """One process and two."""
    firm = shelf_of(5)

    assert (
        run_jobs(firm, _names(firm), afresh=True).text
        == run_jobs(firm, _names(firm), workers=2, afresh=True).text
    )


def _dying(text: str, events: tuple[Event, ...], question: Question) -> dict[str, object]:
    if made_job(2).name in text:
        os.kill(os.getpid(), signal.SIGKILL)
    return judge_text(text, events, question)


def test_a_worker_that_dies_costs_its_own_job_only(
    shelf_of: Callable[[int], Firm], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The job that kills its worker twice is reported; all others are judged as ever."""
    firm = shelf_of(4)
    whole = run_jobs(firm, _names(firm), afresh=True).results
    monkeypatch.setattr(firm_run, "judge_text", _dying)

    run = run_jobs(firm, _names(firm), workers=2, afresh=True)

    assert list(run.broken) == [made_job(2).name]
    assert {job: one for job, one in run.results.items() if job not in run.broken} == {
        job: one for job, one in whole.items() if job not in run.broken
    }


def test_workers_that_die_while_jobs_are_handed_to_them_cost_no_other_job(
    shelf_of: Callable[[int], Firm], monkeypatch: pytest.MonkeyPatch
) -> None:
    """They may be gone between two hand-overs: the third one here is refused, whatever the machine does."""
    firm = shelf_of(4)
    whole = run_jobs(firm, _names(firm), afresh=True).results
    sent = ThreadPoolExecutor.submit
    count = itertools.count(1)

    def submit(pool: ThreadPoolExecutor, *work: Any) -> Any:
        if next(count) == 3:
            raise BrokenProcessPool("gone")
        return sent(pool, *work)

    with ThreadPoolExecutor(2) as pool:
        here = partial(submit, pool)
        monkeypatch.setattr(firm_run, "_processes", lambda *_: (here, lambda: here))
        run = run_jobs(firm, _names(firm), workers=2, afresh=True)

    assert next(count) > 3
    assert not run.broken
    assert run.results == whole


@pytest.fixture(scope="module")
def scheduler(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A dask scheduler and two workers, each a process of its own, on loopback."""
    folder = tmp_path_factory.mktemp("dask")
    environment = os.environ | {
        "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT / "tools"), str(ROOT / "tests")])
    }
    started: list[subprocess.Popen[bytes]] = []

    def begin(*words: str) -> None:
        with (folder / f"{len(started)}.log").open("wb") as log:
            started.append(
                subprocess.Popen(
                    [sys.executable, "-m", *words], cwd=folder, env=environment, stdout=log, stderr=log
                )
            )

    kept = folder / "scheduler.json"
    begin(
        "distributed.cli.dask_scheduler",
        "--host",
        "127.0.0.1",
        "--port",
        "0",
        "--no-dashboard",
        "--no-show",
        "--scheduler-file",
        str(kept),
    )
    until(kept.is_file, "the scheduler is there")
    address = json.loads(kept.read_text())["address"]
    for number in range(2):
        begin(
            "distributed.cli.dask_worker",
            address,
            "--host",
            "127.0.0.1",
            "--nthreads",
            "1",
            "--no-dashboard",
            "--no-nanny",
            "--name",
            f"w{number}",
            "--local-directory",
            str(folder),
        )
    try:
        yield address
    finally:
        for process in reversed(started):
            process.terminate()
        for process in started:
            try:
                process.wait(10)
            except subprocess.TimeoutExpired:  # a worker may wait long for a scheduler that is gone
                process.kill()
                process.wait(10)


@pytest.mark.filterwarnings("ignore")
def test_two_dask_workers_give_the_same_bytes(scheduler: str, shelf_of: Callable[[int], Firm]) -> None:
    """Judged on two workers on loopback, to the byte as in this process."""
    from distributed import Client

    with Client(scheduler, set_as_default=False) as client:
        client.wait_for_workers(2, timeout=NEVER_S)
        assert set(client.run(lambda: __version__).values()) == {__version__}
    firm = shelf_of(5)

    run = run_jobs(firm, _names(firm), scheduler=scheduler, afresh=True)

    assert run.text == run_jobs(firm, _names(firm), afresh=True).text
    assert len(run.results) == 5


@pytest.mark.filterwarnings("ignore")
def test_a_scheduler_that_is_not_there_is_told(
    shelf_of: Callable[[int], Firm], monkeypatch: pytest.MonkeyPatch
) -> None:
    """An address where nobody listens."""
    monkeypatch.setattr(machines, "CONNECT_WAIT", "1s")
    firm = shelf_of(1)

    with pytest.raises(InputError, match="cannot be used"):
        run_jobs(firm, _names(firm), scheduler="tcp://127.0.0.1:9")


def test_values_that_do_not_fit_are_refused_before_anything_runs(shelf_of: Callable[[int], Firm]) -> None:
    """A mistyped key names the closest one; a value without a unit is refused."""
    from farpress.firm.part import doubt_part

    firm = shelf_of(2)

    with pytest.raises(InputError, match="sensitivity"):
        doubt_part(firm, "receiver-4", {"sensitivty": "-97 dBm"})
    with pytest.raises(InputError, match=r"(?i)unit|dBm"):
        doubt_part(firm, "receiver-4", {"sensitivity": "-97"})
    with pytest.raises(InputError, match=r"No open job uses a part 'receiver-44'.*receiver-4"):
        doubt_part(firm, "receiver-44", {"sensitivity": "-97 dBm"})


def test_a_part_that_is_worse_changes_only_jobs_that_hang_on_it(tmp_path: Path) -> None:
    """Larkfen's own RX4 at -80 dBm: promises turn out worse there, and the shelf's job file stays as it
    is.
    """
    from farpress.firm.part import doubt_part
    from farpress.firm.shelf import start_firm

    with start_firm(str(tmp_path / "firm.sqlite"))[0] as firm:
        firm.add(ROOT / "examples" / "larkfen-house")
        before = firm.shelf.version("Larkfen House")

        found = doubt_part(firm, "RX4", {"sensitivity": "-80 dBm"})

        assert found.jobs == ("Larkfen House",)
        assert "air" in {link for one in found.changed for link in one.links}
        assert not any(one.after == "holds" for one in found.changed), "a worse receiver mends nothing"
        assert firm.shelf.version("Larkfen House") == before
        same = doubt_part(firm, "RX4", {"sensitivity": "-103 dBm"})
        assert same.changed == (), "the value of its own data sheet changes nothing"
