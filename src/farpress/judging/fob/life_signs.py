"""Life signs that fobs send by themselves: still in step after a day out, and who notices their absence."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, PRACTICE
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.job import Group
from farpress.domain.parts import FobSheet, Part, ReceiverSheet
from farpress.domain.refs import GroupRef, ReceiverRef
from farpress.judging.air.advice import is_call
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit
from farpress.phrases import listed
from farpress.units import write_quantity

__all__ = ["MISSED", "UNHEARD", "judge"]

UNHEARD: Final = Check(
    "FOB-10",
    Link.FOB,
    "Life signs sent out of reach of a receiver that counts them, against what it accepts ahead.",
    unit="telegrams",
    bound=AT_MOST,
    ask="Ask for how long a holder is out of reach, time and again, as on a weekly trip.",
    who=Who.CUSTOMER,
    mends="A receiver that does not count life signs or accepts more ahead, or two presses in a row.",
)
MISSED: Final = Check(
    "FOB-11",
    Link.FOB,
    "Whether somebody notices that a fob which calls for help sends no more.",
    advice=True,
    ask="See in the fob's data sheet whether it sends life signs by itself, and how often.",
    mends="A receiver that tells when life signs stay away, or a test often enough, written down.",
)


def judge(case: Case) -> Iterator[Finding]:
    """FOB-10 of each group at each receiver that hears its life signs, FOB-11 of each group that calls."""
    for name, group in case.job.groups.items():
        fob = case.equipment.fobs.get(name)
        if fob is None or not group.buttons:
            continue
        outputs = [
            output for function in case.job.functions_of(group) for output in case.outputs_of(function)
        ]
        calls = [output for output in outputs if is_call(case, output)]
        if fob.sheet.life_sign_s:
            for path in dict.fromkeys(output.receiver_path for output in outputs):
                part = case.equipment.receivers.get(path)
                if part is not None:
                    is_called = any(output.receiver_path == path for output in calls)
                    yield _unheard(name, group, fob, path, part, is_called=is_called)
        if calls or (fob.sheet.life_sign_s is None and _is_hinted_at(case, group, outputs)):
            yield _missed(case, name, fob, calls or outputs)


def _is_hinted_at(case: Case, group: Group, outputs: list[OutputAt]) -> bool:
    """Whether the job speaks of life signs elsewhere, so that nothing said of the fob is no answer."""
    parts = [case.equipment.receivers.get(output.receiver_path) for output in outputs]
    told = [(part.sheet.counts_life_signs, part.sheet.tells_life_signs) for part in parts if part is not None]
    return group.longest_away_s is not None or any(True in answers for answers in told)


def _unheard(
    name: str, group: Group, fob: Part[FobSheet], path: str, part: Part[ReceiverSheet], *, is_called: bool
) -> Finding:
    """FOB-10: with so many unheard, the next press is one further ahead than they are."""
    interval = fob.sheet.life_sign_s
    assert interval
    window, counts, away = part.sheet.window_single, part.sheet.counts_life_signs, group.longest_away_s
    receiver = path.split("/")[1]
    check = replace(UNHEARD, stake=Stake.HARM) if is_called else UNHEARD
    about, subjects = f"{name} at {path}", (GroupRef(name), ReceiverRef(path))
    often = f"The fobs of {name} send a life sign each {write_quantity(interval, 'time')}"
    sources = (*fob.cite("life_sign_s"), *part.cite("window_single", "counts_life_signs"), GIVEN)
    if counts is False:
        return check.decide(
            about=about,
            subjects=subjects,
            answer=Answer.YES,
            says=f"{often}; {receiver} does not count them.",
            sources=sources,
        )
    asks = _asks(receiver, name, counts, window, away, interval)
    ahead = None if away is None else away // interval
    if away is not None and ahead is not None and window is not None and counts:
        heard = write_quantity(2 * interval, "time")
        says = (
            f"{often}; away for {write_quantity(away, 'time')} they are {ahead:.0f} ahead, and {receiver}"
            f" accepts {window - 1} ahead at the first press."
        )
        because = (
            f"Back again, a press may do nothing until two telegrams in a row were heard: a second press, or"
            f" up to {heard} of waiting. Presses made away come on top."
        )
    else:
        says = f"{often}; whether {receiver} is then still in step after a time out of reach is not known."
        because = ""
    return check.judge(
        about=about,
        subjects=subjects,
        says=says,
        because=because,
        value=Estimate(ahead if counts else None, 0.0 if group.presses_per_day is None else None),
        limit=Limit(None if window is None else float(window - 1)),
        asks=asks,
        remedies=(
            Remedy("A receiver that does not count life signs, or accepts more ahead"),
            Remedy(f"Say to {name}: after a trip press twice", "two presses in a row are accepted"),
        ),
        sources=sources,
    )


def _asks(
    receiver: str, name: str, counts: bool | None, window: int | None, away: float | None, interval: float
) -> tuple[Ask, ...]:
    """What must be known and is not."""
    asks = []
    if counts is None:
        asks.append(
            Ask(
                f"See in the data sheet of {receiver} whether a fob's life signs move its counter on.",
                Who.LABEL,
                3.0,
            )
        )
    if window is None:
        asks.append(Ask(f"Find how many telegrams {receiver} accepts ahead at one press.", Who.LABEL, 3.0))
    if away is None:
        room = "" if window is None else f"; it stays in step for {write_quantity(window * interval, 'time')}"
        asks.append(
            Ask(f"Ask for how long one of {name} is out of reach, as on a trip{room}.", Who.CUSTOMER, 2.0)
        )
    return tuple(asks)


def _missed(case: Case, name: str, fob: Part[FobSheet], calls: list[OutputAt]) -> Finding:
    """FOB-11."""
    interval = fob.sheet.life_sign_s
    paths = tuple(dict.fromkeys(output.receiver_path for output in calls))
    receivers = listed([path.split("/")[1] for path in paths])
    parts = [case.equipment.receivers[path] for path in paths if path in case.equipment.receivers]
    tells = [part.sheet.tells_life_signs for part in parts]
    asks: tuple[Ask, ...] = ()
    if interval is None:
        answer = Answer.UNKNOWN
        says = f"Whether the fobs of {name} send life signs is not known."
        asks = (
            Ask(
                f"See in the data sheet of the fob of {name} whether it sends life signs by itself, and how"
                " often, or that it sends none.",
                Who.LABEL,
                3.0,
            ),
        )
    elif not interval:
        answer = Answer.BARELY
        says = f"The fobs of {name} send no life signs: a dead one is found when somebody tries it."
    elif all(tells) and tells:
        answer = Answer.YES
        says = f"{receivers} tells when the life signs of a fob of {name} stay away."
    elif any(told is None for told in tells):
        answer = Answer.UNKNOWN
        says = (
            f"The fobs of {name} send life signs; whether somebody is told when they stay away is not known."
        )
        asks = (
            Ask(
                f"See in the data sheet of {receivers} whether it tells when life signs stay away.", Who.LABEL
            ),
        )
    else:
        answer = Answer.BARELY
        says = (
            f"The fobs of {name} send life signs, and nobody sees when they stay away: nothing is watched by"
            " them, and they take from the cell. Do not promise that the fobs are supervised."
        )
    return MISSED.decide(
        about=name,
        subjects=(GroupRef(name), *(ReceiverRef(path) for path in paths)),
        answer=answer,
        says=says,
        asks=asks,
        remedies=(
            Remedy("A receiver that tells somebody by name when life signs stay away"),
            Remedy("Each fob tried every week, written down with the date"),
        ),
        sources=(*fob.cite("life_sign_s"), PRACTICE),
    )
