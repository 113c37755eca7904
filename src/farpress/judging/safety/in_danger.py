"""What somebody relies on in danger: who ends it, what it is taken for, whom it shuts in, who notices."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import CHOICE, EN_13637, GIVEN, PRACTICE, PRESSES
from farpress.case.driven import (
    Driven,
    closes,
    driven_of,
    group_text,
    holders,
    known_holders,
    promises_of,
    seconds,
    subjects_of,
    switching,
)
from farpress.case.sounded import also_sounded_by, sounded_where
from farpress.core.rehearsal.parity import share_odd
from farpress.domain.cautions import DUTIES, caution
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.job import Function
from farpress.domain.refs import FunctionRef, OutputRef, Ref
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit
from farpress.phrases import listed
from farpress.sources import Citation, Mark

__all__ = ["ENDED_BY", "FALSE_ALARMS", "MISTAKEN", "NOTICED", "SHUTS_IN", "judge"]

ENDED_BY: Final = Check(
    "SAFE-40",
    Link.SAFETY,
    "What was begun in danger: no second press, from whomever, may end it.",
    stake=Stake.HARM,
    bars=True,
    mends="A latch that a press only sets; the all-clear by a key or by whoever decides, and by nobody else.",
)
MISTAKEN: Final = Check(
    "SAFE-41",
    Link.SAFETY,
    "A signal relied on in danger, and others that sound or look like it: it may be taken for none of them.",
    stake=Stake.HARM,
    halts=True,
    ask="Sound it beside every other signal there is, to people who know neither.",
    who=Who.CUSTOMER,
    minutes=30.0,
    mends="Another tone or spoken words, agreed with whoever answers for the building, and practised.",
)
SHUTS_IN: Final = Check(
    "SAFE-42",
    Link.SAFETY,
    "What is closed by a press in danger: never a way out.",
    stake=Stake.HARM,
    bars=True,
    halts=True,
    ask="Ask who gets out this way, and try from inside while it is shut.",
    who=Who.CUSTOMER,
    minutes=10.0,
    mends="The way out left out of it, or one that opens from inside by hand at all times.",
)
NOTICED: Final = Check(
    "SAFE-43",
    Link.SAFETY,
    "A press in danger: whoever made it hears or sees that it was taken, from wherever it is promised.",
    stake=Stake.HARM,
    ask="Press it from each place with somebody listening there, and write from where it is noticed.",
    who=Who.INSTALLER,
    minutes=20.0,
    mends="A sounder or lamp that is noticed there too; a fob cannot tell whether its press was heard.",
)
FALSE_ALARMS: Final = Check(
    "SAFE-44",
    Link.SAFETY,
    "How often what is relied on in danger is pressed by accident.",
    unit="1/a",
    bound=AT_MOST,
    limit=Limit(
        3.0,
        (
            Citation("police policy on alarms", place="three false calls in twelve months", mark=Mark.COPY),
            CHOICE,
        ),
    ),
    ask="Ask how often a fob is pressed by accident: in a pocket, by a child, by its neighbour button.",
    who=Who.CUSTOMER,
    minutes=5.0,
    mends="A long press, a covered button, or a fob that does nothing else.",
)

HEARD: Final = 0.9
"""Share of the presses that are heard, where several press at once; our choice, on the kind side."""

TOGETHER: Final = (2, 3, 4)
"""So many press at about the same time; our choice."""

DAYS_A_YEAR: Final = 365.0

_ALL_CLEAR: Final = Remedy(
    "A latch that a press only sets, at the receiver or in the control; the all-clear by a key switch, or"
    " on the"
    " fobs of those alone who decide it"
)


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-40 to SAFE-44, of each function that somebody relies on in danger."""
    for name, function in case.job.functions.items():
        if not function.in_danger:
            continue
        outputs = tuple(case.outputs_of(name))
        refs: tuple[Ref, ...] = (FunctionRef(name), *(OutputRef(output.path) for output in outputs))
        for output in outputs:
            for driven in driven_of(case, output):
                yield from _ended_by(case, name, output, driven)
                yield from _shuts_in(name, output, driven)
        if not function.silent:  # nobody may notice a silent call, and so nobody mistakes it
            if _is_signal(case, function, outputs):
                yield _mistaken(case, name, function, refs)
            yield _noticed(case, name, function, refs)
        if function.kind != "stop":  # a stop too many harms nobody
            yield _by_accident(case, name, function, refs)


def _is_signal(case: Case, function: Function, outputs: tuple[OutputAt, ...]) -> bool:
    worked = (driven for output in outputs for driven in driven_of(case, output))
    return function.kind in ("sound", "call") or any(it.traits.makes_sound for it in worked)


