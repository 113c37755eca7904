"""Calls for help by radio: what they are not, who answers, how often they are tried."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import EN_50134, PRACTICE
from farpress.case.driven import driven_of, subjects_of
from farpress.domain.cautions import CAUTIONS
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.job import Function
from farpress.domain.refs import FunctionRef, Ref
from farpress.domain.told_words import EMERGENCY, told
from farpress.judging.air.advice import is_call
from farpress.judging.check import Answer, Check

__all__ = ["CALL_FOR_HELP", "judge"]

CALL_FOR_HELP: Final = Check(
    "SAFE-05",
    Link.SAFETY,
    "A call for help by radio: what it is not.",
    stake=Stake.HARM,
    mends="A certified call system, where somebody's life hangs on the call.",
)
NOBODY: Final = "nobody"
"""Stands in a job where a call for help is answered by none."""

WEEKLY_PER_DAY: Final = 1.0 / 7.0 - 1e-9
"""The least that a call for help is tried; guidance on social alarms, EN 50134, and common practice."""


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-05 of each output that calls for help, and of each such function that has no output yet."""
    for name, function in case.job.functions.items():
        if function.kind == "call" and not function.paths:
            yield _judged(name, [function], name, (FunctionRef(name),))
    for output in case.outputs():
        if is_call(case, output):
            yield _of_output(case, output)


def _of_output(case: Case, output: OutputAt) -> Finding:
    functions = [case.job.functions[name] for name in output.functions if name in case.job.functions]
    refs = tuple(FunctionRef(name) for name in output.functions)
    worked = driven_of(case, output)
    called = ", ".join(output.functions) or output.path
    return _judged(called, functions, output.path, (*subjects_of(output, *worked), *refs))


def _judged(called: str, functions: list[Function], about: str, subjects: tuple[Ref, ...]) -> Finding:
    says = f"'{called}' calls for help by radio: a household call, no certified emergency call."
    answer, asks = Answer.BARELY, _call_asks(called, functions)
    remedies: tuple[Remedy, ...] = (
        Remedy("A wired call unit, or a certified call system, where somebody's life hangs on the call"),
        Remedy("A named person who answers, a test every week, written down, and the warning signed"),
    )
    rates = [function.tested_per_day for function in functions]
    promised = told(EMERGENCY, called, *(function.says for function in functions))
    if promised:
        answer, remedies = Answer.NO, (Remedy("Other words: a household call, and who answers it"), *remedies)
        says = f"'{called}' is called '{promised}' in words: a radio fob calls no emergency service. Refused."
    elif any(function.answered_by == NOBODY for function in functions):
        answer, says = Answer.NO, f"'{called}' calls for help by radio, and nobody answers: refused."
    elif any(rate is not None and rate < WEEKLY_PER_DAY for rate in rates):
        answer, says = Answer.NO, f"'{called}' calls for help by radio and is tried less than once a week."
    elif len(asks) > 1:
        answer = Answer.NO
        says = (
            f"'{called}' calls for help over a radio link that nothing watches; nobody is named who answers,"
            " and no test is agreed. Not to be handed over so."
        )
    return CALL_FOR_HELP.decide(
        about=about,
        subjects=subjects,
        says=says,
        because=(
            f"{CAUTIONS['call for help']} Before it is handed over: tried places, tried time to an answer, a"
            " named person who answers, a weekly test, and this warning signed."
        ),
        answer=answer,
        asks=asks,
        remedies=remedies,
        sources=(EN_50134, PRACTICE),
        bars=bool(promised),
    )


def _call_asks(called: str, functions: list[Function]) -> tuple[Ask, ...]:
    """Who answers and how often it is tried, where that is not said."""
    asks = []
    if not functions or any(function.answered_by is None for function in functions):
        asks.append(Ask(f"Say who answers '{called}', by name or duty.", Who.CUSTOMER, 2.0))
    if not functions or any(function.tested_per_day is None for function in functions):
        asks.append(Ask(f"Say how often '{called}' is tried; once a week is the least.", Who.CUSTOMER, 1.0))
    return tuple(asks)
