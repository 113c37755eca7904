"""The examples laid bare and drawn up again: what held holds, and what is left two wishes contradict."""

from __future__ import annotations

import pytest

from farpress.case.case import Case
from farpress.case.changed import with_changes
from farpress.case.door import open_job
from farpress.design.anew import anew_from
from farpress.design.choosing import Variant
from farpress.design.design import design
from farpress.design.result import Design
from farpress.domain.finding import Assessment, Change, Verdict
from farpress.judging.assess import assess
from helpers.project import EXAMPLES

MOUNTS = {
    "cupboard": {"at": [17.5, 23.0, 1.8], "level": "ground", "mains": True},
    "garage": {"at": [27.0, 29.5, 2.0], "level": "ground"},
    "terrace": {"at": [9.0, 31.0, 2.2]},
    "gatepost": {"at": [11.5, 2.2, 1.6]},
}
"""Where somebody who knows the house would hang a box."""


def drawn_anew(case: Case) -> Design:
    """The job without receivers and supplies, and its cheapest design."""
    bare = anew_from(case, ["all"])
    (found,) = design(bare.case, variants=(Variant.CHEAPEST,), fixes=bare.fixes).variants
    return found


def held(assessment: Assessment) -> set[str]:
    """Promises that hold, be it only just."""
    return {chain.id for chain in assessment.promises if chain.verdict in (Verdict.HOLDS, Verdict.THIN)}


@pytest.mark.long
def test_the_house_is_drawn_again() -> None:
    """What held or was thin is still, none fails; only the rule about distance is left, named with a
    promise that asks for more.
    """
    stands = open_job(EXAMPLES / "larkfen-house")
    case = with_changes(stands, [Change(("premises", "larkfen", "mounts"), MOUNTS)])
    before = held(assess(case))
    found = drawn_anew(case)

    assert before - held(found.after) == set()
    assert [chain.id for chain in found.after.promises if chain.verdict is Verdict.FAILS] == []
    assert [finding.code for finding in found.left] == ["AIR-03"]
    assert [sentence.split(" (")[0] for sentence in found.contradictions] == ["Not both: rule 8"]
    assert "'parents: alarm from front path'" in found.contradictions[0]


@pytest.mark.slow
@pytest.mark.parametrize("name", ["tallowmere-court", "brindlemark"])
def test_another_example_is_drawn_again(name: str) -> None:
    """No promise that held or was thin fails in the design."""
    case = open_job(EXAMPLES / name)
    before = held(assess(case))
    found = drawn_anew(case)
    fails = {chain.id for chain in found.after.promises if chain.verdict is Verdict.FAILS}

    assert before & fails == set()
