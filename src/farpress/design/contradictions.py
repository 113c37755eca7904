"""Wishes that cannot both be kept: a rule and a promise, or a rule and a function, each with its line.

Which rule bars every cure of a fault, mending finds out by trying; here the two are named where the
customer's own file has them.
"""

from __future__ import annotations

from collections.abc import Iterator

from farpress.case.case import Case, promise_id
from farpress.domain.job import Rule
from farpress.domain.refs import FunctionRef, OutputRef, refs_of
from farpress.mending.conflict import MendingConflict
from farpress.mending.result import MendingPlan
from farpress.units import write_quantity

__all__ = ["contradictions"]

_MOST = 2
"""So many promises are named beside a rule; our choice."""


def contradictions(case: Case, drawn: Case, plan: MendingPlan) -> tuple[str, ...]:
    """One sentence for each rule that bars every cure of a fault that is left, or allows less than is wished.

    Args:
        case: the job as the customer has it.
        drawn: the variant.
        plan: what mending left of the drawn one.
    """
    found = [sentence for conflict in plan.conflicts for sentence in _of(case, drawn, conflict)]
    return tuple(dict.fromkeys((*_lasting(case), *found)))


def _lasting(case: Case) -> Iterator[str]:
    """Functions that shall go on longer than a rule allows."""
    for index, rule in enumerate(case.job.rules):
        if rule.never != "on longer than" or rule.for_s is None:
            continue
        for name in rule.of:
            lasts_s = case.job.functions[name].lasts_s if name in case.job.functions else None
            if lasts_s is not None and lasts_s > rule.for_s:
                told = f"rule {index + 1} ({rule.says or rule.never}; line {_line(case, 'rules', index)})"
                most, wished = write_quantity(rule.for_s, "time"), write_quantity(lasts_s, "time")
                line = _line(case, "functions", name)
                yield f"Not both: {told} allows {most}, and '{name}' shall last {wished} (line {line})."


def _of(case: Case, drawn: Case, conflict: MendingConflict) -> Iterator[str]:
    for number in range(1, len(case.job.rules) + 1):
        if not any(wish.startswith(f"rule {number} ") for wish in conflict.between):
            continue
        rule = case.job.rules[number - 1]
        told = f"rule {number} ({rule.says or rule.never}; line {_line(case, 'rules', number - 1)})"
        names = _concerned(case, drawn, rule, conflict)
        against = [
            f"'{promise_id(promise)}' (line {_line(case, 'promises', index)})"
            for index, promise in enumerate(case.job.promises)
            if promise.function in names and (rule.never != "works from" or promise.from_ in rule.from_)
        ]
        against = against or [
            f"what '{name}' is for (line {_line(case, 'functions', name)})" for name in names
        ]
        more = f", and {len(against) - _MOST} more" if len(against) > _MOST else ""
        fails = conflict.finding.says.rstrip(".")
        yield f"Not both: {told} and {', '.join(against[:_MOST])}{more}. What fails: {fails}."


def _concerned(case: Case, drawn: Case, rule: Rule, conflict: MendingConflict) -> list[str]:
    """Functions that a fault is about, those that the rule speaks of where it does."""
    subjects = conflict.finding.subjects
    about = [ref.path for ref in refs_of(FunctionRef, subjects)]
    for ref in refs_of(OutputRef, subjects):
        output = drawn.output(ref.path)
        about += output.functions if output is not None else ()
    ruled = [name for name in rule.of if name in case.job.functions]
    return [name for name in dict.fromkeys(about) if name in (ruled or case.job.functions)] or ruled


def _line(case: Case, *path: str | int) -> int:
    assert case.document is not None  # only a job read from a file is drawn
    return case.document.line_of(path)
