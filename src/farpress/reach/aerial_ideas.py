"""What could be done about an aerial: other heights, places, kinds and coaxes, or the receiver moved."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from farpress.case.case import Case
from farpress.domain.finding import Change
from farpress.domain.premises import Aerial, CoaxRun
from farpress.reach.aerial_edits import aerial_edits, aerial_in_file, readings_stay
from farpress.reach.aerial_places import SPARE_M
from farpress.reach.mountable import mount_near
from farpress.reach.radio_link import Radio
from farpress.reach.radio_receiver import AerialAt, aerial_inside
from farpress.reach.radio_scene import place_end, point_end

__all__ = ["Idea", "box_moved", "by_places", "drawn_ideas", "swapped", "with_coaxes"]

HEIGHTS_M: Final = (-1.0, -0.5, 0.0, 0.5, 1.0)
"""Steps up and down from a drawn place: our choice, what a ladder and a mast allow."""


BESIDE_M: Final = 4.0
"""A second receiver by a place hangs no farther from it: our choice."""

Idea = tuple[str, AerialAt, tuple[Change, ...]]
"""What is done, the aerial it means, and the edits of the job file."""


def drawn_ideas(case: Case, radio: Radio, premises: str, receiver: str) -> Iterator[Idea]:
    """Today's aerial first; then each allowed place at each height with each coax."""
    box = case.job.premises[premises].receivers[receiver]
    today = radio.aerial(premises, receiver)
    yield "As today", today, ()
    drawn = [*box.antenna_places, *((box.antenna,) if box.antenna is not None else ())]
    if not drawn and today.end is not None:
        for up in HEIGHTS_M:
            if up and today.end.over_ground_m + up >= 0.3:
                x, y, z = today.end.at_m
                moved = replace(
                    today,
                    end=today.end._replace(at_m=(x, y, z + up), over_ground_m=today.end.over_ground_m + up),
                )
                yield (
                    f"Receiver {abs(up):g} m {'higher' if up > 0 else 'lower'}",
                    moved,
                    (Change(("premises", premises, "receivers", receiver, "at"), [x, y, z + up]),),
                )
    for aerial in drawn:
        if len(aerial.at) != 3:
            continue
        for up in HEIGHTS_M:
            height = aerial.at[2] + up
            if (aerial is box.antenna and up == 0.0) or height < 0.3:
                continue
            point = (aerial.at[0], aerial.at[1], height)
            yield from with_coaxes(case, radio, premises, receiver, aerial, point, "")


def with_coaxes(
    case: Case,
    radio: Radio,
    premises: str,
    receiver: str,
    aerial: Aerial,
    point: tuple[float, ...],
    where: str,
) -> Iterator[Idea]:
    """One place with each kind of aerial on its coax, and the strongest kind on each other coax that is
    known.
    """
    gains = {
        part: sheet.sheet.gain_dbi
        for part, sheet in case.equipment.aerial_parts.items()
        if sheet.sheet.gain_dbi is not None
    }
    kinds = list(dict.fromkeys([aerial.part, *sorted(gains, key=lambda kind: -gains[kind])]))
    strongest = max(gains, key=lambda kind: gains[kind], default=aerial.part)
    coaxes = list(_coaxes(case, aerial, case.job.premises[premises].receivers[receiver].at, point))
    pairs = [(part, coaxes[0]) for part in kinds] + [
        (part, coax) for coax in coaxes[1:] for part in dict.fromkeys((aerial.part, strongest))
    ]
    for part, coax in pairs:
        tried = aerial.model_copy(update={"part": part, "at": point, "coax": coax})
        cable = f" on {coax.length_m:.1f} m of {coax.part}" if coax is not None else ""
        face = ""
        if where:
            face = ", inside" if aerial.level else ", outside"
        yield (
            f"Aerial {part} at ({point[0]:g}, {point[1]:g}), {point[2]:g} m up{face}{cable}",
            radio.aerial_at(premises, receiver, tried),
            aerial_edits(case, premises, receiver, tried),
        )


