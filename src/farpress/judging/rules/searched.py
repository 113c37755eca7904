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

from farpress.case.areas import panel_path
from farpress.case.case import Case
from farpress.case.citations import GIVEN
from farpress.core.rehearsal.search import search_all
from farpress.domain.finding import Finding, Remedy, Verdict
from farpress.domain.refs import FunctionRef, OutputRef, PanelRef, RuleRef, refs_of
from farpress.judging.check import Answer
from farpress.judging.rules import built
from farpress.judging.rules.built import Ruled
from farpress.judging.rules.kinds import ACKNOWLEDGED, ALWAYS, CHECK_OF, NEVER_MATTERS
from farpress.judging.rules.ruling import Ruling, about_text
from farpress.rehearsal.rules import SEMANTICS, RuleResult, rehearse
from farpress.sources import cited

__all__ = ["STATES", "STATES_ALL", "finding_of", "judge"]

STATES: Final = 100_000
"""States kept in one search while judging: our choice, a tenth of a second."""

STATES_ALL: Final = 600_000
"""States of all searches of one judgement; the rules after that are judged from how things are built. Our
choice, about a second."""


def judge(case: Case) -> Iterator[Finding]:
    """All findings about the job's rules, and about the acknowledgement of what fobs ask for."""
    results = (
        rehearse(
            case, budget=STATES, together=STATES_ALL, always=("acknowledgement", "acknowledgement of others")
        )
        if _is_worth_it(case)
        else []
    )
    told = [
        result
        for result in results
        if result.is_empty
        or (result.searched and (result.verdict is not Verdict.UNKNOWN or result.story is not None))
    ]
    by_about = {(result.number, result.about): result for result in results}
    unfinished = {
        (result.number, result.about)
        for result in results
        if result.searched and not result.finished and result.story is None
    }
    joined: set[int] = set()
    for ruled in built.rulings(case):
        fitting = [result for result in told if _is_about(result, ruled)]
        joined |= {id(result) for result in fitting}
        if ruled.ruling.is_searched and (ruled.number, ruled.ruling.about) in by_about:
            yield built.finding_of(_searched(ruled, by_about[ruled.number, ruled.ruling.about]))
        elif fitting:
            gravest = max(fitting, key=lambda result: result.verdict.rank)
            yield built.finding_of(replace(ruled, ruling=_together(ruled, gravest)))
        elif (ruled.number, ruled.ruling.about) in unfinished and _word(ruled) is Verdict.HOLDS:
            because = f"{ruled.ruling.because} {NOT_TO_THE_END}".strip()
            yield built.finding_of(replace(ruled, ruling=replace(ruled.ruling, because=because)))
        else:
            yield built.finding_of(ruled)
    for result in told:
        if id(result) not in joined and result.code != NEVER_MATTERS.code:
            yield finding_of(result)


NOT_TO_THE_END: Final = "Not every press story was tried here; 'farpress rehearsal' looks further."


def _is_worth_it(case: Case) -> bool:
    return bool(case.job.rules) or any(
        box.inputs for house in case.job.premises.values() for box in house.receivers.values()
    )


def _word(ruled: Ruled) -> Verdict:
    return ruled.ruling.word(ruled.check)


def _is_about(result: RuleResult, ruled: Ruled) -> bool:
    """Whether a result of the search and a ruling speak of the same rule and the same things."""
    ruling = ruled.ruling
    if result.number != ruled.number or result.code != ruled.check.code:
        return False
    if result.about == ruling.about:
        return True
    if result.never in (
        "state out of step",
        "alarm despite unsetting",
    ):  # searched for a panel as a whole, seen from how it is built input by input
        panel, own = panel_path(result.about), {*refs_of(OutputRef, ruling.subjects)} & {*result.subjects}
        return PanelRef(panel) in ruling.subjects and (panel == result.about or bool(own))
    if result.never == "unset and open by one press":
        functions = {reference.path for reference in refs_of(FunctionRef, ruling.subjects)}
        return _word(ruled) is not Verdict.HOLDS and functions == set(result.functions)
    return False


