"""Processes beside the desk: what they give, how they end, and that pages do not wait for them."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote

import pytest

from farpress.case.case import Case
from farpress.desk.workers import Worker
from farpress.domain.finding import Assessment
from farpress.editing.judging import Judge
from farpress.errors import FarpressError, InputError
from helpers.desk import copy_of, served
from helpers.waiting import NEVER_S, until

pytestmark = pytest.mark.long


def process_of() -> int:
    """The number of the process this runs in."""
    return os.getpid()


def dies() -> None:
    """Ends its process as a lack of memory would."""
    os._exit(9)


def refuses() -> None:
    """An error in our own words."""
    raise InputError("give a number, as 4")


@pytest.fixture(scope="module")
def worker() -> Iterator[Worker]:
    """One worker for all of these."""
    made = Worker("trial", apart=True)
    yield made
    made.close()


def test_a_worker_stays_and_answers_from_its_own_process(worker: Worker) -> None:
    """Twice the same one, and never this one."""
    first = worker.ask(process_of)

    assert first != os.getpid()
    assert worker.ask(process_of) == first


def test_an_error_comes_back_as_it_was(worker: Worker) -> None:
    """Kind and words."""
    with pytest.raises(InputError, match="as 4"):
        worker.ask(refuses)


def test_a_worker_that_takes_too_long_is_ended_and_the_next_question_is_answered(worker: Worker) -> None:
    """A file made to keep it busy for hours keeps nobody else from working."""
    before = worker.ask(process_of)
    with pytest.raises(FarpressError, match="longer than"):
        worker.ask(time.sleep, 60, within_s=0.2)

    assert worker.ask(process_of) != before


def test_a_worker_that_dies_is_told_in_words(worker: Worker) -> None:
    """After a second try; then it is there again."""
    with pytest.raises(FarpressError, match="without a result"):
        worker.ask(dies)

    assert worker.ask(process_of) > 0


@pytest.mark.parametrize("apart", [False, True])
def test_a_desk_that_has_ended_leaves_nothing_running(tmp_path: Path, apart: bool) -> None:
    """Neither its look at the files nor the trying of remedies that a page began."""
    before = set(threading.enumerate())
    with served(copy_of("larkfen-house", tmp_path), apart=apart) as desk:
        desk.ask("/j/larkfen-house/keys")
        assert set(threading.enumerate()) - before  # one of a test before may end meanwhile

    until(lambda: set(threading.enumerate()) <= before, "every thread of the desk has ended")


def test_what_the_record_says_is_judged_anew(tmp_path: Path) -> None:
    """A fob received changes the judgement though the job file stays; a page says that it is being judged,
    and then shows it.
    """
    with served(copy_of("larkfen-house", tmp_path), apart=True) as desk:
        page = "/j/larkfen-house/keys"
        _judged(desk, page)
        assert "REG-13" not in desk.ask(page, headers={"Accept": "text/html"}).text
        assert desk.ask(f"{page}/receive", {"values": {"label": "F-001"}}).status == 200

        assert "REG-13" in _judged(desk, page)


def _judged(desk: object, page: str, unlike: tuple[str, ...] = ("before", "first")) -> str:
    """The page of the present state, whether its remedies are tried or not."""
    texts: list[str] = []

    def is_judged() -> bool:
        texts.append(desk.ask(page, headers={"Accept": "text/html"}).text)  # type: ignore[attr-defined]
        return not any(f'data-stale="{how}"' in texts[-1] for how in unlike)

    until(is_judged, "the job is judged")
    return texts[-1]


def _settled(desk: object, page: str) -> str:
    """The same once they are."""
    return _judged(desk, page, ("before", "first", "trying"))


def test_a_change_is_answered_while_the_job_is_being_judged(tmp_path: Path) -> None:
    """The judging is held up; changes and pages come all the same, and only the newest state is judged in the
    end.
    """
    with served(copy_of("larkfen-house", tmp_path)) as desk:
        _judged(desk, "/j/larkfen-house/promises")
        bench = desk.app.state.desk.bench("larkfen-house")
        real, held, judged = bench._judge, threading.Event(), []

        def slow(case: Case) -> Assessment:
            held.wait(NEVER_S)
            judged.append(case.fingerprint)
            return real.findings(case)

        bench._judge = Judge(slow, real.tries)
        for issue in ("2", "3", "4"):
            answer = desk.ask(
                "/j/larkfen-house/edit",
                {"changes": [{"path": ["details", "issue"], "value": issue}], "says": "issue"},
            )
            assert answer.status == 200
        text = desk.ask("/j/larkfen-house/promises", headers={"Accept": "text/html"}).text
        assert "data-stale" in text
        assert "Being judged anew" in text
        held.set()
        _judged(desk, "/j/larkfen-house/promises")

        assert judged[-1] == bench.state().fingerprint
        assert len(judged) <= 2


def test_findings_are_shown_before_what_would_mend_them_is_tried(tmp_path: Path) -> None:
    """A page says so; nothing untried stands on it, and what it is asked is answered as it stands there."""
    with served(copy_of("larkfen-house", tmp_path)) as desk:
        page = "/j/larkfen-house/promises"
        bench = desk.app.state.desk.bench("larkfen-house")
        real, held = bench._judge, threading.Event()
        bench._judge = Judge(real.findings, lambda case: real.tries(case) if held.is_set() else None)
        text = _judged(desk, page)
        assert "Judged; what would mend it is being tried" in text
        assert "Apply</button>" not in text
        asked = desk.ask("/j/larkfen-house/concern?number=1&untried=1", headers={"Accept": "text/html"}).text
        assert "is being tried on copies" in asked
        assert "Apply</button>" not in asked
        held.set()
        assert "data-stale" not in _settled(desk, page)
        asked = desk.ask("/j/larkfen-house/concern?number=1&untried=1", headers={"Accept": "text/html"}).text
        assert "is being tried on copies" not in asked
        found = next(f for f in bench.assessment().findings if any(r.changes for r in f.remedies))
        asked = desk.ask(f"/j/larkfen-house/finding?key={quote(found.key)}", headers={"Accept": "text/html"})
        assert "Apply</button>" in asked.text
