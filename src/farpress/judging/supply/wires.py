"""Judges wires: that they end somewhere, tie no supplies together, and that nothing feeds itself."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.cable_bodies import CableBody
from farpress.case.cables import cables_of, links_of
from farpress.case.case import Case
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.drawn_wires import drawn_diodes
from farpress.case.terminals_there import found_terminals
from farpress.case.wire_nets import SupplyPole, WireNets, live_poles, nets_of, supply_poles
from farpress.domain.finding import Finding, Link, Remedy, Stake
from farpress.domain.refs import OutputRef, PremisesRef, ReceiverRef, SupplyRef
from farpress.domain.terminals import Terminal
from farpress.judging.check import Answer, Check
from farpress.phrases import listed

__all__ = ["CONTACTS_APART", "CORES_END", "FEEDS_ITSELF", "SUPPLIES_APART", "judge"]

CORES_END: Final = Check(
    "SUP-22",
    Link.SUPPLY,
    "Cores and links that are drawn: each ends at two terminals that are there.",
    stake=Stake.PROMISE,
    ask="Say where each end of the core goes.",
    mends="The terminal named as it is, or the core left out as a spare one.",
)

SUPPLIES_APART: Final = Check(
    "SUP-23",
    Link.SUPPLY,
    "Live sides of supplies: not joined by wires to each other, nor to a way back.",
    stake=Stake.HARM,
    bars=True,
    ask="Trace the wires of the supplies.",
    mends="Each supply with wires of its own; only the 0 V may be common.",
)

FEEDS_ITSELF: Final = Check(
    "SUP-24",
    Link.SUPPLY,
    "Supply of a receiver: not over a contact of its own.",
    stake=Stake.PROMISE,
    ask="Say what feeds the receiver.",
    mends="The receiver fed straight from its supply, and the contact in the wire of what it works.",
)


CONTACTS_APART: Final = Check(
    "SUP-27",
    Link.SUPPLY,
    "Contacts of several outputs: not tied together over something that each of them works beside its own.",
    stake=Stake.PROMISE,
    ask="Trace the wires behind the contacts.",
    mends="A contact and a core of its own for what several are to work.",
)


def judge(case: Case) -> Iterator[Finding]:
    """SUP-22 of what is drawn, SUP-23 of every supply, SUP-24 of every receiver that a wire leads to, SUP-27
    of outputs that share what they work.
    """
    for premises, house in case.job.premises.items():
        nets = nets_of(case, premises)
        over_diodes = {end for _, *ends in drawn_diodes(case, premises) for end in ends}
        dead = frozenset(
            end
            for end in nets.terminals
            if end.thing in house.junctions and end not in over_diodes and nets.is_dead_end(end)
        )
        for body in cables_of(case, premises):
            if body.is_drawn:
                yield _ends(body, dead)
        if house.links or house.diodes:
            yield _links(case, premises)
        poles = supply_poles(house)
        for name in house.supplies:
            yield _supply(premises, name, nets, poles)
        for name in house.receivers:
            yield from _receiver(case, premises, name, nets)
        yield from _tied_contacts(case, premises, nets)


def _ends(body: CableBody, dead: frozenset[Terminal]) -> Finding:
    faults = [f"core {core.name}: {wrong}" for core in body.cores for wrong in core.wrong]
    loose = [
        f"core {core.name} ends at {listed(map(str, (*core.near, *core.far)))} and nowhere else"
        for core in body.conductors
        if not core.wrong and len(core.near) + len(core.far) < 2
    ]
    loose += [
        f"core {core.name} ends at {end}, where nothing else does"
        for core in body.conductors
        for end in (*core.near, *core.far)
        if end in dead and len(core.near) + len(core.far) > 1
    ]
    says = f"Every core of {body.label} that is in use ends at two terminals or more."
    if faults or loose:
        says = f"{body.label}: {'; '.join([*loose, *faults])}"
    return CORES_END.decide(
        about=f"ends of the cores of {body.label}",
        subjects=(body.ref,),
        answer=Answer.of(not (faults or loose)),
        says=says,
        because="What hangs on it gets nothing; a live end that is left open can touch another."
        if loose
        else "",
        remedies=(
            Remedy("Name the terminal that the other end goes to"),
            Remedy("A spare core: write it without ends, and join it to nothing"),
        ),
        sources=(GIVEN,),
    )


def _links(case: Case, premises: str) -> Finding:
    faults = [wrong for link in links_of(case, premises) for wrong in link.wrong]
    for name, diode in case.job.premises[premises].diodes.items():
        _, wrong = found_terminals(case, premises, (diode.from_, diode.to))
        faults += [f"diode {name}: {text}" for text in wrong]
    return CORES_END.decide(
        about=f"links at {premises}",
        subjects=(PremisesRef(premises),),
        answer=Answer.of(not faults),
        says=" ".join(faults)
        if faults
        else f"Every link and diode at {premises} joins terminals that are there.",
        remedies=(Remedy("Name the terminals as the thing has them"),),
        sources=(GIVEN,),
    )


def _supply(premises: str, name: str, nets: WireNets, poles: tuple[SupplyPole, ...]) -> Finding:
    mine = [pole for pole in poles if pole.supply == name and pole.is_live]
    faults: dict[str, None] = {}
    for pole in mine:
        there = nets.joined(pole.terminal)
        for other in poles:
            if other.terminal in there and other.terminal != pole.terminal:
                fault = _tied(pole, other)
                if fault:
                    faults[fault] = None
    return SUPPLIES_APART.decide(
        about=f"live side of {premises}/{name}",
        subjects=(SupplyRef(f"{premises}/{name}"),),
        answer=Answer.of(not faults),
        says=f"{'; '.join(faults)}." if faults else f"No wire joins {name}'s live side to another pole.",
        because="Supplies that are tied together feed into each other: the higher one carries everything, and"
        " a fault in one takes the other with it. A live side on a way back is a short circuit."
        if faults
        else "",
        remedies=(
            Remedy(
                "Take the wire out that joins them; join only the 0 V of supplies that must share signals"
            ),
            Remedy(
                "Where two are to back each other up: a module with diodes made for that, as its maker says"
            ),
        ),
        sources=(GIVEN, PRACTICE),
    )


def _tied(pole: SupplyPole, other: SupplyPole) -> str:
    """What is wrong with two poles on one wire; empty where nothing is."""
    if other.supply == pole.supply:
        branch, fellow = pole.terminal.name.rpartition(".")[0], other.terminal.name.rpartition(".")[0]
        if not other.is_live:
            return f"{pole.terminal} is joined to {other.terminal}: a short circuit"
        return (
            f"{pole.terminal} is joined to {other.terminal}: two fuses side by side"
            if branch != fellow
            else ""
        )
    if other.is_live:
        return f"{pole.terminal} is joined to {other.terminal}: two supplies tied together"
    return f"{pole.terminal} is joined to {other.terminal}, the way back of another supply"


def _tied_contacts(case: Case, premises: str, nets: WireNets) -> Iterator[Finding]:
    """SUP-27 of each group of outputs whose contacts meet behind them and lead to several things."""
    seen: set[frozenset[Terminal]] = set()
    for output in case.outputs():
        if output.premises != premises:
            continue
        contacts = {
            Terminal(output.receiver, f"{output.number}{side}")
            for side in (".make", ".break", ".collector", " relay.14")
        }
        start = next((end for end in contacts if end in nets.terminals and len(nets.joined(end)) > 1), None)
        if start is None:
            continue
        there = nets.joined(start)
        if there in seen:
            continue
        seen.add(there)
        receivers = case.job.premises[premises].receivers
        if any(pole.terminal in there for pole in supply_poles(case.job.premises[premises])):
            continue  # the side that a supply comes to, as of contacts that turn a motor's volts round
        numbers = {
            (end.thing, end.name.partition(".")[0].partition(" ")[0])
            for end in there
            if end.thing in receivers and end.name.endswith((".make", ".break", ".collector", " relay.14"))
        }
        things = sorted({end.thing for end in there if end.thing in case.job.premises[premises].devices})
        if len(numbers) < 2:
            continue
        outputs = sorted(f"{premises}/{receiver}/{number}" for receiver, number in numbers)
        is_tied = len(things) > 1
        yield CONTACTS_APART.decide(
            about=f"contacts of {listed(outputs)}",
            subjects=tuple(OutputRef(path) for path in outputs),
            answer=Answer.of(not is_tied),
            says=f"The contacts of {listed(outputs)} are tied together behind them: any of them works"
            f" {listed(things)}, all at once."
            if is_tied
            else f"The contacts of {listed(outputs)} work {listed(things)} side by side, and nothing else.",
            because="A wire joins both ways: what leads from each to the thing they share leads back from it"
            " to the others."
            if is_tied
            else "",
            remedies=(
                Remedy("An output of its own for what they share, on a core of its own"),
                Remedy(
                    "A relay for each of them with two contacts, one for its own and one for what they share"
                ),
            ),
            sources=(GIVEN, PRACTICE),
        )


def _receiver(case: Case, premises: str, name: str, nets: WireNets) -> Iterator[Finding]:
    """SUP-24 where a wire leads to its live terminal."""
    live = next(
        (terminal for pole in ("+", "~1") if (terminal := Terminal(name, pole)) in nets.terminals), None
    )
    if live is None:
        return
    sources = live_poles(case.job.premises[premises])
    without = nets.joined(live, over_contacts=True, but_of=name) & sources
    over_own = nets.joined(live, over_contacts=True) & sources
    feeds_itself = bool(over_own) and not without
    yield FEEDS_ITSELF.decide(
        about=f"feed of {premises}/{name}",
        subjects=(ReceiverRef(f"{premises}/{name}"),),
        answer=Answer.of(not feeds_itself),
        says=f"{name} gets current from {listed(sorted(map(str, over_own)))} only over a contact of its own."
        if feeds_itself
        else f"No contact of {name} lies in its own feed.",
        because="Over a make contact it never starts; over a break contact it cuts itself off as soon as it"
        " switches, drops out, and begins anew: it chatters until something burns."
        if feeds_itself
        else "",
        remedies=(Remedy(f"Feed {name} straight from its supply, before its contacts"),),
        sources=(GIVEN, PRACTICE),
    )
