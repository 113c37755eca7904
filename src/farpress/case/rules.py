"""What a "must never" rule of the job names, and whether it can be judged at all; judged by others."""

from __future__ import annotations

from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.driven import driven_of
from farpress.domain.job import Job, Rule
from farpress.phrases import listed

__all__ = ["groups_of_whom", "outputs_named", "rule_fault"]

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


def rule_fault(case: Case, rule: Rule) -> str:
    """Why a rule cannot be judged, as a sentence; empty if it can."""
    job = case.job
    outputs = {output.path for output in case.outputs()}
    devices = (
        {driven.path for output in case.outputs() for driven in driven_of(case, output)}
        | set(case.equipment.devices)
        | set(case.equipment.panels)
    )
    names = devices | {path.split("/")[1] for path in devices}
    unknown = [
        name for name in rule.of if name not in job.functions and name not in outputs and name not in names
    ]
    if unknown:
        return f"there is no {listed(unknown)} in this job."
    strangers = [name for name in rule.by if name not in job.people and not groups_of_whom(job, name)]
    if strangers:
        return f"there is no group, person or firm {listed(strangers)}."
    if rule.never in _NEEDS_OUTPUTS and not rule.of:
        return "it does not say of what."
    if rule.never == "both on" and len(set(rule.of)) < 2:
        return "two different things are needed for both to be on."
    if rule.never == "works by" and not rule.by:
        return "it does not say by whom."
    if rule.never in _NEEDS_TIME and rule.for_s is None:
        return "it does not say how long."
    return ""


def groups_of_whom(job: Job, who: str) -> tuple[str, ...]:
    """Groups that somebody named in a rule is, is in, or that a firm of that name has people in."""
    of_firm = {name for name, person in job.people.items() if person.organisation == who}
    return tuple(
        name
        for name, group in job.groups.items()
        if who in (name, group.organisation) or who in group.people or of_firm & set(group.people)
    )


def outputs_named(case: Case, rule: Rule) -> tuple[OutputAt, ...]:
    """Outputs that the rule names: by function, by path, or by what they work; all if it names nothing."""

    def is_named(output: OutputAt) -> bool:
        worked = {
            name for driven in driven_of(case, output) for name in (driven.path, driven.path.split("/")[1])
        }
        return not rule.of or bool(set(rule.of) & ({output.path} | set(output.functions) | worked))

    return tuple(output for output in case.outputs() if is_named(output))
