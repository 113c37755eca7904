"""The same of values that stand in the job itself and in no part: standby, presses of a day, a pace."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TypeVar

from farpress.case.doubted import Doubted
from farpress.domain.believable import OF_THE_JOB
from farpress.domain.job import Job
from farpress.domain.premises import Premises
from farpress.domain.quantity import Model, key_in_file
from farpress.sources import Citation, Mark

__all__ = ["job_without_unbelievable"]

_T = TypeVar("_T", bound=Model)

Where = Callable[[Sequence[str | int]], str]


def job_without_unbelievable(job: Job, where: Where) -> tuple[Job, tuple[Doubted, ...]]:
    """The job with every unbelievable value of its own taken out, and those values.

    Args:
        job: as it stands in the file.
        where: path of keys in the job file → a place in words, as "line 31".
    """
    doubted: list[Doubted] = []
    houses = {}
    for place, house in job.premises.items():
        kept = _of_house(place, house, where, doubted)
        if kept:
            houses[place] = house.model_copy(update=kept)
    groups = _kept("groups", job.groups, "", ("groups",), where, doubted)
    update: dict[str, object] = {"groups": groups} if groups is not None else {}
    if houses:
        update["premises"] = {**job.premises, **houses}
    return (job.model_copy(update=update) if update else job), tuple(doubted)


def _of_house(place: str, house: Premises, where: Where, doubted: list[Doubted]) -> dict[str, object]:
    """The tables of one address that hold something unbelievable, without it."""
    changed: dict[str, object] = {}
    for table, entries in (("supplies", house.supplies), ("interference", house.interference)):
        kept = _kept(table, entries, f"{place}/", ("premises", place, table), where, doubted)
        if kept is not None:
            changed[table] = kept
    boxes = {}
    for name, box in house.receivers.items():
        path = ("premises", place, "receivers", name, "outputs")
        outputs = _kept("outputs", box.outputs, f"{place}/{name}/", path, where, doubted)
        if outputs is not None:
            boxes[name] = box.model_copy(update={"outputs": outputs})
    if boxes:
        changed["receivers"] = {**house.receivers, **boxes}
    return changed


def _kept(
    table: str,
    entries: Mapping[str, _T],
    within: str,
    path: tuple[str, ...],
    where: Where,
    doubted: list[Doubted],
) -> dict[str, _T] | None:
    """The entries without what is not believed; None where all of it is."""
    begun = len(doubted)
    kept = {}
    for name, entry in entries.items():
        absurd = {
            field: band
            for field, band in OF_THE_JOB[table].items()
            if (value := getattr(entry, field)) is not None and value != 0.0 and not band.holds(value)
        }
        for field, band in absurd.items():
            key = type(entry).model_fields[field].alias or key_in_file(field)
            source = Citation("job.yaml", place=where((*path, name, key)), mark=Mark.GIVEN)
            doubted.append(Doubted(table, f"{within}{name}", key, getattr(entry, field), band, (source,)))
        kept[name] = entry.model_copy(update=dict.fromkeys(absurd)) if absurd else entry
    return kept if len(doubted) > begun else None
