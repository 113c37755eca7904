"""Cables as bodies: drawn ones and runs of the short form, each core from terminal to terminal."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import networkx
import pytest

from farpress.case.cable_bodies import CableBody
from farpress.case.cables import cables_of, links_of, runs
from farpress.case.case import Case
from farpress.case.door import open_job
from farpress.case.terminals_there import terminals_at
from farpress.case.wire_nets import nets_of
from helpers.drawn_case import drawn_case
from helpers.project import ROOT

EXAMPLES = [path.parent for path in sorted(ROOT.glob("examples/*/job.yaml"))]


def cores(body: CableBody) -> dict[str, str]:
    """Core → its ends, as "near — far, far"."""
    return {
        core.name: f"{' '.join(map(str, core.near))} — {', '.join(map(str, core.far))}" for core in body.cores
    }


def body(case: Case, label: str) -> CableBody:
    """The cable of a label."""
    return next(one for one in cables_of(case, "larkfen") if one.label == label)


def test_a_drawn_cable_joins_what_it_says() -> None:
    """The first terminal is the near end; a core may feed several things at the far end, or be spare."""
    drawn = body(
        drawn_case({"red": ["main.branch 2.+", "J4.1"], "black": ["main.0", "R2.0", "lock.0"], "pink": []}),
        "W7",
    )

    assert cores(drawn) == {"red": "main.branch 2.+ — J4.1", "black": "main.0 — R2.0, lock.0", "pink": " — "}
    assert [core.name for core in drawn.conductors] == ["red", "black"]
    assert (drawn.near, drawn.far, drawn.is_drawn) == ("main", "J4, R2, lock", True)


def test_runs_on_named_cores_between_the_same_two_things_are_one_cable() -> None:
    """Two commands to one drive on cores 1 to 4 of the same cable are one sheath with four cores in use."""
    case = with_outputs(
        ("gate.open", {"part": "eight", "length_m": 31.0, "cores": "1 and 2"}),
        ("gate.stop", {"part": "eight", "length_m": 31.0, "cores": "3, 4"}),
    )

    assert cores(body(case, "W1")) == {
        "1": "R1.1.make — gate.open",
        "2": "R1.1.common — gate.open common",
        "3": "R1.2.make — gate.stop",
        "4": "R1.2.common — gate.stop common",
    }
    assert [run.name for run in runs(case, "larkfen") if run.kind == "command"] == ["W1", "W1"]


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ({"cores": "1 and 2"}, {"cores": "1 and 2"}),  # the same cores: two cables
        ({"cores": "1 and 2"}, {}),  # not said which
        ({"cores": "1 and 2"}, {"cores": "3 and 4", "length_m": 30.0}),
        ({"cores": "1 and 2"}, {"cores": "3 and 4", "part": "seven"}),
        ({"label": "A", "cores": "1 and 2"}, {"label": "B", "cores": "3 and 4"}),
    ],
)
def test_what_need_not_be_one_cable_is_two(first: dict[str, Any], second: dict[str, Any]) -> None:
    """Nothing is put together that may as well lie side by side."""
    cable = {"part": "eight", "length_m": 31.0}
    case = with_outputs(("gate.open", cable | first), ("gate.stop", cable | second))

    assert len({run.name for run in runs(case, "larkfen") if run.kind == "command"}) == 2


def test_runs_of_one_label_are_one_cable() -> None:
    """Cores that nobody names are counted, behind those that somebody does."""
    cable = {"part": "eight", "length_m": 31.0, "label": "W1"}
    case = with_outputs(("gate.open", cable | {"cores": "red and 1"}), ("lock.release", cable))

    assert cores(body(case, "W1")) == {
        "red": "R1.1.make — gate.open",
        "1": "R1.1.common — gate.open common",
        "2": "R1.2.make — lock.+",
        "3": "main.0 — lock.0",
    }
    assert {one.label for one in cables_of(case, "larkfen")} == {"W1"}


def test_a_return_core_that_is_shared_all_the_way_is_one_core() -> None:
    """Two locks with one way back are three conductors."""
    cable = {"part": "three", "length_m": 20.0}
    case = with_outputs(
        ("lock.release", cable),
        ("other.release", cable | {"shares_return_with": "1"}),
        devices={"other": {"device": "strike", "supply": "dc", "inputs": {"release": {}}}},
    )

    assert cores(body(case, "W1")) == {
        "1": "R1.1.make — lock.+",
        "2": "main.0 — lock.0, other.0",
        "3": "R1.2.make — other.+",
    }


def test_a_return_core_that_is_shared_part_of_the_way_is_another_cable() -> None:
    """Where the guest leaves it, it goes on in a sheath of its own."""
    cable = {"part": "three", "length_m": 20.0}
    case = with_outputs(
        ("lock.release", cable),
        ("other.release", cable | {"shares_return_with": "1", "shared_m": 12.0}),
        devices={"other": {"device": "strike", "supply": "dc", "inputs": {"release": {}}}},
    )

    assert len(cables_of(case, "larkfen")) == 2


def test_a_lock_on_both_cores_of_its_receiver_has_no_core_of_its_own() -> None:
    """Its contact is at the far end, and a wire in the housing joins it."""
    cable = {"part": "eight", "length_m": 68.0, "cores": "1 and 2"}
    case = with_outputs(
        ("lock.release", cable | {"shares_return_with": "R1"}), fed={"from": "main", "cable": cable}
    )

    assert cores(body(case, "W1")) == {"1": "main.+ — R1.+", "2": "main.0 — R1.0"}
    assert {" ".join(map(str, link.terminals)) for link in links_of(case, "larkfen")} == {
        "R1.+ R1.1.common",
        "R1.1.make lock.+",
        "R1.0 lock.0",
    }


def test_a_short_form_may_lie_in_a_drawn_cable() -> None:
    """Its label is the cable's, and its cores are added to those that are drawn."""
    case = drawn_case(
        {"red": ["alarm.set", "J4.1"], "white": []},
        receivers={
            "R1": {
                "at": [0, 0],
                "supply": "dc",
                "relays": 2,
                "contact_form": "changeover",
                "outputs": {
                    "1": {
                        "kind": "pulse",
                        "for_s": 1.0,
                        "works": "gate.open",
                        "cable": {
                            "part": "eight",
                            "length_m": 41.0,
                            "label": "W7",
                            "cores": "white and blue",
                        },
                    }
                },
            }
        },
    )

    assert cores(body(case, "W7")) == {
        "red": "alarm.set — J4.1",
        "white": "R1.1.make — gate.open",
        "blue": "R1.1.common — gate.open common",
    }
    assert [run.name for run in runs(case, "larkfen")] == ["W7"]


