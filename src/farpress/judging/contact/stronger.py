"""What stronger contact a load needs: a relay of the job or catalogue, or what one must be rated for."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from farpress.case.case import Case
from farpress.case.switched import Load, Switched
from farpress.case.turned import turned_pair
from farpress.core.wiring.contacts import PEAK_MULTIPLES, allowed_share
from farpress.domain.finding import Remedy
from farpress.judging.contact.relay_choice import relay_remedy
from farpress.units import write_at_least

__all__ = [
    "allowed_share_of",
    "how_many",
    "is_suppressed",
    "missing_of",
    "names_of",
    "power_loads",
    "stronger",
    "voltage_ask",
]

_SEVERAL: Final = frozenset({"led", "lamp", "capacitive"})
"""Kinds of load of which one contact mostly switches several; common practice."""

_LEAST_SHARE: Final = 0.1
"""Share of a rating that a load is taken to be allowed where a contact is not rated for it at all: what is
left above 30 V direct current for loads without a coil, see `allowed_share`.
"""


def stronger(case: Case, circuit: Switched, loads: Sequence[Load]) -> tuple[Remedy, ...]:
    """A relay or contactor of the job or catalogue that does it, or what one must be rated for.

    Args:
        case: the job.
        circuit: the contact that is too weak.
        loads: what the stronger one is to switch.
    """
    of_known_kind = [load for load in loads if load.kind]
    steady_a = sum(
        (load.amperes or 0.0) / (allowed_share_of(circuit, load) or _LEAST_SHARE) for load in of_known_kind
    )
    peak_a = sum(
        load.piece_peak_a * load.pieces
        if load.piece_peak_a
        else (load.amperes or 0.0) * PEAK_MULTIPLES[load.kind or "resistive"][1]
        for load in of_known_kind
    )
    is_mains = any(load.is_mains for load in loads)
    volts = max((load.volts or 0.0 for load in loads), default=0.0)
    # a coil that is too much for the receiver's contact is not helped by taking its relay away
    is_coil = circuit.at.output.via is not None and not circuit.contact.is_relay
    remedy = None
    if turned_pair(case, circuit.at) is not None:
        return (
            Remedy(
                "A changeover relay behind each of the two outputs, its coil on the output and its contact in"
                f" the output's place, rated at {volts:g} V for at least"
                f" {write_at_least(steady_a, 'current')} resistive and"
                f" {write_at_least(peak_a, 'current')} making"
            ),
        )
    if not is_coil:
        remedy = relay_remedy(
            case,
            circuit.at,
            does="Let {relay} switch it.",
            fits=lambda sheet: (
                (sheet.contact_rated_a or 0.0) >= steady_a
                and (sheet.contact_make_a or 0.0) >= peak_a
                and (sheet.contact_rated_v or 0.0) >= volts
                and bool(sheet.mains_rated or not is_mains)
            ),
            effect=lambda sheet: (
                f"it carries {sheet.contact_rated_a:g} A and makes {sheet.contact_make_a:g} A"
            ),
        )
    if remedy is not None:
        return (remedy,)
    rated_for = ""
    if is_mains:
        rated_for = " for mains"
    elif volts:
        rated_for = f" at {volts:g} V"
    return (
        Remedy(
            f"Put a relay or contactor between, rated{rated_for} for at least"
            f" {write_at_least(steady_a, 'current')} resistive and"
            f" {write_at_least(peak_a, 'current')} making."
        ),
    )


def allowed_share_of(circuit: Switched, load: Load) -> float:
    """Share of the contact's rating that the load may draw; 1 where the load is not known well enough."""
    if load.kind is None or load.volts is None or load.alternating is None:
        return 1.0
    return allowed_share(
        kind=load.kind, voltage_v=load.volts, alternating=load.alternating, suppressed=is_suppressed(circuit)
    )


def is_suppressed(circuit: Switched) -> bool:
    """Whether something is known to catch a coil's energy."""
    return circuit.suppression not in (None, "none")


def power_loads(circuit: Switched) -> list[Load]:
    """What draws its own current through the contact; command inputs do not."""
    return [load for load in circuit.loads if not load.is_signal]


def missing_of(load: Load) -> list[str]:
    """What to find out before the current of a load can be judged, a question each."""
    named = (
        (f"Read the steady current of {load.name} off its label.", load.amperes),
        (f"Read the kind of load of {load.name} off its label.", load.kind),
        (voltage_ask(load), load.volts),
        (f"Read the kind of current (DC or AC) of {load.name} off its label.", load.alternating),
    )
    asks = [ask for ask, value in named if value is None]
    return [*asks, *how_many(load)]


def how_many(load: Load) -> list[str]:
    """The question for a number that nobody wrote, of what seldom comes alone: lights on mains."""
    if load.pieces_said or not load.is_mains or load.kind not in _SEVERAL:
        return []
    return [f"Count how many of {load.name} this contact switches, and write it as 'pieces'."]


def voltage_ask(load: Load) -> str:
    """The question for the voltage that a load or an input puts on the open contact."""
    what = "voltage of the open input" if load.is_signal else "voltage of"
    return f"Read the {what} {load.name} off its label."


def names_of(loads: Sequence[Load]) -> str:
    """Their names in a sentence."""
    return " and ".join(load.name for load in loads)
