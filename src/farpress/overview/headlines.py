"""What is wrong, in a few words and with its figures: one phrase for each check, for a page without codes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from farpress.domain.finding import Finding, Verdict
from farpress.units import write_quantity

__all__ = ["HEADLINES", "figures", "headline"]

HEADLINES: Final[dict[str, str]] = {
    "AIR-01": "not heard surely enough",
    "AIR-02": "level read far from the prediction",
    "AIR-03": "works from where it must never work",
    "AIR-04": "stands in the line of a wall",
    "AIR-05": "presses spoil each other at the busiest hour",
    "AIR-06": "the plan cannot be as drawn",
    "AIR-07": "not proved by the presses counted",
    "AIR-08": "too few presses counted to prove it",
    "AIR-09": "too weak while something runs",
    "AIR-90": "level and count contradict each other",
    "AIR-11": "a held press breaks off",
    "AIR-10": "one press works at two places",
    "CON-01": "too much current for the contact",
    "CON-02": "peak welds the contact",
    "CON-03": "nothing catches the coil's energy",
    "CON-04": "too little current for the contact",
    "CON-05": "volts its contact may not switch",
    "CON-06": "the contact wears out too soon",
    "CON-07": "several motors on one contact",
    "CON-08": "too few volts for the contact",
    "CON-09": "one contact joins two circuits",
    "CON-10": "live while it is switched off",
    "CON-11": "mains beside low volts inside the receiver",
    "CON-12": "a lamp glimmers while it is off",
    "CON-15": "the contactor that is there welds",
    "DEV-55": "a pump that runs dry or against shut valves",
    "DEV-56": "its beams see no body between the axles",
    "DEV-58": "two leaves in the wrong order",
    "DEV-59": "the other end goes before the way is clear",
    "DEV-57": "no hand lets it go without power",
    "DEV-20": "too low for heads while it is out",
    "DEV-70": "starts while the small door in it is open",
    "DEV-71": "too low for what drives through",
    "DEV-72": "runs off when a hand lets it go",
    "DEV-73": "its drive is too weak for the slope",
    "DEV-01": "the run ends before the travel does",
    "DEV-02": "runs on too far after letting go",
    "DEV-03": "closes unseen without safeguards",
    "DEV-04": "lock on a way out",
    "DEV-05": "more come than can pass",
    "DEV-06": "both gates can stand open",
    "DEV-09": "nothing takes it in before the wind",
    "DEV-08": "runs too long in a row: its motor gets too warm",
    "DEV-07": "shut in when no fob opens any more",
    "DEV-50": "nobody knows how far it stands open",
    "DEV-13": "it closes before who pressed is through",
    "DEV-14": "the drive pushes before the lock is free",
    "DEV-12": "a vehicle too long for the lock",
    "FOB-01": "the fob sends stronger than allowed",
    "FOB-02": "the fob sends longer than allowed",
    "FOB-03": "fixed code: who copies it gets in",
    "FOB-04": "the fob's cell runs down too soon",
    "FOB-05": "no button for a promised function",
    "FOB-06": "the cell is too weak in the cold",
    "FOB-07": "more buttons wanted than the fob has",
    "FOB-08": "unsetting lies beside what opens",
    "FOB-09": "the receiver may not tell a long press",
    "FOB-10": "out of step after a time away",
    "FOB-11": "nobody notices a dead fob",
    "FOB-20": "one button lets in here and bars there",
    "GAP-01": "nothing is described",
    "GAP-75": "judging took too much work",
    "KNOW-01": "facts of the fob are missing",
    "KNOW-02": "facts of the receiver are missing",
    "KNOW-03": "facts of the output are missing",
    "KNOW-04": "facts of the supply are missing",
    "KNOW-05": "facts of the device are missing",
    "KNOW-06": "facts of the panel are missing",
    "KNOW-07": "facts of the fobs are missing",
    "KNOW-08": "a value that can hardly be right",
    "OUT-56": "both ends of one lane can show go",
    "OUT-55": "runs without what it may only run with",
    "OUT-01": "kind or length does not suit the input",
    "OUT-02": "toggles where a known state is needed",
    "OUT-03": "the fob stops before the travel ends",
    "OUT-04": "comes on by itself after a power cut",
    "OUT-05": "can stay on too long",
    "OUT-06": "no sure pause between up and down",
    "OUT-07": "another press stops or turns it on the way",
    "OUT-08": "leads nowhere",
    "OUT-09": "the two buttons of the latch do not fit",
    "OUT-10": "a pulse the receiver cannot be set to",
    "OUT-11": "nothing keeps the others off",
    "OUT-12": "more outputs wanted than there are",
    "OUT-13": "the same press opens and shuts",
    "OUT-14": "shall go on longer than can be set",
    "OUT-15": "nothing keeps its hours",
    "OUT-16": "locks or opens by itself after a power cut",
    "OUT-30": "goes back by itself when its contact opens",
    "OUT-32": "a light that says go without power",
    "OUT-33": "little light for a long dark",
    "OUT-34": "contacts share one common terminal",
    "OUT-31": "goes back before the last one has passed",
    "OUT-17": "a press does not do what it is for",
    "OUT-19": "its outputs cannot turn the motor round",
    "OUT-22": "nothing brings it back",
    "OUT-51": "starts when nobody looks any more",
    "OUT-52": "goes on after the button is let go",
    "OUT-53": "its receiver cannot be set to that delay",
    "OUT-50": "dark before the slowest is through",
    "OUT-21": "the light goes out under whoever pressed",
    "OUT-20": "outputs side by side fall out of step",
    "OUT-18": "nothing takes it back",
    "PAN-42": "unset at night because another forgot",
    "PAN-43": "unset for hours by the first who comes",
    "PAN-01": "pulse too short for the panel",
    "PAN-02": "output and panel input do not fit",
    "PAN-03": "a loop is read wrongly",
    "PAN-04": "the status line is not read as on",
    "PAN-05": "a leg of the tamper loop stands out",
    "PAN-06": "nobody is told that the alarm is set",
    "PAN-07": "grade of the coupling too low",
    "PAN-08": "the panel reads an alarm at rest",
    "PAN-09": "a transistor on a loop is taken for something else",
    "PAN-10": "acknowledgement says nothing",
    "PAN-11": "two receivers acknowledge differently",
    "PAN-12": "pulse too long for the panel",
    "PAN-13": "status line asks too much of the panel's output",
    "PAN-14": "a leg of the tamper loop has changed",
    "PAN-15": "no contact that tells of an opened housing",
    "PAN-16": "the panel's auxiliary output gives too little",
    "PAN-17": "more current than the panel's output carries",
    "PAN-18": "set while somebody else is inside",
    "PAN-19": "all is set while people stay inside",
    "PAN-20": "unset for others as well",
    "PAN-21": "the panel misreads open contacts",
    "PAN-22": "the cable is not watched to its end",
    "PAN-23": "as found on site, the panel misreads it",
    "PAN-24": "a load on its core changes what the zone reads",
    "PAN-25": "the panel tells, and nobody is told",
    "PAN-26": "the receiver's housing is not watched",
    "PAN-27": "a call is not told at any time",
    "PAN-28": "the pulse is too short to be read",
    "PAN-29": "one press sets and unsets",
    "RCV-01": "aerial inside a steel housing",
    "RCV-02": "too much radio noise",
    "RCV-03": "the radio side is not described",
    "RCV-04": "too much lost in the coax",
    "RCV-05": "others are on the channel too often",
    "RCV-06": "too much for the receiver's own output",
    "RCV-07": "nobody is told of the receiver's signal",
    "RCV-08": "a shut contact is read as open",
    "RCV-09": "a status input works nothing",
    "RCV-10": "one lamp or sounder for two meanings",
    "REG-30": "one fob for several people",
    "REG-31": "one fob unsets for several firms",
    "REG-01": "more fobs than the memory holds",
    "REG-02": "the memory will be full soon",
    "REG-03": "first presses are swallowed",
    "REG-04": "a fob can hardly be deleted",
    "REG-05": "records nobody can name",
    "REG-06": "nobody answers for the names kept",
    "REG-07": "a lost fob takes too long",
    "REG-08": "replay and jamming",
    "REG-10": "lost fobs still work",
    "REG-11": "fobs of people who left",
    "REG-12": "receivers and register differ",
    "REG-13": "names kept too long",
    "REG-14": "first presses will be swallowed",
    "REG-15": "too few spare fobs",
    "REG-16": "fobs counted are not those listed",
    "REG-17": "deleting leavers takes many hours",
    "REG-18": "fobs that never come back still work",
    "REG-19": "a fob that must not work still does",
    "REG-20": "lost fobs are out that nobody reports",
    "RCV-75": "nobody says what status inputs read",
    "RULE-01": "two things on at once",
    "RULE-02": "works after a power cut",
    "RULE-03": "works without sight",
    "RULE-04": "works for somebody who must not",
    "RULE-05": "stays on too long",
    "RULE-06": "a second press counts too soon",
    "RULE-07": "one press unsets and opens",
    "RULE-08": "state out of step",
    "RULE-09": "toggles",
    "RULE-10": "held on a start input",
    "RULE-11": "a lost fob is known for too long",
    "RULE-12": "data kept too long",
    "RULE-13": "closes while occupied",
    "PAN-50": "what it watches leaves, and its line with it",
    "DEV-51": "not examined in time",
    "SUP-50": "a pole joined to steel in water or ground",
    "REG-50": "what guests do not give back fills the memory",
    "PAN-51": "in rain the panel misreads it",
    "RULE-50": "a found fob alone unsets it",
    "RULE-14": "a fob is needed to leave",
    "RULE-15": "a rule about nothing",
    "RULE-16": "happens, and must never",
    "RULE-17": "acknowledgement misses a change",
    "RULE-18": "alarm despite unsetting in time",
    "RULE-19": "two leaves open at once",
    "RULE-20": "alarm set with somebody inside",
    "RULE-21": "open while the alarm is set",
    "RULE-22": "live while somebody works on it",
    "RULE-23": "more than one vehicle in the lock",
    "RULE-24": "works outside its hours",
    "RULE-25": "a story ends otherwise",
    "SAFE-70": "something else starts it, with nobody there",
    "SAFE-71": "a press stands between people and bad air",
    "SAFE-72": "the fan leaves too much of the gas",
    "SAFE-73": "too loud where people sleep",
    "SAFE-74": "its water falls on a way",
    "SAFE-01": "radio on a safety input",
    "SAFE-02": "stop by radio is no emergency stop",
    "SAFE-03": "a held fob as the only safeguard",
    "SAFE-04": "one press unsets and opens",
    "SAFE-05": "call for help by radio",
    "SAFE-06": "the fob as the way out",
    "SAFE-07": "mains: licensed electrician",
    "SAFE-08": "anybody can teach it new fobs",
    "SAFE-09": "a fixed code can be guessed",
    "SAFE-10": "pressed by chance in a pocket",
    "SAFE-11": "mains and low volts in one cable",
    "SAFE-50": "wished to be started by radio",
    "SAFE-51": "can be left off for longer than it may",
    "SAFE-52": "can be left open",
    "SAFE-53": "may open while the water stands wrong",
    "SAFE-54": "its protection switches on again by itself",
    "SAFE-12": "started unseen by radio, or runs on",
    "SAFE-13": "nothing that locks it off for repair",
    "SAFE-14": "the exit button works through a receiver",
    "SAFE-15": "two fobs may have the same code",
    "SAFE-16": "defective as found on site",
    "SAFE-17": "goes off, and must never",
    "SAFE-18": "relied on in danger, by radio alone",
    "SAFE-19": "in the way of the fire engine",
    "SAFE-20": "mains and low volts in one duct",
    "SAFE-21": "one button starts a machine besides",
    "SAFE-22": "a safeguard was read and does not work",
    "SAFE-23": "mains leaks to earth",
    "SAFE-24": "a call that lets somebody in",
    "SAFE-25": "hours at which nobody answers a call",
    "SAFE-40": "a second press ends what was begun in danger",
    "SAFE-41": "taken for another signal",
    "SAFE-42": "shuts a way out in danger",
    "SAFE-60": "bridges a contact that somebody relies on",
    "SAFE-61": "a fire door that the fire alarm does not let go",
    "SAFE-62": "a call that ends before somebody comes",
    "SAFE-63": "a fob in place of a lift's or cold room's own alarm",
    "OUT-60": "nobody sees who pressed",
    "OUT-61": "a press for the other direction is not obeyed meanwhile",
    "PAN-61": "an opened housing does not say whose it is",
    "PAN-62": "presses are lost while another's is taken",
    "AIR-60": "tried while something stood otherwise",
    "CON-60": "a worn power contact for a small current",
    "DEV-65": "pushes harder than a body bears",
    "DEV-60": "force of a door that shuts by itself",
    "DEV-61": "the one strikes the other",
    "FOB-60": "cells changed too late",
    "PAN-60": "an opened housing is told only while it is set",
    "SAFE-43": "nobody knows whether the press was taken",
    "SAFE-44": "pressed by accident too often",
    "SAFE-45": "lets gas on from anywhere",
    "SAFE-46": "radio near caps",
    "SAFE-65": "under the highest water known",
    "SAFE-48": "more reach for one works it for another",
    "SAFE-47": "a silent call that sounds",
    "SAFE-55": "must happen by itself, and nothing does it surely",
    "SAFE-56": "two needs against each other: which goes first",
    "SAFE-57": "obeys fobs of a radio of its own",
    "SAFE-58": "comes back into drinking water",
    "SAFE-30": "papers that are not there yet",
    "SUP-01": "too few volts arrive",
    "SUP-02": "too many volts",
    "SUP-03": "more current than the supply gives",
    "SUP-04": "the battery does not last",
    "SUP-05": "a short does not blow the fuse",
    "SUP-06": "wrong kind of current",
    "SUP-07": "cable carries too much",
    "SUP-08": "the battery is charged too slowly",
    "SUP-09": "peak volts too high",
    "SUP-10": "volts sag while a load starts",
    "SUP-11": "more current than the fuse carries",
    "SUP-12": "not said what feeds it",
    "SUP-13": "fuse too large for the cable",
    "SUP-14": "starting current more than the supply gives",
    "SUP-15": "the receiver gives up under its own load",
    "SUP-16": "another load makes the receiver begin anew",
    "SUP-17": "the battery is too cold",
    "SUP-18": "a wire lies across a contact",
    "SUP-20": "more cores wanted than the cable has",
    "SUP-21": "one core used for two things",
    "SUP-22": "a core ends nowhere",
    "SUP-23": "two supplies joined by a wire",
    "SUP-24": "the receiver cuts its own supply",
    "SUP-25": "a core measures otherwise than it should",
    "SUP-26": "a core is broken, or no copper",
    "SUP-27": "contacts tied together",
    "SUP-28": "a cable that lay there was not measured",
    "SUP-30": "the sun brings less than is used",
    "SUP-31": "the other supply does not suit",
    "SUP-32": "a meter reads otherwise than drawn",
    "SUP-33": "a cable shorter than the straight line",
}
"""Code → what is wrong, without figures; a test holds it against the checks there are."""

_DIGITS: Final = (3, 4, 5, 6)
"""Digits of a figure; more than three only where it could not be told from its limit. Our choice."""

_YEARS_FROM: Final = 3.0
"""Less is told in months; our choice."""

_HANDY_DIGITS: Final = 4
"""Digits that `write_quantity` keeps."""

_QUANTITIES: Final = {"A": "current", "s": "time", "ohm": "resistance", "V": "voltage", "m": "length"}


def headline(code: str) -> str:
    """What is wrong where a check fails."""
    return HEADLINES.get(code, code)


def figures(findings: Sequence[Finding]) -> str:
    """Value and limit of findings of one check: "2.73 to 4 mA, needs 10"; empty where nothing is counted.

    Args:
        findings: of one code, with one unit; the limit is without unit where it is the value's.
    """
    known = [finding for finding in findings if finding.value is not None]
    if not known:
        return ""
    values = sorted({finding.value for finding in known if finding.value is not None})
    unit = known[0].unit
    limits = {(_bound(finding), finding.limit) for finding in known if finding.limit is not None}
    if unit == "years" and max(*values, *(limit for _, limit in limits), 0.0) < _YEARS_FROM:
        unit, values = "months", [12.0 * value for value in values]
        limits = {(bound, 12.0 * limit) for bound, limit in limits}
    if len(limits) != 1:
        return _range(_written(values[0], unit), _written(values[-1], unit))
    bound, limit = next(iter(limits))
    digits = next((n for n in _DIGITS if all(_apart(value, limit, unit, n) for value in values)), _DIGITS[-1])
    spread = _range(_written(values[0], unit, digits), _written(values[-1], unit, digits))
    number, _, own = _written(limit, unit, digits).partition(" ")
    same = own == spread.rpartition(" ")[2]
    return f"{spread}, {bound} {number if same or not own else f'{number} {own}'}"


def _range(first: str, last: str) -> str:
    if first == last:
        return first
    number, _, unit = first.partition(" ")
    return f"{number} to {last}" if unit == last.partition(" ")[2] else f"{first} to {last}"


def _bound(finding: Finding) -> str:
    """Which side of the limit would be good, from value and margin."""
    value, limit, margin = finding.value, finding.limit, finding.margin
    assert value is not None
    assert limit is not None
    if value == limit:
        return "limit"
    is_below = value < limit
    is_good = finding.verdict is not Verdict.FAILS if not margin else margin > 0
    return "at most" if is_below == is_good else "needs"


def _apart(value: float, limit: float, unit: str, digits: int) -> bool:
    """Whether a value can be told from its limit with so many digits."""
    return value == limit or _written(value, unit, digits) != _written(limit, unit, digits)


def _written(value: float, unit: str, digits: int = 3) -> str:
    rounded = float(f"{value:.{digits}g}")
    quantity = _QUANTITIES.get(unit)
    if quantity is not None and digits <= _HANDY_DIGITS:
        return write_quantity(rounded, quantity)
    short = f"{value:,.0f}" if abs(value) >= 100 and digits == 3 else f"{rounded:g}"
    return f"{short} {unit}".strip()
