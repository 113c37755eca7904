"""A call for help on a zone of an alarm panel: it is told at any time, not only while the system is set."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import PRACTICE
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.panel_reads import panel_reading
from farpress.domain.refs import FunctionRef, OutputRef, PanelRef
from farpress.judging.air.advice import is_call
from farpress.judging.check import Answer, Check
from farpress.phrases import called

__all__ = ["AT_ANY_TIME", "judge_zone_kinds"]

AT_ANY_TIME: Final = Check(
    "PAN-27",
    Link.PANEL,
    "A call for help on a zone of a panel: the zone is told at any time, set or not.",
    stake=Stake.HARM,
    ask="Ask of which kind the zone is: told at any time, only while set, or after the entry time.",
    who=Who.ALARM_COMPANY,
    minutes=5.0,
    mends="A zone that is told at any time ('24 hours'), changed in the panel by the alarm company.",
)

_SAYS: Final = {
    "at any time": "is told at any time, set or not",
    "while set": "is told only while the system is set: a call by day comes to nobody",
    "after the entry time": "is told only while the system is set, and then after the entry time",
}


def judge_zone_kinds(case: Case) -> Iterator[Finding]:
    """PAN-27 of each panel input that reads a zone and is worked by a call for help."""
    for output in case.outputs():
        if not is_call(case, output):
            continue
        for works in output.works:
            name, _, input_name = works.partition(".")
            panel = case.equipment.panels.get(f"{output.premises}/{name}")
            entry = (panel.sheet.inputs or {}).get(input_name) if panel is not None else None
            if entry is not None and panel_reading(entry.reads).is_zone:
                yield _judged(case, output, name, input_name)


def _judged(case: Case, output: OutputAt, panel: str, zone_name: str) -> Finding:
    zone = case.job.premises[output.premises].panels[panel].zones.get(zone_name)
    told = zone.told if zone is not None else None
    head = called("zone", zone_name)
    head = f"{head[0].upper()}{head[1:]} of {panel}, which {output.path} works to call for help,"
    asks = (
        Ask(
            f"Ask of which kind {called('zone', zone_name)} of {panel} is: told at any time, only while set,"
            " or after the entry time.",
            Who.ALARM_COMPANY,
            5.0,
        ),
    )
    return AT_ANY_TIME.decide(
        about=f"{output.path} to {panel}.{zone_name}",
        subjects=(
            OutputRef(output.path),
            PanelRef(f"{output.premises}/{panel}"),
            *(FunctionRef(function) for function in output.functions),
        ),
        answer=Answer.of(None if told is None else told == "at any time"),
        says=f"{head} {_SAYS[told]}." if told is not None else f"{head} is of a kind not written down.",
        because="Whoever calls believes that somebody comes." if told != "at any time" else "",
        asks=() if told is not None else asks,
        remedies=(
            Remedy("Let the alarm company make it a zone that is told at any time, and try a call both ways"),
            Remedy("Lead the call to a sounder or call unit of its own, not over the alarm panel"),
        ),
        sources=(PRACTICE,),
    )
