"""Fob cells: how many years they last for each group, held presses, pockets and cold included.

Charge is counted; a cheap or old cell has less of it than its sheet says.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import CHOICE, GIVEN
from farpress.case.driven import Driven, driven_of, moves, rate_text
from farpress.case.leaf import whole_travel_s
from farpress.core.rehearsal.held import hold_needed_s
from farpress.core.upkeep.cell import CellLife, cell_life
from farpress.domain.cautions import CAUTIONS
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Verdict, Who
from farpress.domain.job import Group
from farpress.domain.parts import CellSheet, FobSheet, Part
from farpress.domain.refs import GroupRef
from farpress.judging.check import AT_LEAST, Check, Estimate, Limit
from farpress.phrases import listed
from farpress.sources import Citation, Mark
from farpress.units import write_share

__all__ = [
    "BUSY_PER_DAY",
    "CELL_IN_COLD",
    "CELL_LASTS",
    "POCKET_PER_WEEK",
    "SHORT_PRESS_S",
    "USE_SPREAD",
    "YEAR_S",
    "cold_share",
    "inner_in_cold",
    "judge",
    "life_of",
    "life_signs_a",
    "missing_of",
    "press_of",
]

LEAST_YEARS: Final = 1.0
"""A cell that does not last a year makes a call-out each season; our choice."""

CELL_LASTS: Final = Check(
    "FOB-04",
    Link.FOB,
    "Years that a fob's cell lasts, with its presses, its pockets and its winters.",
    unit="years",
    bound=AT_LEAST,
    limit=Limit(LEAST_YEARS, (CHOICE,)),
    stake=Stake.WEAR,
    ask="See the fob's sheet, or measure the current while sending.",
    who=Who.METER,
    minutes=10.0,
    mends="Cells changed on a fixed day, or short presses instead of held ones.",
)
CELL_IN_COLD: Final = Check(
    "FOB-06",
    Link.FOB,
    "Voltage of a cell in the cold while the fob sends.",
    unit="V",
    bound=AT_LEAST,
    ask="Ask for the cell's inner resistance, or leave a fob in the cold overnight and try it.",
    who=Who.INSTALLER,
    minutes=10.0,
    mends="New cells every autumn, or the fob indoors overnight.",
)

USE_SPREAD: Final = 0.5
"""Presses differ so much from holder to holder, as the deviation of their logarithm; from memory."""

SHORT_PRESS_S: Final = 1.0
"""A press that is not held; common practice."""

NEARLY_SHORT_S: Final = 1.5
"""A shorter press instead of one up to this gains nothing worth a change; our choice."""

STOPS_S: Final = 30.0
"""A held fob stops by itself after this, where its sheet says nothing; common practice, no source."""

BUSY_PER_DAY: Final = 20.0
"""Presses a day that hardly anybody makes; used where none are given. Our choice."""

POCKET_PER_WEEK: Final = 1.0
"""Presses by accident of a fob kept in a pocket, held until it gives up; our choice."""

YEAR_S: Final = 31_557_600.0

_COLD: Final = ((-20.0, 0.6), (0.0, 0.87), (20.0, 1.0))
"""Share of the charge left at a temperature: -20 degC read for one size of coin cell, 0 degC from memory."""

_COLD_SOURCE: Final = Citation(
    "coin cells in the cold", place="60 % at -20 degC (one size); 85 to 90 % at 0 degC", mark=Mark.MEMORY
)


REST_SPREAD: Final = 0.1
"""Spread of a life that lying decides, not presses; our choice."""

WARM_DEGC: Final = 20.0
COLD_SPAN_DEGC: Final = 40.0
"""From where to how far below the inner resistance is taken to rise; from memory."""

INNER_COLD_LEAST: Final = 3.0
INNER_COLD_MOST: Final = 5.0
"""Times as much inner resistance at -20 degC as at room temperature, from and to; from memory."""

_INNER_SOURCE: Final = Citation(
    "inner resistance of coin cells", place="3 to 5 times as much at -20 degC", mark=Mark.MEMORY
)


def judge(case: Case) -> Iterator[Finding]:
    """All findings about cells, one for each group that holds fobs."""
    for name, group in case.job.groups.items():
        fob, cell = case.equipment.fobs.get(name), case.equipment.cells.get(name)
        if fob is not None and group.buttons:
            yield _group(case, name, group, fob, cell)
            if cell is not None and group.coldest_degc is not None and group.coldest_degc < 0:
                yield _cold_voltage(name, group.coldest_degc, fob, cell)


def _group(case: Case, name: str, group: Group, fob: Part[FobSheet], cell: Part[CellSheet] | None) -> Finding:
    subjects = (GroupRef(name),)
    missing = missing_of(fob.sheet, cell.sheet if cell is not None else CellSheet())
    if missing or cell is None:
        wanted = " and ".join(missing) or "the kind of cell"
        return CELL_LASTS.judge(
            about=name,
            subjects=subjects,
            says=f"How long the cells of {name} last cannot be said without {wanted}.",
            because=CELL_LASTS.ask,
            value=Estimate(None),
            asks=(f"Find {wanted} of the fob of {name}: see its sheet, or measure it.",),
        )
    presses = BUSY_PER_DAY if group.presses_per_day is None else group.presses_per_day
    press_s, held = press_of(case, group, fob.sheet)
    life = life_of(fob.sheet, cell.sheet, presses, press_s, cold_share(group))
    doubt = _doubt_years(life)
    sources = (
        *fob.cite("current_send_a", "current_sleep_a", "cut_off_s", "life_sign_s"),
        *cell.cite("capacity_ah", "usable_share", "self_discharge_share", "shelf_s"),
        GIVEN,
        CHOICE,
    )
    if cold_share(group) < 1.0:
        sources = (*sources, _COLD_SOURCE)
    is_close = life.years - doubt < LEAST_YEARS
    is_asked = group.presses_per_day is None and is_close
    untimed = _untimed(case, group) if is_close else ()
    asks = [Ask(f"Ask for a rough number of presses a day of {name}.", Who.CUSTOMER, 1.0)] if is_asked else []
    asks += [
        Ask(f"Time the whole travel of {works}: its button is held as long.", Who.METER) for works in untimed
    ]
    assumed = " (taken, none is given)" if group.presses_per_day is None else ""
    limited = ", the end of its shelf life" if life.years < life.by_charge_years else ""
    says = (
        f"A cell of {name} lasts {life.years:.1f} years{limited}: {rate_text(presses)}{assumed} of"
        f" {press_s:.1f} s on average."
    )
    if is_asked:
        says = (
            f"How often {name} press is not given; at {BUSY_PER_DAY:g} presses a day of {press_s:.1f} s a"
            f" cell would last {life.years:.1f} years."
        )
    elif untimed:
        says = (
            f"For how long {name} hold the button of {listed(untimed)} is not known; held until the fob"
            f" stops, {rate_text(presses)} of {press_s:.1f} s on average would leave {life.years:.1f} years."
        )
    return CELL_LASTS.judge(
        about=name,
        subjects=subjects,
        says=says,
        because=_because(group, fob.sheet, cell.sheet, life, presses, press_s, held),
        value=Estimate(life.years, doubt),
        asks=asks,
        failure_stands=False,
        remedies=lambda _: _remedies(
            fob.sheet, cell.sheet, group, presses, press_s, life, lifts=_lifts(case, group)
        ),
        sources=sources,
    )


def _doubt_years(life: CellLife) -> float:
    """How much sooner a cell may be empty: of a holder who presses more often where presses take more than
    rest does, by a little where it ends lying, of charge or of age; the sooner of the two [years].
    """
    spread = USE_SPREAD if life.presses_ah > life.sleep_ah else REST_SPREAD
    return max(REST_SPREAD * life.years, life.years - (1.0 - spread) * life.by_charge_years)


def _cold_voltage(name: str, degrees: float, fob: Part[FobSheet], cell: Part[CellSheet]) -> Finding:
    """FOB-06: the middle of what inner resistance in the cold leaves, half its spread as the doubt.

    Below its end voltage a cell does not carry the press: a need. Below the voltage at which the fob signals
    a low cell it still works, and signals for nothing: advice.
    """
    signal, end = fob.sheet.low_cell_v, cell.sheet.end_v
    voltage, inner, send = cell.sheet.voltage_v, cell.sheet.inner_ohm, fob.sheet.current_send_a
    if (signal is None and end is None) or voltage is None or inner is None or send is None:
        return CELL_IN_COLD.judge(
            about=name,
            subjects=(GroupRef(name),),
            says=f"Whether the cells of {name} still carry a press at {degrees:g} degC is not known.",
            because=CELL_IN_COLD.ask,
            value=Estimate(None),
        )
    least, most = (
        voltage - send * inner * inner_in_cold(degrees, times)
        for times in (INNER_COLD_MOST, INNER_COLD_LEAST)
    )
    middle = (least + most) / 2.0
    # where no end voltage lies below the signal, a cell surely below the signal is taken as spent
    has_room = end is not None and (signal is None or end < signal)
    carries = middle >= (end or 0.0) if has_room else most >= (signal or 0.0)
    is_signal = signal is not None and carries
    lowest = signal if is_signal or not has_room else end
    check = replace(CELL_IN_COLD, advice=True) if is_signal else CELL_IN_COLD
    word = "it signals a low cell" if is_signal else "it does not carry a press"
    return check.judge(
        about=name,
        subjects=(GroupRef(name),),
        says=f"At {degrees:g} degC a new cell of {name} gives {least:.2f} to {most:.2f} V while the fob"
        f" sends; below {lowest:g} V {word}.",
        because=lambda verdict: (
            "An old cell gives less."
            if verdict is Verdict.HOLDS
            else "Cold raises a cell's inner resistance, age does too: in winter the fob gives up first."
        ),
        value=Estimate(middle, (most - least) / 2.0, cell.cite("inner_ohm", "voltage_v")),
        limit=Limit(lowest, fob.cite("low_cell_v") if is_signal else cell.cite("end_v")),
        remedies=(
            Remedy("New cells every autumn", "before the first frost"),
            Remedy("Take the fob indoors overnight"),
        ),
        sources=(*fob.cite("current_send_a"), _INNER_SOURCE),
    )


def inner_in_cold(degrees: float, times_at_minus_20: float) -> float:
    """How many times its inner resistance at +20 degC a cell has, in proportion down to -20 degC."""
    return 1.0 + (times_at_minus_20 - 1.0) * min((WARM_DEGC - degrees) / COLD_SPAN_DEGC, 1.0)


def missing_of(fob: FobSheet, cell: CellSheet) -> list[str]:
    """What is not known and needed to say how long a cell lasts, in words."""
    known = (
        ("the current while sending", fob.current_send_a),
        ("the current at rest", fob.current_sleep_a),
        ("the cell's charge", cell.capacity_ah),
        ("the share of its charge that can be used", cell.usable_share),
        ("the length of a telegram, for its life signs", fob.telegram_s if fob.life_sign_s else 0.0),
    )
    return [what for what, value in known if value is None]


def life_of(fob: FobSheet, cell: CellSheet, presses: float, press_s: float, cold: float) -> CellLife:
    """Life of a cell with so many presses a day of a mean length [s], a share of its charge left in the
    cold.
    """
    return cell_life(
        capacity_ah=cell.capacity_ah or 0.0,
        usable_share=(cell.usable_share or 0.0) * cold,
        send_a=fob.current_send_a or 0.0,
        press_s=press_s,
        presses_per_day=presses,
        sleep_a=(fob.current_sleep_a or 0.0) + life_signs_a(fob),
        self_discharge_share=cell.self_discharge_share or 0.0,
        shelf_years=10.0 if cell.shelf_s is None else cell.shelf_s / YEAR_S,
    )


def life_signs_a(fob: FobSheet) -> float:
    """Mean current of the telegrams that a fob sends by itself [A]; 0 where it sends none."""
    if not fob.life_sign_s:
        return 0.0
    return float((fob.current_send_a or 0.0) * (fob.telegram_s or 0.0) / fob.life_sign_s)


def press_of(case: Case, group: Group, fob: FobSheet) -> tuple[float, list[str]]:
    """Mean length of a press if all functions are used equally often, and the functions that are held; one
    whose travel nobody timed is held until the fob stops.
    """
    lengths, held = [], []
    for function in case.job.functions_of(group):
        length = SHORT_PRESS_S
        for driven in _held(case, function):
            travel = _travel_s(driven)
            needed = math.inf if travel is None else hold_needed_s(travel_s=travel, travel_worst_s=travel)
            length = max(length, min(needed, fob.cut_off_s or (needed if needed < math.inf else STOPS_S)))
        if length > SHORT_PRESS_S:
            held.append(function)
        lengths.append(length)
    return (sum(lengths) / len(lengths) if lengths else SHORT_PRESS_S), held


def _held(case: Case, function: str) -> Iterator[Driven]:
    """What a function works as long as its button is held; a device of unknown kind may be such a one."""
    for output in case.outputs_of(function):
        if output.output.traits.while_held:
            for driven in driven_of(case, output):
                is_told = driven.device is None or driven.kind is not None
                if driven.wants != "pulse" and (moves(driven) or not is_told):
                    yield driven


def _untimed(case: Case, group: Group) -> tuple[str, ...]:
    """Held inputs of which nobody timed the travel."""
    functions = case.job.functions_of(group)
    every = (driven for function in functions for driven in _held(case, function))
    return tuple(dict.fromkeys(driven.works for driven in every if _travel_s(driven) is None))


def _travel_s(driven: Driven) -> float | None:
    travel = whole_travel_s(driven.sheet)
    return travel if travel is not None else driven.sheet.travel_worst_s


def cold_share(group: Group) -> float:
    """Share of the charge that is left where the group's fobs lie in winter."""
    if group.coldest_degc is None:
        return 1.0
    points = _COLD
    degrees = min(max(group.coldest_degc, points[0][0]), points[-1][0])
    for (low, share), (high, more) in pairwise(points):
        if degrees <= high:
            return float(share + (more - share) * (degrees - low) / (high - low))
    return 1.0


