"""What a press, a power cut or a lost relay leaves as it is: off, and a cellar fills; open, and water runs.

No claim of safety is made here: whoever answers for the water, the machine or the beasts decides.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.behaviour import longest_hold_s
from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import Driven, begins_opening, driven_of, subjects_of
from farpress.case.left_alone import Bears, bears, left_alone, must_run
from farpress.case.left_on import is_latching
from farpress.domain.cautions import LOCAL_CODES
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import DeviceRef, OutputRef
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit
from farpress.phrases import listed
from farpress.units import write_quantity

__all__ = ["LEFT_OFF", "LEFT_OPEN", "WRONG_WATER", "judge"]

LEFT_OFF: Final = Check(
    "SAFE-51",
    Link.SAFETY,
    "How long a press, a power cut or a lost relay can leave something off that must run, against how long"
    " that may be.",
    unit="s",
    bound=AT_MOST,
    stake=Stake.HARM,
    ask="Find out how long it may be off: how much runs in meanwhile, and how much there is room for.",
    who=Who.CUSTOMER,
    minutes=10.0,
    mends="The break contact of a pulse, so that it comes back by itself and without the receiver; an alarm"
    " of its own.",
)
LEFT_OPEN: Final = Check(
    "SAFE-52",
    Link.SAFETY,
    "How long a press or a power cut can leave open what lets water run, against how long that may be.",
    unit="s",
    bound=AT_MOST,
    stake=Stake.HARM,
    ask="Find out what it does when its power goes half way, and who closes it by hand, how soon.",
    who=Who.CUSTOMER,
    minutes=10.0,
    mends="A flap, spring or store of power that closes it; a hand wheel, and somebody on call.",
)
WRONG_WATER: Final = Check(
    "SAFE-53",
    Link.SAFETY,
    "What lies between two waters and radio can open: what keeps it shut while they stand wrong.",
    stake=Stake.HARM,
    bars=True,
    halts=True,
    ask="Ask what keeps it from opening while the water outside stands higher.",
    who=Who.CUSTOMER,
    minutes=5.0,
    mends="Both levels measured, and a lock in its control that lets it open on the right side alone.",
)

_NO_END: Final = "with no end"


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-51 of what must run, SAFE-52 of what lets water run, SAFE-53 of what lies between two waters."""
    gates: dict[str, list[tuple[OutputAt, Driven]]] = {}
    for output in case.outputs():
        for driven in driven_of(case, output):
            if driven.device is None:
                continue
            if driven.traits.runs_water:
                stays = _stays(driven) or is_latching(driven)
                if driven.traits.moves or driven.sheet.left_alone is not None or stays:
                    gates.setdefault(driven.path, []).append((output, driven))
            elif must_run(driven):
                yield _left_off(case, output, driven)
    for uses in gates.values():
        if any(driven.logic not in ("close", "down", "stop") for _, driven in uses):
            yield _left_open(uses, _ruled(case, uses))
            if uses[0][1].traits.moves and left_alone(uses[0][1]).tide is not False:
                yield _wrong_water(uses)


def _ruled(case: Case, uses: list[tuple[OutputAt, Driven]]) -> Bears:
    """How long a rule of the job lets it be open at the most."""
    names = {name for output, _ in uses for name in (output.path, *output.functions)}
    names |= {uses[0][1].path, uses[0][1].path.split("/")[1]}
    most = [
        rule.for_s
        for rule in case.job.rules
        if rule.never == "on longer than" and rule.for_s is not None and names & set(rule.of)
    ]
    return Bears(min(most), "as a rule of the job says", (GIVEN,)) if most else Bears(None)


