"""Judges whether a command input lets enough current flow, at enough volts, to keep its contact clean."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.behaviour import is_collector
from farpress.case.case import Case
from farpress.case.switched import Load, Switched
from farpress.core.wiring.contacts import wetting_resistor_ohm
from farpress.core.wiring.eseries import value_at_most
from farpress.domain.finding import Finding, Link, Remedy, Stake, Verdict
from farpress.domain.refs import OutputRef
from farpress.judging.check import AT_LEAST, Check, Estimate, Limit, no_edge
from farpress.judging.contact.relay_choice import relay_remedy
from farpress.judging.contact.stronger import voltage_ask
from farpress.units import write_quantity

__all__ = ["WETTING_CURRENT", "WETTING_VOLTAGE", "judge_wetting"]

WETTING_CURRENT: Final = Check(
    "CON-04",
    Link.CONTACT,
    "Current of a command input, against the least that keeps the contact clean.",
    unit="A",
    bound=AT_LEAST,
    stake=Stake.WEAR,
    ask="Read the least current of the contact off its data sheet.",
    mends="A contact made for small currents, or a resistor that raises the current.",
)

WETTING_VOLTAGE: Final = Check(
    "CON-08",
    Link.CONTACT,
    "Voltage of a command input, against the least that breaks through the film on the contact.",
    unit="V",
    bound=AT_LEAST,
    thin=no_edge("the least voltage is a class, as the voltage of the input is"),
    stake=Stake.WEAR,
    ask="Read the voltage of the open input off its data sheet.",
    mends="A contact made for small voltages.",
)

_WETTING_HEADROOM: Final = 1.2
"""How far above the contact's minimum a resistor is to bring the current; our choice."""

_FILM: Final = (
    "Too small a current does not burn off the film that grows on a contact: after a year or two presses are"
    " ignored."
)


def judge_wetting(case: Case, circuit: Switched) -> Iterator[Finding]:
    """CON-04 and CON-08, of every command input that a contact works; a transistor grows no film."""
    if is_collector(case, circuit.at) and not circuit.at.output.via:
        return
    for load in circuit.loads:
        if load.is_signal:
            yield _current(case, circuit, load)
            yield _voltage(case, circuit, load)


def _current(case: Case, circuit: Switched, load: Load) -> Finding:
    contact, minimum = circuit.contact, circuit.contact.min_a
    asks = [f"Read the current of the input {load.name} off its data sheet."] * (load.amperes is None)
    asks += [f"Read the least current of {contact.name} off its data sheet."] * (minimum is None)
    if load.amperes is None or minimum is None:
        says = f"Whether the current of {load.name} keeps {contact.name} clean is not known."
    else:
        says = (
            f"{load.name} lets {write_quantity(load.amperes, 'current')} flow; {contact.name} needs"
            f" {write_quantity(minimum, 'current')}."
        )
    return WETTING_CURRENT.judge(
        about=f"{circuit.about}: {load.name}",
        subjects=(OutputRef(circuit.at.path), *load.subjects),
        value=Estimate(load.amperes, None, load.sources),
        limit=Limit(minimum, contact.sources),
        says=says,
        because=lambda verdict: "" if verdict is Verdict.UNKNOWN else _FILM,
        asks=asks,
        remedies=lambda _: (*_cleaner(case, circuit, load), *_resistor(load, minimum or 0.0)),
    )


def _voltage(case: Case, circuit: Switched, load: Load) -> Finding:
    contact, least_v = circuit.contact, circuit.contact.min_v
    asks = [voltage_ask(load)] * (load.volts is None)
    asks += [f"Read the least voltage of {contact.name} off its data sheet."] * (least_v is None)
    if load.volts is None or least_v is None:
        says = f"Whether the voltage of {load.name} keeps {contact.name} clean is not known."
    else:
        says = f"{load.name} puts {load.volts:g} V on {contact.name}, which needs {least_v:g} V."
    return WETTING_VOLTAGE.judge(
        about=f"{circuit.about}: {load.name}",
        subjects=(OutputRef(circuit.at.path), *load.subjects),
        value=Estimate(load.volts, None, load.sources),
        limit=Limit(least_v, contact.sources),
        says=says,
        because=lambda verdict: "" if verdict is Verdict.UNKNOWN else _FILM,
        asks=asks,
        remedies=lambda _: _cleaner(case, circuit, load),
    )


def _cleaner(case: Case, circuit: Switched, load: Load) -> tuple[Remedy, ...]:
    """A contact that needs less."""
    remedy = relay_remedy(
        case,
        circuit.at,
        does="Let {relay} switch the input.",
        fits=lambda sheet: (
            sheet.contact_min_a is not None
            and load.amperes is not None
            and sheet.contact_min_a <= load.amperes
        ),
        effect=lambda sheet: (
            f"its contact needs only {write_quantity(sheet.contact_min_a or 0.0, 'current')}"
        ),
    )
    gold = Remedy("Put a small relay with gold contacts between; its coil wets the receiver's contact.")
    return (remedy or gold,)


def _resistor(load: Load, minimum_a: float) -> tuple[Remedy, ...]:
    """A resistor that raises the current, where the input has a supply of its own to draw it from."""
    wanted_a = _WETTING_HEADROOM * minimum_a
    if not load.volts or load.amperes is None or load.is_panel or wanted_a <= load.amperes:
        return ()
    ohm = value_at_most(wetting_resistor_ohm(voltage_v=load.volts, current_a=load.amperes, wanted_a=wanted_a))
    watts = load.volts**2 / ohm
    total_a = load.amperes + load.volts / ohm
    return (
        Remedy(
            f"Put {write_quantity(ohm, 'resistance')} in parallel with the input {load.name}, {watts:.2g} W,"
            " take a part of twice that. Find out first which side the contact switches: from the switched"
            " wire to the return where it brings the plus; to the plus where it ties an input that is pulled"
            " up to its common. The wrong side may hold the command.",
            f"{write_quantity(total_a, 'current')} through the contact; ask the maker of the drive whether"
            " its terminals give that much",
        ),
    )
