"""Zones with several contacts, as drawn and as found, at the ends of the panel's bands and at their edges."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from farpress.core.wiring.zones import ZoneChain, leak_for_ohm, zone_ohm
from farpress.domain.finding import Finding, Verdict
from farpress.domain.refs import ZoneRef
from farpress.judging.panel.zones import judge
from helpers.findings import finding_of
from helpers.wired_case import wired_case

HOLDS, THIN, UNKNOWN, FAILS = Verdict.HOLDS, Verdict.THIN, Verdict.UNKNOWN, Verdict.FAILS
BANDS = [
    {"reads": "short", "to_ohm": 500.0},
    {"reads": "normal", "from_ohm": 1000.0, "to_ohm": 2200.0},
    {"reads": "alarm", "from_ohm": 3800.0, "to_ohm": 9000.0},
    {"reads": "open", "from_ohm": 12_000.0},
]
LOOP: dict[str, Any] = {
    "scheme": "double end-of-line",
    "normal_ohm": 1500.0,
    "alarm_ohm": 3300.0,
    "tolerance_share": 0.0,
    "bands": BANDS,
}
CABLE = {"part": "alarm-6x0.22", "length_m": 145.0}
CABLE_OHM = 27.84
"""2 x 145 m x 96 ohm/km."""


def judged(*, loop: dict[str, Any] | None = None, **zone: Any) -> list[Finding]:
    """One zone of 25 doors at the end of 145 m."""
    told = {"contacts": 25, "each_resistor": True, "cable": CABLE, "resistor": "far end", **zone}
    return list(
        judge(wired_case({"panels": {"alarm": {"zone_loop": LOOP | (loop or {}), "zones": {"3": told}}}}))
    )


def solved_ohm(branches: list[tuple[int, int, float]]) -> float:
    """Resistance between node 0 and the last one, by the admittance matrix: 1 A in, volts out."""
    nodes = max(max(a, b) for a, b, _ in branches)
    matrix = np.zeros((nodes + 1, nodes + 1))
    for a, b, ohm in branches:
        matrix[np.ix_([a, b], [a, b])] += np.array([[1, -1], [-1, 1]]) / ohm
    current = np.zeros(nodes)
    current[-1] = 1.0
    return float(np.linalg.solve(matrix[1:, 1:], current)[-1])


@pytest.mark.parametrize("opened", [0, 1, 2, 3, 4, 25])
@pytest.mark.parametrize("each", [True, False])
@pytest.mark.parametrize("leak_ohm", [math.inf, 6800.0])
def test_a_chain_of_doors_is_what_its_circuit_solved_says(opened: int, each: bool, leak_ohm: float) -> None:
    """Node by node: cable, contacts of 0.15 ohm with their resistors, end resistor, leak at the far end."""
    chain = ZoneChain(1500.0, 3300.0, contacts=25, contact_ohm=0.15, each=each, leak_ohm=leak_ohm)
    branches, node = [(0, 1, 1500.0)], 1
    if each:
        for door in range(25):
            branches.append((node, node + 1, 3300.0))
            branches += [(node, node + 1, 0.15)] if door >= opened else []
            node += 1
    else:
        branches.append((node, node + 1, 3300.0))
        branches += [(node, node + 1, 25 * 0.15)] if not opened else []
        node += 1
    if math.isfinite(leak_ohm):
        branches.append((0, node, leak_ohm))
    branches.append((node, node + 1, CABLE_OHM))

    assert zone_ohm(chain=chain, worked=opened, loop_ohm=CABLE_OHM) == pytest.approx(
        solved_ohm(branches), rel=1e-6
    )


def test_a_reading_tells_what_lies_between_the_cores() -> None:
    """There and back; a reading above what is drawn is no leak."""
    seen = zone_ohm(chain=ZoneChain(1500.0, 3300.0, leak_ohm=6800.0), worked=0, loop_ohm=CABLE_OHM)

    assert leak_for_ohm(far_ohm=1500.0, loop_ohm=CABLE_OHM, read_ohm=seen) == pytest.approx(6800.0)
    assert leak_for_ohm(far_ohm=1500.0, loop_ohm=CABLE_OHM, read_ohm=1600.0) is None


def test_pan_21_three_doors_are_a_fault_and_four_an_open_line() -> None:
    """1.5 kohm + n x 3.3 kohm + 27.8 ohm: the third door leaves the alarm; one resistor mends it."""
    finding = finding_of(judged(), "PAN-21")

    assert finding.verdict is FAILS
    assert finding.value == pytest.approx(1500.0 + 3 * 3300.0 + CABLE_OHM)
    assert "3 open 11.43 kohm (no state: a fault); 4 open 14.73 kohm (tamper)" in finding.says
    assert "One resistor across the whole chain" in finding.remedies[0].does
    assert finding_of(judged(each_resistor=False), "PAN-21").verdict is HOLDS


def test_pan_21_a_second_cord_takes_the_alarm_away() -> None:
    """5.6 kohm beside 2.2 kohm are 1579.5 ohm, beside two of them 919.4: between the bands."""
    bands = [
        {"reads": "short", "to_ohm": 400.0},
        {"reads": "alarm", "from_ohm": 1200.0, "to_ohm": 2200.0},
        {"reads": "normal", "from_ohm": 4500.0, "to_ohm": 6800.0},
        {"reads": "open", "from_ohm": 12000.0},
    ]
    loop = {"scheme": "two-resistor", "normal_ohm": 5600.0, "alarm_ohm": 2200.0, "bands": bands}
    many, one = (judged(loop=loop, contacts=count, each_resistor=None) for count in (10, 1))

    finding = finding_of(many, "PAN-21")
    assert finding.verdict is FAILS
    assert finding.value == pytest.approx(1 / (1 / 5600.0 + 2 / 2200.0))
    assert "1 closed 1.607 kohm (alarm); 2 closed 947.2 ohm (no state: a fault)" in finding.says
    assert "An input for each contact" in finding.remedies[0].does
    assert finding_of(one, "PAN-21").verdict is HOLDS


@pytest.mark.parametrize(
    ("alarm_ohm", "verdict"),
    [
        (2299.0, FAILS),
        (2301.0, THIN),
        (2356.9, THIN),
        (2357.1, HOLDS),
        (7473.0, FAILS),
        (7333.0, HOLDS),
        (7340.0, THIN),
    ],
)
def test_pan_21_ends_of_the_band_and_their_edge(alarm_ohm: float, verdict: Verdict) -> None:
    """1500 + x from 3800 to 9000 ohm, the cable up to 27.84 ohm of it; thin within 1.5 % of an end."""
    finding = finding_of(judged(loop={"alarm_ohm": alarm_ohm}, contacts=1), "PAN-21")

    assert finding.verdict is verdict


@pytest.mark.parametrize(("share", "verdict"), [(0.01, HOLDS), (0.2, THIN), (0.34, FAILS)])
def test_pan_21_resistors_count_at_their_worst(share: float, verdict: Verdict) -> None:
    """4800 ohm less 20 % are 3840, less 34 % 3168: the alarm begins at 3800."""
    found = judged(loop={"tolerance_share": share}, each_resistor=False)

    assert finding_of(found, "PAN-21").verdict is verdict


@pytest.mark.parametrize(
    "missing",
    [
        {"cable": None, "each_resistor": False},
        {"each_resistor": None},
        {"loop": {"normal_ohm": None}},
        {"loop": {"bands": None}},
        {"loop": {"tolerance_share": None}, "each_resistor": False},
    ],
)
def test_pan_21_what_is_not_known_is_asked(missing: dict[str, Any]) -> None:
    """Nothing left out makes it well."""
    finding = finding_of(judged(**missing), "PAN-21")

    assert finding.verdict is UNKNOWN
    assert len(finding.asks) == 1


def test_pan_21_what_no_cable_can_mend_fails_without_knowing_it() -> None:
    """Three doors in series with a resistor each are 11.4 kohm: no state of the panel, with any cable."""
    finding = finding_of(judged(cable=None), "PAN-21")

    assert finding.verdict is FAILS
    assert finding.cause == ZoneRef("larkfen/alarm/3")
    assert "not known and counts for nothing" in finding.because


@pytest.mark.parametrize(("ohm", "verdict"), [(2300.0, UNKNOWN), (2299.0, FAILS)])
def test_pan_21_what_would_hold_without_its_cable_is_asked(ohm: float, verdict: Verdict) -> None:
    """1500 + 2300 ohm are 3800, where the alarm begins; what the cable adds is not known."""
    finding = finding_of(judged(cable=None, contacts=1, loop={"alarm_ohm": ohm}), "PAN-21")

    assert finding.verdict is verdict


def test_pan_23_swapped_resistors_are_told_without_the_cable() -> None:
    """At rest 3.3 kohm are no normal state, with whatever cable."""
    finding = finding_of(judged(cable=None, each_resistor=False, found={"swapped": True}), "PAN-23")

    assert finding.verdict is FAILS
    assert finding.value == pytest.approx(3300.0)
    assert finding.remedies[0].does == "Let the two resistors change places, and measure again"


@pytest.mark.parametrize(
    ("resistor", "verdict"), [("far end", HOLDS), ("panel", FAILS), ("between", UNKNOWN), (None, UNKNOWN)]
)
def test_pan_22_a_cable_is_watched_up_to_its_resistor(resistor: str | None, verdict: Verdict) -> None:
    """In the panel nothing of it is; a wire across the cable still reads normal."""
    finding = finding_of(judged(resistor=resistor), "PAN-22")

    assert finding.verdict is verdict
    assert ("still shows 1.5 kohm (normal)" in finding.says) == (resistor == "panel")


@pytest.mark.parametrize(
    ("behind_m", "verdict", "says"),
    [
        (0.0, HOLDS, "no cable"),
        (0.5, FAILS, "0.5 m of"),
        (12.0, FAILS, "12 m of"),
        (None, UNKNOWN, "not said"),
    ],
)
def test_pan_22_a_resistor_on_the_way_watches_no_cable_behind_it(
    behind_m: float | None, verdict: Verdict, says: str
) -> None:
    """How much lies behind it is asked; any of it can be bridged unseen."""
    finding = finding_of(judged(resistor="between", unwatched_m=behind_m), "PAN-22")

    assert finding.verdict is verdict
    assert says in finding.says
    assert bool(finding.asks) is (verdict is UNKNOWN)


@pytest.mark.parametrize(
    ("found", "verdict", "value"),
    [
        ({"leak_ohm": 6800.0}, FAILS, 4800.0 * 6800.0 / 11_600.0),
        ({"swapped": True}, FAILS, 3300.0 + CABLE_OHM),
        ({"bridged": True}, FAILS, 1500.0),
        ({"missing": "normal"}, FAILS, 0.0),
        ({"missing": "alarm"}, HOLDS, None),
        ({"leak_ohm": 150_000.0}, HOLDS, None),
        ({"read_ohm": 1256.756}, FAILS, 4800.0 * 6800.0 / 11_600.0),
        ({"read_ohm": 1520.0}, HOLDS, None),
        ({"read_ohm": 3328.0}, FAILS, None),
        ({}, UNKNOWN, None),
    ],
)
def test_pan_23_what_is_found_is_told_as_the_panel_reads_it(
    found: dict[str, Any], verdict: Verdict, value: float | None
) -> None:
    """By hand, with the cable at nothing or at 27.84 ohm, whichever is worse for the state."""
    finding = finding_of(judged(found=found, each_resistor=False), "PAN-23")

    assert finding.verdict is verdict
    if value is not None:
        assert finding.value == pytest.approx(value, abs=28.0)


@pytest.mark.parametrize(
    ("leak_ohm", "verdict"), [(18_200.0, FAILS), (18_300.0, THIN), (19_600.0, THIN), (19_700.0, HOLDS)]
)
def test_pan_23_a_leak_hides_the_alarm_before_it_upsets_the_rest(leak_ohm: float, verdict: Verdict) -> None:
    """4800 ohm in parallel are 3800 at 18 240 ohm, and 3857 (1.5 % more) at 19 633: the alarm goes first."""
    assert finding_of(judged(found={"leak_ohm": leak_ohm}, each_resistor=False), "PAN-23").verdict is verdict


@pytest.mark.parametrize(
    ("across_ohm", "is_twin"),
    [(1340.0, False), (1360.0, True), (1500.0, True), (1640.0, True), (1660.0, False), (3300.0, True)],
)
def test_pan_23_a_second_resistor_is_told_from_damp(across_ohm: float, is_twin: bool) -> None:
    """1.5 or 3.3 kohm to a tenth lie across it: a resistor left in, and nothing that dries."""
    read_ohm = CABLE_OHM + 1.0 / (1.0 / 1500.0 + 1.0 / across_ohm)
    finding = finding_of(judged(found={"read_ohm": read_ohm}, each_resistor=False), "PAN-23")

    assert ("second resistor" in finding.says) is is_twin
    assert finding.remedies[0].does.startswith("Take off the second" if is_twin else "Dry the joint")


@pytest.mark.parametrize(
    ("read_ohm", "cable", "tolerance", "verdict"),
    [
        (1500.0 + CABLE_OHM, CABLE, 0.0, HOLDS),
        (1560.0, CABLE, 0.0, FAILS),
        (1560.0, CABLE, None, UNKNOWN),
        (1640.0, CABLE, None, FAILS),
        (1640.0, None, 0.0, UNKNOWN),
        (2300.0, None, None, FAILS),
    ],
)
def test_pan_23_what_cable_or_resistor_may_make_is_asked(
    read_ohm: float, cable: dict[str, Any] | None, tolerance: float | None, verdict: Verdict
) -> None:
    """Over what is drawn and taken for normal: a cable nobody named, or 5 % of a resistor nobody read."""
    found = {"read_ohm": read_ohm}
    zone = judged(loop={"tolerance_share": tolerance}, cable=cable, found=found, contacts=1)

    assert finding_of(zone, "PAN-23").verdict is verdict


def test_pan_23_an_open_contact_that_looks_at_rest_is_said_aloud() -> None:
    """1.5 kohm in the panel and again at the end, where an open contact cuts the far one off: 1.5 kohm."""
    loop = {"scheme": "single end-of-line", "alarm_ohm": None, "bands": BANDS[:2] + BANDS[3:]}
    finding = finding_of(judged(loop=loop, found={"read_ohm": 777.8}, each_resistor=False), "PAN-23")

    assert finding.verdict is FAILS
    assert "whoever comes in there is not told of" in finding.because


def test_pan_23_says_what_a_dry_joint_has() -> None:
    """The least leak by hand: 3772.16 x 4800 / 1027.84 = 17 616 ohm, and a hundred times the end resistor."""
    finding = finding_of(judged(found={"leak_ohm": 6800.0}, each_resistor=False), "PAN-23")

    assert "At rest it looks healthy" in finding.because
    assert "17.62 kohm" in finding.remedies[0].effect
    assert "150 kohm" in finding.remedies[1].does


def test_two_contacts_are_a_chain_already() -> None:
    """Whether each has its resistor is asked, and one across both is offered."""
    asked = finding_of(judged(contacts=2, each_resistor=None), "PAN-21")
    single = finding_of(judged(contacts=2, loop={"alarm_ohm": 20_000.0}), "PAN-21")

    assert asked.verdict is UNKNOWN
    assert single.remedies[0].does == "One resistor across the whole chain of contacts"


def test_up_to_four_open_contacts_are_told_one_by_one() -> None:
    """Of 25 that each have a resistor."""
    says = finding_of(judged(), "PAN-21").says

    assert "4 open" in says
    assert "5 open" not in says


def test_pan_23_a_reading_tells_what_lies_between_the_cores() -> None:
    """25 contacts of 10 ohm and 1.5 kohm at the far end; 1 256.76 ohm read, 27.84 of them cable: 1 228.92 x
    1 750 / (1 750 - 1 228.92) = 4 127 ohm.
    """
    finding = finding_of(judged(found={"read_ohm": 1256.76}, each_resistor=False, contact_ohm=10.0), "PAN-23")

    assert "4.127 kohm between the cores" in finding.says


@pytest.mark.parametrize(("ohm", "verdict"), [(15_400.0, FAILS), (40_000.0, UNKNOWN)])
def test_pan_23_what_no_tolerance_can_mend_fails_without_knowing_it(ohm: float, verdict: Verdict) -> None:
    """1.5 kohm + 3.3 kohm beside a leak: below 3.8 kohm no alarm is read, whatever the resistors are like.

    The leak must be at least 17 616 ohm for the 3800 ohm where an alarm begins; more for every door.
    """
    finding = finding_of(
        judged(each_resistor=False, found={"leak_ohm": ohm}, loop={"tolerance_share": None}), "PAN-23"
    )

    assert finding.verdict is verdict
    assert [ask.says for ask in finding.asks] == ["Find the tolerance of the resistors of zone 3."]