def _because(
    group: Group,
    fob: FobSheet,
    cell: CellSheet,
    life: CellLife,
    presses: float,
    press_s: float,
    held: list[str],
) -> str:
    words = []
    if signs := life_signs_a(fob):
        share = signs / (signs + (fob.current_sleep_a or 0.0))
        words.append(f"Of what it takes between presses, life signs take {write_share(share, '.0f')}.")
    if held:
        words.append(
            f"Held presses cost most: {', '.join(held)}; every function taken as used equally often."
        )
    if group.kept == "in pocket" and fob.cut_off_s is not None:
        extra = POCKET_PER_WEEK / 7.0
        mean = (presses * press_s + extra * fob.cut_off_s) / (presses + extra)
        pocket = life_of(fob, cell, presses + extra, mean, cold_share(group))
        words.append(
            "One press a week by accident in the pocket, held until the fob gives up, leaves"
            f" {pocket.years:.1f} years."
        )
    if group.coldest_degc is not None and group.coldest_degc < 10:
        words.append(
            f"At {group.coldest_degc:g} degC {cold_share(group):.0%} of the charge can be used, and a cell"
            " near its end gives up there first."
        )
    elif group.kept == "in car":
        words.append("In a car in winter the cell gives up sooner; write how cold it gets.")
    if cell.self_discharge_share is None:
        words.append("Its loss while lying is not known and not counted.")
    words.append(
        f"Holders differ: every sixth presses {math.exp(USE_SPREAD):.1f} times as often or more."
        f" {CAUTIONS['cell']}"
    )
    return " ".join(words)


def _lifts(case: Case, group: Group) -> bool:
    """Whether a load hangs on something that is held: it may not run on after a short press."""
    held = (driven for function in case.job.functions_of(group) for driven in _held(case, function))
    return any(driven.traits.lifts for driven in held)


def _remedies(
    fob: FobSheet,
    cell: CellSheet,
    group: Group,
    presses: float,
    press_s: float,
    life: CellLife,
    *,
    lifts: bool,
) -> tuple[Remedy, ...]:
    swap = Remedy(
        f"Change cells every {max(round(0.6 * life.years * 12), 1)} months, on a fixed day",
        f"before most of them are empty after {life.years:.1f} years",
    )
    if lifts or press_s <= NEARLY_SHORT_S:
        return (swap,)
    short = life_of(fob, cell, presses, SHORT_PRESS_S, cold_share(group))
    return (
        Remedy(
            "A short press that starts a timed run instead of a held one, where that is allowed",
            f"{short.years:.1f} years",
        ),
        swap,
    )
