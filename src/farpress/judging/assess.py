"""Assess a job: every room judges it once, and the promises gather what concerns them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Final

from farpress import __version__
from farpress.case.case import Case, promise_id
from farpress.domain.finding import Assessment, Chain, ChainLink, Finding, Link, worst
from farpress.domain.job import Promise
from farpress.judging.air import peak, plan_check
from farpress.judging.air import promises as air
from farpress.judging.contact import load as contact
from farpress.judging.device import mains_cables
from farpress.judging.device import moves as device
from farpress.judging.fob import cells
from farpress.judging.fob import sending as fob
from farpress.judging.output import suits as output
from farpress.judging.panel import coupling as panel
from farpress.judging.receiver import surroundings as receiver
from farpress.judging.register import memory as register
from farpress.judging.register import record as register_record
from farpress.judging.register import security as register_security
from farpress.judging.rules import searched as rules_searched
from farpress.judging.safety import refusals as safety
from farpress.judging.supply import volts as supply

__all__ = ["assess"]

ROOMS: Final = (
    fob,
    cells,
    air,
    plan_check,
    peak,
    receiver,
    output,
    contact,
    supply,
    device,
    panel,
    register,
    register_record,
    register_security,
    rules_searched,
    safety,
    mains_cables,
)
"""The judging modules, in the order of the chain."""

CHAIN: Final = tuple(link for link in Link if link is not Link.RULE)
"""Links of a promise; rules stand on their own, they are nobody's promise."""


def assess(case: Case, *, progress: Callable[[str], None] | None = None) -> Assessment:
    """Judge every link of every promise, and every rule.

    Args:
        case: the job with its equipment.
        progress: told the name of each room before it judges; may raise to cancel.

    Returns:
        The assessment; equal for equal cases and versions.
    """
    findings: dict[str, Finding] = {}
    for room in ROOMS:
        if progress is not None:
            progress(room.__name__.rsplit(".", 1)[-1])
        for finding in room.judge(case):
            findings.setdefault(finding.key, finding)
    ordered = tuple(sorted(findings.values(), key=lambda one: (one.code, one.about)))
    chains = tuple(_chain(case, promise, ordered) for promise in case.job.promises)
    return Assessment(case.job.job, case.fingerprint, __version__, ordered, chains)


def _chain(case: Case, promise: Promise, findings: Iterable[Finding]) -> Chain:
    own = _subjects(case, promise)
    by_link: dict[Link, list[Finding]] = {}
    for finding in findings:
        if _concerns(finding, own):
            by_link.setdefault(finding.link, []).append(finding)
    links = tuple(
        ChainLink(link, worst(one.verdict for one in by_link[link]), tuple(by_link[link]))
        for link in CHAIN
        if link in by_link
    )
    presses = f"within {promise.within_presses:g} press{'es' if promise.within_presses != 1 else ''}"
    says = ", ".join(
        part for part in (promise.says, presses, f"{100 * promise.at_least_share:g} % sure") if part
    )
    return Chain(promise_id(promise), says, promise.importance, links)


def _subjects(case: Case, promise: Promise) -> dict[str, set[str]]:
    """What a promise is about, kind of subject → names."""
    own: dict[str, set[str]] = {
        "promise": {promise_id(promise)},
        "group": {promise.to},
        "function": {promise.function},
    }
    for one in case.outputs_of(promise.function):
        own.setdefault("output", set()).add(one.path)
        own.setdefault("receiver", set()).add(one.receiver_path)
        place = case.place(promise.from_, one.premises)
        if place is not None:
            own.setdefault("place", set()).add("/".join(place))
        driven = [name.split(".")[0] for name in one.works]
        for name in driven:
            kind = "panel" if name in one.house.panels else "device"
            own.setdefault(kind, set()).add(f"{one.premises}/{name}")
        fed = [
            one.box.fed,
            *(thing.fed for name in driven if (thing := case.driven(one.premises, name)) is not None),
        ]
        names = [run.from_ for run in fed if run is not None] + (
            [one.output.load_from] if one.output.load_from else []
        )
        own.setdefault("supply", set()).update(f"{one.premises}/{name}" for name in names)
    return own


def _concerns(finding: Finding, own: dict[str, set[str]]) -> bool:
    """Whether, for each kind of subject a finding names, one of them is the promise's."""
    named: dict[str, set[str]] = {}
    for subject in finding.subjects:
        named.setdefault(subject.kind, set()).add(subject.path)
    return bool(named) and all(names & own.get(kind, set()) for kind, names in named.items())
