"""The figures of a variant, counted as a quotation counts: what the whole takes, less what it takes as it
stands.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Final

from farpress.case.case import Case
from farpress.design.result import DesignFigures
from farpress.domain.finding import Assessment, Verdict
from farpress.proving.plan import proving_plan
from farpress.quoting.laying import needed_laying
from farpress.quoting.needed import NeededItem
from farpress.quoting.norms import Norms
from farpress.quoting.pricing import PricedLine
from farpress.quoting.quotation import FirmLists, Quotation, quotation_of
from farpress.quoting.things import needed_things
from farpress.quoting.works import needed_work

__all__ = ["figures_of", "minutes_for"]

_NONE: Final = Decimal(0)
_NO_MONEY: Final = (None, "", ())


def figures_of(
    before: Case, after: Case, assessment: Assessment, lists: FirmLists, stands: Quotation | None = None
) -> DesignFigures:
    """Count what a variant takes and gives.

    Args:
        before: the job as it stands.
        after: the whole variant.
        assessment: of it.
        lists: of the firm, its norms as `farpress.design.norms.norms_with` fills them up.
        stands: the job as it stands, quoted by the same lists; None where no money is told.
    """
    norms = lists.norms
    had, has = _work(before), _work(after)
    came = {task: max(amount - had.get(task, _NONE), _NONE) for task, amount in has.items()}
    words = [finding.verdict for finding in assessment.findings]
    return DesignFigures(
        int(came.get("mount receiver", _NONE)),
        int(came.get("mount supply", _NONE)),
        int(came.get("fit relay", _NONE)),
        float(came.get("lay cable", _NONE) + came.get("lay coax", _NONE)),
        round(sum((amount * minutes_for(norms, task) for task, amount in came.items()), _NONE)),
        len(assessment.promises),
        sum(chain.verdict is not Verdict.FAILS for chain in assessment.promises),
        _worst(assessment),
        words.count(Verdict.FAILS),
        words.count(Verdict.THIN),
        words.count(Verdict.UNKNOWN),
        *(_money(stands, quotation_of(after, assessment, lists)) if stands is not None else _NO_MONEY),
        open=sum(chain.verdict is Verdict.UNKNOWN for chain in assessment.promises),
    )


def _money(before: Quotation, after: Quotation) -> tuple[Decimal | None, str, tuple[str, ...]]:
    """More to pay without tax, its currency, and what of it has no price; wishes count too."""
    had = {line.name: line.bought for line in _lines(before)}
    came = [line for line in _lines(after) if line.bought > had.get(line.name, _NONE)]
    bills = [after.bill, *(option.bill for option in after.options)]
    stood = [before.bill, *(option.bill for option in before.options)]
    nets = [bill.net for bill in bills if bill is not None]
    money = sum(nets, _NONE) - sum((bill.net for bill in stood if bill is not None), _NONE) if nets else None
    unpriced = dict.fromkeys(line.name for line in came if line.amount is None)
    return money, after.lists.terms.currency or after.lists.prices.currency, tuple(unpriced)


def _lines(quoted: Quotation) -> Iterator[PricedLine]:
    yield from quoted.lines
    for option in quoted.options:
        yield from option.lines


def minutes_for(norms: Norms, task: str) -> Decimal:
    """Minutes of one piece or metre of a task; none where the norms do not have it."""
    norm = norms.by_task.get(task)
    return norm.minutes if norm is not None else _NONE


def _work(case: Case) -> dict[str, Decimal]:
    """How much of each task a job takes."""
    total: dict[str, Decimal] = {}
    for needed in _tasks(case):
        total[needed.name] = total.get(needed.name, _NONE) + needed.amount
    return total


def _tasks(case: Case) -> Iterator[NeededItem]:
    every = [*needed_things(case), *needed_laying(case)]
    yield from (needed for needed in every if needed.is_task)
    parts = [needed for needed in every if not needed.is_task]
    yield from needed_work(case, parts, proving_plan(case))


def _worst(assessment: Assessment) -> tuple[str, float, float] | None:
    """The promise that uses up most of the failures it is allowed."""
    heard = [
        (
            (100.0 - finding.value) / max(100.0 - finding.limit, 1e-6),
            finding.about,
            finding.value / 100.0,
            finding.limit / 100.0,
        )
        for finding in assessment.findings
        if finding.code == "AIR-01" and finding.value is not None and finding.limit is not None
    ]
    return max(heard)[1:] if heard else None
