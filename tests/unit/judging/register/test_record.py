"""What the record says of fobs, people and memories, counted by hand."""

from __future__ import annotations

from datetime import UTC, datetime
from types import SimpleNamespace
from typing import Any

import pytest

from farpress.domain.finding import Verdict
from farpress.domain.register import FobState
from farpress.judging.check import Check
from farpress.judging.register import record

AS_OF = "as of 2026-11-29"


@pytest.mark.parametrize(
    "check", [record.STILL_OBEYED, record.LEAVERS, record.DIFFERENCES, record.OLD_NAMES], ids=str
)
def test_none_is_tolerated(check: Check) -> None:
    """The limit is none, so one is too many; what is not known is asked."""
    assert check.word(0.0) is Verdict.HOLDS
    assert check.word(1.0) is Verdict.FAILS
    assert check.word(None) is Verdict.UNKNOWN


@pytest.mark.parametrize(
    ("urgent", "says"),
    [
        ((0, 0, 1), "2 lost fobs and 1 blocked or destroyed one still work at larkfen/R1, larkfen/R2"),
        ((0, 1, 1, 1), "1 lost fob and 3 blocked or destroyed ones still work at larkfen/R1, larkfen/R2"),
    ],
)
def test_fobs_that_are_still_obeyed_are_counted_by_why(urgent: tuple[int, ...], says: str) -> None:
    """What is lost is urgent; each receiver is named once."""
    fobs = {
        f"F{n}": SimpleNamespace(known_at=(SimpleNamespace(receiver=f"larkfen/R{1 + n % 2}"),))
        for n in range(9)
    }
    register: Any = SimpleNamespace(fobs=fobs, unread=0)
    matters: list[Any] = [
        SimpleNamespace(urgent=now, about=f"F{n}", says=f"F{n} is open.") for n, now in enumerate(urgent)
    ]
    finding = record._deletions(register, matters, AS_OF)

    assert finding.says == f"{says} ({AS_OF})."
    assert (finding.verdict, finding.value) == (Verdict.FAILS, len(urgent))


@pytest.mark.parametrize(
    ("state", "buttons", "learned", "verdict"),
    [
        (FobState.LOST, {"1": ("gate",)}, (), Verdict.UNKNOWN),
        (FobState.LOST, {"1": ("gate",)}, ("deleted since",), Verdict.HOLDS),
        (FobState.LOST, {}, (), Verdict.HOLDS),
        (FobState.ISSUED, {"1": ("gate",)}, (), Verdict.HOLDS),
    ],
)
def test_a_lost_fob_of_which_no_learning_was_recorded_is_asked_about(
    state: FobState, buttons: dict[str, Any], learned: tuple[str, ...], verdict: Verdict
) -> None:
    """Not writing down where it was learned deletes it nowhere."""
    fob = SimpleNamespace(label="F1", state=state, buttons=buttons, learned=learned, known_at=())
    register: Any = SimpleNamespace(fobs={"F1": fob}, unread=0)
    finding = record._deletions(register, [], AS_OF)

    assert finding.verdict is verdict
    assert bool(finding.asks) is (verdict is Verdict.UNKNOWN)


def _counted(monkeypatch: pytest.MonkeyPatch, *shares: tuple[float, float]) -> Any:
    """REG-14 of fobs with these chances that a press is swallowed, and that it must be learned again."""
    exposures = [
        SimpleNamespace(heard=True, ignored_share=ignored, dead_share=dead, receiver="larkfen/R1")
        for ignored, dead in shares
    ]
    monkeypatch.setattr("farpress.keys.counters.exposures", lambda *_, **__: exposures)
    now = datetime(2026, 11, 29, tzinfo=UTC)
    nothing: Any = None
    (finding,) = record._counters(nothing, nothing, now, AS_OF)
    return finding


@pytest.mark.parametrize(
    ("shares", "late", "verdict"),
    [
        (((0.01, 0.0), (0.05, 0.0)), 0, Verdict.THIN),
        (((0.01, 0.0), (0.044, 0.0)), 0, Verdict.HOLDS),
        (((0.01, 0.0), (0.051, 0.0), (0.2, 0.0)), 2, Verdict.THIN),
        (((0.01, 0.0), (0.2, 0.051), (0.3, 0.05)), 2, Verdict.FAILS),
    ],
)
def test_presses_that_will_be_swallowed_are_counted_above_one_in_twenty(
    shares: tuple[tuple[float, float], ...], late: int, verdict: Verdict, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Up to that is tolerated, more is comfort, and a fob that is forgotten fails."""
    finding = _counted(monkeypatch, *shares)

    assert finding.verdict is verdict
    assert finding.says.startswith(f"{late} of {len(shares)} fobs that were heard at larkfen/R1 ")
    assert ("1 may have to be learned again" in finding.because) is (verdict is Verdict.FAILS)
