"""Premises to drive to: their hours, their work, and an order of them.

Sites open for some hours of each day, which may run through midnight; who comes early waits, who comes too
late waits for the next day.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, NamedTuple

from farpress.errors import InputError, require_range
from farpress.sources import Mark, cites

__all__ = ["DAY_MIN", "VisitSite", "VisitTour", "check_sites", "finish_min"]

DAY_MIN: Final = 1440.0
"""Minutes of a day."""


class VisitSite(NamedTuple):
    """One place to go to.

    Attributes:
        weight: risk while it is not finished, in any unit, per minute.
        work_min: how long the work there takes [min].
        opens_min, closes_min: hours of a day [min after midnight]; 0 and 1440: always; 1320 and 1800:
            from ten in the evening to six.
    """

    weight: float
    work_min: float
    opens_min: float = 0.0
    closes_min: float = DAY_MIN


class VisitTour(NamedTuple):
    """An order of sites and what it costs.

    Attributes:
        order: indices of the sites.
        finished_min: when each of them is finished, in that order [min after the start].
        drive_min: minutes on the road, the way back included.
        exposure: sum of weight times minutes until finished.
        gap: how far a better tour could at most be, as a share of the exposure; 0 if proven.
    """

    order: tuple[int, ...]
    finished_min: tuple[float, ...]
    drive_min: float
    exposure: float
    gap: float = 0.0


@cites("first time a site is open long enough", mark=Mark.COMPUTED)
def finish_min(*, arrive_min: float, site: VisitSite) -> float:
    """When the work at a site is finished, waiting for its hours included [min after midnight of the first
    day].

    Args:
        arrive_min: arrival, minutes after midnight of the first day; may be beyond 1440.
        site: its hours and its work.

    Example:
        Eight in the evening, open from seven to five, six minutes of work: next morning.

        >>> finish_min(arrive_min=20 * 60.0, site=VisitSite(1, 6, 7 * 60.0, 17 * 60.0)) - 1440
        426.0
    """
    if site.closes_min - site.opens_min >= DAY_MIN:
        return arrive_min + site.work_min
    day = (arrive_min // DAY_MIN - 1) * DAY_MIN  # last evening's hours may still run
    while max(arrive_min, day + site.opens_min) + site.work_min > day + site.closes_min + 1e-9:
        day += DAY_MIN
    return max(arrive_min, day + site.opens_min) + site.work_min


def check_sites(travel_min: Sequence[Sequence[float]], sites: Sequence[VisitSite], begin_min: float) -> None:
    """Whether times and sites fit together.

    Args:
        travel_min: minutes from row to column; row and column 0 are the start.
        sites: one row and column each.
        begin_min: minutes after midnight at the start.

    Raises:
        InputError: the table does not fit the sites, or a site's work is longer than it is open.
        OutOfRange: a negative time or weight.
    """
    size = len(sites) + 1
    if len(travel_min) != size or any(len(row) != size for row in travel_min):
        raise InputError(
            f"The table of travel times needs {size} rows of {size}: the start and {len(sites)} sites."
        )
    require_range(
        "travel_min",
        [list(row) for row in travel_min],
        "min",
        low=0.0,
        because="a way takes no negative time",
    )
    require_range("begin_min", begin_min, "min", low=0.0, high=DAY_MIN, because="minutes after midnight")
    for site in sites:
        require_range("weight", site.weight, "", low=0.0, because="a risk is not negative")
        require_range("work_min", site.work_min, "min", low=0.0, because="work takes no negative time")
        require_range(
            "opens_min", site.opens_min, "min", low=0.0, high=DAY_MIN, because="minutes after midnight"
        )
        require_range(
            "closes_min",
            site.closes_min,
            "min",
            low=0.0,
            high=site.opens_min + DAY_MIN,
            because="minutes after midnight, of the next day if it is open through the night",
        )
        if site.closes_min - site.opens_min < site.work_min:
            raise InputError(
                f"{site.work_min:g} min of work do not fit into {site.closes_min - site.opens_min:g} min of"
                " opening; let it be opened for longer, or share the work out."
            )
