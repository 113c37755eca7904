"""A wire across a contact works what hangs on it for ever."""

from __future__ import annotations

import pytest

from farpress.domain.finding import Finding, Stake, Verdict
from farpress.judging.supply.bridged import judge
from helpers.drawn_case import drawn_case

CORES: dict[str, list[str]] = {"red": ["R1.1.make", "gate.open"], "blue": ["R1.1.common", "gate.open common"]}


def judged(links: list[list[str]]) -> list[Finding]:
    """A contact with a core at either side, and wires in the housing."""
    output = {"kind": "pulse", "for_s": 1.0, "works": "gate.open"}
    receiver = {"at": [0, 0], "contact_form": "changeover", "relays": 2, "outputs": {"1": output}}
    cable = {"W7": {"part": "eight", "length_m": 20.0, "cores": CORES}}
    return list(judge(drawn_case(cables=cable, links=links, receivers={"R1": receiver})))


@pytest.mark.parametrize(
    ("links", "verdict"),
    [
        ([], Verdict.HOLDS),
        ([["R1.1.common", "R1.1.make"]], Verdict.FAILS),
        ([["R1.1.common", "gate.open"]], Verdict.FAILS),
        ([["R1.1.common", "R1.1.break"]], Verdict.HOLDS),
    ],
)
def test_sup_18_a_wire_across_the_contact_that_is_wired(links: list[list[str]], verdict: Verdict) -> None:
    """In the housing or round by the device; the other side of a changeover contact matters to nobody."""
    (finding,) = judged(links)

    assert finding.verdict is verdict
    assert ("gate.open is worked for ever" in finding.says) is (verdict is Verdict.FAILS)
    assert finding.stake is Stake.HARM
