"""A room that asks for too much time or memory is given up and told; what it would have judged is unknown."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import replace

import pytest

import farpress
from farpress.case.case import Case
from farpress.domain.finding import Finding, Link, Stake, Verdict
from farpress.judging import bounded, needs
from farpress.judging.air import promises
from farpress.judging.bounded import Budget, OverBudget, budgeted, within
from survey import ROOT

ROOM = "farpress.judging.air.promises"
SHORT = Budget(seconds=0.05, megabytes=50.0, look_s=0.005)


@pytest.fixture(scope="module")
def case() -> Case:
    """A small job."""
    return farpress.open_job(ROOT / "tests" / "data" / "jobs" / "quarry-cottage.yaml")


def _endless() -> tuple[Finding, ...]:
    while True:
        pass


def _growing() -> tuple[Finding, ...]:
    kept = []
    while True:
        kept.append(bytearray(b"x" * 1_000_000))
        time.sleep(0.001)


@pytest.mark.parametrize(
    ("make", "budget", "says"),
    [(_endless, SHORT, "0.05 s"), (_growing, replace(SHORT, seconds=600.0), "50 MB")],
)
def test_what_never_ends_is_given_up(
    case: Case, make: Callable[[], tuple[Finding, ...]], budget: Budget, says: str
) -> None:
    """Time and memory, each told with the budget; the link of every promise is unknown."""
    with budgeted(budget):
        (found,) = within(case, ROOM, make)

    assert (found.code, found.verdict, found.link) == ("GAP-75", Verdict.UNKNOWN, Link.AIR)
    assert says in found.says
    assert len(found.subjects) == len(case.job.promises)
    assert found.asks


def test_a_room_that_ends_in_time_says_what_it_found(case: Case) -> None:
    """And whatever a budget did is over: the thread works on, no look-out stays."""
    before = threading.active_count()
    with budgeted(SHORT):
        assert within(case, ROOM, lambda: ()) == ()
        assert within(case, ROOM, _endless) != ()
        assert within(case, ROOM, lambda: ()) == ()

    assert threading.active_count() == before
    assert sum(range(100_000)) == 4_999_950_000


def test_a_copy_that_is_judged_meanwhile_counts_for_its_room(case: Case) -> None:
    """Nothing within a room is watched anew, and nothing there can catch what stops it."""

    def inner() -> tuple[Finding, ...]:
        with budgeted(SHORT):
            try:
                return within(case, "farpress.judging.supply.volts", _endless)
            except Exception:
                return ()

    with budgeted(SHORT):
        (found,) = within(case, ROOM, inner)

    assert found.link is Link.AIR
    assert not issubclass(OverBudget, Exception)


def test_a_job_whose_room_is_given_up_is_judged_all_the_same(
    case: Case, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The other links are judged; no promise is better than unknown where the room says nothing."""
    from farpress.judging import assess as judging
    from farpress.judging.taking_over import forget_judged

    def endless(_: Case) -> tuple[Finding, ...]:
        return _endless()

    forget_judged()
    monkeypatch.setattr(bounded, "BUDGET", SHORT)
    monkeypatch.setattr(promises, "judge", endless)
    monkeypatch.setattr(judging, "ROOMS", (needs, promises))
    judged = judging.assess(case)
    forget_judged()

    assert judged.promises
    assert all(
        link.verdict is Verdict.UNKNOWN
        for chain in judged.promises
        for link in chain.links
        if link.link is Link.AIR
    )
    assert any(finding.code.startswith("KNOW") for finding in judged.findings)


def test_what_fails_without_a_search_is_told_where_the_search_is_given_up(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A rule that is broken as things are built stays broken; all others are unknown."""
    from farpress.judging import assess as judging
    from farpress.judging.rules import built, searched
    from farpress.judging.taking_over import forget_judged

    baths = farpress.open_job(ROOT / "tests" / "data" / "jobs" / "pool.yaml")
    broken = {finding.about for finding in built.judge(baths) if finding.verdict is Verdict.FAILS}
    forget_judged()
    monkeypatch.setattr(bounded, "BUDGET", Budget(seconds=1.0, megabytes=500.0, look_s=0.005))
    monkeypatch.setattr(searched, "judge", lambda _: _endless())
    monkeypatch.setattr(judging, "ROOMS", (searched,))
    judged = judging.assess(baths)
    forget_judged()

    assert broken
    assert broken <= {finding.about for finding in judged.findings if finding.verdict is Verdict.FAILS}
    (given_up,) = [finding for finding in judged.findings if finding.code == "GAP-75"]
    assert (given_up.verdict, given_up.stake) == (Verdict.UNKNOWN, Stake.HARM)
    assert len(given_up.subjects) == len(baths.job.rules)


@pytest.mark.parametrize(
    ("promises", "times"), [(0, 1.0), (20, 1.0), (21, 1.05), (60, 3.0), (80, 4.0), (900, 4.0)]
)
def test_many_promises_may_take_longer(case: Case, promises: int, times: float) -> None:
    """In proportion beyond twenty, up to four times."""
    many = replace(case, job=case.job.model_copy(update={"promises": case.job.promises[:1] * promises}))

    assert Budget(seconds=5.0).seconds_for(many) == pytest.approx(5.0 * times)


def test_no_memory_is_told_too(case: Case) -> None:
    """Where the machine has none before the budget is spent."""

    def none_left() -> tuple[Finding, ...]:
        raise MemoryError

    with budgeted(SHORT):
        (found,) = within(case, ROOM, none_left)

    assert "more memory than there is" in found.says
