"""The job's rules judged once: how things are built, and every press story searched, as one finding.

Where the search proves or breaks a rule, its verdict counts and its story is the why. Where it
is not finished, or something is missing, what can be seen from how things are built stands.
The search here keeps few states, so that judging stays quick; the number is fixed, so that
equal jobs are judged equally. `farpress rehearsal` looks further.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from farpress.case.case import Case
from farpress.core.rehearsal.search import search_all
from farpress.domain.finding import Finding, Verdict
from farpress.domain.refs import FunctionRef, PanelRef, refs_of
from farpress.judging.rules import built as rules
from farpress.judging.rules.ruling import LOOK_FURTHER, about_text
from farpress.rehearsal.rules import SEMANTICS, RuleResult, finding_of, rehearse
from farpress.sources import cited

__all__ = ["STATES", "STATES_ALL", "judge"]

STATES: Final = 8_000
"""States kept in one search while judging: our choice, some hundredths of a second in plain Python."""

STATES_ALL: Final = 150_000
"""States of all searches of one judgement; the rules after that are judged from how things are built. Our
choice, about a second."""

_SETTLED: Final = (Verdict.HOLDS, Verdict.THIN, Verdict.FAILS)


def judge(case: Case) -> Iterator[Finding]:
    """All findings about the job's rules, and about the acknowledgement of what fobs ask for."""
    results = (
        rehearse(
            case, budget=STATES, together=STATES_ALL, always=("acknowledgement", "acknowledgement of others")
        )
        if _is_worth_it(case)
        else []
    )
    searched = [one for one in results if one.searched and (one.verdict in _SETTLED or one.story is not None)]
    unfinished = {
        (one.number, one.about) for one in results if one.searched and not one.finished and one.story is None
    }
    told: set[int] = set()
    for finding in rules.judge(case):
        fitting = [one for one in searched if _is_about(one, finding)]
        told |= {id(one) for one in fitting}
        if fitting:
            yield _together(finding, min(fitting, key=lambda one: _GRAVEST.index(one.verdict)))
        elif finding.verdict is Verdict.HOLDS and any(
            finding.about == about_text(number, _never(case, number), about)
            for number, about in unfinished
            if number is not None
        ):
            yield replace(
                finding,
                because=(
                    f"{finding.because} Not every press story was tried here; 'farpress rehearsal' looks"
                    " further.".strip()
                ),
            )
        else:
            yield finding
    for one in searched:
        if id(one) not in told and one.code != "RULE-15":
            yield finding_of(one)


_GRAVEST: Final = (Verdict.FAILS, Verdict.UNKNOWN, Verdict.THIN, Verdict.HOLDS)


def _is_worth_it(case: Case) -> bool:
    return bool(case.job.rules) or any(
        box.inputs for house in case.job.premises.values() for box in house.receivers.values()
    )


def _never(case: Case, number: int) -> str:
    return case.job.rules[number - 1].never


def _is_about(result: RuleResult, finding: Finding) -> bool:
    """Whether a result of the search and a finding speak of the same rule and the same things."""
    if (
        result.number is None
        or finding.code != result.code
        or not finding.about.startswith(about_text(result.number, result.never, ""))
    ):
        return False
    if finding.about == about_text(result.number, result.never, result.about):
        return True
    if result.never in (
        "state out of step",
        "alarm despite unsetting",
    ):  # searched for a panel as a whole, seen from how it is built input by input
        return PanelRef(result.about) in finding.subjects
    if result.never == "unset and open by one press":
        functions = [ref.path for ref in refs_of(FunctionRef, finding.subjects)]
        return finding.verdict is not Verdict.HOLDS and set(functions) == set(result.functions)
    return False


def _together(seen: Finding, result: RuleResult) -> Finding:
    """One finding of both; the search decides the verdict, what is seen keeps its numbers and remedies where
    both agree.
    """
    sources = tuple(dict.fromkeys((*seen.sources, *cited(search_all), SEMANTICS)))
    if result.verdict is Verdict.UNKNOWN:  # it rests on something not known
        if seen.verdict is Verdict.UNKNOWN:
            return replace(
                seen,
                because=f"{seen.because.replace(LOOK_FURTHER, '').strip()} {result.says}".strip(),
                sources=sources,
            )
        return replace(
            seen,
            verdict=Verdict.UNKNOWN,
            says=result.says,
            because=" ".join(
                (result.because, *(ask for ask in result.asks if ask not in result.because))
            ).strip(),
            margin=None,
            sources=sources,
        )
    if result.verdict is Verdict.HOLDS:
        proof = f"Searched through every press story to the end, {result.states} states: none breaks it."
        if seen.verdict in (Verdict.HOLDS, Verdict.THIN):
            return replace(seen, because=f"{proof} {seen.because}".strip(), sources=sources)
        return replace(
            seen,
            verdict=Verdict.HOLDS,
            says=result.says,
            because=result.because,
            value=None,
            margin=None,
            remedies=(),
            sources=sources,
        )
    assert result.story is not None
    rest = (
        result.because.removeprefix("The shortest story found.")
        .removeprefix("A story found; there may be shorter ones.")
        .strip()
    )
    story = (
        f"{'A story, perhaps not the shortest' if result.because.startswith('A story found') else 'The shortest story'}:"  # noqa: E501
        f" {result.story.text}."
    )
    if (
        seen.verdict is Verdict.UNKNOWN and result.verdict is Verdict.THIN
    ):  # the story settles nothing that has to be asked
        return replace(seen, because=f"{story} {seen.because}".strip(), sources=sources)
    if seen.verdict in (Verdict.FAILS, Verdict.THIN):
        return replace(
            seen,
            verdict=_worse(seen.verdict, result.verdict),
            because=f"{story} {seen.because}".strip(),
            sources=sources,
        )
    return replace(
        seen,
        verdict=result.verdict,
        says=f"A press story breaks it: {result.story.ends}.",
        because=f"{story} {rest}".strip(),
        value=None,
        margin=None,
        sources=sources,
    )


def _worse(one: Verdict, other: Verdict) -> Verdict:
    return min(one, other, key=_GRAVEST.index)
