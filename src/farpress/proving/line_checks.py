"""Tests with an instrument: volts lost on the way, ohms of loops, pulses that a panel must notice."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.cabling import ends_of
from farpress.case.case import Case
from farpress.case.circuit.arriving import least_at
from farpress.case.circuit.electrics import electrics_of
from farpress.case.circuit.states import RATED_HOT
from farpress.domain.finding import Finding
from farpress.domain.refs import OutputRef, PanelRef, refs_of
from farpress.judging.panel import coupling as panel
from farpress.judging.supply import volts as supply
from farpress.proving.tests import ProvingTest

__all__ = ["line_tests", "supply_tests"]

DROP_TOLERANCE: Final = 1.25
"""Times the predicted loss that a good cable may show; our choice: lengths and joints are known to a
quarter."""

JOINT_OHM: Final = 5.0
"""By which a tamper leg may lie above the others; common practice."""


def supply_tests(case: Case) -> Iterator[ProvingTest]:
    """Volts lost on the way to everything a supply feeds, against what may be lost."""
    judged = {
        finding.about: finding
        for finding in supply.judge(case)
        if finding.code == "SUP-01" and finding.margin is not None
    }
    for premises, house in case.job.premises.items():
        for name in house.supplies:
            part = case.equipment.supplies.get(f"{premises}/{name}")
            nominal = part.sheet.voltage_v if part is not None else None
            ends = ends_of(case, premises, name)
            electrics = electrics_of(case, premises)
            for end in ends:
                finding = judged.get(f"{end.name} on {premises}/{name}")
                if finding is None or not nominal or end.is_panel:
                    continue
                arrival = least_at(electrics, name, end, RATED_HOT)
                if arrival is None or arrival.volts is None:
                    continue
                lost = nominal - arrival.volts
                most = max(lost + (finding.margin or 0.0), 0.0)
                outputs = tuple(ref.path for ref in refs_of(OutputRef, end.subjects))
                yield ProvingTest(
                    f"volts lost: {end.name} on {premises}/{name}",
                    "",
                    "measure",
                    f"With everything on {name} switched on at once, read the volts at {name} and at"
                    f" {end.who}; enter the difference.",
                    f"About {lost:.2f} V; at most {most:.2f} V, or too little arrives at {end.who} when the"
                    " supply is at its lowest.",
                    premises,
                    outputs=outputs,
                    subjects=finding.subjects,
                    required=bool(outputs),
                    unit="V",
                    low=0.0,
                    high=(
                        min(most, DROP_TOLERANCE * lost + 0.1)
                        if finding.margin and finding.margin > 0
                        else most
                    ),
                    predicted=lost,
                    minutes=3.0,
                    because=(
                        f"{finding.says} More than a quarter above the prediction is a bad joint or another"
                        " cable than drawn."
                    ),
                )


def line_tests(case: Case) -> Iterator[ProvingTest]:
    """Ohms of supervised loops and tamper legs; pulses that a panel must notice."""
    for finding in panel.judge(case):
        outputs = tuple(ref.path for ref in refs_of(OutputRef, finding.subjects))
        premises = next((ref.path.split("/")[0] for ref in finding.subjects), "")
        if finding.code == "PAN-03" and finding.limit is not None:
            yield _line_check(
                "loop",
                finding,
                premises,
                outputs,
                "At the panel's terminals, circuit off, read the ohms of the loop at rest and pressed.",
                finding.says,
            )
        elif finding.code == "PAN-01":
            yield _line_check(
                "pulse noticed",
                finding,
                premises,
                outputs,
                "With the panel ready, press ten times with pauses; count how often the panel reacts.",
                "Ten of ten.",
            )
    for premises, house in case.job.premises.items():
        for name, loop in house.tamper_loops.items():
            for leg, ohm in loop.legs.items():
                yield ProvingTest(
                    f"tamper leg: {premises}/{name}/{leg}",
                    "",
                    "measure",
                    f"Read the ohms of tamper leg {leg} of {name}; tap the joints meanwhile, then open and"
                    " close the lid.",
                    f"About {ohm:g} ohm and steady.",
                    premises,
                    receiver=f"{premises}/{leg}" if leg in house.receivers else "",
                    subjects=(PanelRef(f"{premises}/{loop.panel.split('.')[0]}"),),
                    who="alarm company",
                    required=False,
                    unit="ohm",
                    low=0.0,
                    high=ohm + JOINT_OHM,
                    predicted=ohm,
                    minutes=2.0,
                    because="More than 5 ohm of change is a bad joint: common practice.",
                )


def _line_check(
    kind: str, finding: Finding, premises: str, outputs: tuple[str, ...], does: str, expected: str
) -> ProvingTest:
    return ProvingTest(
        f"{kind}: {finding.about}",
        "",
        "check",
        does,
        expected,
        premises,
        outputs=outputs,
        subjects=finding.subjects,
        who="alarm company",
        minutes=3.0,
        because=finding.because,
    )
