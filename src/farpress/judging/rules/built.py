"""The job's "must never" rules, judged from how things are built.

What a search through press stories adds stands in `rules_searched`. Rules
about reach belong to the air; the rules that always hold stand with outputs, devices and
refusals whether the job names them or not.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN
from farpress.case.driven import driven_of
from farpress.domain.finding import Finding, Link, Verdict
from farpress.domain.job import Rule
from farpress.judging.rules import outputs as by_output
from farpress.judging.rules import people as by_people
from farpress.judging.rules.ruling import Ruling, about_text
from farpress.phrases import listed
from farpress.sources import Citation

__all__ = ["CODES", "judge", "judge_rule", "outputs_named", "rule_fault"]

CODES: Final[dict[str, str]] = {
    "RULE-01": "Rule: two things never both on.",
    "RULE-02": "Rule: never works after power return.",
    "RULE-03": "Rule: never works without sight.",
    "RULE-04": "Rule: never works by somebody.",
    "RULE-05": "Rule: never on longer than a time.",
    "RULE-06": "Rule: never a second press that counts within a time.",
    "RULE-07": "Rule: never unset and open by one press.",
    "RULE-08": "Rule: never a state out of step.",
    "RULE-09": "Rule: never toggles, neither the output nor the input it works.",
    "RULE-10": "Rule: never held on a start input.",
    "RULE-11": "Rule: never a lost fob known for longer than a time.",
    "RULE-12": "Rule: never data kept for longer than a time after leaving.",
    "RULE-13": "Rule: never closes while occupied.",
    "RULE-14": "Rule: never a fob needed to leave.",
    "RULE-15": "A rule about something that is not there, or that can never matter.",
    "RULE-18": "Rule: never an alarm although a press to unset was heard in the entry time.",
}

_JUDGES: Final[dict[str, tuple[str, Callable[[Case, Rule, tuple[OutputAt, ...]], Iterator[Ruling]]]]] = {
    "both on": ("RULE-01", by_output.both_on),
    "works after power return": ("RULE-02", by_output.after_power),
    "works without sight": ("RULE-03", by_output.without_sight),
    "works by": ("RULE-04", by_people.works_by),
    "on longer than": ("RULE-05", by_output.on_longer),
    "second press within": ("RULE-06", by_output.second_press),
    "unset and open by one press": ("RULE-07", by_people.unset_and_open),
    "state out of step": ("RULE-08", by_output.out_of_step),
    "alarm despite unsetting": ("RULE-18", by_output.alarm_despite_unsetting),
    "toggles": ("RULE-09", by_output.never_toggles),
    "held on a start input": ("RULE-10", by_output.held_on_start),
    "lost fob known longer than": ("RULE-11", by_people.lost_fob),
    "kept after leaving longer than": ("RULE-12", by_people.kept_after_leaving),
    "closes while occupied": ("RULE-13", by_output.closes_while_occupied),
    "needed to leave": ("RULE-14", by_output.needed_to_leave),
}

_AIR: Final = frozenset({"works from", "works beyond"})
_NEEDS_OUTPUTS: Final = frozenset(
    {
        "both on",
        "works after power return",
        "works without sight",
        "works by",
        "on longer than",
        "second press within",
        "state out of step",
        "alarm despite unsetting",
        "closes while occupied",
        "needed to leave",
    }
)
_NEEDS_TIME: Final = frozenset(
    {"on longer than", "second press within", "lost fob known longer than", "kept after leaving longer than"}
)


def judge(case: Case) -> Iterator[Finding]:
    """All findings about the job's rules; those about reach are left to the air."""
    for number, rule in enumerate(case.job.rules, 1):
        if rule.never in _AIR:
            continue
        fault = rule_fault(case, rule)
        if fault:
            about = about_text(number, rule.never, "")
            yield Finding(
                "RULE-15",
                Link.RULE,
                Verdict.UNKNOWN,
                about,
                f"Rule {number} cannot be judged: {fault}",
                "Correct the rule, or take it out.",
                sources=(GIVEN,),
            )
            continue
        yield from judge_rule(case, number)


def judge_rule(case: Case, number: int) -> Iterator[Finding]:
    """Findings about one rule of the job, from 1 on; it is not about reach, and `rule_fault` finds
    nothing.
    """
    rule = case.job.rules[number - 1]
    code, judge_rule = _JUDGES[rule.never]
    named = outputs_named(case, rule)
    for ruling in judge_rule(case, rule, named):
        verdict, because = ruling.verdict, ruling.because
        if ruling.never_matters:
            says = f"Rule {number} can never matter: {ruling.says}"
            yield Finding(
                "RULE-15",
                Link.RULE,
                Verdict.UNKNOWN,
                about_text(number, rule.never, ruling.about),
                says,
                because or "Correct the rule, or take it out.",
                sources=(GIVEN,),
                subjects=ruling.subjects,
            )
            continue
        if rule.signed and verdict is Verdict.FAILS:
            verdict, because = Verdict.THIN, f"{because} Accepted: {rule.signed}.".strip()
        about = about_text(number, rule.never, ruling.about)
        sources: tuple[Citation, ...] = (*ruling.sources, GIVEN)
        yield Finding(
            code,
            Link.RULE,
            verdict,
            about,
            ruling.says,
            because,
            ruling.value,
            ruling.limit,
            ruling.unit,
            ruling.margin,
            remedies=ruling.remedies,
            sources=sources,
            subjects=ruling.subjects,
        )


def rule_fault(case: Case, rule: Rule) -> str:
    """Why a rule cannot be judged, as a sentence; empty if it can."""
    job = case.job
    outputs = {at.path for at in case.outputs()}
    devices = (
        {one.path for at in case.outputs() for one in driven_of(case, at)}
        | set(case.equipment.devices)
        | set(case.equipment.panels)
    )
    names = devices | {path.split("/")[1] for path in devices}
    unknown = [
        name for name in rule.of if name not in job.functions and name not in outputs and name not in names
    ]
    if unknown:
        return f"there is no {listed(unknown)} in this job."
    strangers = [
        name
        for name in rule.by
        if name not in job.groups
        and name not in job.people
        and not any(name in group.people for group in job.groups.values())
    ]
    if strangers:
        return f"there is no group or person {listed(strangers)}."
    if rule.never in _NEEDS_OUTPUTS and not rule.of:
        return "it does not say of what."
    if rule.never == "both on" and len(set(rule.of)) < 2:
        return "two different things are needed for both to be on."
    if rule.never == "works by" and not rule.by:
        return "it does not say by whom."
    if rule.never in _NEEDS_TIME and rule.for_s is None:
        return "it does not say how long."
    return ""


def outputs_named(case: Case, rule: Rule) -> tuple[OutputAt, ...]:
    """Outputs that the rule names: by function, by path, or by what they work; all if it names nothing."""

    def named(at: OutputAt) -> bool:
        worked = {name for one in driven_of(case, at) for name in (one.path, one.path.split("/")[1])}
        return not rule.of or bool(set(rule.of) & ({at.path} | set(at.functions) | worked))

    return tuple(at for at in case.outputs() if named(at))
