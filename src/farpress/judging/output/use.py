"""How outputs are used: presses that meet a movement, and functions that lead nowhere.

Part of the judgements on output logic.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.behaviour import second_press_counts
from farpress.case.case import Case, OutputAt
from farpress.case.citations import CHOICE, GIVEN, PRESSES
from farpress.case.driven import Driven, change, driven_of, moves, presses_per_second, subjects_of
from farpress.case.leaf import whole_travel_s
from farpress.case.wished import undrawn
from farpress.core.rehearsal.barrier import share_another_press
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import DeviceRef, FunctionRef, OutputRef, Ref
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit
from farpress.phrases import listed

__all__ = ["judge_use"]

ANOTHER_PRESS_SHARE: Final = 0.05
"""Chance of a second press during the movement that is still called quiet; our choice."""

SECOND_PRESS: Final = Check(
    "OUT-07",
    Link.OUTPUT,
    "Another press during the movement, where a second press stops or turns the leaf.",
    bound=AT_MOST,
    limit=Limit(ANOTHER_PRESS_SHARE, (CHOICE,)),
    stake=Stake.PROMISE,
    ask="Press twice in a row and watch; or read the drive's description of its start input.",
    who=Who.INSTALLER,
    mends="The open-only input instead, with timed closing and its safeguards.",
)

LEADS_SOMEWHERE: Final = Check(
    "OUT-08",
    Link.OUTPUT,
    "Functions and outputs that lead nowhere.",
    stake=Stake.PROMISE,
    who=Who.INSTALLER,
    mends="What it works, or the function that it is for, written in the job.",
)


def judge_use(case: Case) -> Iterator[Finding]:
    """Findings about busy step-by-step inputs and about loose ends."""
    for output in case.outputs():
        for driven in driven_of(case, output):
            if output.functions and moves(driven) and second_press_counts(driven) is not False:
                yield _busy(case, output, driven)
        yield from _loose_output(case, output)
    yield from _loose_functions(case)
    yield from _loose_loads(case)


def _busy(case: Case, output: OutputAt, driven: Driven) -> Finding:
    """OUT-07."""
    is_sure = second_press_counts(driven) is True
    rate = presses_per_second(case, output)
    travel = driven.sheet.travel_worst_s or whole_travel_s(driven.sheet)
    asks: list[Ask] = []
    chance: float | None = None
    if travel is None:
        asks.append(Ask(f"Give the travel time of {driven.works}.", Who.METER))
    if rate is None:
        asks.append(Ask(f"Say how often {output.path} is pressed, and by how many.", Who.CUSTOMER))
    open_s = _open_s(case, output, driven)
    if rate is not None and travel is not None:
        within = travel + open_s
        chance = share_another_press(rate_per_s=rate[0], within_s=within)
        what = "opens, lets one through and closes" if open_s else "moves"
        says = (
            f"Somebody else presses during the {within:g} s that {driven.works} {what} in"
            f" {_per_cent(chance)} of all uses ({rate[1]})."
        )
    else:
        says = f"How often somebody else presses while {driven.works} moves is not known."
    is_quiet = chance is not None and chance <= ANOTHER_PRESS_SHARE
    if not is_sure and not is_quiet:
        asks.append(
            Ask(f"Press {driven.works} twice in a row and watch what the second does.", Who.INSTALLER)
        )
    because = {
        (True, True): "A second press stops or turns the leaf, but rarely meets a movement.",
        (
            True,
            False,
        ): "The second press stops or turns the leaf: the next user, or vehicle, meets it half-way.",
        (False, True): "Few enough, even if a second press should stop or turn it.",
        (False, False): "Whether a second press stops or turns it is not known.",
    }
    return SECOND_PRESS.judge(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        value=Estimate(chance, None, (*driven.cite("travel_s", "travel_worst_s"), GIVEN, PRESSES)),
        says=says,
        because=because[is_sure, is_quiet],
        asks=asks,
        failure_stands=is_sure,
        remedies=(
            Remedy(
                f"Work the open-only input of {driven.path.split('/')[1]} instead, with timed closing and its"
                " safeguards",
                "further presses while opening change nothing",
            ),
        ),
    )


def _open_s(case: Case, output: OutputAt, driven: Driven) -> float:
    """How long it stands open for one that comes, and closes; 0 where that is not known [s]."""
    passages = [
        traffic.passage_s
        for traffic in case.job.traffic
        if traffic.function in output.functions and traffic.passage_s is not None
    ]
    back = driven.sheet.travel_back_s or driven.sheet.travel_s
    if not passages or back is None or driven.logic != "start":
        return 0.0
    return float(max(passages) + back)


def _per_cent(share: float) -> str:
    if share < 0.001:
        return "less than 0.1 %"
    return f"{share:.0%}" if share >= 0.1 else f"{share:.1%}"


def _loose_output(case: Case, output: OutputAt) -> Iterator[Finding]:
    """OUT-08, of an output."""
    ref = OutputRef(output.path)
    if output.functions and not output.works:
        yield _loose(
            output.path,
            (ref, *(FunctionRef(name) for name in output.functions)),
            f"{', '.join(output.functions)} presses {output.path}, which works nothing.",
            because="Write what it works, as 'works: gate.open'.",
        )
    elif (
        output.works
        and not output.functions
        and not all(driven.reads == "zone" for driven in driven_of(case, output))
    ):  # a zone is told things, nobody presses it
        yield _loose(
            output.path,
            (ref,),
            f"{output.path} works {', '.join(output.works)}, but no function presses it.",
            ask=f"Name the function that {output.path} is for, or take it out and call it a spare.",
            offers=(Remedy("Take the output out", "a spare output", (change(output, "works", None),)),),
        )


def _loose_functions(case: Case) -> Iterator[Finding]:
    """OUT-08, of functions."""
    outputs = {output.path for output in case.outputs()}
    for name, function in case.job.functions.items():
        missing = [path for path in function.paths if path not in outputs]
        because = "Write premises/receiver/output."
        wishes = undrawn(case, name) if not missing else ()
        if wishes:
            shall = listed(works for _, works in wishes)
            says = f"{name} shall work {shall}, and no output is drawn for that yet."
            yield _loose(name, (FunctionRef(name),), says, because="'farpress design' draws one up.")
        elif not function.paths:
            yield _loose(name, (FunctionRef(name),), f"{name} presses no output.", because=because)
        elif missing:
            says = f"{name} presses {', '.join(missing)}, which is not there."
            yield _loose(name, (FunctionRef(name),), says, because=because)
        elif not case.groups_with(name):
            ask = f"Say which group has {name}, or take it out."
            yield _loose(name, (FunctionRef(name),), f"{name} is on no button.", ask=ask)


def _loose_loads(case: Case) -> Iterator[Finding]:
    """OUT-08, of loads that nothing in the job works: one of its contacts may, without a word about it."""
    worked = {
        f"{output.premises}/{works.partition('.')[0]}" for output in case.outputs() for works in output.works
    }
    shall = [works.partition(".")[0] for function in case.job.functions.values() for works in function.wished]
    for premises, house in case.job.premises.items():
        signals = [
            signal.works.partition(".")[0]
            for box in house.receivers.values()
            for signal in box.signals.values()
        ]
        for name, device in house.devices.items():
            path = f"{premises}/{name}"
            is_load = case.equipment.devices[path].sheet.traits.is_load
            if not is_load or device.fed is not None or path in worked or {name, path} & {*shall, *signals}:
                continue
            yield _loose(
                path,
                (DeviceRef(path),),
                f"Nothing in the job works {name}.",
                because="A contact that switches it beside something else bears it too.",
                ask=f"Say what works {name}: an output, alone or 'with' another thing, or who on site.",
            )


def _loose(
    about: str,
    subjects: tuple[Ref, ...],
    says: str,
    *,
    because: str = "",
    ask: str = "",
    offers: tuple[Remedy, ...] = (),
) -> Finding:
    return LEADS_SOMEWHERE.decide(
        about=about,
        subjects=subjects,
        answer=Answer.UNKNOWN if ask else Answer.NO,
        says=says,
        because=because,
        asks=(Ask(ask, Who.INSTALLER),) if ask else (),
        offers=offers,
        sources=(GIVEN,),
    )
