"""What can hurt somebody at an output, and what stands against it: each with the finding that says so.

No measure is written here. What stands is what a finding found; where it fails, what it advises; where no
check looked, that is said.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from farpress.case.case import OutputAt
from farpress.case.driven import Driven, driven_of, function_kinds
from farpress.domain.cautions import DECIDES
from farpress.domain.finding import Finding, Link, Verdict
from farpress.domain.refs import PanelRef, refs_of
from farpress.overview.standing import Standing
from farpress.papers.builders.basis import Basis
from farpress.papers.typesetting.paper import Cell

__all__ = ["Hazard", "against", "hazards_of", "who_decides"]


@dataclass(frozen=True)
class Hazard:
    """One danger of one output.

    Attributes:
        says: what can happen.
        who: who decides about it and does the work.
        findings: every judgement about it, the worst first; none where no check looked.
    """

    says: str
    who: str
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class _Kind:
    says: str
    codes: tuple[str, ...]
    who: str


_LEAF = _Kind(
    "crushing, shearing or impact at what moves, children above all",
    (
        "SAFE-01",
        "SAFE-03",
        "DEV-02",
        "DEV-03",
        "RULE-03",
        "RULE-10",
        "RULE-13",
        "OUT-07",
        "DEV-65",
        "DEV-70",
        "DEV-71",
        "DEV-72",
        "SAFE-70",
    ),
    "machine",
)
_FALLS = _Kind("comes down by its weight when a spring, rope or brake breaks", ("SAFE-12",), "machine")
_SHUT_IN = _Kind(
    "shut in, or no way out", ("DEV-04", "SAFE-06", "SAFE-14", "SAFE-19", "DEV-57", "RULE-14"), "escape"
)
_MACHINE = _Kind(
    "{hurts}", ("SAFE-12", "SAFE-13", "SAFE-16", "SAFE-21", "SAFE-70", "SAFE-71", "SAFE-72"), "machine"
)
_BY_ITSELF = _Kind(
    "starts or moves by itself, or stays on",
    ("OUT-02", "OUT-04", "OUT-05", "RULE-02", "RULE-05", "RULE-09", "RULE-16"),
    "machine",
)
_WATER = _Kind("water runs unseen", ("OUT-04", "OUT-05", "RULE-02", "RULE-05", "RULE-09"), "firm")
_MAINS = _Kind(
    "electric shock: mains behind covers and in cables",
    ("CON-05", "CON-10", "CON-11", "SAFE-07", "SAFE-11", "SAFE-20"),
    "mains",
)
_FIRE = _Kind(
    "fire: a contact welds, a cable grows hot, a fuse does not blow",
    ("CON-01", "CON-02", "CON-07", "SUP-05", "SUP-07", "SUP-11", "SUP-13"),
    "mains",
)
_ALARM = _Kind(
    "the alarm is believed set or unset, and is not",
    (
        "OUT-02",
        "PAN-01",
        "PAN-02",
        "PAN-06",
        "PAN-18",
        "PAN-19",
        "PAN-20",
        "PAN-29",
        "RULE-07",
        "RULE-08",
        "SAFE-04",
    ),
    "alarm",
)
_CALL = _Kind("a call for help is not heard or not answered", ("SAFE-05", "SAFE-25"), "call")

_OF_LINK: Final = {Link.PANEL: "alarm", Link.REGISTER: "register"}
"""Whose word it is where no kind of danger has the check."""


def hazards_of(basis: Basis, output: OutputAt) -> tuple[Hazard, ...]:
    """Every danger of an output, each with the judgements about it, the gravest first."""
    standing = basis.standings[output.path]
    found = [
        Hazard(kind.says.format(hurts=hurts), _who(kind, output, standing), standing.of_code(*kind.codes))
        for kind, hurts in dict.fromkeys(
            pair for load in driven_of(basis.case, output) for pair in _kinds(basis, output, load)
        )
    ]
    told = {finding.key for hazard in found for finding in hazard.findings}
    rest = tuple(finding for finding in (*standing.barred_by, *standing.waits_for) if finding.key not in told)
    if rest:
        found.append(Hazard("what else the judgements warn of", DECIDES["general"], rest))
    return tuple(sorted(found, key=lambda hazard: -_rank(hazard)))


def who_decides(finding: Finding) -> str:
    """Who decides about a finding and does the work, by the kind of danger that its check looks at."""
    is_alarm = bool(refs_of(PanelRef, finding.subjects)) or finding.code not in _BY_ITSELF.codes
    alarm = (_ALARM,) if is_alarm else ()
    kinds = (_MAINS, *alarm, _SHUT_IN, _CALL, _MACHINE, _LEAF, _BY_ITSELF, _FIRE)
    other = _OF_LINK.get(finding.link, "general")
    return next((DECIDES[kind.who] for kind in kinds if finding.code in kind.codes), DECIDES[other])


def against(basis: Basis, hazard: Hazard) -> Cell:
    """What stands against a danger, in the words of all findings that stand equally bad."""
    if not hazard.findings:
        return Cell("no check looked at this: to be judged on site", "unknown")
    first = hazard.findings[0]
    deciding = [
        finding
        for finding in hazard.findings
        if finding is first or (finding.verdict is first.verdict and first.verdict is not Verdict.HOLDS)
    ]
    return basis.judged(hazard.findings, " ".join(_says(finding) for finding in deciding))


def _says(finding: Finding) -> str:
    remedy = finding.remedies[0].does.rstrip(".") if finding.remedies else ""
    if finding.verdict is Verdict.HOLDS or not remedy:
        return f"{finding.says} ({finding.code})"
    first = "Barred until" if finding.bars else "Wanted"
    return f"{finding.says} {first}: {remedy} ({finding.code})"


def _kinds(basis: Basis, output: OutputAt, load: Driven) -> Iterator[tuple[_Kind, str]]:
    traits = load.traits
    if load.panel is not None:
        yield _ALARM, ""
    if traits.can_crush or traits.is_leaf or load.logic == "safety":
        yield _LEAF, ""
    if traits.can_fall and traits.hurts:
        yield _FALLS, ""
    if traits.shuts_a_way or load.sheet.escape_route:
        yield _SHUT_IN, ""
    if traits.hurts:
        yield _MACHINE, traits.hurts
    elif basis.standings[output.path].of_code("SAFE-12"):
        yield _MACHINE, "what it does to somebody at it is not known"
    if traits.runs_water:
        yield _WATER, ""
    elif traits.starts_unseen or traits.hurts:
        yield _BY_ITSELF, ""
    if basis.standings[output.path].of_code("SAFE-07", "SAFE-11") or load.sheet.supply == "mains":
        yield _MAINS, ""
    if traits.is_load or load.sheet.supply == "mains":
        yield _FIRE, ""
    if traits.calls_help or "call" in function_kinds(basis.case, output):
        yield _CALL, ""


def _who(kind: _Kind, output: OutputAt, standing: Standing) -> str:
    is_mains = bool(standing.of_code("SAFE-07")) or "mains" in (output.output.load_from or "")
    if kind is _FIRE and not is_mains:
        return DECIDES["firm"]
    return DECIDES[kind.who]


def _rank(hazard: Hazard) -> int:
    if not hazard.findings:
        return Verdict.UNKNOWN.rank
    return hazard.findings[0].verdict.rank + (1 if hazard.findings[0].bars else 0)
