"""Cables with mains in them: made for it, and nothing of extra-low voltage beside it in the same sheath."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import GIVEN, MAINS
from farpress.case.cores import named_cores
from farpress.case.runs import Run, runs
from farpress.domain.cautions import caution
from farpress.domain.finding import Finding, Link, Remedy, Stake
from farpress.domain.premises import CableRun
from farpress.domain.refs import CableRef, DeviceRef, OutputRef, Ref
from farpress.judging.check import Answer, Check

__all__ = ["judge"]

MAINS_CABLE: Final = Check(
    "SAFE-11",
    Link.SAFETY,
    "Cables with mains in them: made for mains, and no extra-low voltage in the same sheath.",
    stake=Stake.HARM,
    bars=True,
    ask="Read what is printed on the sheath of the cable.",
    mends="A cable made for mains, laid apart; or a relay beside the device and mains wired there.",
)


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-11, of each cable that carries mains to a device."""
    for premises in case.job.premises:
        drawn = runs(case, premises)
        for run in drawn:
            if run.is_mains and run.run is not None and not run.is_link:
                yield _insulation(case, run, run.run)
                yield from _company(run, run.run, drawn)


def _insulation(case: Case, run: Run, cable: CableRun) -> Finding:
    part = case.equipment.cables[cable.part]
    is_made = part.sheet.mains_rated
    because = caution("mains")
    asks: tuple[str, ...] = ()
    if is_made is None:
        says = (
            f"{run.name} carries mains to {run.target}; whether {cable.part} is made for that is not known."
        )
        asks = (f"Read what is printed on the sheath of {cable.part} and give 'mains_rated'.",)
    elif is_made:
        says = f"{run.name} carries mains to {run.target}, and {cable.part} is made for mains."
    else:
        says = f"{run.name} carries mains to {run.target} in {cable.part}, which is not made for mains."
        because = (
            "Its insulation is made for extra-low voltage: it can give a shock and start a fire."
            f" {caution('mains')}"
        )
    return MAINS_CABLE.decide(
        about=_about(run),
        subjects=_subjects(run),
        cause=_cable(run),
        answer=Answer.of(is_made),
        says=says,
        because=because,
        asks=asks,
        remedies=(
            Remedy(
                "A relay beside the device, its coil worked over this cable, and the mains wired there by a"
                " licensed electrician"
            ),
            Remedy("A cable made for mains, laid apart from the others"),
        ),
        sources=(*part.cite("mains_rated"), MAINS),
    )


def _company(run: Run, cable: CableRun, drawn: tuple[Run, ...]) -> Iterator[Finding]:
    """Other circuits whose cores the job names in what must be the same cable: same part, same length, from
    the same box to the same place.
    """
    mine = set(named_cores(cable))
    others = [
        other
        for other in drawn
        if mine
        and other is not run
        and not other.is_mains
        and other.run is not None
        and (other.run.part, other.run.length_m) == (cable.part, cable.length_m)
        and {other.start, other.target} == {run.start, run.target}
        and named_cores(other.run)
        and not mine & set(named_cores(other.run))
    ]
    if others:
        yield MAINS_CABLE.decide(
            about=f"{_about(run)}, beside others",
            subjects=(*_subjects(run), *(_cable(other) for other in others)),
            cause=_cable(run),
            answer=Answer.NO,
            says=f"{run.name} carries mains to {run.target} in the same cable as"
            f" {', '.join(other.name for other in others)}: cores of extra-low voltage lie beside mains.",
            because="One damaged core puts mains on the receiver, the panel and whoever touches them."
            f" {caution('mains')}",
            remedies=(Remedy("Mains in a cable of its own, laid apart"),),
            sources=(GIVEN, MAINS),
        )


def _about(run: Run) -> str:
    return f"{run.at.path if run.at is not None else run.premises} to {run.target}"


def _cable(run: Run) -> CableRef:
    return CableRef(f"{run.premises}/{run.name}")


def _subjects(run: Run) -> tuple[Ref, ...]:
    output = (OutputRef(run.at.path),) if run.at is not None else ()
    return (*output, DeviceRef(f"{run.premises}/{run.target}"), _cable(run))
