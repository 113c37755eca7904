"""Maps, budgets at any point, and places for the aerial: what the command, the desk and the papers ask of
reach.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from farpress.case.case import Case, promise_id
from farpress.core.reach.direct import ENVIRONMENT_SD_DB
from farpress.core.reach.field import ReachMap
from farpress.core.reach.press import press_share
from farpress.core.reach.scene import PathEnd
from farpress.core.reach.ways import ways_between
from farpress.domain.premises import Place, Premises
from farpress.errors import InputError
from farpress.phrases import listed
from farpress.reach.arrangements import weakest_ways
from farpress.reach.gaps import gaps_text
from farpress.reach.map_grid import map_cells, map_drawn, map_named, map_points
from farpress.reach.map_loops import KEPT_LOOPS
from farpress.reach.radio_budget import BudgetPart, Pressed, RadioLink
from farpress.reach.radio_link import Radio, radio_of
from farpress.reach.radio_readings import group_that_works
from farpress.reach.radio_scene import HAND_M, ground_height_m, place_end

__all__ = ["MapRequest", "PromisedLink", "budget_at", "group_for", "promised_links", "reach_map"]


@dataclass(frozen=True)
class MapRequest:
    """What of a map is asked for beyond its receiver and level.

    Attributes:
        group: whose fob; the first group with a function at the receiver, if None.
        held: how the fob is held.
        area: west, south, east, north [m]; the plan with a rim, if None.
        compile_it: machine code or plain Python; by the size of the work, if None.
        presses: the chance of being heard at least once within so many.
        within: further numbers of presses that the chance is wanted for.
    """

    group: str | None = None
    held: Pressed = "in hand"
    area: tuple[float, float, float, float] | None = None
    compile_it: bool | None = None
    presses: int = 1
    within: tuple[int, ...] = ()


def reach_map(
    case: Case,
    premises: str,
    receiver: str,
    *,
    level: str | None,
    cells: int | tuple[int, int] = 120,
    aerial_at: Sequence[float] | None = None,
    request: MapRequest = MapRequest(),
    radio: Radio | None = None,
    progress: Callable[[int, int], object] | None = None,
) -> ReachMap:
    """The chance of one press over one level.

    Args:
        case: the job.
        premises, receiver: where to.
        level: name of a level; None or "" for the open ground.
        cells: along the longer side, or (across, up); 60 is coarse, 200 fine.
        aerial_at: x, y, z of the aerial [m], to try another place with today's aerial and coax.
        request: fob, hold and area.
        radio: of the same case, to keep what it has computed.
        progress: told (done, of) now and then on a large map; may raise to cancel.

    Raises:
        InputError: an unknown name, a map that is too large, or a link that lacks a value: what to do is
            said.
    """
    house = _house(case, premises, receiver)
    if level and level not in house.levels:
        raise InputError(
            f"There is no level '{level}' at {premises}; there are {_names(house.levels)}; leave it out for"
            " the open ground."
        )
    radio = radio or radio_of(case)
    group = request.group or group_for(case, premises, receiver)
    x, y = map_cells(house, cells, request.area)
    grid_x, grid_y = np.meshgrid(x, y)
    points, indoors, stands = map_points(
        radio, house, premises, level or "", grid_x.ravel(), grid_y.ravel(), HAND_M[request.held]
    )
    if not stands.any() and all(wall.level != level for wall in house.walls):
        raise InputError(
            f"Level '{level}' of {premises} has no walls, so nobody knows where one can stand there. Draw its"
            f" walls, or give them 'level: {level}'."
        )
    listening = radio.aerial(premises, receiver)
    if aerial_at is not None:
        listening = listening.hung_at(_aerial_end(house, aerial_at))
    place = Place.model_validate({"at": (float(x[0]), float(y[0])), "pressed": request.held})
    link = radio.link(
        group=group,
        premises=premises,
        receiver=receiver,
        place=place,
        place_path="",
        pressed=request.held,
        aerial=listening,
    )
    if listening.end is None or link.level_dbm is None or link.needed_dbm is None or link.path is None:
        raise InputError(
            f"No map can be drawn of {premises}/{receiver} yet. Missing:"
            f" {gaps_text(link.gaps) or 'where its aerial is'}."
        )
    link_from = place_end(house, place, request.held).at_m
    found = weakest_ways(
        [
            ways_between(
                around=around,
                aerial=radio.roofed(premises, listening.end),
                points_m=points,
                over_ground_m=HAND_M[request.held],
                outdoors=~indoors,
                compile_it=request.compile_it,
                progress=progress,
                kept=KEPT_LOOPS,
            )
            for around in radio.arounds(premises)
        ]
    )
    margin = link.level_dbm - link.needed_dbm + link.path.loss_db - found.loss_db
    # the link of the first cell has its own direction in it
    here = sum(line.adds_db for line in listening.pattern_lines(link.path, link_from))
    margin = margin - here + listening.pattern_db(points, found.strongest_share)
    environment = np.where(
        found.straight_db < 0.5, ENVIRONMENT_SD_DB["in sight"], ENVIRONMENT_SD_DB["behind walls"]
    )
    shared = np.sqrt(link.offset_sd_db**2 + environment**2 + found.wall_sd_db**2 + link.fob_sd_db**2)
    shape = grid_x.shape
    chances = {
        presses: press_share(
            margin_db=margin,
            shared_sd_db=shared,
            press_sd_db=link.press_sd_db,
            strongest_share=found.strongest_share,
            presses=presses,
            telegrams=link.telegrams,
            clear_share=link.clear_share,
        ).reshape(shape)
        for presses in {request.presses, *request.within}
    }
    offset = sum(line.adds_db for line in link.lines if line.part is BudgetPart.READINGS)
    return ReachMap(
        premises,
        receiver,
        group,
        level or "",
        request.held,
        x,
        y,
        chances[request.presses],
        margin.reshape(shape),
        shared.reshape(shape),
        indoors.reshape(shape),
        stands.reshape(shape),
        map_drawn(house, level or "", case),
        map_named(house, level or ""),
        listening.end.at_m,
        aerial_at is not None,
        tuple(dict.fromkeys(gap.says for gap in (*radio.plan_gaps(premises), *link.gaps))),
        float(offset),
        chances,
        (float(found.left_out_db.mean()), float(found.left_out_db.max())),
        worse_of=radio.shown_for(premises),
    )


def budget_at(
    case: Case,
    premises: str,
    receiver: str,
    point: Sequence[float],
    *,
    level: str | None = None,
    group: str | None = None,
    pressed: Pressed = "in hand",
    aerial_at: Sequence[float] | None = None,
    radio: Radio | None = None,
) -> RadioLink:
    """The budget, line by line, from any point of the plan.

    Args:
        case: the job.
        premises, receiver: where to.
        point: x, y, or x, y and height over the plan's zero [m].
        level: the point's level; None for the open ground.
        group: whose fob; the first that works the receiver, if None.
        pressed: how the fob is held.
        aerial_at: another place of the aerial [m].
        radio: of the same case, to keep what it has computed.

    Raises:
        InputError: an unknown name or level.
    """
    house = _house(case, premises, receiver)
    if level and level not in house.levels:
        raise InputError(
            f"There is no level '{level}' at {premises}; there are {_names(house.levels)}; leave it out for"
            " the open ground."
        )
    radio = radio or radio_of(case)
    place = Place.model_validate(
        {"at": tuple(float(metres) for metres in point), "level": level or None, "pressed": pressed}
    )
    aerial = (
        None if aerial_at is None else radio.aerial(premises, receiver).hung_at(_aerial_end(house, aerial_at))
    )
    return radio.link(
        group=group or group_for(case, premises, receiver),
        premises=premises,
        receiver=receiver,
        place=place,
        place_path="",
        pressed=pressed,
        aerial=aerial,
    )


def group_for(case: Case, premises: str, receiver: str) -> str:
    """The first group with a function of this receiver on a button.

    Raises:
        InputError: nobody's fob works it.
    """
    name = group_that_works(case, premises, receiver)
    if name is not None:
        return name
    raise InputError(
        f"No group has a function of {premises}/{receiver} on a button: give one a button, or name the group."
    )


def _house(case: Case, premises: str, receiver: str) -> Premises:
    house = case.job.premises.get(premises)
    if house is None:
        raise InputError(
            f"There are no premises '{premises}' in this job; there are {_names(case.job.premises)}."
        )
    if receiver not in house.receivers:
        raise InputError(
            f"There is no receiver '{receiver}' at {premises}; there are {_names(house.receivers)}."
        )
    return house


def _aerial_end(house: Premises, point: Sequence[float]) -> PathEnd:
    if len(point) != 3 or not all(np.isfinite(metres) for metres in point):
        raise InputError(f"An aerial wants x, y and height in metres; given were {len(point)} numbers.")
    x, y, z = (float(metres) for metres in point)
    floors = [level.floor_m for level in house.levels.values() if level.floor_m <= z]
    return PathEnd((x, y, z), max(z - max(floors, default=ground_height_m(house, x, y)), 0.3), True)


@dataclass(frozen=True)
class PromisedLink:
    """One promise at one receiver with its budget.

    Attributes:
        promise: its name.
        receiver, place: "premises/name".
        presses: within how many.
        wanted: share promised.
        share: share computed; None where something is missing.
        link: the budget.
    """

    promise: str
    receiver: str
    place: str
    presses: int
    wanted: float
    share: float | None
    link: RadioLink


def promised_links(
    case: Case,
    premises: str,
    receiver: str,
    *,
    place: str | None = None,
    held: str | None = None,
    aerial_at: Sequence[float] | None = None,
    radio: Radio | None = None,
) -> list[PromisedLink]:
    """The budget of every promise that a receiver has to hear, in the order of the job.

    Args:
        case: the job.
        premises, receiver: which.
        place: only from this place.
        held: how the fob is held, if not as the place says.
        aerial_at: another place of the aerial [m].
        radio: of the same case, to keep what it has computed.

    Raises:
        InputError: an unknown place.
    """
    radio = radio or radio_of(case)
    house = _house(case, premises, receiver)
    if place is not None and not any(
        place in (name, f"{where}/{name}")
        for where, premises_there in case.job.premises.items()
        for name in premises_there.places
    ):
        raise InputError(f"There is no place '{place}' at {premises}; there are {_names(house.places)}.")
    aerial = (
        None if aerial_at is None else radio.aerial(premises, receiver).hung_at(_aerial_end(house, aerial_at))
    )
    found = []
    for promise in case.job.promises:
        location = case.place(promise.from_, premises)
        if (
            location is None
            or location[0] != premises
            or (place is not None and place not in (location[1], "/".join(location)))
        ):
            continue
        if not any(
            output.receiver_path == f"{premises}/{receiver}" for output in case.outputs_of(promise.function)
        ):
            continue
        link = radio.link(
            group=promise.to,
            premises=premises,
            receiver=receiver,
            place=house.places[location[1]],
            place_path="/".join(location),
            pressed=held,  # type: ignore[arg-type]
            aerial=aerial,
        )
        presses = int(promise.within_presses)
        found.append(
            PromisedLink(
                promise_id(promise),
                f"{premises}/{receiver}",
                "/".join(location),
                presses,
                promise.at_least_share,
                link.share(presses),
                link,
            )
        )
    return found


def _names(names: Iterable[str]) -> str:
    return listed((f"'{name}'" for name in names), last=", ", nothing="none")
