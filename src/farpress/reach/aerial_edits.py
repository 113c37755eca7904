"""An aerial hung elsewhere, as edits of the job file; what was read with the old one stays with it."""

from __future__ import annotations

import math

from farpress.case.case import Case
from farpress.domain.finding import Change
from farpress.domain.premises import Aerial
from farpress.reach.radio_receiver import PLUGGED_M
from farpress.units import write_quantity

__all__ = ["aerial_edits", "aerial_in_file", "readings_stay"]


def aerial_edits(case: Case, premises: str, receiver: str, aerial: Aerial) -> tuple[Change, ...]:
    """Hang an aerial: its entry, and the place of the old one at each reading that was taken with it.

    Without that a reading taken with the old aerial would be held against the new one, and correct the
    prediction for nothing.
    """
    root = ("premises", premises, "receivers", receiver)
    box = case.job.premises[premises].receivers[receiver]
    upright = aerial if aerial.tilt_deg is not None else aerial.model_copy(update={"tilt_deg": 0.0})
    change = Change((*root, "antenna"), aerial_in_file(upright))
    old = box.antenna.at if box.antenna is not None else box.at
    if math.dist(old[:2], aerial.at[:2]) <= PLUGGED_M:
        return (change,)  # at the same spot a reading cannot tell the two apart
    stay = readings_stay(case, premises, receiver)
    if box.antenna is None or not stay or any(place.at == box.antenna.at for place in box.antenna_places):
        return (change, *stay)
    places = [aerial_in_file(place) for place in (*box.antenna_places, box.antenna)]
    return (change, Change((*root, "antenna_places"), places), *stay)


def readings_stay(case: Case, premises: str, receiver: str) -> tuple[Change, ...]:
    """Write at each reading of a receiver where its aerial stood; readings of the record have no entry."""
    box = case.job.premises[premises].receivers[receiver]
    old = box.antenna.at if box.antenna is not None else box.at
    return tuple(
        Change(("readings", number, "aerial_at"), list(old))
        for number, reading in enumerate((case.job_without_evidence or case.job).readings)
        if reading.receiver in (receiver, f"{premises}/{receiver}") and reading.aerial_at is None
    )


def aerial_in_file(aerial: Aerial) -> dict[str, object]:
    """An aerial as it stands in a job file."""
    written: dict[str, object] = {"part": aerial.part, "at": list(aerial.at)}
    if aerial.level is not None:
        written["level"] = aerial.level
    if aerial.tilt_deg is not None:
        written["tilt"] = write_quantity(aerial.tilt_deg, "angle")
    if aerial.coax is not None:
        written["coax"] = {
            "part": aerial.coax.part,
            "length": write_quantity(aerial.coax.length_m, "length"),
            "connector_pairs": aerial.coax.connector_pairs,
        }
    return written
