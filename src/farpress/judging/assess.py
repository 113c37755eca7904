"""Assess a job: every room judges it once, and the promises gather what concerns them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import Final, Protocol

from farpress.case.cables import cables_of
from farpress.case.case import Case, promise_id
from farpress.case.drawn_wires import drawn_feeds
from farpress.case.feeding import supply_behind
from farpress.domain.finding import Assessment, Chain, ChainLink, Finding, Link, Who, worst
from farpress.domain.job import Promise
from farpress.domain.refs import FunctionRef, GroupRef, PromiseRef, Ref, RuleRef
from farpress.judging import believable, needs
from farpress.judging.air import (
    counted,
    held_through,
    interference,
    opposed,
    otherwise,
    peak,
    plan_check,
    twice_told,
    two_receivers,
)
from farpress.judging.air import promises as air
from farpress.judging.bounded import budgeted, within
from farpress.judging.check import Answer, Check
from farpress.judging.contact import load as contact
from farpress.judging.dark_links import dark_links
from farpress.judging.device import mains_cables
from farpress.judging.device import moves as device
from farpress.judging.fob import button_meanings, cell_change, cells, life_signs, long_presses, neighbours
from farpress.judging.fob import sending as fob
from farpress.judging.fob import stock as fob_stock
from farpress.judging.output import (
    both_ways,
    lasting,
    only_with,
    opposed_pulses,
    pressed,
    settable,
    stock,
    told_apart,
)
from farpress.judging.output import suits as output
from farpress.judging.panel import coupling as panel
from farpress.judging.panel import feeds as panel_feeds
from farpress.judging.panel import inside, joint_areas, one_press, shared_lines, tamper, unwired, zones
from farpress.judging.receiver import inputs_unsaid, lifted, meanings, signals, status_inputs
from farpress.judging.receiver import surroundings as receiver
from farpress.judging.register import memory as register
from farpress.judging.register import record as register_record
from farpress.judging.register import rights, spares, unreported
from farpress.judging.register import security as register_security
from farpress.judging.register import stock as register_stock
from farpress.judging.rules import built as rules_built
from farpress.judging.rules import searched as rules_searched
from farpress.judging.rules import stories as rules_stories
from farpress.judging.safety import papers as safety_papers
from farpress.judging.safety import refusals as safety
from farpress.judging.supply import (
    bonded,
    bridged,
    cable_lengths,
    cable_stock,
    cables_existing,
    cables_found,
    volts_found,
    wires,
)
from farpress.judging.supply import volts as supply
from farpress.judging.taking_over import taking_over
from farpress.units import write_share
from farpress.version import __version__

__all__ = ["NOTHING_SAID", "assess"]

NOTHING_SAID: Final = Check(
    "GAP-01",
    Link.SAFETY,
    "A link of a promise on which nothing could be said.",
    who=Who.INSTALLER,
    minutes=5.0,
    mends="Describe the thing in the job, with its part or its data sheet.",
)
"""Its link is that of the case; this one stands for all."""


class _Room(Protocol):
    """A judging module."""

    __name__: str

    def judge(self, case: Case) -> Iterable[Finding]:
        """Its findings on a case."""


ROOMS: Final[tuple[_Room, ...]] = (
    needs,
    believable,
    fob,
    cells,
    cell_change,
    life_signs,
    air,
    counted,
    interference,
    held_through,
    otherwise,
    twice_told,
    two_receivers,
    opposed,
    plan_check,
    peak,
    receiver,
    signals,
    meanings,
    status_inputs,
    inputs_unsaid,
    lifted,
    output,
    settable,
    pressed,
    lasting,
    both_ways,
    only_with,
    stock,
    told_apart,
    opposed_pulses,
    fob_stock,
    neighbours,
    long_presses,
    button_meanings,
    contact,
    supply,
    cable_stock,
    cable_lengths,
    cables_found,
    volts_found,
    cables_existing,
    wires,
    bridged,
    bonded,
    device,
    panel,
    tamper,
    unwired,
    one_press,
    panel_feeds,
    inside,
    joint_areas,
    shared_lines,
    zones,
    register,
    spares,
    register_stock,
    unreported,
    register_record,
    register_security,
    rights,
    rules_searched,
    rules_stories,
    safety,
    safety_papers,
    mains_cables,
)
"""The judging modules, in the order of the chain."""

WITHOUT_SEARCH: Final[dict[str, _Room]] = {rules_searched.__name__: rules_built}
"""Room → what speaks for it where its search takes too much."""

CHAIN: Final = tuple(link for link in Link if link is not Link.RULE)
"""Links of a promise; rules stand on their own, they are nobody's promise."""


