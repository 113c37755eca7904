"""The checks of the rules, kind of rule by kind of rule."""

from __future__ import annotations

from typing import Final

from farpress.domain.finding import Link, Stake, Who
from farpress.judging.check import AT_MOST, Check, no_edge

__all__ = ["ACKNOWLEDGED", "ALWAYS", "CHECK_OF", "NEVER_MATTERS"]

_GIVEN_TIME: Final = no_edge("the time that a customer asks for has its reserve in it")


def _yes_or_no(code: str, says: str, stake: Stake, *, bars: bool = False, halts: bool = False) -> Check:
    return Check(
        code,
        Link.RULE,
        says,
        stake=stake,
        bars=bars,
        halts=halts,
        ask="Find out what the rule rests on.",
        who=Who.INSTALLER,
    )


def _at_most(code: str, says: str, stake: Stake, unit: str = "s") -> Check:
    return Check(code, Link.RULE, says, unit=unit, bound=AT_MOST, thin=_GIVEN_TIME, stake=stake)


BOTH_ON: Final = _yes_or_no("RULE-01", "Rule: two things never both on.", Stake.HARM)
AFTER_POWER: Final = _yes_or_no("RULE-02", "Rule: never works after power return.", Stake.HARM)
WITHOUT_SIGHT: Final = _yes_or_no("RULE-03", "Rule: never works without sight.", Stake.HARM)
WORKS_BY: Final = _yes_or_no("RULE-04", "Rule: never works by somebody.", Stake.PROMISE)
ON_LONGER: Final = _at_most("RULE-05", "Rule: never on longer than a time.", Stake.PROMISE)
SECOND_PRESS: Final = _yes_or_no(
    "RULE-06", "Rule: never a second press that counts within a time.", Stake.HARM
)
ONE_PRESS: Final = _yes_or_no("RULE-07", "Rule: never unset and open by one press.", Stake.DUTY)
OUT_OF_STEP: Final = _at_most("RULE-08", "Rule: never a state out of step.", Stake.PROMISE, unit="")
TOGGLES: Final = _yes_or_no(
    "RULE-09", "Rule: never toggles, neither the output nor the input it works.", Stake.PROMISE
)
HELD_ON_START: Final = _at_most("RULE-10", "Rule: never held on a start input.", Stake.HARM)
LOST_FOB: Final = _at_most("RULE-11", "Rule: never a lost fob known for longer than a time.", Stake.PROMISE)
FOB_ALONE: Final = _yes_or_no(
    "RULE-50", "Rule: an alarm never unset by a fob alone, so that whoever finds one unsets it.", Stake.DUTY
)
KEPT_DATA: Final = _yes_or_no(
    "RULE-12", "Rule: never data kept for longer than a time after leaving.", Stake.DUTY
)
OCCUPIED: Final = _yes_or_no("RULE-13", "Rule: never closes while occupied.", Stake.HARM, halts=True)
WAY_OUT: Final = _yes_or_no(
    "RULE-14", "Rule: never a fob needed to leave.", Stake.HARM, bars=True, halts=True
)
NEVER_MATTERS: Final = Check(
    "RULE-15",
    Link.RULE,
    "A rule about something that is not there, or that can never matter.",
    stake=Stake.DUTY,
    ask="Look whether the job describes what the rule names as it is, or correct the name; leave a rule that"
    " keeps people safe as it is.",
    who=Who.INSTALLER,
    minutes=5.0,
    mends="The name corrected, or the job described as it is.",
)
ALWAYS: Final = _yes_or_no(
    "RULE-16",
    "What must never be whether a rule says so or not, searched through every press story.",
    Stake.HARM,
)
ACKNOWLEDGED: Final = _yes_or_no(
    "RULE-17",
    "The acknowledgement output: every change asked for by a fob is acknowledged, and no other.",
    Stake.PROMISE,
)
ALARM: Final = _yes_or_no(
    "RULE-18", "Rule: never an alarm although a press to unset was heard in the entry time.", Stake.PROMISE
)
BOTH_OPEN: Final = _yes_or_no(
    "RULE-19", "Rule: two leaves never both open, as their end contacts see them.", Stake.HARM
)
SET_ON_PEOPLE: Final = _yes_or_no(
    "RULE-20", "Rule: an alarm never set with somebody inside its area.", Stake.HARM
)
OPEN_WHILE_SET: Final = _yes_or_no(
    "RULE-21", "Rule: nothing open or unlocked while an alarm is set.", Stake.PROMISE
)
LIVE_AT_WORK: Final = _yes_or_no(
    "RULE-22", "Rule: never live while somebody works on it.", Stake.HARM, halts=True
)
TWO_INSIDE: Final = _yes_or_no(
    "RULE-23", "Rule: never more than one vehicle between the gates of a lock.", Stake.PROMISE
)
OUTSIDE_HOURS: Final = _yes_or_no("RULE-24", "Rule: nothing begins to work outside its hours.", Stake.PROMISE)

CHECK_OF: Final = {
    "both on": BOTH_ON,
    "works after power return": AFTER_POWER,
    "works without sight": WITHOUT_SIGHT,
    "works by": WORKS_BY,
    "on longer than": ON_LONGER,
    "second press within": SECOND_PRESS,
    "unset and open by one press": ONE_PRESS,
    "unset by a fob alone": FOB_ALONE,
    "state out of step": OUT_OF_STEP,
    "alarm despite unsetting": ALARM,
    "toggles": TOGGLES,
    "held on a start input": HELD_ON_START,
    "lost fob known longer than": LOST_FOB,
    "kept after leaving longer than": KEPT_DATA,
    "closes while occupied": OCCUPIED,
    "needed to leave": WAY_OUT,
    "both open": BOTH_OPEN,
    "set with somebody inside": SET_ON_PEOPLE,
    "open while set": OPEN_WHILE_SET,
    "live while worked on": LIVE_AT_WORK,
    "more than one inside": TWO_INSIDE,
    "works outside hours": OUTSIDE_HOURS,
}
"""Kind of rule, as in a job file → its check. Rules about reach belong to the air."""
