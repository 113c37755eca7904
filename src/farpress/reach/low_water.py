"""The job as it stands at low water: what floats at its lowest height, the water under it as far down."""

from __future__ import annotations

from typing import Final

from farpress.case.case import Case
from farpress.domain.premises import Place, Premises

__all__ = ["HAND_OVER_WATER_M", "at_low_water"]

HAND_OVER_WATER_M: Final = 1.2
"""A fob on deck or on a pontoon is held so high over the water; our choice, as over a floor."""


def at_low_water(case: Case) -> Case:
    """The same job with every place that has a lowest height there; the job itself where none has.

    Levels and presses counted at such a place were taken at high water, and are left out. Where nobody gives
    the ground its shape, the water at its lowest is the ground: it throws the press back as ground does.
    """
    return case.once(_lowered)


def _lowered(case: Case) -> Case:
    job = case.job
    houses = {name: _lowered_house(house) for name, house in job.premises.items()}
    if all(houses[name] is job.premises[name] for name in houses):
        return case
    floating = {
        f"{where}/{name}"
        for where, house in job.premises.items()
        for name, place in house.places.items()
        if place.lowest_m is not None
    }
    readings = tuple(
        reading
        for reading in job.readings
        if f"{reading.receiver.split('/')[0]}/{reading.place.rsplit('/', 1)[-1]}" not in floating
    )
    return case.with_job(job.model_copy(update={"premises": houses, "readings": readings}))


def _lowered_house(house: Premises) -> Premises:
    lows = [place.lowest_m for place in house.places.values() if place.lowest_m is not None]
    if not lows:
        return house
    places = {name: _lowered_place(place) for name, place in house.places.items()}
    slope = house.slope or ((0.0, 0.0, min(lows) - HAND_OVER_WATER_M),)
    return house.model_copy(update={"places": places, "slope": slope})


def _lowered_place(place: Place) -> Place:
    if place.lowest_m is None:
        return place
    return place.model_copy(update={"at": (*place.at[:2], place.lowest_m), "lowest_m": None})
