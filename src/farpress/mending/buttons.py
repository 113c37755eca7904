"""A button plan tried before it is called best: applied to a copy of the job, judged and rehearsed there.

Groups for which the plan would make anything fail, could hurt somebody, or worsens a promise keep the buttons
they have; the plan is then made anew for the others, until nothing is worse than it is today.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from farpress.case.changed import tried_with
from farpress.core.keys.layout_problem import USUAL
from farpress.domain.finding import Assessment, Change, Finding
from farpress.domain.refs import FunctionRef, GroupRef
from farpress.judging.assess import assess
from farpress.judging.remedies.effects import Effects, effects_of, fault_key
from farpress.keys.layout import LayoutPlan, plan_layout
from farpress.keys.rights import buttons_of
from farpress.mending.structural.as_written import as_written

if TYPE_CHECKING:
    from farpress.case.case import Case

__all__ = ["TriedLayout", "further_fob", "layout_changes", "tried_layout"]

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
    case: Case,
    *,
    limit_s: float = 60.0,
    is_fresh: bool = False,
    progress: Callable[[str], None] | None = None,
) -> TriedLayout:
    """The best button plan under which nothing is worse than today.

    Args:
        case: a job that was read from a file.
        limit_s: time for each search [s].
        is_fresh: no fob is learned yet, so that none has to be learned again.
        progress: told what is being done; may raise to cancel.
    """
    kept: dict[str, str] = {}
    before: Assessment | None = None
    costs = USUAL._replace(relearn=0.0) if is_fresh else USUAL
    while True:
        if progress is not None:
            progress(f"plan, {len(kept)} groups as they are" if kept else "plan")
        plan = plan_layout(case, costs=costs, limit_s=limit_s, besides=kept)
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
        if name in plan.further:
            here = {function for functions in _flat(learned).values() for function in functions}
            laid = {number: _button(of) for number, of in sorted(learned.items())}
            found += further_fob(case, plan.further[name], name, laid, here)
        elif {key: set(value) for key, value in _flat(learned).items()} != {
            key: set(value) for key, value in buttons_of(case.job.groups[name]).items()
        }:
            buttons_now = {number: _button(of) for number, of in sorted(learned.items())}
            found.append(Change(("groups", name, "buttons"), buttons_now))
        if name in plan.exchanged:
            found.append(Change(("groups", name, "fob"), plan.layout.types[name]))
    return tuple(found)


def further_fob(
    case: Case, group: str, name: str, buttons: Mapping[str, object], functions: Collection[str]
) -> list[Change]:
    """A group of the same people with the fob they carry besides, and the promises that it keeps.

    Args:
        case: a job that was read from a file.
        group: whose people carry it.
        name: of the new group.
        buttons: what lies on the fob, as a job file says it.
        functions: the same, by their names.
    """
    written = as_written(case, "groups", group)
    if not isinstance(written, dict):
        return []
    entry = {key: kept for key, kept in written.items() if key != "uses"} | {"buttons": dict(buttons)}
    return [
        Change(("groups", name), entry),
        *(
            Change(("promises", number, "to"), name)
            for number, promise in enumerate(case.job.promises)
            if promise.to == group and promise.function in functions
        ),
    ]


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
    names = [str(change.path[1]) for change in changes if change.path[0] == "groups"]
    changed = list(dict.fromkeys(plan.further.get(name, name) for name in names))
    found: dict[str, str] = {}
    for finding in effects.fresh:
        named = [
            GroupRef(plan.further.get(subject.path, subject.path)).tag
            for subject in finding.subjects
            if isinstance(subject, GroupRef)
        ]
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
