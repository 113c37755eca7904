"""A mending plan in a terminal: what to change in order of work, what each gives, what is left."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from farpress.cli.text import to_ascii, wrapped
from farpress.domain.finding import Verdict
from farpress.judging.remedies.effects import fault_key
from farpress.overview.headlines import figures, headline
from farpress.overview.page import first_page
from farpress.phrases import listed, plural

if TYPE_CHECKING:
    from farpress.domain.finding import Assessment, Finding
    from farpress.mending.conflict import MendingConflict
    from farpress.mending.result import Cured, MendingPlan, MendingStep

__all__ = ["mending_text"]


def mending_text(plan: MendingPlan, *, width: int = 80, plain: bool = False) -> str:
    """The plan as lines, without an end of line after the last."""
    lines = list(_lines(plan, max(width, 60)))
    return "\n".join(to_ascii(line) if plain else line for line in lines)


def _lines(plan: MendingPlan, width: int) -> Iterator[str]:
    failed, fails = _failing(plan.before), _failing(plan.after)
    yield from wrapped(
        f"{plan.before.job}: {plural(len(plan.steps), 'change')}, about {_hours(plan.minutes)};"
        f" {plural(failed, 'promise')} failed, then {fails or 'none'}.",
        width,
    )
    if plan.is_cut_short:
        yield from wrapped("Stopped before the end: the best found until then, and less may do.", width)
    if plan.steps:
        yield ""
        yield "CHANGE, in order of work; each was tried on a copy, and all of them together"
    for number, step in enumerate(plan.steps, start=1):
        yield from _step(number, step, width)
    left = first_page(plan.after).concerns
    if left:
        yield ""
        yield "LEFT FOR A PERSON: no change that was offered mends it without harm elsewhere"
    for concern in left:
        names = listed(list(concern.names)[:4])
        yield from wrapped(f"{names}: {concern.told[0]}", width, "  - ", "    ")
        for finding in concern.findings:
            yield from _by_hand(finding, plan, width)
        for conflict in plan.conflicts:
            if any(conflict.finding is finding for finding in concern.findings):
                yield from _in_the_way(conflict, width)
    unknown = sum(finding.verdict is Verdict.UNKNOWN for finding in plan.after.findings)
    yield ""
    yield from wrapped(
        f"{plural(plan.tried, 'copy', 'copies')} judged. {plural(unknown, 'finding')} still unknown: ask or"
        " measure first, 'farpress assess' has the list. Mains side and alarm panels: only by those licensed"
        " for it.",
        width,
    )


def _step(number: int, step: MendingStep, width: int) -> Iterator[str]:
    where = listed(sorted(step.candidate.places)[:2])
    yield from wrapped(f"{step.candidate.does} ({step.candidate.minutes} min)", width, f"{number:2} ", "   ")
    yield from wrapped(f"at {where}", width, "   ", "   ")
    for cured in step.cures:
        yield from wrapped(_cured(cured), width, "   - ", "     ")
    for finding in step.averts:
        told = f"without it, then: {headline(finding.code)}: {finding.about}: {figures([finding])}"
        yield from wrapped(told.rstrip(": "), width, "   - ", "     ")


def _by_hand(finding: Finding, plan: MendingPlan, width: int) -> Iterator[str]:
    """What a person could do, as a sentence without figures; and what was tried and does harm."""
    for remedy in finding.remedies:
        if not remedy.changes:
            yield from wrapped(f"by hand: {remedy.does.rstrip('.')}.", width, "    ", "      ")
            break
    for trial in plan.harmful:
        if fault_key(finding) in trial.cured:
            harm = [*(fresh.about for fresh in trial.fresh), *trial.worse]
            worse = listed(list(dict.fromkeys(harm))[:2])
            says = f"tried: {trial.candidates[0].does}; but then worse: {worse}."
            yield from wrapped(says, width, "    ", "      ")


def _in_the_way(conflict: MendingConflict, width: int) -> Iterator[str]:
    """Which wishes bar it together, and what giving up one of them would allow."""
    if conflict.between:
        yield from wrapped(f"in the way: {listed(list(conflict.between))}.", width, "    ", "      ")
    if not conflict.between and not conflict.also:
        yield from wrapped("in the way: no change that was tried cures it.", width, "    ", "      ")
    for wish, does in conflict.gives:
        yield from wrapped(f"without {wish}: {does.rstrip('.')}.", width, "    ", "      ")
    for told in conflict.also:
        yield from wrapped(f"{told}.", width, "    ", "      ")


def _cured(cured: Cured) -> str:
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


def _hours(minutes: int) -> str:
    return f"{minutes} min" if minutes < 90 else f"{minutes / 60:.1f} h"
