"""Judges the coupling to an alarm panel: pulses, and kinds of input; then, room by room, the rest of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.domain.finding import Ask, Change, Finding, Link, Remedy, Stake, Who
from farpress.domain.parts import PanelInput, PanelSheet, Part
from farpress.domain.refs import OutputRef, PanelRef, Ref
from farpress.judging.check import AT_LEAST, AT_MOST, Answer, Check, Estimate, Limit, share_edge
from farpress.judging.panel.grades import judge_grades
from farpress.judging.panel.lines import judge_lines
from farpress.judging.panel.status import judge_status, status_inputs
from farpress.judging.panel.told import judge_pulses
from farpress.sources import Citation, Mark
from farpress.units import write_quantity

__all__ = ["LONGEST_PULSE", "PULSE_LENGTH", "READS_AS_IT_ACTS", "judge"]

SAFE_FACTOR: Final = 1.5
"""A pulse is this many times what the input needs: read off the inputs of three panels."""

SAFE_PULSE_S: Final = 1.0
"""A pulse that is enough for most panels [s]: read off the inputs of three panels."""

PULSE_LENGTH: Final = Check(
    "PAN-01",
    Link.PANEL,
    "Length of a pulse, against the time a panel input needs to notice it.",
    unit="s",
    bound=AT_LEAST,
    thin=share_edge(SAFE_FACTOR - 1, "neither the pulse nor the response of an input is exact"),
    stake=Stake.PROMISE,
    ask="Find the response time of the panel input, in its manual.",
    who=Who.ALARM_COMPANY,
    mends="A longer pulse, or a time relay between.",
)

LONGEST_PULSE: Final = Check(
    "PAN-12",
    Link.PANEL,
    "Length of a pulse, against the longest that a panel input takes for a pulse.",
    unit="s",
    bound=AT_MOST,
    stake=Stake.PROMISE,
    ask="Find how long a pulse may be, in the panel's manual.",
    who=Who.ALARM_COMPANY,
    mends="A shorter pulse.",
)

READS_AS_IT
