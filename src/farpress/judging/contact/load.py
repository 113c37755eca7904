"""Judges every relay contact: what it carries and at how many volts; the other modules here do the rest.

What it makes is judged in `making`, what keeps it clean in `wetting`, what catches a coil in `suppression`,
life and the pairing of motors in `use`.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.switched import LOWEST_MAINS_V, Load, Switched, switched
from farpress.core.wiring.contacts import allowed_share
from farpress.domain.finding import Finding, Link, Stake, Verdict
from farpress.judging.check import AT_MOST, Answer, Check, Estimate, Limit, no_edge, share_edge
from farpress.judging.contact.beside import judge_beside
from farpress.judging.contact.circuits import judge_circuits
from farpress.judging.contact.glimmer import judge_glimmer
from farpress.judging.contact.making import judge_making
from farpress.judging.contact.stronger import (
    allowed_share_of,
    missing_of,
    names_of,
    power_loads,
    stronger,
    voltage_ask,
)
from farpress.judging.contact.suppression import judge_breaking
from farpress.judging.contact.there import judge_there
from farpress.judging.contact.use import judge_use
from farpress.judging.contact.used_before import judge_used_before
from farpress.judging.contact.wetting import judge_wetting
from farpress.sources import Citation, Mark, cited
from farpress.units import write_quantity, write_share

__all__ = ["CONTACT_VOLTAGE", "STEADY_CURRENT", "judge"]

_DERATING_SPREAD: Final = 0.25
"""Published shares for coils, lamps and motors differ by about a quarter; common practice, no source."""

STEADY_CURRENT: Final = Check(
    "CON-01",
    Link.CONTACT,
    "Steady current of a load, by its kind, against the rating of the contact.",
    unit="A",
    bound=AT_MOST,
    thin=share_edge(
        _DERATING_SPREAD, "what a coil, lamp or motor may draw of a rating is a rule of thumb (our choice)"
    ),
    stake=Stake.WEAR,
    ask="Read the rated current of the contact off its data sheet.",
    mends="A relay or contactor rated for the load, between contact and load.",
)

CONTACT_VOLTAGE: Final = Check(
    "CON-05",
    Link.CONTACT,
    "Voltage of a circuit, mains above all, against what the contact may switch.",
    unit="V",
    bound=AT_MOST,
    thin=no_edge("a rated voltage is a class that a circuit of the same nominal voltage may use fully"),
    stake=Stake.HARM,
    ask="Read the rated voltage of the contact off its data sheet.",
    mends="A relay or contactor rated for the voltage, between contact and load.",
)

_TOUCH_LIMIT_V: Final = 50.0
"""Above this, or where it is mains, only a licensed electrician: upper limit of extra-low voltage for
alternating current, IEC 60364-4-41; from memory.
"""

_KIND_WORDS: Final = {"inductive dc": "DC coil", "coil ac": "AC coil", "led": "LED driver"}
"""Kind of load → how a sentence calls it, where the two differ."""

_DEFERENCE: Final = "Mains side only by a licensed electrician; national wiring rules come first."

_ARC: Final = Citation(
    "above 30 V direct current an arc over a coil does not go out by itself", mark=Mark.PRACTICE
)


def judge(case: Case) -> Iterator[Finding]:
    """Every finding about contacts, in the order of the job."""
    circuits = tuple(switched(case))
    for circuit in circuits:
        yield from _voltage(case, circuit)
        yield from _steady(case, circuit)
        yield from judge_making(case, circuit)
        yield from judge_breaking(case, circuit)
        yield from judge_wetting(case, circuit)
        yield from judge_used_before(case, circuit)
        yield from judge_circuits(case, circuit)
    yield from judge_use(case, circuits)
    yield from judge_beside(case, circuits)
    yield from judge_there(case)
    yield from judge_glimmer(case, circuits)


def _steady(case: Case, circuit: Switched) -> Iterator[Finding]:
    """CON-01: the current itself, against the share of the rating that its kind of load may draw; of several
    kinds the share by which they wear the contact together.
    """
    powers = power_loads(circuit)
    if not powers:
        return
    contact = circuit.contact
    sources = (*(source for load in powers for source in load.sources), *cited(allowed_share))
    unrated = next((load for load in powers if allowed_share_of(circuit, load) == 0), None)
    if unrated is not None:
        yield STEADY_CURRENT.decide(
            about=circuit.about,
            subjects=circuit.subjects,
            answer=Answer.NO,
            says=f"{contact.name} is not rated for the coil of {unrated.name} at {unrated.volts:g} V direct"
            " current.",
            because="Above 30 V direct current an arc over a coil does not go out by itself.",
            remedies=lambda _: stronger(case, circuit, powers),
            sources=(*contact.sources, *sources, _ARC),
            stake=Stake.HARM,
        )
        return
    asks = [ask for load in powers for ask in missing_of(load)]
    asks += [f"Read the rated current of {contact.name} off its data sheet."] * (contact.rated_a is None)
    known = [load for load in powers if load.amperes is not None]
    total_a = sum(load.amperes or 0.0 for load in known)
    equal_a = sum((load.amperes or 0.0) / allowed_share_of(circuit, load) for load in known)
    allowed_a = contact.rated_a
    if contact.rated_a is not None and equal_a > 0:
        allowed_a = contact.rated_a * total_a / equal_a
    told = f"{contact.name}, rated {contact.rated_a or 0.0:g} A, switches" + (
        f" {' and '.join(_drawn(circuit, load) for load in known)}."
    )
    unknown = f"Whether {contact.name} carries {names_of(powers)} is not known."
    yield STEADY_CURRENT.judge(
        about=circuit.about,
        subjects=circuit.subjects,
        value=Estimate(total_a if known else None, None, sources),
        limit=Limit(allowed_a, (*contact.sources, *sources)),
        says=lambda verdict: unknown if verdict is Verdict.UNKNOWN else told,
        because=f"What switches on with a surge, or off with an arc, wears the contact like more: here like"
        f" {equal_a:.3g} A of a plain resistive load, for which its {contact.rated_a or 0.0:g} A are meant."
        f" Thin means above {write_share(1 - _DERATING_SPREAD)} of what is allowed.",
        asks=tuple(dict.fromkeys(asks)),
        remedies=lambda _: stronger(case, circuit, powers),
    )


def _drawn(circuit: Switched, load: Load) -> str:
    share = allowed_share_of(circuit, load)
    amperes = write_quantity(load.amperes or 0.0, "current")
    kind = _KIND_WORDS.get(load.kind or "", load.kind or "load")
    rated = circuit.contact.rated_a
    of_it = f", {write_quantity(share * rated, 'current')}" if rated is not None and share < 1 else ""
    return f"{amperes} {load.name} ({kind}: {write_share(share, '.0f')} of the rating{of_it}, allowed)"


def _voltage(case: Case, circuit: Switched) -> Iterator[Finding]:
    """CON-05: mains only where the contact is made for mains; other volts up to the rated ones."""
    contact = circuit.contact
    mains = [load for load in circuit.loads if load.is_mains]
    volts = max((load.volts for load in circuit.loads if load.volts is not None), default=None)
    sources = tuple(source for load in circuit.loads for source in load.sources)
    if mains:
        yield _mains(case, circuit, mains, volts, sources)
        return
    rated = contact.rated_v
    asks = [voltage_ask(load) for load in circuit.loads if load.volts is None]
    asks += [f"Read the rated voltage of {contact.name} off its data sheet."] * (rated is None)
    if volts is None or rated is None:
        says = f"Whether {contact.name} may switch the volts of {names_of(list(circuit.loads))} is not known."
    else:
        says = f"{volts:g} V stand across {contact.name}, which is rated for {rated:g} V."
    is_low = volts is None or volts <= _TOUCH_LIMIT_V
    yield CONTACT_VOLTAGE.judge(
        about=circuit.about,
        subjects=circuit.subjects,
        value=Estimate(volts, None, sources),
        limit=Limit(rated, contact.sources),
        says=says,
        because="" if is_low else _DEFERENCE,
        asks=asks,
        remedies=lambda _: stronger(case, circuit, list(circuit.loads)),
        stake=Stake.PROMISE if is_low else Stake.HARM,
    )


def _mains(
    case: Case, circuit: Switched, mains: list[Load], volts: float | None, sources: tuple[Citation, ...]
) -> Finding:
    contact, names = circuit.contact, names_of(mains)
    asks: tuple[str, ...] = ()
    is_made = contact.mains_rated
    if is_made:
        is_made = None if contact.rated_v is None else contact.rated_v >= (volts or LOWEST_MAINS_V)
    if contact.mains_rated is None:
        says = (
            f"{names} is mains; whether {contact.name} may switch mains is not known. Until then it may not."
        )
        asks = (f"Read off the data sheet whether {contact.name} is rated for mains.",)
    elif contact.mains_rated and contact.rated_v is None:
        says = f"{contact.name} is rated for mains, for how many volts is not known; it switches {names}."
        asks = (f"Read the rated voltage of {contact.name} off its data sheet.",)
    elif is_made:
        says = f"{contact.name} is rated for mains; it switches {names}."
    elif contact.mains_rated:
        says = (
            f"{names} is mains at {volts or LOWEST_MAINS_V:g} V; {contact.name} is called rated for mains,"
            f" and its contact for {contact.rated_v:g} V. The lower counts."
        )
    else:
        says = f"{names} is mains, and {contact.name} is not rated for mains."
    return CONTACT_VOLTAGE.decide(
        about=circuit.about,
        subjects=circuit.subjects,
        answer=Answer.of(is_made),
        says=says,
        because=_DEFERENCE,
        asks=asks,
        remedies=lambda _: stronger(case, circuit, mains),
        sources=(*contact.sources, *sources),
        bars=True,
        value=volts,
        limit=contact.rated_v,
    )
