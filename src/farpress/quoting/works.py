"""Work that a job takes: what each part takes to fit, outputs to set, fobs to learn, trials, journeys."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal
from typing import TYPE_CHECKING

from farpress.case.case import Case
from farpress.case.driven import holders
from farpress.quoting.needed import NeededItem
from farpress.quoting.norms import JOURNEY, Norms
from farpress.quoting.things import outputs_of_group

if TYPE_CHECKING:
    from farpress.proving.tests import ProvingPlan

__all__ = ["journeys", "needed_work", "visit_of"]


def needed_work(case: Case, parts: Iterable[NeededItem], plan: ProvingPlan) -> Iterator[NeededItem]:
    """Tasks of a job, those that parts bring with them first.

    Args:
        case: the job.
        parts: what is fitted and laid.
        plan: trials; those of the installer are counted.
    """
    for part in parts:
        if part.task and part.task != "learn fob":
            yield NeededItem(
                part.task, part.amount, part.premises, part.place, part.serves, unit=part.unit, is_task=True
            )
    for output in case.outputs():
        place = f"{output.receiver}/{output.number}"
        yield NeededItem(
            "set output", Decimal(1), output.premises, place, frozenset([output.path]), is_task=True
        )
    for name, group in case.job.groups.items():
        serves = outputs_of_group(case, group)
        fobs = (holders(group) or 0) + group.spares
        for receiver in dict.fromkeys(path.rpartition("/")[0] for path in sorted(serves)):
            here = frozenset(path for path in serves if path.rpartition("/")[0] == receiver)
            premises, _, box = receiver.partition("/")
            if fobs:
                yield NeededItem("learn fob", Decimal(fobs), premises, f"{name} at {box}", here, is_task=True)
        if serves:
            premises = min(serves).partition("/")[0]
            yield NeededItem("show group", Decimal(1), premises, name, serves, is_task=True)
    for test in plan.tests:
        if test.who == "installer":
            yield NeededItem(
                "try", Decimal(1), test.premises, test.number, frozenset(test.outputs), is_task=True
            )
    yield NeededItem("write papers", Decimal(1), "", "the job", is_task=True)


def visit_of(needed: NeededItem, norms: Norms) -> int:
    """The visit on which something is done, or a part is wanted."""
    return norms.visit_of(needed.name if needed.is_task else needed.task)


def journeys(needed: Iterable[NeededItem], norms: Norms) -> Iterator[NeededItem]:
    """A journey for each premises and visit on which something is to be done there."""
    wanted = {(piece.premises, visit_of(piece, norms)) for piece in needed if piece.premises}
    for premises, visit in sorted(wanted):
        yield NeededItem(JOURNEY, Decimal(1), premises, f"visit {visit}", is_task=True)
