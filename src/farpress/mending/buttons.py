"""A button plan tried before it is called best: applied to a copy of the job, judged and rehearsed there.

Groups for which the plan would make anything fail, could hurt somebody, or worsens a promise keep the buttons
they have; the plan is then made anew for the others, until nothing is worse than it is today.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from farpress.case.changed import tried_with
from farpress.domain.finding import Assessment, Change, Finding
from farpress.domain.refs import FunctionRef, GroupRef
from farpress.judging.assess import assess
from farpress.judging.remedies.effects import Effects, effects_of, fault_key
from farpress.keys.layout import LayoutPlan, plan_layout
from farpress.keys.rights import buttons_of

if TYPE_CHECKING:
    from farpress.case.case import Case

__all__ = ["TriedLayout", "layout_changes", "tried_layout"]

LONG: Final = " long"


@dataclass(frozen=True)
class TriedLayout:
    """A button plan as it came out of its trial.

    Attributes:
        plan: the plan of the groups that change or could.
        kept: group -> why it keeps its buttons: what the plan would have made of it.
        cured: findings that fail today and no longer with the plan.
        changes: the edit of the job file that makes it so.
        judged: whether it was tried; a job made by a program, and a plan that does not exist, cannot be.
    """

    plan: LayoutPlan
    kept: Mapping[str, str] = field(default_factory=dict)
    cured: tuple[Finding, ...] = ()
    changes: tuple[Change, ...] = ()
    judged: bool = False

    def rows(self, case: Case) -> list[tuple[str, str, str]]:
        """Group, button, and the functions on it: those planned first, then those that stay."""
        stay = [
            (name, button, ", ".join(functions))
            for name in self.kept
            for button, functions in sorted(buttons_of(case.job.groups[name]).items())
        ]
        return [*self.plan.rows(), *stay]


def tried_layout(
    case: Case, *, limit_s: float = 60.0, progress: Callable[[str], None] | None = None
) -> TriedLayout:
    """The best button plan under which nothing is worse than today.

    Args:
        case: a job that was read from a file.
        limit_s: time for each search [s].
        progress: told what is being done; may raise to cancel.
    """
    kept: dict[str, str] = {}
    before: Assessment | None = None
    while True:
        if progress is not None:
            progress(f"plan, {len(kept)} groups as they are" if kept else "plan")
        plan = plan_layout(case, limit_s=limit_s, besides=kept)
        changes = layout_changes(case, plan)
        if case.document is None or plan.layout is None:
            return TriedLayout(plan, kept, changes=changes)
        if not changes:
            return TriedLayout(plan, kept, judged=True)
        if progress is not None:
            progress("judge it")
        before = before or assess(case)
        after = assess(tried_with(case, changes))
        effects = effects_of(before, after)
        blamed = _blamed(case, plan, changes, effects)
        if not blamed:
            cured = tuple(
                finding for finding in before.findings if fault_key(finding) in effects.cured and not kept
            )
            return TriedLayout(plan, kept, cured, changes, judged=True)
        kept.update(blamed)


def layout_changes(case: Case, plan: LayoutPlan) -> tuple[Change, ...]:
    """The edit of the job file that gives every group of a plan its buttons; nothing for those that stay."""
    if plan.layout is None:
        return ()
    buttons: dict[str, dict[str, dict[str, list[str]]]] = {}
    for name, button, functions in plan.rows():
        number, is_long = button.removesuffix(LONG), button.endswith(LONG)
        of = buttons.setdefault(name, {}).setdefault(number, {})
        of["long" if is_long else "short"] = functions.split(", ")
    found = []
    for name, learned in buttons.items():
        if {key: set(value) for key, value in _flat(learned).items()} != {
            key: set(value) for key, value in buttons_of(case.job.groups[name]).items()
        }:
            value = {number: _button(of) for number, of in sorted(learned.items())}
            found.append(Change(("groups", name, "buttons"), value))
        if name in plan.exchanged:
            found.append(Change(("groups", name, "fob"), plan.layout.types[name]))
    return tuple(found)


def _flat(learned: Mapping[str, Mapping[str, list[str]]]) -> dict[str, list[str]]:
    return {
        f"{number}{LONG if length == 'long' else ''}": functions
        for number, of in learned.items()
        for length, functions in of.items()
    }


def _button(of: Mapping[str, list[str]]) -> object:
    """What stands behind one button in a job file."""
    plain = {length: functions[0] if len(functions) == 1 else functions for length, functions in of.items()}
    return plain["short"] if "long" not in plain else plain


def _blamed(case: Case, plan: LayoutPlan, changes: tuple[Change, ...], effects: Effects) -> dict[str, str]:
    """Groups that a worse finding is about: by name, else by a function of theirs, else all that change."""
    changed = [str(name) for name in dict.fromkeys(change.path[1] for change in changes)]
    found: dict[str, str] = {}
    for finding in effects.fresh:
        named = [subject.tag for subject in finding.subjects if isinstance(subject, GroupRef)]
        functions = {subject.path for subject in finding.subjects if isinstance(subject, FunctionRef)}
        about = [name for name in changed if GroupRef(name).tag in named] or [
            name for name in changed if functions & set(case.job.functions_of(case.job.groups[name]))
        ]
        for name in about or changed:
            found.setdefault(name, f"{finding.code}: {finding.says}")
    for chain in effects.worse if not found else ():
        of = [promise.to for promise in case.job.promises if chain.startswith(f"{promise.to}: ")]
        for name in [name for name in changed if name in of] or changed:
            found.setdefault(name, f"the promise '{chain}' would be worse")
    return found