def _ended_by(case: Case, name: str, output: OutputAt, driven: Driven) -> Iterator[Finding]:
    """SAFE-40; what wants a pulse and turns round is the same as an output that does."""
    traits, works = output.output.traits, driven.works
    people = known_holders(case, output)
    who = "whoever holds a fob" if people is None else f"each of {group_text(people)}"
    value: float | None = None
    sources: tuple[Citation, ...] = (PRACTICE, GIVEN)
    if traits.turns_round or driven.reading.turns_round:
        left = [1.0 - share_odd(shares=[HEARD] * many) for many in TOGETHER]
        told = listed([f"{many} in {share:.0%}" for many, share in zip(TOGETHER, left, strict=True)])
        answer, value, sources = Answer.NO, max(left), (PRESSES, CHOICE, *sources)
        says = (
            f"'{name}' begins and ends by the same press: {who} ends it at {works}, and so does a fob"
            " taken from"
            f" one of them. Pressed at once, and each press heard in {HEARD:.0%}, it is left off by {told}."
        )
    elif traits.has_two_buttons:
        answer, says = _by_off_button(case, name, output, works)
    elif traits.while_held:
        answer = Answer.NO
        says = f"'{name}' lasts at {works} only while a button is held, and ends with a hand that lets go."
    elif driven.wants == "maintained" and driven.logic not in ("stop", "release"):
        answer = Answer.BARELY
        length = output.output.for_s
        after = "its pulse" if length is None else seconds(length)
        says = f"'{name}' ends at {works} by itself after {after}; nobody's press ends it before."
    else:
        answer, says = Answer.YES, f"'{name}' gives {works} a pulse: a second press takes nothing back."
    yield ENDED_BY.decide(
        about=f"{name}: {works}",
        subjects=(*subjects_of(output, driven), FunctionRef(name)),
        answer=answer,
        says=says,
        because=""
        if answer is Answer.YES
        else "In an alarm several press, and press again. Whoever means harm has a fob within reach.",
        value=value,
        remedies=(_ALL_CLEAR,),
        sources=sources,
    )


def _by_off_button(case: Case, name: str, output: OutputAt, works: str) -> tuple[Answer, str]:
    """Whether those who begin it can end it as well."""
    off = {group for function in switching(case, output, "off") for group, _ in case.groups_with(function)}
    begin = {group for group, _ in case.groups_with(name)}
    both = sorted(begin & off)
    if both:
        return Answer.BARELY, (
            f"'{name}' is ended at {works} by a button of its own, which {listed(both)} have too: a fob taken"
            " from one of them ends it."
        )
    return Answer.YES, f"'{name}' is ended at {works} by {listed(sorted(off)) or 'no fob'} alone."


def _shuts_in(name: str, output: OutputAt, driven: Driven) -> Iterator[Finding]:
    """SAFE-42, of what a press closes; locks are judged as escape doors."""
    if not driven.traits.can_crush or not closes(driven):
        return
    thing, sheet = driven.path.split("/")[1], driven.sheet
    asks: tuple[Ask, ...] = ()
    if sheet.escape_route is None:
        answer, says = Answer.UNKNOWN, f"'{name}' closes {thing}; whether people get out there is not known."
        asks = (Ask(f"Ask who gets out through {thing} in a fire.", Who.CUSTOMER, 5.0),)
    elif not sheet.escape_route:
        answer, says = Answer.YES, f"'{name}' closes {thing}, through which nobody has to get out."
    elif sheet.opens_by_hand:
        answer = Answer.BARELY
        says = f"'{name}' closes {thing}, a way out that opens by hand from inside."
    else:
        answer = Answer.NO
        opens = "does not open" if sheet.opens_by_hand is False else "is not recorded to open"
        says = f"'{name}' closes {thing}, a way out that {opens} by hand from inside: refused."
    yield SHUTS_IN.decide(
        about=f"{name}: {driven.works}",
        subjects=(*subjects_of(output, driven), FunctionRef(name)),
        answer=answer,
        says=says,
        because=f"{DUTIES['escape']} {caution('escape')}",
        asks=asks,
        remedies=(
            Remedy(f"Leave {thing} out of '{name}'"),
            Remedy(f"A leaf at {thing} that opens by hand from inside at all times, approved"),
        ),
        sources=(*driven.cite("escape_route", "opens_by_hand"), EN_13637, GIVEN),
        cause=driven.subject,
    )


