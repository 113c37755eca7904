"""Things that hurt, or of which nobody says whether they can: what is asked and advised everywhere."""

from __future__ import annotations

from typing import Final

from farpress.case.driven import Driven
from farpress.domain.finding import Ask, Remedy, Who
from farpress.domain.told_words import MACHINE, told

__all__ = [
    "FREE_EXIT",
    "RUN_WHILE_HELD",
    "TRAPPED",
    "ask_safeguards",
    "ask_tested",
    "ask_what_it_is",
    "ask_who_leaves",
    "may_hurt",
    "said_to_hurt",
]

RUN_WHILE_HELD: Final = Remedy(
    "Let it run only while the button is held, from where load and rope are seen", "letting go stops it"
)


FREE_EXIT: Final = Remedy(
    "A way out that opens by hand at all times, without fob, key or power: a wicket with a panic bar or"
    " latch, or a push button that works without the receiver"
)
TRAPPED: Final = Remedy("The hand release explained, and who frees somebody who is shut in, at what number")


def may_hurt(driven: Driven) -> bool:
    """Whether its kind tells not what starts, or feeds what nobody names, and nobody wrote "harmless"."""
    return (driven.traits.is_unsaid or driven.traits.feeds_more) and not driven.sheet.harmless


def said_to_hurt(driven: Driven, *remarks: str) -> str:
    """The word by which people name a machine that is declared as something else; empty where none does.

    Args:
        driven: what is worked.
        remarks: what stands about its functions.
    """
    traits = driven.traits
    if driven.device is None or driven.sheet.harmless or traits.hurts or traits.moves or traits.is_unsaid:
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
