"""Jobs of other kinds drawn up from bare wishes; and wishes that cannot be kept, told as such."""

from __future__ import annotations

from pathlib import Path

import pytest

from farpress.design.choosing import Variant
from farpress.design.design import design
from farpress.design.fixes import fixes_from
from farpress.design.result import Designs
from farpress.design.telling import designs_told
from farpress.domain.finding import Verdict
from helpers.wished_jobs import opened
from helpers.wished_kinds import FLATS, KENNEL, POOL, THEATRE

pytestmark = pytest.mark.long


def drawn(folder: Path, text: str, *fixes: str) -> Designs:
    """The cheapest design of a job."""
    case = opened(folder, text)
    return design(case, variants=(Variant.CHEAPEST,), fixes=fixes_from(case, fixes))


def test_a_kennel_with_two_doors_that_bar_each_other(tmp_path: Path) -> None:
    """The doors share a box and an interlock, the water has a supply of its own kind, and nobody gets a fob
    of more buttons than was wished.
    """
    (found,) = drawn(tmp_path / "kennel", KENNEL).variants
    (inner,), (outer,) = found.case.outputs_of("inner door"), found.case.outputs_of("outer door")
    (wash,) = found.case.outputs_of("wash")
    groups = found.case.job.groups

    assert inner.receiver_path == outer.receiver_path
    assert (inner.output.interlock, outer.output.interlock) == (outer.number, inner.number)
    assert found.case.equipment.supplies[f"kennel/{wash.output.load_from}"].sheet.supply == "ac"
    assert (groups["night keeper"].fob, set(groups["night keeper"].buttons)) == ("fob-2", {"1"})
    assert not any(finding.code in ("FOB-05", "FOB-07", "OUT-06", "RULE-01") for finding in found.left)


def test_a_pool_whose_cover_is_wished_from_where_a_rule_forbids_it(tmp_path: Path) -> None:
    """The conflict is one sentence with both lines; everything else is drawn and judged."""
    designs = drawn(tmp_path / "pool", POOL)
    (found,) = designs.variants
    (told,) = found.contradictions
    lines = POOL.splitlines()
    rule = next(n for n, line in enumerate(lines, start=1) if "nobody shuts the cover unseen" in line)
    promise = next(n for n, line in enumerate(lines, start=1) if "shuts, from: changing room" in line)

    assert told.startswith("Not both: rule 2")
    assert f"line {rule})" in told
    assert f"(line {promise})" in told
    assert {output.output.kind for output in found.case.outputs_of("cover shuts")} == {"follow"}


def test_a_theatre_with_lights_on_two_buttons(tmp_path: Path) -> None:
    """House lights latch, screen and curtain follow the button; a call by radio is left to people."""
    designs = drawn(tmp_path / "theatre", THEATRE, "theatre.battery=none")
    (found,) = designs.variants
    kinds = {
        name: {output.output.kind for output in found.case.outputs_of(name)}
        for name in found.case.job.functions
    }

    assert kinds["house lights on"] == kinds["house lights off"] == {"latch"}
    assert kinds["curtain opens"] == kinds["screen down"] == {"follow"}
    assert found.case.job.promises == designs.case.job.promises
    assert any(finding.code == "SAFE-05" for finding in found.left)


def test_a_place_too_far_away_is_told_with_the_best_that_there_is(tmp_path: Path) -> None:
    """A kilometre off nothing is heard: so it is said, that promise fails, and all others are drawn."""
    designs = drawn(tmp_path / "flats", FLATS)
    (found,) = designs.variants
    far = [wish for wish in designs.unheard if wish[0] == "caretaker: barrier from hill"]
    failing = {chain.id for chain in found.after.promises if chain.verdict is Verdict.FAILS}

    assert len(far) == 1
    assert far[0][1] < 0.01
    assert any(name.startswith("caretaker: barrier from hill") for name in failing)
    assert any("heard nowhere as surely as promised" in ask for ask in designs_told(designs).asks)
    assert all(found.case.outputs_of(name) for name in found.case.job.functions)
