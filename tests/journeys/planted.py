"""What is wrong, and what is sound, in the three example jobs: the key to the answers.

`planted` faults must each be found. `weak` points are real but were not put in on purpose: a
finding about them is right, and a missing one is no miss. `sound` things must not be found
faulty. The numbers belong to the jobs as written and were worked out by hand from their
values; they are not results of this program.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from farpress.domain.finding import Link

__all__ = ["BRINDLEMARK", "COURT", "ENTRIES", "LARKFEN", "Entry", "Kind"]

LARKFEN: Final = "larkfen-house"
COURT: Final = "tallowmere-court"
BRINDLEMARK: Final = "brindlemark"

Kind = Literal["planted", "weak", "sound"]


@dataclass(frozen=True)
class Entry:
    """One line of the key.

    Attributes:
        kind: planted, weak or sound.
        link: where in the chain.
        subjects: a finding about it names at least one of them; "output:R1/3" means the job's
            one premises where it has only one.
        says: what is wrong, or what holds.
        value, limit, unit: the number that proves it, and what it is held against.
        within_share: how far another reckoning of `value` may lie (cable tables differ from
            the nominal 0.01786 ohm mm2/m used here).
        codes: codes of the findings that name it.
    """

    kind: Kind
    link: Link
    subjects: tuple[str, ...]
    says: str
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    within_share: float = 0.05
    codes: tuple[str, ...] = ()


def _planted(
    link: Link,
    subjects: str,
    says: str,
    value: float | None = None,
    limit: float | None = None,
    unit: str = "",
    within: float = 0.05,
    codes: str = "",
) -> Entry:
    return Entry(
        "planted", link, tuple(subjects.split("; ")), says, value, limit, unit, within, tuple(codes.split())
    )


def _weak(
    link: Link,
    subjects: str,
    says: str,
    value: float | None = None,
    limit: float | None = None,
    unit: str = "",
    within: float = 0.05,
    codes: str = "",
) -> Entry:
    return Entry(
        "weak", link, tuple(subjects.split("; ")), says, value, limit, unit, within, tuple(codes.split())
    )


def _sound(
    link: Link,
    subjects: str,
    says: str,
    value: float | None = None,
    limit: float | None = None,
    unit: str = "",
    within: float = 0.05,
    codes: str = "",
) -> Entry:
    return Entry(
        "sound", link, tuple(subjects.split("; ")), says, value, limit, unit, within, tuple(codes.split())
    )


_LARKFEN: Final = (
    _planted(
        Link.SUPPLY,
        "output:R1/3; device:wicket",
        "24 m of 0.22 mm2 to the strike: 3.90 ohm, 11 % of 12 V; 0.5 mm2 gives 0.60 V",
        1.36,
        0.6,
        "V",
        0.25,
        codes="SUP-01",
    ),
    _planted(
        Link.PANEL,
        "output:R1/4; panel:panel",
        "the pulse of 300 ms is shorter than the input's 400 ms",
        0.3,
        0.4,
        "s",
        codes="PAN-01",
    ),
    _planted(
        Link.RULE,
        "output:R1/4; panel:panel; function:alarm",
        "one toggling input sets and unsets: nobody knows the state after a press",
        codes="OUT-02 OUT-17 PAN-02",
    ),
    _planted(
        Link.RULE,
        "function:alarm; place:entrance",
        "'unset only within 6 m' cannot be promised by reach; it is even wanted from the front path, 17.6 m"
        " away",
        17.6,
        6.0,
        "m",
        0.1,
        codes="AIR-03",
    ),
    _planted(
        Link.CONTACT,
        "output:R2/2; device:path-lights",
        "eight LED drivers peak at 8 x 22 A on a contact of 2 A",
        176.0,
        2.0,
        "A",
        codes="CON-02",
    ),
    _planted(
        Link.CONTACT,
        "output:R2/2; device:path-lights",
        "230 V on a contact that is not made for mains",
        230.0,
        24.0,
        "V",
        codes="CON-05",
    ),
    _planted(
        Link.CONTACT,
        "output:R3/1; output:R3/2; device:terrace-shutters",
        "two motors on one contact pair without a separation relay",
        2.0,
        1.0,
        "",
        codes="CON-07",
    ),
    _planted(
        Link.CONTACT,
        "output:R3/1; output:R3/2; device:terrace-shutters",
        "230 V on contacts that are not made for mains",
        230.0,
        24.0,
        "V",
        codes="CON-05 CON-01",
    ),
    _planted(
        Link.DEVICE,
        "output:R3/1; device:terrace-shutters; function:shutters up",
        "29.5 s of travel in frost against the fob's 30 s: half a second left",
        29.5,
        30.0,
        "s",
        codes="OUT-03",
    ),
    _planted(
        Link.AIR,
        "receiver:R2; place:drive; promise:parents: garage from drive",
        "R2 behind the steel door: -93 dBm read, 10 dB over the sensitivity",
        -93.0,
        -103.0,
        "dBm",
        codes="AIR-01",
    ),
    _planted(
        Link.AIR,
        "receiver:R3; place:bathroom; promise:odetta: call for help from bathroom",
        "through two slabs and foil, for 99 %; -99 dBm read at R1, 4 dB over the sensitivity",
        -99.0,
        -103.0,
        "dBm",
        0.2,
        codes="AIR-01",
    ),
    _planted(
        Link.FOB,
        "group:tavi; function:open gate walk",
        "a fob carried in a pocket works the gate: pressed unnoticed, and 8 dB weaker",
        codes="SAFE-10",
    ),
    _weak(
        Link.CONTACT,
        "output:R1/1; output:R1/2; device:gate",
        "the gate drive's inputs take 4 mA, below the contact's least load",
        0.004,
        0.010,
        "A",
        codes="CON-04",
    ),
    _weak(
        Link.CONTACT,
        "output:R2/1; device:garage-door",
        "the garage drive's input takes 3 mA, below the contact's least load",
        0.003,
        0.010,
        "A",
        codes="CON-04",
    ),
    _weak(
        Link.CONTACT,
        "output:R1/4; panel:panel",
        "the supervised input takes 12 V over 2.2 + 2.2 kohm, below the contact's least load",
        0.0027,
        0.010,
        "A",
        0.3,
        codes="CON-04",
    ),
    _weak(
        Link.AIR,
        "place:street; promise:parents: open gate from street",
        "-96 dBm at R1, 7 dB over the sensitivity: thin for 95 %; an aerial under the eaves is the cure",
        -96.0,
        -103.0,
        "dBm",
        codes="AIR-01",
    ),
    _weak(
        Link.AIR,
        "promise:parents: garage from street",
        "wanted only as should: 55 m and the steel door",
        codes="AIR-01",
    ),
    _weak(
        Link.AIR,
        "receiver:R2; promise:parents: path lights from gate car; promise:parents: path lights from drive;"
        " promise:tavi: path lights from gate foot; promise:odetta: path lights from terrace",
        "the path lights hang on R2 too",
        codes="AIR-01",
    ),
    _weak(
        Link.AIR,
        "receiver:R1; receiver:R2; receiver:R3",
        "weather station next door: bursts to -92 dBm, every 47 s, from 07:05 to 07:20",
        codes="RCV-02 RCV-05",
    ),
    _weak(
        Link.AIR,
        "promise:odetta: call for help from garden seat",
        "-102 dBm at R1; R3 lies nearer, but the call is wanted to 99 %",
        -102.0,
        -103.0,
        "dBm",
        codes="AIR-01",
    ),
    _weak(
        Link.SAFETY,
        "function:call for help; output:R3/4",
        "a household call, not an emergency-call system",
        codes="SAFE-05",
    ),
    _weak(
        Link.FOB,
        "group:mirela at home; group:dorian at home; group:odetta at home",
        "a shutter's button held for 25 s eats the cell: 4 presses a day, 1.1 years",
        1.1,
        None,
        "years",
        0.5,
        codes="FOB-04 OUT-03",
    ),
    _weak(
        Link.RULE,
        "function:shutters up; function:shutters down",
        "the pair hangs on the receiver's own interlock; no pause at reversal is enforced",
        None,
        0.5,
        "s",
        codes="OUT-06",
    ),
    _weak(
        Link.SUPPLY,
        "supply:main; output:R1/3",
        "1.25 A fuse before alarm cores for 1 A",
        1.25,
        1.0,
        "A",
        codes="SUP-13 SUP-05",
    ),
    _sound(
        Link.SUPPLY,
        "supply:main",
        "everything at once: 816 mA of 1.5 A (862 mA with the panel's 46 mA)",
        0.816,
        1.5,
        "A",
        0.07,
        codes="SUP-03",
    ),
    _sound(
        Link.SUPPLY, "supply:main", "standby: 7 Ah x 60 % / 112 mA, for 24 h", 37.5, 24.0, "h", codes="SUP-04"
    ),
    _sound(
        Link.CONTACT,
        "output:R3/3; device:water",
        "valve 0.25 A held, 0.45 A peak, on a contact of 2 A",
        0.45,
        2.0,
        "A",
        codes="CON-01 CON-02",
    ),
    _sound(
        Link.SUPPLY,
        "output:R3/3; device:water",
        "0.25 A over 35 m of 1.0 mm2: 1.25 ohm",
        0.31,
        1.2,
        "V",
        0.25,
        codes="SUP-01",
    ),
    _sound(
        Link.SUPPLY,
        "output:R3/4; device:help-sounder; device:help-lamp",
        "220 mA over 26 m of 0.75 mm2",
        0.27,
        0.6,
        "V",
        0.25,
        codes="SUP-01",
    ),
    _sound(
        Link.DEVICE,
        "output:R1/1; device:gate",
        "open only, pulse 0.5 s between 0.2 and 2 s",
        0.5,
        0.2,
        "s",
        codes="OUT-01",
    ),
    _sound(
        Link.DEVICE,
        "output:R2/1; device:garage-door",
        "pulse 0.5 s between 0.2 and 2 s",
        0.5,
        0.2,
        "s",
        codes="OUT-01",
    ),
    _sound(
        Link.DEVICE,
        "output:R3/2",
        "down takes 26 s of the fob's 30 s (29.5 s in frost is the way up)",
        26.0,
        30.0,
        "s",
    ),
    _sound(
        Link.AIR,
        "place:kitchen; promise:parents: open gate from kitchen",
        "-71 dBm at R1: 32 dB over the sensitivity",
        -71.0,
        -103.0,
        "dBm",
        codes="AIR-01",
    ),
    _sound(
        Link.AIR,
        "promise:mirela at home: wicket from wicket outside",
        "-84 dBm at R1 in hand: 19 dB over the sensitivity",
        -84.0,
        -103.0,
        "dBm",
        codes="AIR-01",
    ),
    _sound(
        Link.RULE,
        "function:open gate",
        "the gate button never unsets: gate and alarm lie on different buttons",
        codes="RULE-07",
    ),
    _sound(
        Link.RULE,
        "function:garden water; output:R3/3",
        "water is a pulse of 20 min, no toggle, off after power return",
        codes="OUT-04 RULE-09",
    ),
    _sound(Link.RULE, "group:ilse", "Ilse's fob has no function outdoors", codes="RULE-04"),
    _sound(
        Link.RULE,
        "function:call for help; output:R3/4",
        "the sounder ends after 60 s",
        60.0,
        60.0,
        "s",
        codes="RULE-05",
    ),
    _sound(Link.REGISTER, "receiver:R1; receiver:R3", "a dozen fobs of 1 000", codes="REG-01 REG-02"),
    _sound(
        Link.PANEL,
        "panel:panel",
        "resistors of 1 % and 2 m of cable stay inside windows of 15 %",
        codes="PAN-03",
    ),
)

_TENANTS: Final = "group:orrindell; group:nordheath; group:quibblestone; group:thrushgate; group:umberlow"

_COURT: Final = (
    _planted(
        Link.RECEIVER,
        "receiver:R1",
        "whip inside a steel cabinet: -101 dBm closed, -78 open, 23 dB lost; mast -83",
        23.0,
        None,
        "dB",
        0.1,
        codes="RCV-01",
    ),
    _planted(
        Link.AIR,
        "promise:orrindell: entry from entry queue; place:entry queue; receiver:R1",
        "cabinet closed: 2 dB over the sensitivity for 99 %; 20 dB at the mast",
        -101.0,
        -103.0,
        "dBm",
        codes="AIR-01",
    ),
    _planted(
        Link.REGISTER,
        "receiver:R2",
        "R2 counts buttons: 600 holders x 2 of 1 000 (1 260 with 30 spares)",
        1200.0,
        1000.0,
        "buttons",
        0.06,
        codes="REG-01",
    ),
    _planted(
        Link.DEVICE,
        "output:R1/1; device:entry-barrier; function:entry",
        "start input: a second press stops or closes; 70 % at 0.2 cars a second within 6 s",
        0.70,
        None,
        "share",
        codes="OUT-07 RULE-06 RULE-09",
    ),
    _planted(
        Link.RULE,
        "function:entry; output:R1/1; device:entry-barrier",
        "rule: no second press within the movement",
        None,
        6.0,
        "s",
        codes="RULE-06",
    ),
    _planted(
        Link.DEVICE,
        "function:entry; place:entry lane; device:entry-barrier",
        "one lane passes 110 cars in 15 min (8.2 s each, 439 an hour) of 180",
        110.0,
        180.0,
        "cars",
        0.1,
        codes="DEV-05",
    ),
    _planted(
        Link.AIR,
        "function:entry; place:entry lane; receiver:R1",
        "presses of 0.6 s at 0.2/s: 0.79 meet no other; a fob stuck in a glove box takes the channel",
        0.79,
        None,
        "share",
        codes="AIR-05",
    ),
    _planted(
        Link.CONTACT,
        "output:R2/2; device:ramp-lights",
        "46 luminaires peak at 46 x 38 A on a contact of 2 A",
        1748.0,
        2.0,
        "A",
        codes="CON-02 CON-01 CON-06",
    ),
    _planted(
        Link.CONTACT,
        "output:R2/2; device:ramp-lights",
        "230 V on a contact that is not made for mains",
        230.0,
        24.0,
        "V",
        codes="CON-05",
    ),
    _planted(
        Link.SUPPLY,
        "output:R4/2; output:R4/3; device:store-orrindell; device:store-nordheath",
        "two strikes share a return of 36 m of 0.22 mm2: 0.73 V + 1.46 V",
        2.19,
        2.0,
        "V",
        0.25,
        codes="SUP-01",
    ),
    _planted(
        Link.PANEL,
        "panel:landlord; receiver:R4",
        "tamper leg R4 rose from 6.8 to 11 ohm",
        11.0,
        6.8,
        "ohm",
        codes="PAN-05",
    ),
    _planted(
        Link.REGISTER,
        "receiver:R1; receiver:R2; receiver:R3; receiver:R4",
        "deletes by slot only: without the slot on paper all 600 must be learned anew",
        codes="REG-04",
    ),
    _planted(
        Link.REGISTER, "group:visitors", "41 pool fobs without a person", 41.0, 0.0, "fobs", codes="REG-05"
    ),
    _planted(
        Link.FOB,
        "group:old wicket fobs; receiver:W0",
        "nine fobs always send the same code",
        9.0,
        0.0,
        "fobs",
        codes="FOB-03 SAFE-09",
    ),
    _planted(
        Link.RULE,
        "function:grille; function:bollards; device:bollards",
        "reach is not a fence: 'only in sight', 'only within 10 m' cannot be kept by radio",
        None,
        10.0,
        "m",
        codes="AIR-03",
    ),
    _planted(Link.FOB, _TENANTS, "cells at -8 °C in cars", -8.0, None, "degC", codes="FOB-06"),
    _weak(
        Link.AIR,
        "receiver:R2",
        "lights on: noise floor -104 dBm instead of -113",
        -104.0,
        -113.0,
        "dBm",
        codes="RCV-02 RCV-05",
    ),
    _weak(
        Link.AIR,
        "place:far corner; receiver:R2",
        "-110 dBm from level -2, below the sensitivity; nothing is promised there",
        -110.0,
        -103.0,
        "dBm",
    ),
    _weak(
        Link.SUPPLY,
        "supply:main; output:R4/2; output:R4/3",
        "a short at the stores draws 4.1 A: too little for the 2.5 A fuse to open soon",
        4.07,
        5.25,
        "A",
        0.25,
        codes="SUP-05 SUP-07",
    ),
    _weak(
        Link.REGISTER,
        "receiver:R1",
        "leavers stay learned: (1 000 - 671) / 120 a year until full",
        2.74,
        None,
        "years",
        0.25,
        codes="REG-02",
    ),
    _weak(Link.RECEIVER, "receiver:W0", "the old receiver has no tamper contact wired"),
    _weak(
        Link.DEVICE,
        "function:exit; place:exit lane",
        "550 cars in 90 min on a lane for 658",
        550.0,
        658.0,
        "cars",
        0.1,
        codes="DEV-05",
    ),
    _weak(Link.CONTACT, "output:R1/1; output:R1/2", "600 operations a day"),
    _weak(
        Link.CONTACT,
        "output:R1/3; device:wicket",
        "120 operations a day wear the contact out in less than ten years",
        codes="CON-06",
    ),
    _weak(
        Link.SAFETY, "function:call guard", "a household call, not an emergency-call system", codes="SAFE-05"
    ),
    _sound(
        Link.SUPPLY,
        "output:R3/1; device:bollards",
        "55 m of 1.5 mm2: 1.31 ohm, 4.9 % of 24 V",
        1.18,
        1.2,
        "V",
        0.05,
        codes="SUP-01",
    ),
    _sound(
        Link.DEVICE,
        "output:R3/1; device:bollards",
        "overtravel 0.15 m/s x (0.40 + 0.10) s of 100 mm",
        0.075,
        0.1,
        "m",
        0.1,
        codes="DEV-02",
    ),
    _sound(
        Link.CONTACT,
        "output:R3/1; device:bollards",
        "0.9 A with a diode on a contact of 2 A",
        0.9,
        2.0,
        "A",
        codes="CON-02 CON-03",
    ),
    _sound(
        Link.DEVICE,
        "output:R1/2; device:exit-barrier",
        "open-only input: a second press does no harm",
        codes="OUT-01 RULE-06",
    ),
    _sound(
        Link.DEVICE,
        "output:R2/1; device:grille",
        "open-only input, pulse 0.5 s between 0.2 and 2 s",
        0.5,
        0.2,
        "s",
        codes="OUT-01",
    ),
    _sound(
        Link.SUPPLY,
        "output:R1/3; device:wicket",
        "10 m of 0.75 mm2 at 0.25 A",
        0.12,
        1.2,
        "V",
        0.25,
        codes="SUP-01",
    ),
    _sound(
        Link.SUPPLY,
        "supply:receivers",
        "standby: 7 Ah x 60 % / 110 mA, for 12 h",
        38.2,
        12.0,
        "h",
        codes="SUP-04",
    ),
    _sound(Link.REGISTER, "receiver:R4", "eleven fobs of 1 000", codes="REG-01"),
    _sound(
        Link.RULE,
        "function:store orrindell; function:store nordheath",
        "no tenant opens another's store",
        codes="RULE-04",
    ),
    _sound(
        Link.RULE,
        "function:wicket",
        "the wicket has a lever inside: nobody needs a fob to leave",
        codes="RULE-14",
    ),
    _sound(Link.PANEL, "output:R4/4", "pulse of 1 s for a zone of 400 ms", 1.0, 0.4, "s", codes="PAN-01"),
)

_BRINDLEMARK: Final = (
    _planted(
        Link.SUPPLY,
        "device:sarnbeck/siren",
        "38 m of 0.22 mm2: 6.17 ohm, 23 % of 12 V; 0.5 mm2 1.22 V, 1.0 mm2 0.61 V",
        2.78,
        0.6,
        "V",
        0.25,
        codes="SUP-01",
    ),
    _planted(
        Link.PANEL,
        "panel:sarnbeck/panel; output:sarnbeck/S1/2; function:sarnbeck alarm",
        "one toggling input: the state is unknown after a press",
        codes="OUT-02 PAN-02 PAN-06",
    ),
    _planted(
        Link.PANEL,
        "panel:lowdrift/panel; output:lowdrift/L1/4; function:lowdrift alarm",
        "level input worked by a toggle, keypad in use, no status back: out of step",
        codes="PAN-02 OUT-02 PAN-06",
    ),
    _planted(
        Link.RULE,
        "function:lowdrift alarm; function:sarnbeck alarm",
        "rules: never toggled, never out of step",
        codes="RULE-08 RULE-09",
    ),
    _planted(
        Link.REGISTER,
        "group:fitters; promise:fitters: sarnbeck door from quay",
        "0.4 visits a week, 14 presses a working day: the first press is ignored in 86 % of visits",
        0.857,
        None,
        "share",
        0.06,
        codes="REG-03",
    ),
    _planted(
        Link.RULE,
        "group:managers; function:lowdrift heat; promise:managers: lowdrift heat from workshop",
        "five functions at Lowdrift on four buttons: heat is on none",
        5.0,
        4.0,
        "functions",
        codes="FOB-05 FOB-07",
    ),
    _planted(
        Link.REGISTER,
        "receiver:oakmire/O1",
        "14 old records nobody can name",
        14.0,
        0.0,
        "records",
        codes="REG-05",
    ),
    _planted(
        Link.REGISTER,
        "receiver:vessing/V2",
        "a fob of the car wash next door was learned",
        1.0,
        0.0,
        "records",
        codes="REG-05",
    ),
    _planted(
        Link.REGISTER,
        "group:fitter with lost fob; function:vessing unset; function:lowdrift alarm",
        "a lost fob unsets Vessing and Lowdrift: 5 receivers at 4 premises; shortest tour 155 min",
        155.0,
        None,
        "min",
        codes="REG-07",
    ),
    _weak(
        Link.AIR,
        "place:oakmire/west yard; receiver:oakmire/O1; promise:drivers: oakmire lights from west yard",
        "new steel racking 12 m from the aerial",
    ),
    _weak(Link.PANEL, "output:lowdrift/L1/4", "after power return the contact is off: the panel reads unset"),
    _weak(
        Link.RULE,
        "function:dock 1 down; function:dock 2 down; function:dock 3 down",
        "reach is not a fence: a dock fob also works where the dock is not seen",
        codes="RULE-03",
    ),
    _weak(
        Link.REGISTER,
        "group:fitters; group:fitter with lost fob; group:managers; group:drivers; group:it and security",
        "roaming fobs: the first press is often ignored (fitters: Vessing 60 %, Lowdrift 72 %, Oakmire 37 %)",
        codes="REG-03",
    ),
    _weak(
        Link.FOB, "group:drivers; group:fitters", "cells at -8 °C in cars", -8.0, None, "degC", codes="FOB-06"
    ),
    _weak(
        Link.FOB,
        "group:fitters; group:fitter with lost fob",
        "fobs carried in a pocket: 8 dB weaker",
        8.0,
        None,
        "dB",
        codes="SAFE-10",
    ),
    _weak(
        Link.CONTACT,
        "output:oakmire/O1/2; output:vessing/V1/2",
        "80 and 40 operations a day wear the contacts out in ten to twenty years",
        codes="CON-06",
    ),
    _weak(
        Link.FOB, "group:dock crew; group:dock 3 crew", "20 held presses a day eat the cell", codes="FOB-04"
    ),
    _weak(
        Link.SUPPLY,
        "supply:sarnbeck/main; device:sarnbeck/siren",
        "a short at the siren draws 2.2 A: too little for the 1.25 A fuse",
        2.17,
        2.63,
        "A",
        0.25,
        codes="SUP-05 SUP-07",
    ),
    _weak(Link.DEVICE, "function:lowdrift heat; output:lowdrift/L2/1", "heat by radio, out of sight"),
    _sound(
        Link.CONTACT,
        "output:oakmire/O1/3; device:oakmire/yard-lights",
        "12 floods x 41 A through a contactor for 800 A",
        492.0,
        800.0,
        "A",
        codes="CON-02",
    ),
    _sound(
        Link.CONTACT,
        "output:oakmire/O2/1; output:oakmire/O3/2",
        "contactor coil 0.12 A on a contact of 2 A",
        0.12,
        2.0,
        "A",
        codes="CON-01 CON-02",
    ),
    _sound(
        Link.DEVICE,
        "output:oakmire/O2/2; output:oakmire/O2/4; output:oakmire/O3/2",
        "20 s of travel against the fob's 30 s",
        20.0,
        30.0,
        "s",
        codes="OUT-03",
    ),
    _sound(
        Link.DEVICE,
        "device:oakmire/dock-1",
        "overtravel 0.18 m/s x (0.40 + 0.10) s of 100 mm",
        0.09,
        0.1,
        "m",
        0.1,
        codes="DEV-02",
    ),
    _sound(
        Link.PANEL,
        "output:oakmire/O1/4; output:oakmire/O3/3; output:vessing/V1/4; output:vessing/V2/1",
        "pulse of 1 s for 400 ms; separate set and unset, status read back",
        1.0,
        0.4,
        "s",
        codes="PAN-01 PAN-06 RULE-08",
    ),
    _sound(Link.RULE, "function:oakmire unset", "nobody but managers unsets Oakmire", codes="RULE-07"),
    _sound(
        Link.RULE,
        "function:oakmire lights; function:vessing lights; function:lowdrift lights",
        "lights are retriggerable pulses, never toggled",
        codes="RULE-09",
    ),
    _sound(
        Link.RULE,
        "function:dock 1 up; function:dock 2 up; function:dock 3 up",
        "pairs interlocked; off after power return",
        codes="RULE-01 OUT-04",
    ),
    _sound(
        Link.REGISTER,
        "receiver:oakmire/O2; receiver:oakmire/O3",
        "a few fobs of 1 000",
        codes="REG-01 REG-02",
    ),
    _sound(
        Link.REGISTER,
        "group:managers",
        "six months away: 14 x 130 presses of 32 767",
        1820.0,
        32767.0,
        "presses",
    ),
    _sound(
        Link.SUPPLY,
        "output:oakmire/O1/2; device:oakmire/staff-door",
        "9 m of 1.0 mm2 at 0.35 A",
        0.113,
        0.6,
        "V",
        0.25,
        codes="SUP-01",
    ),
    _sound(
        Link.SUPPLY,
        "output:sarnbeck/S1/1; device:sarnbeck/door",
        "10 m of 1.0 mm2 at 0.35 A",
        0.125,
        0.6,
        "V",
        0.25,
        codes="SUP-01",
    ),
    _sound(
        Link.SUPPLY,
        "supply:oakmire/main",
        "standby: 7 Ah x 60 % / 106 mA, for 12 h",
        39.6,
        12.0,
        "h",
        codes="SUP-04",
    ),
    _sound(
        Link.AIR, "promise:sarnbeck shop: sarnbeck door from quay", "7 m and a timber wall", codes="AIR-01"
    ),
)

_PLACED: Final = frozenset({"output", "receiver", "device", "panel", "supply", "place"})


def _at(premises: str, entries: tuple[Entry, ...]) -> tuple[Entry, ...]:
    """The entries of a job of one premises, with its name in their subjects."""

    def full(subject: str) -> str:
        kind, name = subject.split(":", 1)
        return f"{kind}:{premises}/{name}" if kind in _PLACED else subject

    return tuple(
        Entry(
            one.kind,
            one.link,
            tuple(map(full, one.subjects)),
            one.says,
            one.value,
            one.limit,
            one.unit,
            one.within_share,
            one.codes,
        )
        for one in entries
    )


ENTRIES: Final[dict[str, tuple[Entry, ...]]] = {
    LARKFEN: _at("larkfen", _LARKFEN),
    COURT: _at("court", _COURT),
    BRINDLEMARK: _BRINDLEMARK,
}
"""Folder of the example → its key."""