def _together(ruled: Ruled, result: RuleResult) -> Ruling:
    """One ruling of both; the search decides the answer, what is seen keeps its numbers and remedies where
    both agree.
    """
    seen = replace(
        ruled.ruling,
        sources=tuple(dict.fromkeys((*ruled.ruling.sources, *cited(search_all), SEMANTICS))),
        is_told_elsewhere=False,
    )
    word = _word(ruled)
    if seen.is_said and word in (Verdict.FAILS, Verdict.UNKNOWN) and result.story is None:
        return seen
    if result.verdict is Verdict.UNKNOWN:
        return _unsettled(seen, word, result)
    if result.verdict is Verdict.HOLDS:
        if word in (Verdict.HOLDS, Verdict.THIN):
            proof = f"Searched through every press story to the end, {result.states} states: none breaks it."
            return replace(seen, because=f"{proof} {seen.because}".strip())
        return replace(
            seen,
            answer=Answer.YES,
            says=result.says,
            because=result.because,
            value=None,
            asks=(),
            remedies=(),
        )
    assert result.story is not None
    told = f"{_which(result)}: {result.story.text}."
    if word in (Verdict.FAILS, Verdict.THIN) or (
        word is Verdict.UNKNOWN and result.verdict is Verdict.THIN
    ):  # the story settles nothing that has to be asked
        is_worse = word is Verdict.THIN and result.verdict is Verdict.FAILS
        return replace(
            seen,
            answer=Answer.NO if is_worse else seen.answer,
            because=f"{told} {seen.because}".strip(),
            asks=seen.asks or ((seen.because,) if word is Verdict.UNKNOWN and seen.because else ()),
        )
    return replace(
        seen,
        answer=Answer.NO if result.verdict is Verdict.FAILS else Answer.BARELY,
        says=f"A press story breaks it: {result.story.ends}.",
        because=f"{told} {result.grounds}".strip(),
        value=None,
        asks=(),
    )


def _searched(ruled: Ruled, result: RuleResult) -> Ruled:
    """What the search says of a rule that nothing else settles; a signature is left to the finding."""
    accepted = f"Accepted: {ruled.rule.signed}."
    grounds = result.grounds or result.because
    is_signed = ruled.rule.signed is not None and grounds.endswith(accepted)
    told = f"{_which(result)}: {result.story.text}." if result.story is not None else ""
    because = (told, grounds.removesuffix(accepted).strip() if is_signed else grounds, ruled.ruling.because)
    ruling = replace(
        ruled.ruling,
        answer=Answer.NO if is_signed else _ANSWER_OF[result.verdict],
        says=f"A press story breaks it: {result.story.ends}." if result.story is not None else result.says,
        because=" ".join(part for part in because if part),
        asks=(result.asks or (grounds,)) if result.verdict is Verdict.UNKNOWN else (),
        remedies=() if result.verdict is Verdict.HOLDS else ruled.ruling.remedies,
        sources=(*cited(search_all), SEMANTICS),
    )
    return replace(ruled, ruling=ruling)


def _which(result: RuleResult) -> str:
    return "The shortest story" if result.is_shortest else "A story, perhaps not the shortest"


def _unsettled(seen: Ruling, word: Verdict, result: RuleResult) -> Ruling:
    """What the search says rests on something not known."""
    if word is Verdict.UNKNOWN:
        asks = seen.asks or ((seen.because,) if seen.because else ())
        return replace(seen, because=f"{seen.because} {result.says}".strip(), asks=asks or result.asks)
    why = result.grounds or result.because
    return replace(
        seen,
        answer=Answer.UNKNOWN,
        says=result.says,
        because=" ".join((why, *(ask for ask in result.asks if ask != why))).strip(),
        asks=result.asks or ((why,) if why else ()),
    )


def finding_of(result: RuleResult) -> Finding:
    """A result of the search on its own as a finding, for the tables and papers of all findings."""
    number = result.number
    check = next(check for check in (*CHECK_OF.values(), *_OF_NO_RULE) if check.code == result.code)
    reference = RuleRef(str(number) if number is not None else f"always {result.kind}")
    return check.decide(
        about=result.about if number is None else about_text(number, result.never, result.about),
        subjects=(*result.subjects, *(FunctionRef(name) for name in result.functions), reference),
        says=result.says,
        because=result.because,
        answer=_ANSWER_OF[result.verdict],
        asks=result.asks if result.verdict is Verdict.UNKNOWN else (),
        remedies=_REMEDIES.get(result.kind, ()),
        sources=(*(cited(search_all) if result.searched else ()), SEMANTICS, GIVEN),
    )


_OF_NO_RULE: Final = (ALWAYS, ACKNOWLEDGED, NEVER_MATTERS)

_REMEDIES: Final[dict[str, tuple[Remedy, ...]]] = {
    "acknowledgement": (
        Remedy("A lamp or a short sound at the panel's set output, which tells whenever it is set"),
        Remedy("Let the panel be set at once by the fob from outside, without an exit time"),
    ),
    "acknowledgement of others": (
        Remedy("A lamp at the panel's set output, which shows the state and not who changed it"),
    ),
}

_ANSWER_OF: Final = {
    Verdict.HOLDS: Answer.YES,
    Verdict.THIN: Answer.BARELY,
    Verdict.FAILS: Answer.NO,
    Verdict.UNKNOWN: Answer.UNKNOWN,
}
