"""Cables with mains in them: made for it, and nothing of extra-low voltage beside it in the same sheath."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import GIVEN, MAINS
from farpress.case.runs import Run, named_cores, runs
from farpress.domain.cautions import caution
from farpress.domain.finding import Finding, Link, Remedy, Verdict
from farpress.domain.refs import DeviceRef, OutputRef, Ref
from farpress.sources import Citation

__all__ = ["CODES", "judge"]

CODES: Final[dict[str, str]] = {
    "SAFE-11": "Cables with mains in them: made for mains, and no extra-low voltage in the same sheath."
}


def judge(case: Case) -> Iterator[Finding]:
    """Each cable that carries mains to a device."""
    for premises in case.job.premises:
        drawn = runs(case, premises)
        for run in drawn:
            if run.is_mains and run.run is not None and not run.is_link:
                yield _insulation(case, run)
                yield from _company(run, drawn)


def _insulation(case: Case, run: Run) -> Finding:
    assert run.run is not None
    part = case.equipment.cables[run.run.part]
    sources: tuple[Citation, ...] = (*part.cite("mains_rated"), MAINS)
    about, subjects = _about(run), _subjects(run)
    if part.sheet.mains_rated is None:
        says = (
            f"{run.name} carries mains to {run.target}; whether {run.run.part} is made for that is not known."
        )
        return Finding(
            "SAFE-11",
            Link.SAFETY,
            Verdict.UNKNOWN,
            about,
            says,
            f"Read what is printed on its sheath and give 'mains_rated'. {caution('mains')}",
            sources=sources,
            subjects=subjects,
        )
    if part.sheet.mains_rated:
        return Finding(
            "SAFE-11",
            Link.SAFETY,
            Verdict.HOLDS,
            about,
            f"{run.name} carries mains to {run.target}, and {run.run.part} is made for mains.",
            caution("mains"),
            sources=sources,
            subjects=subjects,
        )
    says = f"{run.name} carries mains to {run.target} in {run.run.part}, which is not made for mains."
    because = (
        "Its insulation is made for extra-low voltage: it can give a shock and start a fire."
        f" {caution('mains')}"
    )
    remedies = (
        Remedy(
            "A relay beside the device, its coil worked over this cable, and the mains wired there by a"
            " licensed electrician"
        ),
        Remedy("A cable made for mains, laid apart from the others"),
    )
    return Finding(
        "SAFE-11",
        Link.SAFETY,
        Verdict.FAILS,
        about,
        says,
        because,
        remedies=remedies,
        sources=sources,
        subjects=subjects,
    )


def _company(run: Run, drawn: tuple[Run, ...]) -> Iterator[Finding]:
    """Other circuits whose cores the job names in what must be the same cable: same part, same length, from
    the same box to the same place.
    """
    assert run.run is not None
    mine = set(named_cores(run.run))
    others = [
        one
        for one in drawn
        if mine
        and one is not run
        and not one.is_mains
        and one.run is not None
        and (one.run.part, one.run.length_m) == (run.run.part, run.run.length_m)
        and {one.start, one.target} == {run.start, run.target}
        and named_cores(one.run)
        and not mine & set(named_cores(one.run))
    ]
    if others:
        says = (
            f"{run.name} carries mains to {run.target} in the same cable as"
            f" {', '.join(one.name for one in others)}: cores of extra-low voltage lie beside mains."
        )
        because = (
            "One damaged core puts mains on the receiver, the panel and whoever touches them."
            f" {caution('mains')}"
        )
        yield Finding(
            "SAFE-11",
            Link.SAFETY,
            Verdict.FAILS,
            f"{_about(run)}, beside others",
            says,
            because,
            remedies=(Remedy("Mains in a cable of its own, laid apart"),),
            sources=(GIVEN, MAINS),
            subjects=_subjects(run),
        )


def _about(run: Run) -> str:
    return f"{run.at.path if run.at is not None else run.premises} to {run.target}"


def _subjects(run: Run) -> tuple[Ref, ...]:
    output = (OutputRef(run.at.path),) if run.at is not None else ()
    return (*output, DeviceRef(f"{run.premises}/{run.target}"))