TELLING: Final = ("promise", "output", "input", "cable", "place", "device", "panel", "receiver", "supply")
"""Kinds of subjects, those first whose names few promises share."""


def assess(case: Case, *, progress: Callable[[str], None] | None = None) -> Assessment:
    """Judge every link of every promise, and every rule.

    Args:
        case: the job with its equipment.
        progress: told the name of each room before it judges, of those that have to; may raise to cancel.

    Returns:
        The assessment; equal for equal cases and versions.
    """
    findings: list[Finding] = []
    with taking_over(case) as reader, budgeted():
        for room in ROOMS:
            findings += reader.kept(room.__name__, partial(_judged, reader, room, progress))
        owns = [
            reader.kept(("subjects", number), partial(_subjects, reader, number))
            for number in range(len(case.job.promises))
        ]
        unsaid = [
            reader.kept(("unsaid", number), partial(dark_links, reader, number))
            for number in range(len(case.job.promises))
        ]
    places = _places(findings)
    chains = tuple(
        _chain(promise, own, findings, places, dark)
        for promise, own, dark in zip(case.job.promises, owns, unsaid, strict=True)
    )
    silent = [
        finding
        for chain in chains
        for link in chain.links
        for finding in link.findings
        if finding.code == NOTHING_SAID.code
    ]
    ordered = tuple(sorted([*findings, *silent], key=lambda finding: (finding.code, finding.about)))
    words: dict[Ref, str] = {
        RuleRef(str(number)): rule.says for number, rule in enumerate(case.job.rules, start=1) if rule.says
    }
    return Assessment(case.job.job, case.fingerprint, __version__, ordered, chains, words)


def _judged(case: Case, room: _Room, progress: Callable[[str], None] | None) -> tuple[Finding, ...]:
    if progress is not None:
        progress(room.__name__.rsplit(".", 1)[-1])
    shorter = WITHOUT_SEARCH.get(room.__name__)
    return within(
        case,
        room.__name__,
        lambda: tuple(room.judge(case)),
        lambda: tuple(shorter.judge(case)) if shorter is not None else (),
    )


def _chain(
    promise: Promise,
    own: dict[str, set[str]],
    findings: Sequence[Finding],
    places: dict[tuple[str, str], list[int]],
    dark: Mapping[Link, str],
) -> Chain:
    by_link: dict[Link, list[Finding]] = {}
    may = {place for kind, names in own.items() for name in names for place in places.get((kind, name), ())}
    for place in sorted(may):
        finding = findings[place]
        if _concerns(finding.named, own):
            by_link.setdefault(finding.link, []).append(finding)
    for link in CHAIN:
        if link in dark or (link not in by_link and _belongs(link, own)):
            by_link.setdefault(link, []).append(_silent(promise, link, dark.get(link, "")))
    links = tuple(
        ChainLink(
            link,
            worst(finding.verdict for finding in by_link[link]),
            tuple(sorted(by_link[link], key=lambda finding: (finding.code, finding.about))),
        )
        for link in CHAIN
        if link in by_link
    )
    presses = f"within {promise.within_presses:g} press{'es' if promise.within_presses != 1 else ''}"
    says = ", ".join(
        part for part in (promise.says, presses, f"{write_share(promise.at_least_share)} sure") if part
    )
    return Chain(
        promise_id(promise), says, promise.importance, links, promise.to, promise.function, promise.from_
    )


