"""A shelf with some made-up jobs on it, on each of the two databases."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from farpress.firm.facts import read_text
from farpress.firm.shelf import Firm, start_firm
from farpress.record.persons import add_person
from make_jobs import Made, made_job


def put(firm: Firm, made: Made) -> None:
    """A made-up job with its record: persons of its entries become marks."""
    read = read_text(made.text)
    firm.shelf.add(read.name, read.text, read.fingerprint, read.facts, files={}, by=firm.who.mark)
    record = firm.shelf.record
    marks = {name: add_person(record, name, job=read.name, by=firm.who.mark).mark for name in made.people}
    entries = [
        act.model_copy(update={"person": marks[person]})
        if (person := getattr(act, "person", "")) in marks
        else act
        for act in made.entries
    ]
    record.append_all(entries, job=read.name, by=firm.who.mark)


@pytest.fixture
def stocked(record_address: str) -> Iterator[Firm]:
    """Six jobs, the fifth of them broken."""
    firm, _ = start_firm(record_address)
    for number in range(1, 7):
        put(firm, made_job(number, broken=number == 5))
    yield firm
    firm.close()


@pytest.fixture
def shelf_of(tmp_path: Path) -> Iterator[Callable[[int], Firm]]:
    """Makes a shelf in a file with so many jobs."""
    made: list[Firm] = []

    def make(count: int) -> Firm:
        firm, _ = start_firm(str(tmp_path / f"shelf{len(made)}.sqlite"))
        for number in range(1, count + 1):
            put(firm, made_job(number))
        made.append(firm)
        return firm

    yield make
    for firm in made:
        firm.close()
