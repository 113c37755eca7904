"""A mending plan in sentences: what to change in order of work, what each gives, what is left and why.

Terminal and desk show the same sentences; nothing is judged here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from farpress.domain.finding import Assessment, Change, Finding, Verdict
from farpress.judging.remedies.effects import fault_key
from farpress.mending.conflict import MendingConflict
from farpress.mending.result import Cured, MendingPlan, MendingStep
from farpress.overview.headlines import figures, headline
from farpress.overview.page import first_page
from farpress.phrases import listed, plural

__all__ = ["PlanTold", "StepTold", "cured_told", "hours_told", "left_told", "plan_told"]


_MOST_TRIED: Final = 2
"""So many changes that would do harm are told of one concern, the simplest first; our choice."""


@dataclass(frozen=True)
class StepTold:
    """One change.

    Attributes:
        does: in words, without a stop at its end.
        minutes: on site.
        where: the places of the job file it writes, the first two.
        gives: what it cures, with the figures before and after; then what the other changes would make worse
            without it.
        changes: the edits.
    """

    does: str
    minutes: int
    where: str
    gives: tuple[str, ...]
    changes: tuple[Change, ...]


@dataclass(frozen=True)
class PlanTold:
    """A plan.

    Attributes:
        fingerprint: of the job it was made for.
        head: how many changes, how long, how many promises failed and then fail.
        cut_short: a sentence where it was stopped before its end; else empty.
        steps: in the order of work.
        left: what no change mends: a line, then what stands in the way or a person could do.
        foot: what was tried, how far from the least that could do, and what is still unknown.
        takes: what is to be bought and what that costs, a sentence each.
    """

    fingerprint: str
    head: str
    cut_short: str
    steps: tuple[StepTold, ...]
    left: tuple[tuple[str, tuple[str, ...]], ...]
    foot: str
    takes: tuple[str, ...] = ()


def plan_told(plan: MendingPlan, takes: tuple[str, ...] = ()) -> PlanTold:
    """The plan in sentences.

    Args:
        plan: the plan.
        takes: what its parts are and cost, as `farpress.quoting.changed_parts` tells it.
    """
    failed, fails = _failing(plan.before), _failing(plan.after)
    unknown = sum(finding.verdict is Verdict.UNKNOWN for finding in plan.after.findings)
    return PlanTold(
        plan.before.fingerprint,
        f"{plan.before.job}: {plural(len(plan.steps), 'change')}, about {hours_told(plan.minutes)};"
        f" {plural(failed, 'promise')} failed, then {fails or 'none'}.",
        "Stopped before the end: the best found until then, and less may do." if plan.is_cut_short else "",
        tuple(_step(step) for step in plan.steps),
        tuple(left_told(plan)),
        f"{plural(plan.tried, 'copy', 'copies')} judged. {_gap(plan)}{plural(unknown, 'finding')} still"
        " unknown: ask or measure first, 'farpress assess' has the list. Mains side and alarm panels: only by"
        " those licensed for it.",
        takes,
    )


def _gap(plan: MendingPlan) -> str:
    """How far the plan is from the least that could do, as far as that is proven."""
    least = plan.least
    if least is None or not least.options:
        return ""
    among = f"of the {plural(least.options, 'change')} that help alone"
    if not least.is_proven:
        return f"Whether a set {among} is cheaper, is not proven. "
    over = plan.minutes - least.minutes
    if least.more_cured:
        return (
            f"Gap: a set {among} would have cured {plural(least.more_cured, 'fault')} more, but made"
            " together they do not; that no other set does is not proven. "
        )
    if over > 0:
        return (
            f"Gap: no set {among} that cures as much takes less than {hours_told(least.minutes)}, and this"
            f" plan takes {hours_told(over)} more, as what they do together is not what they do alone. "
        )
    return f"Gap: none; no set {among} that cures as much takes less time. "


def _step(step: MendingStep) -> StepTold:
    gives = [cured_told(cured) for cured in step.cures]
    for finding in step.averts:
        told = f"without it, then: {headline(finding.code)}: {finding.about}: {figures([finding])}"
        gives.append(told.rstrip(": "))
    where = listed(sorted(step.candidate.places)[:2])
    return StepTold(step.candidate.does, step.candidate.minutes, where, tuple(gives), step.candidate.changes)


def left_told(plan: MendingPlan) -> Iterator[tuple[str, tuple[str, ...]]]:
    """What no change mends: a line, then what stands in the way or a person could do."""
    for concern in first_page(plan.after).concerns:
        lines: list[str] = []
        for finding in concern.findings:
            lines += _by_hand(finding)
        lines += _tried(concern.findings, plan)
        for conflict in plan.conflicts:
            if any(conflict.finding is finding for finding in concern.findings):
                lines += _in_the_way(conflict)
        yield f"{listed(list(concern.names)[:4])}: {concern.told[0]}", tuple(dict.fromkeys(lines))


def _by_hand(finding: Finding) -> Iterator[str]:
    """What a person could do, as a sentence without figures."""
    for remedy in finding.remedies:
        if not remedy.changes:
            yield f"by hand: {remedy.does.rstrip('.')}."
            break


def _tried(findings: Sequence[Finding], plan: MendingPlan) -> Iterator[str]:
    """What was tried for faults of one cause and does harm, the simplest first."""
    names = {fault_key(finding) for finding in findings}
    harmful = [trial for trial in plan.harmful if names & trial.cured]
    for trial in sorted(harmful, key=lambda trial: len(trial.candidates[0].changes))[:_MOST_TRIED]:
        harm = [*(fresh.about for fresh in trial.fresh), *trial.worse]
        worse = listed(list(dict.fromkeys(harm))[:2])
        yield f"tried: {trial.candidates[0].does}; but then worse: {worse}."


def _in_the_way(conflict: MendingConflict) -> Iterator[str]:
    """Which wishes bar it together, and what giving up one of them would allow."""
    if conflict.between:
        yield f"in the way: {listed(list(conflict.between))}."
    if not conflict.between and not conflict.also:
        yield "in the way: no change that was tried cures it."
    for wish, does in conflict.gives:
        yield f"without {wish}: {does.rstrip('.')}."
    for told in conflict.also:
        yield f"{told}."


def cured_told(cured: Cured) -> str:
    """What stood, and what stands now."""
    before = f"{headline(cured.before.code)}: {cured.before.about}"
    was = figures([cured.before])
    if cured.after is None:
        return f"{before}: {was or 'failed'}; does not arise any more"
    now = figures([cured.after])
    if not now or now == was:
        return f"{before}: {cured.after.says.rstrip('.')}"
    return f"{before}: {was}; then {now}"


def _failing(assessment: Assessment) -> int:
    return sum(chain.verdict is Verdict.FAILS for chain in assessment.promises)


def hours_told(minutes: int) -> str:
    """Minutes of work, in hours where they are many."""
    return f"{minutes} min" if minutes < 90 else f"{minutes / 60:.1f} h"
