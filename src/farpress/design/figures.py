"""The figures of a variant, counted in the job as it would be read: what came, against the job as it
stands.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from farpress.case.case import Case
from farpress.design.norms import (
    BOX_MIN,
    COAX_MIN_PER_M,
    CONTACT_MIN,
    METRE_MIN,
    OUTSIDE_MIN,
    RELAY_MIN,
    SUPPLY_MIN,
)
from farpress.design.result import DesignFigures
from farpress.domain.finding import Assessment, Verdict
from farpress.domain.premises import Premises

__all__ = ["figures_of"]


def figures_of(before: Case, after: Case, assessment: Assessment) -> DesignFigures:
    """Count what a variant takes and gives.

    Args:
        before: the job as it stands.
        after: the whole variant.
        assessment: of it.
    """
    had, has = _Parts(before), _Parts(after)
    boxes = len(has.boxes) - len(had.boxes)
    outside = sum(1 for name in has.boxes - had.boxes if has.is_outside(name))
    supplies = len(has.supplies - had.supplies)
    relays = max(has.relays - had.relays, 0)
    outputs = max(has.outputs - had.outputs, 0)
    cable, coax = _more(had.cables, has.cables), _more(had.coaxes, has.coaxes)
    minutes = (
        boxes * BOX_MIN
        + outside * OUTSIDE_MIN
        + supplies * SUPPLY_MIN
        + relays * RELAY_MIN
        + outputs * CONTACT_MIN
        + cable * METRE_MIN
        + coax * COAX_MIN_PER_M
    )
    words = [finding.verdict for finding in assessment.findings]
    return DesignFigures(
        boxes,
        supplies,
        relays,
        cable + coax,
        round(minutes),
        len(assessment.promises),
        sum(chain.verdict is not Verdict.FAILS for chain in assessment.promises),
        _worst(assessment),
        words.count(Verdict.FAILS),
        words.count(Verdict.THIN),
        words.count(Verdict.UNKNOWN),
    )


class _Parts:
    """What is fitted in a job."""

    def __init__(self, case: Case) -> None:
        self.case = case
        houses = case.job.premises
        self.boxes = {(p, name) for p, house in houses.items() for name in house.receivers}
        self.supplies = {(p, name) for p, house in houses.items() for name in house.supplies}
        outputs = list(case.outputs())
        self.outputs = len(outputs)
        self.relays = sum(output.output.via is not None for output in outputs) + sum(
            bool(device.separation_relay) for house in houses.values() for device in house.devices.values()
        )
        self.cables = dict(run for p, house in houses.items() for run in _cables(p, house))
        self.coaxes = {
            (p, name): box.antenna.coax.length_m
            for p, house in houses.items()
            for name, box in house.receivers.items()
            if box.antenna is not None and box.antenna.coax is not None
        }

    def is_outside(self, name: tuple[str, str]) -> bool:
        """Whether a receiver hangs in the weather."""
        return self.case.job.premises[name[0]].receivers[name[1]].level is None


def _cables(premises: str, house: Premises) -> Iterator[tuple[object, float]]:
    """Every cable once, with its length: runs with one label lie in one."""
    for name, box in house.receivers.items():
        runs = [("fed", box.fed.cable if box.fed is not None else None)]
        runs += [(f"output {number}", output.cable) for number, output in box.outputs.items()]
        runs += [(f"input {number}", entry.cable) for number, entry in box.inputs.items()]
        for what, run in runs:
            if run is not None:
                yield (premises, run.label or (name, what)), run.length_m
    for things in (house.devices, house.panels, house.supplies):
        for name, thing in things.items():
            if thing.fed is not None and thing.fed.cable is not None:
                yield (premises, name, "fed"), thing.fed.cable.length_m
    for label, cable in house.cables.items():
        yield (premises, label), cable.length_m


def _more(had: Mapping[Any, float], has: Mapping[Any, float]) -> float:
    """Metres that came."""
    return sum(metres for name, metres in has.items() if name not in had)


def _worst(assessment: Assessment) -> tuple[str, float, float] | None:
    """The promise that uses up most of the failures it is allowed."""
    heard = [
        (
            (100.0 - finding.value) / max(100.0 - finding.limit, 1e-6),
            finding.about,
            finding.value / 100.0,
            finding.limit / 100.0,
        )
        for finding in assessment.findings
        if finding.code == "AIR-01" and finding.value is not None and finding.limit is not None
    ]
    return max(heard)[1:] if heard else None
