"""Two-button latches: which button switches on, which off, and that no press does both.

Part of the judgements on output logic.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.access import single_presses
from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import driven_of, groups_of, subjects_of, switching
from farpress.domain.finding import Ask, Change, Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import FunctionRef
from farpress.judging.check import Answer, Check
from farpress.phrases import listed

__all__ = ["judge_latches"]

TWO_BUTTONS: Final = Check(
    "OUT-09",
    Link.OUTPUT,
    "Two-button latch: one button switches it on, another off, and no press does both.",
    stake=Stake.PROMISE,
    ask="Say which function switches it on, and which off.",
    who=Who.INSTALLER,
    mends="A function for each way, on a button of its own.",
)


def judge_latches(case: Case) -> Iterator[Finding]:
    """Findings about outputs of the kind latch, and about functions that say on or off where nothing
    latches.
    """
    latched = set()
    for output in case.outputs():
        if output.output.traits.has_two_buttons:
            latched.add(output.path)
            yield from _latch(case, output)
    for name, function in case.job.functions.items():
        if function.switches is not None and function.paths and not latched & set(function.paths):
            yield TWO_BUTTONS.decide(
                about=name,
                subjects=(FunctionRef(name),),
                answer=Answer.UNKNOWN,
                says=f"{name} switches {function.switches}, but {listed(function.paths)} is no latch: each"
                " press does there what the output's kind says.",
                asks=(
                    Ask(
                        f"Make the output of {name} a latch, or take 'switches' out of the function.",
                        Who.INSTALLER,
                    ),
                ),
                offers=(Remedy("Take 'switches' out", "", (Change(("functions", name, "switches"), None),)),),
                sources=(GIVEN,),
            )


def _latch(case: Case, output: OutputAt) -> Iterator[Finding]:
    on, off, silent = (switching(case, output, way) for way in ("on", "off", None))
    subjects = subjects_of(output, *driven_of(case, output))
    for name in silent:
        yield TWO_BUTTONS.decide(
            about=f"{output.path}: {name}",
            subjects=(*subjects, FunctionRef(name)),
            answer=Answer.UNKNOWN,
            says=f"{output.path} is a two-button latch; whether {name} switches it on or off is not said.",
            asks=(Ask(f"Write 'switches: on' or 'switches: off' with {name}.", Who.INSTALLER),),
            sources=(GIVEN,),
        )
    if silent or not (on or off):
        return
    both = [
        press.name
        for press in single_presses(case)
        if set(press.functions) & set(on) and set(press.functions) & set(off)
    ]
    one_way = [
        name
        for name, group in groups_of(case, output)
        if len(
            {
                case.job.functions[function].switches
                for function in case.job.functions_of(group)
                if function in output.functions
            }
        )
        == 1
    ]
    remedies: tuple[Remedy, ...] = ()
    pair = f"{_named(on)} switches {output.path} on, {_named(off)} switches it off"
    if not on or not off:
        answer, missing = Answer.NO, "off" if on else "on"
        stays = (
            "nothing ever switches it off again but the loss of its supply" if on else "it can never come on"
        )
        says = f"{output.path} is a two-button latch, but no function switches it {missing}: {stays}."
        because = f"Add a function that switches it {missing}, on a button of its own."
    elif both:
        answer = Answer.NO
        says = f"One press of {listed(both)} switches {output.path} on and off."
        because = "Off wins, so such a press never switches it on."
    elif one_way:
        answer = Answer.BARELY
        has = "has" if len(one_way) == 1 else "have"
        says = f"{pair}; {listed(one_way)} {has} only one of the two buttons."
        because = "Who can only switch on leaves it on; who can only switch off may be meant so."
        remedies = (Remedy("Give them both buttons"),)
    else:
        answer = Answer.YES
        says = f"{pair}; repeating either does no harm."
        because = "The last press decides, whoever gives it."
    yield TWO_BUTTONS.decide(
        about=output.path,
        subjects=subjects,
        answer=answer,
        says=says,
        because=because,
        remedies=remedies,
        sources=(PRACTICE, GIVEN),
    )


def _named(functions: tuple[str, ...]) -> str:
    return listed(f"'{name}'" for name in functions)
