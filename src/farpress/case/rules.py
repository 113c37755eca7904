"""What a "must never" rule of the job names, and whether it can be judged at all; judged by others."""

from __future__ import annotations

from typing import Final

from farpress.case.areas import state_paths
from farpress.case.case import Case, OutputAt
from farpress.case.driven import driven_of
from farpress.dates import stretch_of
from farpress.domain.job import Job, Rule
from farpress.domain.premises import GateLock
from farpress.domain.zones import AlarmArea
from farpress.phrases import listed

__all__ = [
    "areas_named",
    "groups_of_whom",
    "hours_of",
    "locks_named",
    "outputs_named",
    "rule_fault",
    "things_named",
]

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
        "unset by a fob alone",
        "both open",
        "set with somebody inside",
        "open while set",
        "live while worked on",
        "more than one inside",
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
    names = devices | {path.split("/")[1] for path in devices} | _areas_and_locks(job)
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
    return _stated_fault(case, rule)


def _stated_fault(case: Case, rule: Rule) -> str:
    """The same for rules about states of things."""
    if rule.never == "both open" and len(things_named(case, rule)) < 2:
        return "two different leaves that outputs work are needed for both to be open."
    if rule.never in ("set with somebody inside", "open while set") and not areas_named(case, rule):
        return "it names no alarm panel and none of its areas."
    if rule.never == "open while set" and not set(things_named(case, rule)) - set(case.equipment.panels):
        return "it names nothing but the alarm; name what stands open, too."
    if rule.never == "more than one inside" and not locks_named(case, rule):
        return "it names no lock of two gates; describe it under 'gate_locks'."
    if rule.never == "works outside hours":
        if rule.hours is not None and stretch_of(rule.hours) is None:
            return f"'{rule.hours[:60]}' is no stretch of time; write it as '06:00-20:00', in quotes."
        if not hours_of(case, rule):
            return "neither it nor a function it names says which hours; write 'hours' as '06:00-20:00'."
    return ""


def _areas_and_locks(job: Job) -> set[str]:
    """Areas of alarm panels and locks of gates as a rule may name them."""
    names = set()
    for premises, house in job.premises.items():
        areas = [f"{panel}.{area}" for panel, entry in house.panels.items() for area in entry.areas]
        for name in (*areas, *house.gate_locks):
            names |= {name, f"{premises}/{name}"}
    return names


def areas_named(case: Case, rule: Rule) -> tuple[tuple[str, str, AlarmArea], ...]:
    """Path of the panel, name and values of each area that a rule names; a panel without areas is one.

    An area is named by itself, by its panel, or by a function that sets it.
    """
    worked = {
        driven.path
        for output in case.outputs()
        if set(rule.of) & {output.path, *output.functions}
        for driven in driven_of(case, output)
    }
    found = []
    for premises, house in case.job.premises.items():
        for panel, entry in house.panels.items():
            path = f"{premises}/{panel}"
            for name, area in (entry.areas or {panel: AlarmArea()}).items():
                called = {panel, path, f"{panel}.{name}", f"{path}.{name}"}
                if called & set(rule.of) or path in worked:
                    found.append((path, name, area))
    return tuple(found)


def locks_named(case: Case, rule: Rule) -> tuple[tuple[str, str, GateLock], ...]:
    """Premises, name and values of each lock of gates that a rule names, by itself or by a gate of it."""
    return tuple(
        (premises, name, lock)
        for premises, house in case.job.premises.items()
        for name, lock in house.gate_locks.items()
        if set(rule.of)
        & {part for gate in (name, *lock.enter_by, *lock.leave_by) for part in (gate, f"{premises}/{gate}")}
    )


def things_named(case: Case, rule: Rule) -> dict[str, tuple[OutputAt, ...]]:
    """Path of each device or panel that a rule names, or the function or output of → outputs that work it."""
    found: dict[str, tuple[OutputAt, ...]] = {}
    for output in case.outputs():
        is_pressed = bool(set(rule.of) & {output.path, *output.functions})
        for driven in driven_of(case, output):
            if is_pressed or set(rule.of) & {driven.path, driven.path.split("/")[1]}:
                known = found.get(driven.path, ())
                found[driven.path] = known if output in known else (*known, output)
    return found


def hours_of(case: Case, rule: Rule) -> tuple[tuple[OutputAt, tuple[str, ...]], ...]:
    """Each output that a rule about hours names, and its hours: those of the rule, else of its functions."""
    found = []
    for output in outputs_named(case, rule):
        given = [
            case.job.functions[name].hours for name in output.functions if not rule.of or name in rule.of
        ]
        given = given or [case.job.functions[name].hours for name in output.functions]
        hours = (
            (rule.hours,) if rule.hours is not None else tuple(dict.fromkeys(text for text in given if text))
        )
        if hours and all(stretch_of(text) is not None for text in hours):
            found.append((output, hours))
    return tuple(found)


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
            name
            for driven in driven_of(case, output)
            for path in (driven.path, *state_paths(case, driven))
            for name in (path, path.split("/")[1])
        }
        return not rule.of or bool(set(rule.of) & ({output.path} | set(output.functions) | worked))

    return tuple(output for output in case.outputs() if is_named(output))
