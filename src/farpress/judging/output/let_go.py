"""What goes back by itself when a contact opens: what opens it unasked, and whether it waits long enough."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.behaviour import after_power_return, shortest_hold_s
from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, MACHINES, PRACTICE
from farpress.case.driven import Driven, driven_of, goes_back, seconds, subjects_of
from farpress.case.feeding import supply_behind
from farpress.domain.cautions import DUTIES, caution
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Verdict, Who
from farpress.judging.check import AT_LEAST, Answer, Check, Estimate, Limit
from farpress.phrases import listed

__all__ = ["LETS_GO", "TIME_TO_PASS", "judge_let_go"]

LETS_GO: Final = Check(
    "OUT-30",
    Link.OUTPUT,
    "What goes back by itself when its contact opens: no lost press, power cut or cut core may open it.",
    stake=Stake.HARM,
    bars=True,
    ask="Take one core off while it is worked, with nobody near, and write what happens.",
    who=Who.INSTALLER,
    minutes=10.0,
    mends="A control that keeps its state and goes back on a command of its own, with tested safeguards.",
)
TIME_TO_PASS: Final = Check(
    "OUT-31",
    Link.OUTPUT,
    "How long a press keeps the way free of what goes back by itself, against what opening and passing take.",
    unit="s",
    bound=AT_LEAST,
    stake=Stake.HARM,
    bars=True,
    ask="Time the longest vehicle from the moment the way is free until its tail is past.",
    who=Who.METER,
    minutes=15.0,
    mends="A control that lets it go back only once loops or presence detection have seen the last one pass.",
)

_CURES: Final = (
    Remedy(
        "Let its own control keep the state: one command opens, another closes, and no open contact does"
        " either"
    ),
    Remedy("Choose a kind that stands safe without power: a bollard that falls, a signal that latches"),
)


def judge_let_go(case: Case) -> Iterator[Finding]:
    """OUT-30 of each contact that keeps something from going back, OUT-31 where vehicles pass meanwhile."""
    for output in case.outputs():
        for driven in driven_of(case, output):
            if driven.wants != "maintained":
                continue
            danger = _relied_on(case, output)
            if _goes_back(output, driven, danger) and (danger or driven.traits.can_crush):
                yield _lets_go(case, output, driven, danger)
                if driven.traits.passes_vehicles and output.output.contact == "normally open":
                    yield from _time_to_pass(case, output, driven)
            elif _may_go_back(driven, danger):
                yield _asked(output, driven)


def _relied_on(case: Case, output: OutputAt) -> str:
    """The function relied on in danger that presses an output; empty where there is none."""
    return next((name for name in output.functions if case.job.functions[name].in_danger), "")


def _goes_back(output: OutputAt, driven: Driven, danger: str) -> bool:
    """Whether it is said to, or is fed through the contact for as long as somebody needs it in danger."""
    is_fed = driven.traits.is_load and not driven.traits.is_lock
    return goes_back(driven) or (bool(danger) and is_fed and output.output.traits.keeps_state)


def _may_go_back(driven: Driven, danger: str) -> bool:
    """Whether it is to be asked: a lock says it by 'fails', a load and a motor for two ways by their kind."""
    if driven.traits.is_lock or (driven.input is not None and driven.input.opened is not None):
        return False
    if driven.traits.watched_vehicles:
        return True
    return bool(danger) and not driven.traits.is_load and driven.logic not in ("up", "down")


def _asked(output: OutputAt, driven: Driven) -> Finding:
    return LETS_GO.decide(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        answer=Answer.UNKNOWN,
        says=f"What {driven.works} does when the contact of {output.path} opens by itself is not known.",
        because="A power cut, a blown fuse, a cut core and a lost press all open it.",
        asks=(
            Ask(
                f"Take one core of {driven.works} off while it is worked, with nobody near: does it stay,"
                " stop or"
                " go back? Write 'opened'.",
                Who.INSTALLER,
                10.0,
            ),
        ),
        sources=(GIVEN,),
    )


def _opened_by(case: Case, output: OutputAt) -> list[str]:
    """Everything that opens the contact although nobody wants it."""
    opens, traits = [], output.output.traits
    sheet = case.equipment.receivers[output.receiver_path].sheet
    if traits.while_held:
        gap = f" of {seconds(sheet.dropout_s)}" if sheet.dropout_s is not None else ""
        opens.append(f"a gap{gap} in what is heard of the fob")
        hold = shortest_hold_s(case, output)
        end = f", {seconds(hold[0])} after the press began" if hold is not None else ""
        opens.append(f"the end of the fob's sending{end}")
    elif traits.wants_length and output.output.for_s is not None:
        opens.append(f"the end of the pulse of {seconds(output.output.for_s)}")
    elif traits.turns_round:
        opens.append("a second press, by whomever")
    behind = supply_behind(output.house, output.box.fed)
    if behind is None:
        opens.append(f"a failure of what feeds {output.receiver}")
    else:
        supply = output.house.supplies[behind]
        end = (
            f"the battery of {behind} at its end" if supply.battery is not None else f"a failure of {behind}"
        )
        opens.append(end)
    if traits.keeps_state and after_power_return(case, output) == "off":
        opens.append("a blink of that power, after which it stays off")
    return [*opens, "a cut core"]


def _lets_go(case: Case, output: OutputAt, driven: Driven, danger: str) -> Finding:
    """OUT-30, of what is known to go back."""
    is_broken = output.output.contact == "normally closed"
    opened = _opened_by(case, output)
    back = f"'{danger}' ends" if danger else f"{driven.path.split('/')[1]} goes back"
    if is_broken:
        says = (
            f"{back} when the contact of {output.path} opens, which a press does; without power it stays"
            " closed. A cut core opens it."
        )
    else:
        says = f"{back} by itself whenever the contact of {output.path} opens: by {listed(opened)}."
    who = "Nobody pressed, and nobody is told." if danger else "Nobody looks whether the way is clear then."
    told = "" if danger else f" {DUTIES['machine']} {caution('automatic closing')}"
    return LETS_GO.decide(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        answer=Answer.BARELY if is_broken else Answer.NO,
        says=says,
        because=f"{who}{told}",
        remedies=_CURES,
        sources=(*driven.cite("inputs"), MACHINES, PRACTICE, GIVEN),
        cause=driven.subject,
    )


def _time_to_pass(case: Case, output: OutputAt, driven: Driven) -> Iterator[Finding]:
    """OUT-31, of an output that opens again after a time."""
    traits = output.output.traits
    sheet = case.equipment.receivers[output.receiver_path].sheet
    asks: list[str | Ask] = []
    kept: float | None = None
    if traits.while_held:
        hold = shortest_hold_s(case, output)
        if hold is None or sheet.dropout_s is None:
            asks.append("Hold a fob's button down and time it until the contact opens.")
        else:
            kept = hold[0] + sheet.dropout_s
        how = "A held press keeps"
    elif traits.wants_length:
        kept, how = output.output.for_s, "A press keeps"
    else:
        return
    passages = [
        traffic.passage_s
        for traffic in case.job.traffic
        if traffic.function in output.functions and traffic.passage_s is not None
    ]
    name, travel = driven.path.split("/")[1], driven.sheet.travel_s
    needed = travel + max(passages) if passages and travel is not None else None
    if not passages:
        asks.append(
            Ask(
                f"Time the longest vehicle at {name} from the moment the way is free until its tail is"
                " past, and"
                " write it as 'passage' of its 'traffic'.",
                Who.METER,
                15.0,
            )
        )
    if travel is None:
        asks.append(Ask(f"Time the whole travel of {name} with a watch.", Who.METER, 5.0))
    said = f"{how} {name} open for {seconds(kept)}" if kept is not None else f"{how} {name} open"
    wants = (
        f"; {seconds(travel)} to open and {seconds(max(passages))} to pass make {seconds(needed)}."
        if needed is not None and travel is not None
        else ", and how long opening and passing take is not known."
    )
    yield TIME_TO_PASS.judge(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        value=Estimate(kept, None, (GIVEN,)),
        limit=Limit(needed, driven.cite("travel_s")),
        says=f"{said}{wants}",
        because=lambda verdict: (
            "It goes back under the last vehicle."
            if verdict is Verdict.FAILS
            else "A slow driver needs longer."
        ),
        asks=asks,
        remedies=_CURES,
        cause=driven.subject,
    )
