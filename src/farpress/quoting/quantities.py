"""What is offered, what is an option, what is not offered: every piece counted once, in one of the three."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from farpress.case.case import Case
from farpress.domain.finding import Assessment
from farpress.judging.standings import barred_outputs
from farpress.phrases import listed
from farpress.proving.plan import proving_plan
from farpress.quoting.excluded import NotCounted, excluded_sentences, not_counted
from farpress.quoting.laying import needed_laying
from farpress.quoting.needed import NeededItem, PartUnit, serves_only
from farpress.quoting.norms import Norms
from farpress.quoting.things import needed_things
from farpress.quoting.works import journeys, needed_work

__all__ = ["Quantities", "QuantityLine", "quantities_of"]


@dataclass(frozen=True)
class QuantityLine:
    """One part or one task, all its pieces together.

    Attributes:
        name: of the part or task.
        unit: what it is counted in.
        amount: of all pieces, without waste.
        says: what it is, in words.
        needed: the pieces.
        is_task: it is work, and no part.
    """

    name: str
    unit: PartUnit
    amount: Decimal
    says: str
    needed: tuple[NeededItem, ...]
    is_task: bool


@dataclass(frozen=True)
class Quantities:
    """Everything that a job takes.

    Attributes:
        offered: lines for what must be there.
        options: name of an option → its lines: what serves nothing but wishes.
        refused: path of an output that nobody may accept → why it is not offered.
        excluded: what others do, as sentences.
        open: what could not be counted, and what to find out.
    """

    offered: tuple[QuantityLine, ...]
    options: Mapping[str, tuple[QuantityLine, ...]] = field(default_factory=dict)
    refused: Mapping[str, str] = field(default_factory=dict)
    excluded: tuple[str, ...] = ()
    open: tuple[NotCounted, ...] = ()

    @property
    def parts(self) -> tuple[QuantityLine, ...]:
        """Of what is offered, the parts."""
        return tuple(line for line in self.offered if not line.is_task)

    @property
    def tasks(self) -> tuple[QuantityLine, ...]:
        """Of what is offered, the work."""
        return tuple(line for line in self.offered if line.is_task)


def quantities_of(case: Case, assessment: Assessment, norms: Norms | None = None) -> Quantities:
    """Count what a job takes.

    What serves nothing but barred outputs is not offered; what serves nothing but wishes is an option.

    Args:
        case: the job.
        assessment: its judgements.
        norms: on which visit which task is done; without them all is done on one visit.
    """
    norms = norms or Norms()
    barred = barred_outputs(case, assessment)
    wishes = _wishes(case) - barred.keys()
    plan = proving_plan(case)
    parts = [needed for needed in (*needed_things(case), *needed_laying(case)) if not needed.is_task]
    loose = [needed for needed in needed_laying(case) if needed.is_task]
    work = [*loose, *needed_work(case, parts, plan)]
    offered: list[NeededItem] = []
    options: dict[str, list[NeededItem]] = {}
    for needed in (*parts, *work):
        if serves_only(needed, barred):
            continue
        if serves_only(needed, wishes | barred.keys()):
            options.setdefault(_option_name(case, needed, wishes), []).append(needed)
        else:
            offered.append(needed)
    offered += journeys([needed for needed in offered if needed.is_task], norms)
    return Quantities(
        _lines(offered),
        {name: _lines(pieces) for name, pieces in options.items()},
        barred,
        excluded_sentences(case, plan),
        not_counted(case),
    )


def _wishes(case: Case) -> set[str]:
    """Outputs that only wishes are promised of: no promise that must be kept needs them."""
    asked: dict[str, set[str]] = {}
    for promise in case.job.promises:
        function = case.job.functions.get(promise.function)
        for path in function.paths if function is not None else ():
            asked.setdefault(path, set()).add(promise.importance)
    return {path for path, words in asked.items() if words == {"should"}}


def _option_name(case: Case, needed: NeededItem, wishes: Iterable[str]) -> str:
    functions = [
        name
        for name, function in case.job.functions.items()
        if needed.serves & set(wishes) & set(function.paths)
    ]
    return listed(functions)


def _lines(pieces: Iterable[NeededItem]) -> tuple[QuantityLine, ...]:
    together: dict[tuple[bool, str, PartUnit], list[NeededItem]] = {}
    for needed in pieces:
        together.setdefault((needed.is_task, needed.name, needed.unit), []).append(needed)
    return tuple(
        QuantityLine(
            name,
            unit,
            sum((needed.amount for needed in found), Decimal(0)),
            next((needed.says for needed in found if needed.says), ""),
            tuple(found),
            is_task,
        )
        for (is_task, name, unit), found in together.items()
    )
