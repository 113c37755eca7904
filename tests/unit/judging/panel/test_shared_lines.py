"""What tenants share at one panel: a tamper line, and inputs that wait for each other."""

from __future__ import annotations

import math
from typing import Any

import pytest

from farpress.case.case import Case
from farpress.domain.finding import Verdict
from farpress.domain.premises import Output, Receiver
from farpress.judging.panel import shared_lines
from helpers.findings import finding_of
from helpers.logic_case import a_case

KEY: dict[str, Any] = {"kind": "pulse", "for_s": 1.0}


def shops(owners: tuple[str | None, str | None], lines: tuple[str, str]) -> Case:
    """Two receivers, each with the key input of an area of its own."""
    case = a_case(
        {"1": {**KEY, "works": "panel.flip"}},
        box={"tamper": f"panel.{lines[0]}"},
        mounted_panel={
            "areas": {
                "one": {"inputs": ("flip",), "organisation": owners[0]},
                "two": {"inputs": ("set",), "organisation": owners[1]},
            }
        },
    )
    case.job.premises["house"].receivers["R2"] = Receiver(
        at=(1.0, 0.0, 2.0), tamper=f"panel.{lines[1]}", outputs={"1": Output(**KEY, works="panel.set")}
    )
    return case


@pytest.mark.parametrize(
    ("owners", "lines", "found"),
    [
        (("Bakery", "Nails"), ("lids", "lids"), True),
        (("Bakery", "Nails"), ("lid1", "lid2"), False),
        (("Bakery", "Bakery"), ("lids", "lids"), False),
        (("Bakery", None), ("lids", "lids"), False),
    ],
)
def test_pan_61_a_line_of_several_tenants_does_not_say_whose(
    owners: tuple[str | None, str | None], lines: tuple[str, str], found: bool
) -> None:
    """One owner may have all his housings on one line; common practice, no source."""
    codes = {finding.code: finding.verdict for finding in shared_lines.judge(shops(owners, lines))}
    assert codes == ({"PAN-61": Verdict.THIN} if found else {})


def locked(count: int | None, lockout: float | None = 2.0) -> Case:
    """So many who press one panel within five minutes."""
    traffic = (
        () if count is None else ({"place": "here", "function": "f1", "arrivals": {"17:00-17:05": count}},)
    )
    return a_case({"1": {**KEY, "works": "panel.flip"}}, panel={"lockout_all_s": lockout}, traffic=traffic)


@pytest.mark.parametrize(
    ("count", "verdict"),
    [(1, Verdict.HOLDS), (2, Verdict.HOLDS), (3, Verdict.FAILS), (6, Verdict.FAILS), (None, Verdict.UNKNOWN)],
)
def test_pan_62_presses_that_fall_into_a_lock_out(count: int | None, verdict: Verdict) -> None:
    """Six within 300 s and 2 s each: 1 - exp(-5 x 2/300) is 3.3 % (Poisson arrivals, by hand)."""
    finding = finding_of(shared_lines.judge(locked(count)), "PAN-62")
    assert finding.verdict is verdict
    if count == 6:
        assert finding.value == pytest.approx(100 * (1 - math.exp(-10 / 300)))


def test_pan_62_a_panel_that_takes_all_commands_is_left_alone() -> None:
    """Nothing is said of a lock-out that nobody names."""
    assert not list(shared_lines.judge(locked(6, None)))