def _mistaken(case: Case, name: str, function: Function, refs: tuple[Ref, ...]) -> Finding:
    """SAFE-41."""
    alike, same = function.mistaken_for, also_sounded_by(case, name)
    asks: tuple[Ask, ...] = ()
    if same:
        answer = Answer.NO
        says = f"'{name}' sounds the same horn as {listed(same)}: nobody knows which of them is meant."
        if alike:
            says += f" It is taken for {listed(alike)} too."
    elif alike is None:
        answer, says = Answer.UNKNOWN, f"Whether '{name}' is taken for another signal there is not known."
        asks = (
            Ask(
                f"Ask which signals sound or look like '{name}' there, the fire signal first, near water the"
                " short blasts of ships, and write 'mistaken_for'.",
                Who.CUSTOMER,
                10.0,
            ),
        )
    elif alike:
        answer, says = Answer.NO, f"'{name}' is taken for {listed(alike)}: people do the one for the other."
    else:
        answer = Answer.BARELY if _of_ships(case, name) else Answer.YES
        says = f"No other signal there is like '{name}'."
    return _answered(
        MISTAKEN,
        name,
        refs,
        answer,
        says,
        "In a fire one runs out, in an attack one stays in: whoever mixes them up runs into the danger."
        + _of_ships(case, name),
        asks,
        "Another tone, or spoken words, agreed with whoever answers for the building, and practised",
    )


def _of_ships(case: Case, name: str) -> str:
    """What a horn by the water says to ships, to be added; empty elsewhere."""
    if not any(case.job.premises[where].water is not None for where in sounded_where(case, name)):
        return ""
    return (
        " By the water one, two and three short blasts are signals of ships that manoeuvre, and a long one is"
        " theirs too (COLREG, rules 34 and 35, from memory)."
    )


def _noticed(case: Case, name: str, function: Function, refs: tuple[Ref, ...]) -> Finding:
    """SAFE-43."""
    promised = tuple(dict.fromkeys(promise.from_ for promise in promises_of(case, (name,))))
    asks: tuple[Ask, ...] = ()
    heard = function.noticed_at
    if heard is None:
        answer = Answer.UNKNOWN
        says = f"Whether one hears or sees that a press for '{name}' was taken is not known."
        asks = (
            Ask(
                f"Press '{name}' from {listed(promised) or 'each place'} with somebody listening there,"
                " and write"
                " 'noticed_at'.",
                Who.INSTALLER,
                20.0,
            ),
        )
    elif missed := [place for place in promised if place not in heard]:
        answer = Answer.NO
        says = f"At {listed(missed)} nobody notices whether '{name}' was taken."
    elif not heard:
        answer, says = Answer.NO, f"Nobody notices anywhere whether a press for '{name}' was taken."
    else:
        answer, says = Answer.YES, f"Whoever presses '{name}' notices it, at {listed(heard)}."
    return _answered(
        NOTICED,
        name,
        refs,
        answer,
        says,
        "A fob sends and hears nothing back; whoever waits for help must know whether to press again.",
        asks,
        "A sounder or lamp that is noticed from there, and tried",
    )


def _answered(
    check: Check,
    name: str,
    refs: tuple[Ref, ...],
    answer: Answer,
    says: str,
    why: str,
    asks: tuple[Ask, ...],
    mends: str,
) -> Finding:
    """A question of yes or no about a function; why it matters is said where the answer is no plain yes."""
    return check.decide(
        about=name,
        subjects=refs,
        answer=answer,
        says=says,
        because="" if answer is Answer.YES else why,
        asks=asks,
        remedies=(Remedy(mends),),
        sources=(PRACTICE, GIVEN),
    )


def _by_accident(case: Case, name: str, function: Function, refs: tuple[Ref, ...]) -> Finding:
    """SAFE-44."""
    counts = [holders(group) for _, group in case.groups_with(name)]
    people = None if None in counts else sum(count for count in counts if count is not None)
    often = function.by_accident_per_day
    asks: list[Ask] = []
    if often is None:
        asks.append(
            Ask(
                f"Ask how often a fob is pressed for '{name}' by accident, and write 'by_accident'; once in a"
                " school term is often.",
                Who.CUSTOMER,
                5.0,
            )
        )
    if people is None:
        asks.append(Ask(f"Count who holds a fob for '{name}'.", Who.CUSTOMER, 5.0))
    yearly = None if often is None or people is None else often * people * DAYS_A_YEAR
    says = f"How often '{name}' is pressed by accident is not known."
    if yearly is not None:
        says = f"{group_text(people or 0)} press '{name}' by accident {yearly:.3g} times a year in all."
    return FALSE_ALARMS.judge(
        about=name,
        subjects=refs,
        value=Estimate(yearly, None, (GIVEN,)),
        says=says,
        because="After a few false ones nobody runs any more.",
        asks=asks,
        remedies=(
            Remedy("A long press of two seconds, where the receiver tells it, and a covered or sunk button"),
            Remedy("A fob that does nothing else, for those who need it"),
        ),
    )
