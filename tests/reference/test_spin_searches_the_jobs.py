"""spin 6.5.2 (Debian) on Promela written from the models of small jobs, planted faults included.

spin is an independent program with its own semantics of steps and its own search. Held
against it: whether a rule can be broken at all, and how many steps the shortest story has
(events and ticks; spin counts from 0, so one is added). It runs without merging of
statements and without leaving out variables (`-o1 -o2 -o3`), breadth first.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from farpress.core.rehearsal.search import search_all
from helpers.rehearsal_jobs import JOBS, job_of, network_of
from helpers.spin import ask_spin


@pytest.mark.long
@pytest.mark.parametrize("name", JOBS)
def test_same_verdict_and_shortest_length(name: str, tmp_path: Path) -> None:
    """The rule is broken, or not, as planted, and in as many steps as spin needs."""
    network = network_of(job_of(name))

    said = ask_spin(network, tmp_path, counts=False)
    found = search_all(network)

    assert found.finished or found.stories
    assert (said.shortest is not None) is JOBS[name][2]
    assert said.shortest == (len(found.stories["broken"]) if found.stories else None)


@pytest.mark.long
@pytest.mark.parametrize(("name", "is_broken"), [("toggle off", True), ("long pulse lost", False)])
def test_same_where_supplies_fail_one_by_one(name: str, is_broken: bool, tmp_path: Path) -> None:
    """A toggled load starts as its own supply returns, a pulse only goes on: as spin finds it."""
    alone = {"1": {"kind": "toggle", "works": "lamp.on", "after_power_return": "off"}}
    network = network_of(job_of(name, **({"outputs": alone} if is_broken else {})), apart=True)

    said = ask_spin(network, tmp_path)
    found = search_all(network)

    assert (said.shortest is not None) is is_broken
    assert said.shortest == (len(found.stories["broken"]) if found.stories else None)
    assert is_broken or said.states == found.states


def test_there_are_enough_of_them() -> None:
    """At least thirty, a third of them with a planted fault, a third without."""
    broken = sum(is_broken for _, _, is_broken in JOBS.values())

    assert len(JOBS) >= 30
    assert 3 * broken >= len(JOBS)
    assert 3 * (len(JOBS) - broken) >= len(JOBS)
