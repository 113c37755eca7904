"""The job's "must never" rules, judged from how things are built.

What a search through press stories adds stands in `searched`. Rules
about reach belong to the air; the rules that always hold stand with outputs, devices and
refusals whether the job names them or not.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN
from farpress.case.driven import driven_of
from farpress.case.rules import outputs_named, rule_fault
from farpress.domain.finding import Finding, Verdict
from farpress.domain.job import Rule
from farpress.domain.refs import RuleRef
from farpress.judging.check import Answer, Check, Estimate, Limit
from farpress.judging.rules import fob_alone as by_fob_alone
from farpress.judging.rules import leaving as by_leaving
from farpress.judging.rules import outputs as by_output
from farpress.judging.rules import people as by_people
from farpress.judging.rules import repeated as by_repeating
from farpress.judging.rules import states as by_states
from farpress.judging.rules.kinds import CHECK_OF, NEVER_MATTERS
from farpress.judging.rules.ruling import Ruling, about_text
from farpress.phrases import listed
from farpress.rehearsal.stated import STATED

__all__ = ["Ruled", "finding_of", "judge", "rulings", "rulings_of"]

STORY_ELSEWHERE: Final = "'farpress rehearsal' tells the story."
"""Where a story is not told in the finding itself."""

_JUDGES: Final[dict[str, Callable[[Case, Rule, tuple[OutputAt, ...]], Iterator[Ruling]]]] = {
    "both on": by_output.both_on,
    "works after power return": by_output.after_power,
    "works without sight": by_output.without_sight,
    "works by": by_people.works_by,
    "on longer than": by_output.on_longer,
    "second press within": by_repeating.second_press,
    "unset and open by one press": by_people.unset_and_open,
    "unset by a fob alone": by_fob_alone.unset_by_fob_alone,
    "state out of step": by_repeating.out_of_step,
    "alarm despite unsetting": by_repeating.alarm_despite_unsetting,
    "toggles": by_repeating.never_toggles,
    "held on a start input": by_repeating.held_on_start,
    "lost fob known longer than": by_people.lost_fob,
    "kept after leaving longer than": by_people.kept_after_leaving,
    "closes while occupied": by_leaving.closes_while_occupied,
    "needed to leave": by_leaving.needed_to_leave,
    **dict.fromkeys(STATED, by_states.states),
}

_OF_RELAYS: Final = frozenset(
    (
        "both on",
        "on longer than",
        "second press within",
        "lost fob known longer than",
        "kept after leaving longer than",
    )
)
"""Rules about contacts, fobs and people: what hangs on a contact does not matter to them."""

_AIR: Final = frozenset({"works from", "works beyond"})


@dataclass(frozen=True)
class Ruled:
    """A ruling with the rule it is about.

    Attributes:
        number: of the rule in the job, from 1 on.
        rule: as in the job.
        check: that makes the finding.
        ruling: what is seen.
    """

    number: int
    rule: Rule
    check: Check
    ruling: Ruling


def judge(case: Case) -> Iterator[Finding]:
    """All findings about the job's rules, from how things are built; those about reach belong to the air."""
    for ruled in rulings(case):
        yield finding_of(ruled)


def rulings(case: Case) -> Iterator[Ruled]:
    """What is seen about all rules of the job."""
    for number, rule in enumerate(case.job.rules, 1):
        if rule.never in _AIR:
            continue
        fault = rule_fault(case, rule)
        if fault:
            says = f"Rule {number} cannot be judged: {fault}"
            yield Ruled(number, rule, NEVER_MATTERS, Ruling(Answer.UNKNOWN, says, NEVER_MATTERS.ask))
        else:
            yield from rulings_of(case, number)