def _at_most(seconds: float) -> str:
    """A time that must not be passed, in whole minutes where it is longer than ten of them."""
    return write_quantity(60.0 * (seconds // 60.0) if seconds >= 600.0 else seconds, "time")


def _stays(driven: Driven) -> bool:
    """Whether a valve stays as it is when its contact opens, as one with a motor or two coils does."""
    return driven.input is not None and driven.input.opened in ("stays", "stops")


def _left_off(case: Case, output: OutputAt, driven: Driven) -> Finding:
    """SAFE-51."""
    name, traits, sheet = driven.path.split("/")[1], output.output.traits, left_alone(driven)
    borne = bears(driven)
    reasons: list[str] = []
    for_s: float | None = None
    if output.output.contact != "normally closed":
        reasons.append("after a power cut or with its relay lost it stays off")
        if traits.turns_round:
            reasons.append("a press that is forgotten, or one that is not heard, leaves it off")
        elif traits.keeps_state:
            reasons.append("a press that is forgotten leaves it off")
    elif traits.keeps_state:
        reasons.append("a press that is forgotten leaves it off")
    elif traits.while_held:
        held = longest_hold_s(case, output)
        for_s = None if held is None else held[0]
    else:
        for_s = output.output.for_s
    asks: list[str | Ask] = []
    if borne.seconds is None:
        asks.append(
            Ask(
                f"Find out how long {name} may be off: how much runs in, and what there is room for.",
                LEFT_OFF.who,
            )
        )
    if not reasons and for_s is None:
        asks.append(Ask(f"Say how long {output.path} keeps {name} off.", Who.INSTALLER))
    if sheet.told_by is None:
        asks.append(Ask(f"Ask what tells somebody when {name} has been off for too long.", Who.CUSTOMER))
    most = "" if borne.seconds is None else _at_most(borne.seconds)
    may = (
        f"{name} may be off for {most} ({borne.says})" if most else f"How long {name} may be off is not known"
    )
    lasts = "" if for_s is None else f"for {write_quantity(for_s, 'time')}"
    if reasons:
        lasts = _NO_END
    leaves = (
        f"{output.path} can leave it off {lasts}" if lasts else f"how long {output.path} can is not either"
    )
    why = f": {listed(reasons)}" if reasons else ""
    nobody = " Nothing tells anybody in time." if sheet.told_by == () else ""
    remedies = _off_remedies(borne.seconds, name)
    says = f"{may}; {leaves}{why}.{nobody}"
    sources = (*borne.sources, *driven.cite("must_stay_on"), PRACTICE, GIVEN)
    if reasons:
        return LEFT_OFF.decide(
            about=f"{output.path}: {driven.works}",
            subjects=subjects_of(output, driven),
            cause=driven.subject,
            answer=Answer.UNKNOWN if borne.seconds is None else Answer.NO,
            says=says,
            because=LOCAL_CODES,
            asks=asks,
            remedies=remedies,
            sources=sources,
            limit=borne.seconds,
        )
    return LEFT_OFF.judge(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        cause=driven.subject,
        value=Estimate(for_s, None, (GIVEN,)),
        limit=Limit(borne.seconds, borne.sources),
        says=says,
        because=LOCAL_CODES,
        asks=asks,
        remedies=remedies,
        sources=sources,
    )


def _off_remedies(most_s: float | None, name: str) -> tuple[Remedy, ...]:
    longest = "" if most_s is None else f", well under {_at_most(most_s)}"
    return (
        Remedy(
            f"Lead {name} over the break contact of a pulse{longest}: then it runs without the receiver, and"
            " comes back by itself"
        ),
        Remedy("An alarm of its own that tells somebody in time, past the receiver"),
    )


def _left_open(uses: list[tuple[OutputAt, Driven]], ruled: Bears) -> Finding:
    """SAFE-52."""
    driven = uses[0][1]
    name, sheet, borne = driven.path.split("/")[1], left_alone(driven), bears(driven)
    if borne.seconds is None:
        borne = ruled
    asks: list[str | Ask] = []
    closes, hand = sheet.closes_without_power, sheet.by_hand_within_s
    if closes is None and any(is_latching(mine) for _, mine in uses):
        closes = False
    if closes is None:
        asks.append(
            Ask(f"Cut the power while {name} stands half open: does it close by itself?", Who.INSTALLER)
        )
    if borne.seconds is None:
        asks.append(
            Ask(f"Ask how soon harm is done while {name} stands open: room, flow, tide.", Who.CUSTOMER, 5.0)
        )
    if hand is None and not closes:
        asks.append(
            Ask(
                f"Ask who closes {name} by hand when the power is off, and how soon, at night too.",
                Who.CUSTOMER,
            )
        )
    most = "" if borne.seconds is None else _at_most(borne.seconds)
    harm = f" Harm is done within {most} ({borne.says})." if most else ""
    stands = _stands(uses, name)
    if closes:
        says = f"{name} closes by itself when its power goes.{harm}"
        answer = Answer.YES if stands == "" else Answer.BARELY
        says += stands
    elif closes is None:
        answer, says = (
            Answer.UNKNOWN,
            f"Whether {name} closes by itself when its power goes is not known.{harm}",
        )
    elif hand is None or borne.seconds is None:
        # nobody is known to close it: a power cut leaves it open until somebody thinks of it
        answer = Answer.NO
        asks = []
        says = (
            f"A power cut leaves {name} open as it stands, and nobody is named who closes it by hand.{harm}"
        )
    else:
        return LEFT_OPEN.judge(
            about=driven.path,
            subjects=_refs(uses),
            value=Estimate(hand, None, driven.cite("left_alone")),
            limit=Limit(borne.seconds, borne.sources),
            says=f"A power cut leaves {name} open as it stands; somebody closes it by hand within"
            f" {write_quantity(hand, 'time')}.{harm}{stands}",
            because=LOCAL_CODES,
            remedies=_open_remedies(),
            sources=(PRACTICE, GIVEN),
        )
    return LEFT_OPEN.decide(
        about=driven.path,
        subjects=_refs(uses),
        answer=answer,
        says=says,
        because=f"'Left where it is' is no safe state for water. {LOCAL_CODES}",
        asks=asks,
        remedies=_open_remedies(),
        sources=(*borne.sources, PRACTICE, GIVEN),
        limit=borne.seconds,
    )


def _stands(uses: list[tuple[OutputAt, Driven]], name: str) -> str:
    """What a press alone leaves open, in words; empty where it closes once the contact opens."""
    open_by = [
        output.path
        for output, driven in uses
        if (begins_opening(driven) or driven.logic in ("up", "on", "start"))
        and (driven.traits.moves or _stays(driven) or is_latching(driven))
    ]
    return f" A press of {open_by[0]} leaves {name} open until another press." if open_by else ""


def _open_remedies() -> tuple[Remedy, ...]:
    return (
        Remedy("What closes it without power: a flap that the water shuts, a spring, a drive with a store"),
        Remedy("One ahead of all of them that shuts when its current is gone"),
        Remedy("A hand wheel, and somebody on call who is told of the power cut and closes it in time"),
    )


def _wrong_water(uses: list[tuple[OutputAt, Driven]]) -> Finding:
    """SAFE-53."""
    driven = uses[0][1]
    name, kept = driven.path.split("/")[1], left_alone(driven).level_kept_by
    if kept is None:
        answer = Answer.UNKNOWN
        says = f"What keeps {name} shut while the water stands higher on the wrong side is not known."
    elif "level on both sides" in kept:
        answer, says = Answer.YES, f"{name} opens only while the water stands right, measured on both sides."
    elif "level on one side" in kept:
        answer = Answer.BARELY
        says = f"{name} is kept shut by the level on one side alone; how the other stands it does not know."
    else:
        answer = Answer.NO
        by = "but people who look" if kept else "at all"
        says = f"Nothing {by} keeps {name} shut while the water stands wrong: a press lets it in."
    return WRONG_WATER.decide(
        about=driven.path,
        subjects=_refs(uses),
        answer=answer,
        says=says,
        because=f"Nobody who presses from afar sees both waters. {LOCAL_CODES}",
        asks=(
            Ask(
                f"Ask whether the water is measured on both sides of {name}, and what keeps it shut while it"
                " stands wrong.",
                Who.CUSTOMER,
                5.0,
            ),
        )
        if kept is None
        else (),
        remedies=(Remedy("Measure both levels, and let its control open it on the right side alone"),),
        sources=(*driven.cite("left_alone"), PRACTICE, GIVEN),
    )


def _refs(uses: list[tuple[OutputAt, Driven]]) -> tuple[DeviceRef | OutputRef, ...]:
    return (DeviceRef(uses[0][1].path), *(OutputRef(output.path) for output, _ in uses))
