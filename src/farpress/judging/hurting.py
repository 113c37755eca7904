"""Things that hurt, or of which nobody says whether they can: what is asked and advised everywhere."""

from __future__ import annotations

import math
from typing import Final

from farpress.case.behaviour import shortest_hold_s
from farpress.case.case import Case, OutputAt
from farpress.case.driven import Driven
from farpress.case.leaf import OVERTRAVEL_LONGEST_M, RunOn, run_on, whole_travel_s
from farpress.domain.finding import Ask, Remedy, Who
from farpress.domain.kinds import device_kind
from farpress.domain.told_words import MACHINE, told
from farpress.phrases import listed

__all__ = [
    "FIXED_HOLD",
    "FREE_EXIT",
    "RUN_WHILE_HELD",
    "TRAPPED",
    "ask_safeguards",
    "ask_tested",
    "ask_what_it_is",
    "ask_who_leaves",
    "held_by",
    "held_instead",
    "hurts_by",
    "may_hurt",
    "said_to_hurt",
    "surely_hurts",
]

RUN_WHILE_HELD: Final = Remedy(
    "Let it run only while the button is held, from where the load and all that carries it are seen",
    "letting go stops it",
)

FIXED_HOLD: Final = Remedy(
    "A fixed push-and-hold control in sight of the load and all that carries it, with limit switches; no fob",
    "letting go stops it",
)


MANY_HOLDS: Final = 3
"""Presses in a row from which on people help themselves with tape or a wedge; our choice."""


FREE_EXIT: Final = Remedy(
    "A way out that opens by hand at all times, without fob, key or power: a wicket with a panic bar or"
    " latch, or a push button that works without the receiver"
)
TRAPPED: Final = Remedy("The hand release explained, and who frees somebody who is shut in, at what number")


def held_instead(case: Case, output: OutputAt, driven: Driven) -> tuple[Remedy, str]:
    """How a hanging load is moved: held from a fob, or from a fixed control where a fob cannot hold it.

    Returns:
        The remedy, and why the fob is none; empty where it is one.
    """
    hold = shortest_hold_s(case, output)
    return held_by(driven, None if hold is None else hold[0], run_on(case, output, driven))


def held_by(driven: Driven, hold_s: float | None, ran: RunOn) -> tuple[Remedy, str]:
    """The same of a fob that stops by itself after so long, and of how far the load runs on.

    Args:
        driven: what would be held.
        hold_s: after which the fob stops by itself; None where nobody knows [s].
        ran: how far it runs on once let go.
    """
    travel, reasons = whole_travel_s(driven.sheet), []
    if travel is not None and hold_s is not None and hold_s < travel:
        short = f"the fob stops by itself after {hold_s:g} s of {travel:.0f} s"
        presses = math.ceil(travel / hold_s - 1e-9)
        if ran.speed_m_per_s is not None:
            way, whole = ran.speed_m_per_s * hold_s, ran.speed_m_per_s * travel
            short += f", {way:.1f} m of {whole:.0f} m, so that it takes {presses} presses"
        if presses >= MANY_HOLDS:
            short += ", which invites a tape over the button: then nothing stops it"
        reasons.append(short)
    if ran.way_m is not None and ran.way_m > OVERTRAVEL_LONGEST_M:
        most = 1000 * OVERTRAVEL_LONGEST_M
        reasons.append(f"it runs on by {1000 * ran.way_m:.0f} mm after letting go, more than {most:g} mm")
    elif ran.way_m is not None and reasons:
        reasons.append(f"it runs on by {1000 * ran.way_m:.0f} mm after letting go")
    if not reasons:
        return RUN_WHILE_HELD, ""
    return FIXED_HOLD, f"Held from a fob instead is no way round: {listed(reasons)}."


def may_hurt(driven: Driven) -> bool:
    """Whether its kind tells not what starts, or feeds what nobody names, or what it does."""
    hides = driven.traits.is_unsaid or (driven.traits.feeds_more and driven.sheet.feeds is None)
    return hides and driven.sheet.harmless is None


def surely_hurts(driven: Driven) -> bool:
    """Whether its kind tells that a start hurts whoever is at it, or somebody wrote so."""
    return bool(hurts_by(driven)) or driven.sheet.harmless is False


def hurts_by(driven: Driven) -> str:
    """What it, or what a contactor feeds, does to somebody at it when it starts; empty where nothing."""
    if driven.sheet.harmless:
        return driven.traits.hurts
    return driven.traits.hurts or device_kind(driven.sheet.feeds).hurts


def said_to_hurt(driven: Driven, *remarks: str) -> str:
    """The word by which people name a machine that is declared as something else; empty where none does.

    Args:
        driven: what is worked.
        remarks: what stands about its functions.
    """
    traits = driven.traits
    if driven.device is None or driven.sheet.harmless or traits.moves or traits.is_unsaid:
        return ""
    if hurts_by(driven) or driven.sheet.feeds is not None:
        return ""
    return told(MACHINE, driven.path.split("/")[1], driven.device.says, *remarks)


def ask_what_it_is(driven: Driven) -> Ask:
    """What it is, and whether somebody who is at it can be hurt."""
    name = driven.path.split("/")[1]
    return Ask(
        f"Find out what {name} {'feeds' if driven.traits.feeds_more else 'is'} and whether it can hurt"
        " somebody who is at it, and write 'harmless' if it cannot.",
        Who.INSTALLER,
        5.0,
    )


def ask_who_leaves(name: str) -> Ask:
    """Whether people get out through it, and how."""
    return Ask(
        f"Ask who leaves through {name}, and try from inside: it should open by hand without fob, key"
        " or power.",
        Who.CUSTOMER,
        5.0,
    )


def ask_safeguards(name: str) -> Ask:
    """What keeps it from hurting somebody, and whether that was tested."""
    return Ask(
        f"Look at {name} for beams, edge, force limit, loop or presence detection, and for the record"
        " of their test.",
        Who.INSTALLER,
        15.0,
    )


def ask_tested(name: str) -> Ask:
    """Whether the safeguards that it has were tested."""
    return Ask(f"Ask for the record of the test of {name}, or have it tested.", Who.INSTALLER, 15.0)
