"""Judges the grade of an alarm system: of the panel, and of the radio that reaches it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Verdict, Who
from farpress.domain.parts import PanelSheet, Part
from farpress.domain.refs import OutputRef, PanelRef
from farpress.judging.check import AT_LEAST, Check, Estimate, Limit, no_edge
from farpress.sources import Citation, Mark

__all__ = ["GRADE_OF_COUPLING", "judge_grades"]

GRADE_OF_COUPLING: Final = Check(
    "PAN-07",
    Link.PANEL,
    "Grade of the alarm system, against the grade of the radio coupling.",
    unit="grade",
    bound=AT_LEAST,
    thin=no_edge("a grade is a class: it is reached or it is not"),
    stake=Stake.DUTY,
    ask="Ask the alarm company for the grade.",
    who=Who.ALARM_COMPANY,
    minutes=10.0,
    mends="Parts of the grade, a lower grade agreed in writing, or setting and unsetting kept off the radio.",
)

NAMED_AT_MOST: Final = 3
"""Parts whose grade is not known that a question names; the rest are counted."""

_LOWEST: Final = Citation(
    "EN 50131-1", edition="2006", place="grade of a system is that of its lowest component", mark=Mark.MEMORY
)

_BECAUSE: Final = (
    "Receiver and fobs are ancillary control equipment: a system is only as good as its lowest part."
)


def judge_grades(case: Case) -> Iterator[Finding]:
    """PAN-07 of every panel that the radio reaches, or that is below the grade that is wanted."""
    for path, panel in case.equipment.panels.items():
        wanted, own = case.job.grade, panel.sheet.grade
        coupled = [
            output
            for output in case.outputs()
            if any(f"{output.premises}/{works.split('.')[0]}" == path for works in output.works)
        ]
        if wanted is not None and own is not None and own < wanted:
            yield _panel_grade(path, panel, own, wanted, coupled)
        elif coupled:
            yield _radio_grade(case, path, panel, coupled)


def _panel_grade(
    path: str, panel: Part[PanelSheet], own: int, wanted: int, coupled: list[OutputAt]
) -> Finding:
    return GRADE_OF_COUPLING.judge(
        about=path,
        subjects=(PanelRef(path), *(OutputRef(output.path) for output in coupled)),
        value=Estimate(float(own)),
        limit=Limit(float(wanted)),
        says=f"Grade {wanted} is wanted, but the panel {path} is of grade {own}.",
        remedies=(
            Remedy(f"Use a panel of grade {wanted}, or agree a lower grade with the insurer in writing."),
        ),
        sources=(*panel.cite("grade"), _LOWEST),
    )


def _radio_grade(case: Case, path: str, panel: Part[PanelSheet], coupled: list[OutputAt]) -> Finding:
    """The lowest grade that is declared for the receivers and fobs that reach the panel."""
    wanted, own = case.job.grade, panel.sheet.grade
    grade = wanted if wanted is not None else own
    receivers = {output.receiver: case.equipment.receivers[output.receiver_path] for output in coupled}
    pressed = dict.fromkeys(name for output in coupled for name in output.functions)
    groups = {
        group: case.equipment.fobs[group]
        for name in pressed
        for group, _ in case.groups_with(name)
        if group in case.equipment.fobs
    }
    declared = [(part.sheet.grade, f"receiver {name}") for name, part in receivers.items()] + [
        (part.sheet.grade, f"the fobs of {name}") for name, part in groups.items()
    ]
    unknown = [who for declared_grade, who in declared if declared_grade is None]
    least, who = min(((known, name) for known, name in declared if known is not None), default=(None, ""))
    asks: list[Ask] = []
    if own is None:
        asks.append(
            Ask(
                f"Say of which grade the panel {path} is: its label or the alarm company knows.",
                Who.ALARM_COMPANY,
                5.0,
            )
        )
    if unknown:
        asks.append(
            Ask(
                f"Ask the makers for the grade they declare for {_some(unknown)}, or keep setting and"
                f" unsetting off the radio; the alarm company that looks after {path} signs for it.",
                Who.ALARM_COMPANY,
                10.0,
            )
        )
    system = "The grade of the system is not known" if grade is None else f"The system is of grade {grade}"

    def says(verdict: Verdict) -> str:
        if verdict is Verdict.FAILS:
            return f"{system}; {who} is declared for grade {least} only."
        if verdict is Verdict.UNKNOWN and unknown:
            return f"{system}; the grade of the radio coupling over {', '.join(receivers)} is not known."
        reach = f"receivers and fobs that reach the panel are declared for grade {least}"
        if verdict is Verdict.UNKNOWN and grade is not None:
            return f"{system}, of which grade the panel is is not known; {reach}."
        return f"{system}; {reach}."

    return GRADE_OF_COUPLING.judge(
        about=path,
        subjects=(PanelRef(path), *(OutputRef(output.path) for output in coupled)),
        value=Estimate(None if least is None else float(least)),
        limit=Limit(None if grade is None else float(grade)),
        says=says,
        because=_BECAUSE,
        asks=asks,
        remedies=(
            Remedy(f"Use receivers and fobs of grade {grade}, or keep setting and unsetting off the radio."),
            Remedy(f"Or agree grade {least} for the whole system with the insurer in writing."),
        ),
        sources=(
            *panel.cite("grade"),
            _LOWEST,
            *(source for part in receivers.values() for source in part.cite("grade")),
            *(source for part in groups.values() for source in part.cite("grade")),
        ),
    )


def _some(names: list[str]) -> str:
    shown = names[:NAMED_AT_MOST]
    rest = len(names) - len(shown)
    return ", ".join(shown) + (f" and {rest} more" if rest else "")
