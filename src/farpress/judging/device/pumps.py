"""Pumps that radio can start: what stops them when no water comes, or when nothing behind them is open."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.worked import Worked, worked_devices
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.kinds import device_kind
from farpress.domain.told_words import PUMP, told
from farpress.judging.check import Answer, Check
from farpress.phrases import listed

__all__ = ["STOPS_ITSELF", "judge_pumps"]

STOPS_ITSELF: Final = Check(
    "DEV-55",
    Link.DEVICE,
    "A pump that radio can start stops by itself when it runs dry, and when nothing behind it is open.",
    stake=Stake.HARM,
    ask="Look for a level or dry-run switch, and for a pressure or flow switch, and try both.",
    who=Who.INSTALLER,
    minutes=15.0,
    mends="A dry-run contact and a pressure or flow switch in the pump's own circuit, which no press gets"
    " round.",
)


def judge_pumps(case: Case) -> Iterator[Finding]:
    """DEV-55 of each pump, declared as one or as what a contactor feeds."""
    for worked in worked_devices(case):
        sheet = worked.driven.sheet
        is_pump = worked.driven.traits.pumps or device_kind(sheet.feeds).pumps
        is_called = worked.driven.traits.feeds_more and sheet.feeds is None
        if is_pump or (is_called and told(PUMP, *worked.texts(case))):
            yield _judged(worked)


def _judged(worked: Worked) -> Finding:
    name, sheet = worked.name, worked.driven.sheet
    dry, shut = sheet.when_dry, sheet.when_shut
    runs_on = [
        words
        for state, words in ((dry, "when no water comes"), (shut, "when nothing behind it is open"))
        if state == "runs on"
    ]
    not_said = [
        words for state, words in ((dry, "runs dry"), (shut, "has nothing open behind it")) if state is None
    ]
    asks: tuple[Ask, ...] = ()
    if runs_on:
        answer, says = Answer.NO, f"{name} runs on {listed(runs_on)}: nothing stops it."
    elif not_said:
        answer = Answer.UNKNOWN
        says = f"What {name} does when it {listed(not_said)} is not said."
    else:
        answer = Answer.YES
        says = f"{name}: when dry it {_state(dry)}, with everything shut it {_state(shut)}."
    if not_said:
        asks = (
            Ask(
                f"Look whether a level or dry-run switch, and a pressure or flow switch, stops {name}, and"
                " try both; write 'when_dry' and 'when_shut'.",
                Who.INSTALLER,
                15.0,
            ),
        )
    return STOPS_ITSELF.decide(
        about=worked.path,
        subjects=worked.refs,
        answer=answer,
        says=says,
        because=""
        if answer is Answer.YES
        else "Dry it burns its seal; against shut valves it boils its water or bursts a pipe. Whoever pressed"
        " is far away and hears nothing of it.",
        asks=asks,
        remedies=(
            Remedy("A dry-run or level contact in the pump's own circuit, with a reset by hand"),
            Remedy("A pressure or flow switch in the pump's own circuit, which no press gets round"),
        ),
        sources=(*worked.driven.cite("when_dry", "when_shut", "feeds", "device"), GIVEN, PRACTICE),
    )


def _state(state: str | None) -> str:
    return {"stops": "stops by itself", "cannot be": "cannot be"}.get(state or "", "runs on")
