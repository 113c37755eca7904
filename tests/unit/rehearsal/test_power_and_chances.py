"""The table of a power cut and the chances, read off the model."""

from __future__ import annotations

import pytest

from farpress.case.case import Case
from farpress.case.door import open_job
from farpress.core.rehearsal.barrier import share_another_press
from farpress.core.rehearsal.parity import share_out_of_step
from farpress.rehearsal.chances import chances_of
from farpress.rehearsal.power import power_cut_table
from helpers.logic_case import a_case
from survey import ROOT


def test_the_table_of_a_power_cut_reads_the_states_off_the_model() -> None:
    """Resumed, lost, forgotten or not, held."""
    case = a_case(
        {
            "1": {"kind": "pulse", "for_s": 20.0, "works": "valve.on", "after_power_return": "as before"},
            "2": {"kind": "pulse", "for_s": 0.5, "works": "gate.open"},
            "3": {"kind": "toggle", "works": "lamp.on", "after_power_return": "unknown"},
            "4": {"kind": "follow", "works": "shutter.up"},
        }
    )

    rows = {row.path: row for row in power_cut_table(case)}

    assert (rows["house/R1/1"].during, rows["house/R1/1"].after, rows["house/R1/1"].comes_on) == (
        "off",
        "on",
        True,
    )
    assert (rows["house/R1/2"].before, rows["house/R1/2"].after) == ("on", "off")
    assert (rows["house/R1/3"].after, rows["house/R1/3"].comes_on) == ("on or off", True)
    assert "three times" in rows["house/R1/3"].asks
    assert rows["house/valve"].after == "on"
    assert (rows["house/gate"].before, rows["house/gate"].during) == ("opening", "still, partly open")
    assert rows["house/shutter"].after == "still"


@pytest.mark.long
def test_the_chances_of_the_examples(example: Case) -> None:
    """Shares are shares; the formulas agree with the chains."""
    for one in chances_of(example):
        assert one.share is None or 0.0 <= one.share <= 1.0


@pytest.mark.long
def test_the_barrier_at_eight_in_the_morning() -> None:
    """180 arrivals in a quarter of an hour, 2.2 s of travel: 1 - exp(-0.2 x 2.2) within one tick's worth."""
    found = next(
        one
        for one in chances_of(open_job(ROOT / "examples" / "tallowmere-court"))
        if "somebody else's press" in one.says
    )

    assert found.share == pytest.approx(share_another_press(rate_per_s=0.2, within_s=2.2), abs=1e-9)


def test_out_of_step_by_the_chain_is_the_closed_form(house: Case) -> None:
    """(1 - (2p - 1)^20) / 2 with the heard share in the text."""
    found = next(one for one in chances_of(house) if "believes" in one.says)
    heard = float(found.because.split("heard in ")[1].split("%")[0]) / 100

    assert found.share == pytest.approx(share_out_of_step(presses=20, heard_share=heard), abs=0.01)
