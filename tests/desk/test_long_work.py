"""Papers and searches: made beside the desk, given up with whoever asked for them, and ended with a desk that
is killed.
"""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path

import pytest
from playwright.sync_api import expect

from farpress.desk.workers import GivenUp, Worker
from helpers.desk import Served, copy_of, served
from helpers.waiting import NEVER_S, until
from helpers.watched import Watched

pytestmark = pytest.mark.long

HOUSE = "/j/larkfen-house"


def busy(seconds: float, tell: Callable[[str], None]) -> int:
    """Says how far it is, and gives the number of its process."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        tell("at it")
        time.sleep(0.02)
    return os.getpid()


def deaf(tell: Callable[[str], None]) -> None:
    """Says once which process it is, and never again."""
    tell(str(os.getpid()))
    threading.Event().wait()


def test_work_tells_how_far_it_is_and_is_ended_when_nobody_wants_it() -> None:
    """Also work that says nothing for a long time; the next question is answered."""
    worker, heard = Worker("trial", apart=True, patient=True), []
    try:
        with pytest.raises(GivenUp):
            worker.ask(deaf, tell=heard.append, stop=lambda: bool(heard))

        assert _is_gone(int(heard[0]))
        assert worker.ask(busy, 0.3, tell=heard.append, stop=lambda: False) != int(heard[0])
        assert "at it" in heard
    finally:
        worker.close()


def test_so_many_may_wait_and_no_more() -> None:
    """Whoever waits for work holds a thread that serves pages."""
    worker = Worker("trial", apart=False, most=1)
    refused: list[str] = []

    def asks_again(_: str) -> None:
        try:
            worker.ask(os.getpid)
        except Exception as error:
            refused.append(str(error))

    worker.ask(busy, 0.01, tell=asks_again)

    assert "wait for this already" in refused[0]


def test_papers_end_with_the_connection_and_can_be_asked_for_again(tmp_path: Path) -> None:
    """A tab is closed while its papers are made: their process ends with what it was at."""
    with served(copy_of("larkfen-house", tmp_path), apart=True) as desk:
        desk.ask(HOUSE)
        printing = desk.app.state.desk.printing
        line = socket.create_connection(("127.0.0.1", desk.port))
        line.sendall(
            f"GET {HOUSE}/papers/pack.zip HTTP/1.1\r\nHost: 127.0.0.1:{desk.port}\r\nCookie:"
            f" {desk.cookie}\r\n\r\n".encode()
        )
        until(lambda: printing._process is not None, "the papers are begun")
        process = printing._process
        line.close()

        until(lambda: not process.is_alive(), "their process ends")
        answer = desk.ask(f"{HOUSE}/papers/summary.pdf")
        assert answer.headers["content-type"] == "application/pdf"
        assert printing._process.pid not in (process.pid, os.getpid())


def test_a_search_in_a_process_of_its_own_finds_what_is_found_here(tmp_path: Path) -> None:
    """Verdicts and stories of every rule, beside those of a desk that searches by itself."""
    found = []
    for apart in (True, False):
        with served(copy_of("larkfen-house", tmp_path / str(apart)), apart=apart) as desk:
            found.append(
                [desk.ask(f"{HOUSE}/rehearsal/search", {"rule": number}).json["results"] for number in (1, 2)]
            )
            from farpress.desk.pages import rehearsal

            rehearsal._results.clear()
            assert (desk.app.state.desk.searching._process is not None) is apart

    assert found[0] == found[1]
    assert all(found[0])


@pytest.mark.skipif(not Path("/proc").exists(), reason="processes are looked up in /proc")
def test_no_process_is_left_when_the_desk_is_killed(tmp_path: Path) -> None:
    """It is killed while papers and a search are at work: every process of the desk ends, also one that would
    never come to an end by itself, as its typesetter here does not.
    """
    job = copy_of("larkfen-house", tmp_path)
    (tmp_path / "deaf").mkdir()
    (tmp_path / "deaf" / "typst.py").write_text(
        "import pathlib, threading\n"
        "pathlib.Path(__file__).with_name('reached').touch()\n"
        "threading.Event().wait()\n"
    )
    command = [sys.executable, "-m", "farpress", "desk", str(job), "--port", "0", "--no-browser"]
    environment = {
        **os.environ,
        "PYTHONPATH": os.pathsep.join(path for path in (str(tmp_path / "deaf"), *sys.path) if path),
    }
    children: set[int] = set()
    with (
        subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment) as process,
        ExitStack() as ends,
    ):
        ends.callback(_end, process, children)
        assert process.stdout is not None
        desk = Served(
            next(
                int(found[1]) for text in process.stdout if (found := re.search(r"127\.0\.0\.1:(\d+)/", text))
            ),
            job,
            None,
        )
        desk.ask(HOUSE)
        for head, body in ((f"GET {HOUSE}/papers/pack.zip", ""), (f"POST {HOUSE}/rehearsal/search", "{}")):
            line = ends.enter_context(socket.create_connection(("127.0.0.1", desk.port)))
            line.sendall(
                f"{head} HTTP/1.1\r\nHost: 127.0.0.1:{desk.port}\r\nCookie: {desk.cookie}\r\nContent-Length:"
                f" {len(body)}\r\n\r\n{body}".encode()
            )
        until((tmp_path / "deaf" / "reached").exists, "papers are being set")
        # judging, papers, searches, and what keeps count of them
        until(lambda: len(_children(process.pid)) >= 4, "every kind of work is begun")
        children |= _children(process.pid)
        process.send_signal(signal.SIGKILL)
        process.wait(NEVER_S)

        until(lambda: all(map(_is_gone, children)), "every process of the desk ends")


def test_a_pack_says_how_far_it_is_and_can_be_given_up(tmp_path: Path, watched: Watched) -> None:
    """In the browser: Cancel ends it; asked for again it arrives as a file."""
    watched.expected = ("Failed to load resource",)
    with served(copy_of("larkfen-house", tmp_path), apart=True) as desk:
        page = watched.page(accept_downloads=True)
        page.goto(f"{desk.address}{HOUSE}/papers")
        page.get_by_role("link", name="All of them in one ZIP").click()
        expect(page.locator("#making")).to_contain_text(re.compile(r"\d+ of \d+"))
        page.get_by_role("button", name="Cancel").click()
        expect(page.locator("#making")).to_have_text("Given up; nothing was changed.")
        until(lambda: desk.app.state.desk.printing._process is None, "their process is ended")

        pack = page.get_by_role("link", name="All of them in one ZIP")
        pack.evaluate(
            "link => { link.href = link.href.replace('pack.zip', 'summary.pdf'); }"
        )  # the quickest paper goes the same way
        with page.expect_download() as made:
            pack.click()
        assert made.value.suggested_filename == "summary.pdf"
        assert Path(made.value.path()).read_bytes()[:4] == b"%PDF"


def _end(process: subprocess.Popen[str], children: set[int]) -> None:
    """Leave nothing behind, also where the test failed."""
    for number in children | _children(process.pid):
        if not _is_gone(number):
            os.kill(number, signal.SIGKILL)
    process.kill()


def _children(process: int) -> set[int]:
    found: set[int] = set()
    for part in Path(f"/proc/{process}/task").glob("*/children"):
        found |= {int(number) for number in part.read_text(encoding="ascii").split()}
    return found


def _is_gone(process: int) -> bool:
    """Ended; one that nobody has fetched yet counts as ended."""
    try:
        return Path(f"/proc/{process}/stat").read_text(encoding="ascii").rsplit(")", 1)[1].split()[0] == "Z"
    except OSError:
        return True