def test_numbers_leave_out_labels_that_the_job_gives() -> None:
    """No two cables are called alike."""
    cable = {"part": "eight", "length_m": 31.0}
    case = with_outputs(("gate.open", cable | {"label": "W1"}), ("lock.release", cable))

    assert [one.label for one in cables_of(case, "larkfen")] == ["W1", "W2"]


def test_a_terminal_that_the_filled_sheet_does_not_have_is_told_and_the_rest_is_kept() -> None:
    """The catalogue knows what the file alone did not."""
    drawn = body(drawn_case({"red": ["R1.1.collector", "lock.+"], "blue": ["R1.0", "lock.0"]}), "W7")

    assert cores(drawn)["blue"] == "R1.0 — lock.0"
    assert [core.wrong[0][:60] for core in drawn.cores if core.wrong] == [
        "'R1.1.collector': R1, a receiver, has no terminal '1.collect"
    ]


@pytest.mark.parametrize("folder", EXAMPLES, ids=lambda folder: folder.name)
def test_every_core_of_the_examples_ends_at_terminals_that_are_there(folder: Path) -> None:
    """The short form names no terminal that the drawn form could not name too; every run has one cable."""
    case = open_job(folder)
    for premises in case.job.premises:
        known = terminals_at(case, premises)
        for one in cables_of(case, premises):
            for core in one.cores:
                for end in (*core.near, *core.far):
                    assert known.find(str(end)) == end, (one.label, core)
        for link in links_of(case, premises):
            assert [known.find(str(end)) for end in link.terminals] == list(link.terminals)
        labels = [one.label for one in cables_of(case, premises)]
        assert len(set(labels)) == len(labels)
        assert {run.name for run in runs(case, premises)} <= set(labels)


@pytest.mark.parametrize("folder", EXAMPLES, ids=lambda folder: folder.name)
def test_what_hangs_together_is_what_a_library_of_graphs_says(folder: Path) -> None:
    """Connected components, found independently by networkx."""
    case = open_job(folder)
    for premises in case.job.premises:
        graph = networkx.Graph()
        for one in cables_of(case, premises):
            for core in one.cores:
                networkx.add_star(graph, (*core.near, *core.far))
        for link in links_of(case, premises):
            networkx.add_star(graph, link.terminals)
        nets = nets_of(case, premises)
        for component in networkx.connected_components(graph):
            for terminal in component:
                assert nets.joined(terminal) == component


def with_outputs(*worked: tuple[str, dict[str, Any]], fed: Any = None, **rooms: Any) -> Case:
    """A job in the short form alone: outputs 1, 2 … of R1, each with what it works and its cable."""
    outputs = {
        str(number): {
            "kind": "pulse",
            "for_s": 1.0,
            "works": works,
            "cable": cable,
            **({} if works.startswith("gate") else {"load_from": "main"}),
        }
        for number, (works, cable) in enumerate(worked, start=1)
    }
    box = {
        "at": [0, 0],
        "supply": "dc",
        "relays": 2,
        "contact_form": "changeover",
        "outputs": outputs,
        "fed": fed,
    }
    return drawn_case(None, receivers={"R1": box}, **rooms)