def rulings_of(case: Case, number: int) -> Iterator[Ruled]:
    """What is seen about one rule, from 1 on; it is not about reach, and `rule_fault` finds nothing."""
    rule = case.job.rules[number - 1]
    outputs = outputs_named(case, rule)
    unsaid = [output.path for output in outputs if output.functions and _is_unsaid(case, output)]
    loose = [name for name in rule.of or case.job.functions if _is_loose(case, name)]
    found = list(_JUDGES[rule.never](case, rule, outputs))
    if loose and not found:
        found = [_no_output(loose)]
    for ruling in found:
        if loose and ruling.word(CHECK_OF[rule.never]) is not Verdict.FAILS:
            ruling = _no_output(loose, ruling)
        if unsaid and rule.never not in _OF_RELAYS and ruling.word(CHECK_OF[rule.never]) is not Verdict.FAILS:
            ruling = _not_said(ruling, unsaid)
        if ruling.never_matters:
            says = f"Rule {number} can never matter: {ruling.says}"
            seen = replace(ruling, says=says, because=ruling.because or NEVER_MATTERS.ask)
            yield Ruled(number, rule, NEVER_MATTERS, seen)
        else:
            yield Ruled(number, rule, CHECK_OF[rule.never], ruling)


def _is_loose(case: Case, name: str) -> bool:
    """Whether nobody says by which output a function works."""
    return name in case.job.functions and not case.outputs_of(name)


def _no_output(functions: list[str], ruling: Ruling | None = None) -> Ruling:
    """A ruling that hangs on functions of which nobody says by which output they work."""
    names = listed([f"'{name}'" for name in functions])
    ask = f"Say which output {names} presses."
    if ruling is None:
        return Ruling(Answer.UNKNOWN, f"Nobody says which output {names} presses.", asks=(ask,))
    return replace(ruling, answer=Answer.UNKNOWN, value=None, asks=(ask,), is_said=True, never_matters=False)


def _is_unsaid(case: Case, output: OutputAt) -> bool:
    """Whether nobody says what an output works, or how the panel reads the input that it works."""
    return not output.output.works or any(
        driven.panel is not None and driven.input is None for driven in driven_of(case, output)
    )


def _not_said(ruling: Ruling, outputs: list[str]) -> Ruling:
    """A ruling that hangs on outputs of which nobody says what they work."""
    ask = f"Say which device or panel input {listed(outputs)} works, and how that reads it."
    return replace(ruling, answer=Answer.UNKNOWN, value=None, asks=(ask,), is_said=True, never_matters=False)


def finding_of(ruled: Ruled) -> Finding:
    """The finding of a ruling; a signature makes thin what fails, unless nobody may sign it."""
    rule, check, ruling = ruled.rule, ruled.check, ruled.ruling
    because = f"{ruling.because} {STORY_ELSEWHERE}" if ruling.is_told_elsewhere else ruling.because
    word = ruling.word(check)
    if rule.signed and not check.bars:
        if word is Verdict.FAILS:
            because = f"{because} Accepted: {rule.signed}.".strip()
        check = replace(check, advice=True)
    reference = RuleRef(str(ruled.number))
    asks = ruling.asks
    if word is Verdict.UNKNOWN and not asks and ruling.because:
        asks = (ruling.because,)
    about = about_text(ruled.number, rule.never, ruling.about)
    subjects, sources = (*ruling.subjects, reference), (*ruling.sources, GIVEN)
    cause = ruling.subjects[0] if ruling.subjects else reference
    if ruling.answer is None:
        return check.judge(
            about=about,
            subjects=subjects,
            says=ruling.says,
            because=because,
            value=Estimate(ruling.value),
            limit=Limit(ruling.limit),
            asks=asks,
            remedies=ruling.remedies,
            sources=sources,
            cause=cause,
        )
    return check.decide(
        about=about,
        subjects=subjects,
        says=ruling.says,
        because=because,
        answer=ruling.answer,
        asks=asks,
        remedies=ruling.remedies,
        sources=sources,
        cause=cause,
        value=ruling.value,
        limit=ruling.limit,
    )