def _belongs(link: Link, own: dict[str, set[str]]) -> bool:
    """Whether a promise has this link: a device and a panel only where it works one."""
    if link is Link.DEVICE:
        return "device" in own
    return link is not Link.PANEL or "panel" in own


def _silent(promise: Promise, link: Link, lacks: str = "") -> Finding:
    """A link of a promise on which nobody said anything, or not what it hangs on: it is drawn, and nobody
    knows.
    """
    return replace(NOTHING_SAID, link=link).decide(
        about=f"{link} of {promise_id(promise)}",
        subjects=(PromiseRef(promise_id(promise)), GroupRef(promise.to), FunctionRef(promise.function)),
        says=f"The {link} of this promise hangs on {lacks}, which nobody says."
        if lacks
        else f"Nothing is known of the {link} of this promise.",
        because="Too little is described for any judgement; a link that nobody judged is not a good one.",
        answer=Answer.UNKNOWN,
        asks=(f"Say {lacks}." if lacks else f"Describe what belongs to the {link} of '{promise.function}'.",),
    )


def _subjects(case: Case, number: int) -> dict[str, set[str]]:
    """What a promise is about, kind of subject → names."""
    promise = case.job.promises[number]
    own: dict[str, set[str]] = {
        "promise": {promise_id(promise)},
        "group": {promise.to},
        "function": {promise.function},
    }
    for worked in case.outputs_of(promise.function):
        own.setdefault("output", set()).add(worked.path)
        own.setdefault("receiver", set()).add(worked.receiver_path)
        place = case.place(promise.from_, worked.premises)
        if place is not None:
            own.setdefault("place", set()).add("/".join(place))
        driven = [name.split(".")[0] for name in worked.works]
        for name in driven:
            kind = "panel" if name in worked.house.panels else "device"
            own.setdefault(kind, set()).add(f"{worked.premises}/{name}")
            own.setdefault("cable", set()).update(
                f"{worked.premises}/{loop_name}/{leg}"
                for loop_name, loop in worked.house.tamper_loops.items()
                if loop.panel.split(".")[0] == name
                for leg in loop.legs
            )
        own.setdefault("input", set()).update(
            f"{worked.receiver_path}/in{number}" for number in worked.box.inputs
        )
        fed = [
            worked.box.fed,
            *(thing.fed for name in driven if (thing := case.driven(worked.premises, name)) is not None),
        ]
        names = [
            feed.supply
            for feed in drawn_feeds(case, worked.premises)
            if feed.thing in {worked.receiver, *driven}
        ]
        names += [behind for run in fed if (behind := supply_behind(worked.house, run)) is not None] + (
            [worked.output.load_from] if worked.output.load_from else []
        )
        own.setdefault("supply", set()).update(f"{worked.premises}/{name}" for name in names)
        own.setdefault("cable", set()).update(
            body.ref.path
            for body in cables_of(case, worked.premises)
            if body.leads_to({worked.receiver, *driven}, worked.path)
        )
    return own


def _places(findings: Sequence[Finding]) -> dict[tuple[str, str], list[int]]:
    """Where findings stand by what each names of its most telling kind, kind and name → places: only those
    can concern a promise that has it.
    """
    found: dict[tuple[str, str], list[int]] = {}
    for place, finding in enumerate(findings):
        named = finding.named
        kind = next((kind for kind in TELLING if kind in named), next(iter(named), ""))
        for name in named.get(kind, ()):
            found.setdefault((kind, name), []).append(place)
    return found


def _concerns(named: Mapping[str, frozenset[str]], own: dict[str, set[str]]) -> bool:
    """Whether, for each kind of subject a finding names, one of them is the promise's."""
    for kind, names in named.items():
        mine = own.get(kind)
        if mine is None or names.isdisjoint(mine):
            return False
    return bool(named)