def box_moved(
    case: Case,
    radio: Radio,
    premises: str,
    receiver: str,
    point: tuple[float, float, float],
    level: str | None,
) -> Iterator[Idea]:
    """The receiver itself at another place, listening with the aerial in its own housing; its cables go with
    it.
    """
    box, root = case.job.premises[premises].receivers[receiver], ("premises", premises, "receivers", receiver)
    inside = aerial_inside(case, premises, receiver, radio.shielding_readings(premises, receiver))
    end = point_end(case.job.premises[premises], point, level, default_m=None)
    changes = [Change((*root, "at"), list(point)), *readings_stay(case, premises, receiver)]
    if level != box.level:
        changes.append(Change((*root, "level"), level))
    if box.antenna is not None:
        changes.append(Change((*root, "antenna"), None))
    yield (
        (
            f"Receiver itself moved to ({point[0]:g}, {point[1]:g}), {point[2]:g} m up, its aerial inside;"
            " its cables go with it"
        ),
        inside.hung_at(end),
        tuple(changes),
    )


def swapped(case: Case, radio: Radio, premises: str, receiver: str) -> Iterator[Idea]:
    """The aerial where it is, but of each other kind; and the one inside the housing, where the receiver has
    one.
    """
    box = case.job.premises[premises].receivers[receiver]
    sheet = case.equipment.receivers.get(f"{premises}/{receiver}")
    root = ("premises", premises, "receivers", receiver, "antenna")
    for part in case.equipment.aerial_parts:
        if box.antenna is not None and part != box.antenna.part:
            upright = box.antenna.tilt_deg or 0.0
            tried = box.antenna.model_copy(update={"part": part, "tilt_deg": upright})
            yield (
                f"Aerial {part} in place of {box.antenna.part}",
                radio.aerial_at(premises, receiver, tried),
                (Change(root, aerial_in_file(tried)),),
            )
        elif box.antenna is None and len(box.at) == 3:
            tried = Aerial(part=part, at=box.at, level=box.level, tilt_deg=0.0)
            yield (
                f"Aerial {part} plugged into the receiver",
                radio.aerial_at(premises, receiver, tried),
                (Change(root, aerial_in_file(tried)),),
            )
    if (
        box.antenna is not None
        and sheet is not None
        and sheet.sheet.gain_dbi is not None
        and sheet.sheet.aerial != "connector"
    ):
        yield (
            "The aerial inside the receiver alone",
            aerial_inside(case, premises, receiver, radio.shielding_readings(premises, receiver)),
            (Change(root, None),),
        )


def _coaxes(
    case: Case, aerial: Aerial, box: tuple[float, ...], point: tuple[float, ...]
) -> Iterator[CoaxRun | None]:
    """The drawn coax, then each other kind that is known, as long as the way along the walls asks."""
    if aerial.coax is None:
        yield None
        return
    way = sum(abs(a - b) for a, b in zip(box, point)) + SPARE_M
    length = max(aerial.coax.length_m, math.ceil(way) if len(box) == 3 else 0.0)
    yield aerial.coax.model_copy(update={"length_m": length})
    for part in case.equipment.coax_parts:
        if part != aerial.coax.part:
            yield aerial.coax.model_copy(update={"part": part, "length_m": length})


def by_places(
    case: Case, radio: Radio, premises: str, receiver: str, places: Sequence[str]
) -> list[tuple[str, AerialAt]]:
    """A second receiver right by each place from which something is promised, where it can be mounted: it
    needs no
    coax from the first.
    """
    house = case.job.premises[premises]
    gains = {
        part: sheet.sheet.gain_dbi
        for part, sheet in case.equipment.aerial_parts.items()
        if sheet.sheet.gain_dbi is not None
    }
    if not gains:
        return []
    part = "whip" if "whip" in gains else next(iter(gains))
    found = []
    for name in dict.fromkeys(places):
        end = place_end(house, house.places[name])
        mount = mount_near(house, end.at_m[0], end.at_m[1], within_m=BESIDE_M, level=house.places[name].level)
        if mount is None:
            continue
        here = AerialAt(
            point_end(house, mount.at, mount.level, default_m=None),
            gains[part],
            0.0,
            f"aerial {part}",
            sources=case.equipment.aerial_parts[part].cite("gain_dbi"),
        )
        found.append((f"A second receiver by {name}, {mount.says}, aerial {part}", here))
    return found
