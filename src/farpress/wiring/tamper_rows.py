"""What a meter shows of a tamper circuit: all housings in series, measured at the panel."""

from __future__ import annotations

import math
from collections.abc import Iterator

from farpress.case.case import Case
from farpress.case.cores import CONTACT_OHM
from farpress.case.tampers import TamperCircuit
from farpress.judging.panel.lines import SMALL_CHANGE_OHM
from farpress.phrases import listed
from farpress.wiring.rows import LoopRow

__all__ = ["tamper_readings"]


def tamper_readings(case: Case, premises: str, circuit: TamperCircuit, cable_no: str) -> Iterator[LoopRow]:
    """All lids shut, and one of them open; the legs as they were read, where they were.

    Args:
        case: the job.
        premises: its premises.
        circuit: one of its tamper circuits.
        cable_no: of its first cable.
    """
    if not circuit.receivers:
        return
    names = listed(circuit.receivers)
    place = (premises, cable_no, f"{circuit.panel}.{circuit.entry}", names)
    read: dict[str, float] = {}
    for loop in case.job.premises[premises].tamper_loops.values():
        if loop.panel.partition(".")[0] == circuit.panel:
            read |= dict(loop.legs) | dict(loop.later)
    if all(name in read for name in circuit.receivers):
        ohm = sum(read[name] for name in circuit.receivers)
        yield LoopRow(
            *place,
            "all lids shut",
            "unplug at the panel, shut every lid",
            max(ohm - SMALL_CHANGE_OHM, 0.0),
            ohm,
            ohm + SMALL_CHANGE_OHM,
            f"the legs of {names} one after the other; more: a bad joint, less: a housing is bridged",
        )
    else:
        ohm = 4 * CONTACT_OHM * len(circuit.receivers)
        yield LoopRow(
            *place,
            "all lids shut",
            "unplug at the panel, shut every lid",
            0.0,
            ohm,
            ohm + 5.0 * len(circuit.receivers),
            f"terminals and contacts of {names}; their cables are not described and come on top",
        )
    yield LoopRow(
        *place,
        "any one lid open",
        "unplug at the panel; open the lids one at a time",
        math.inf,
        math.inf,
        math.inf,
        "else the contacts lie side by side, or that one is bridged",
    )
