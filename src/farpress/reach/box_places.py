"""How surely a receiver would be heard at places where it could hang: every place for one promise at once.

The same sums as on a map, the other way round: a way costs the same there and back, so all places are
computed from the promise's own place. What is chosen comes to the full budget afterwards, by the judge.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from farpress.core.reach.direct import ENVIRONMENT_SD_DB
from farpress.core.reach.press import press_share
from farpress.core.reach.shelter import sheltered
from farpress.core.reach.ways import Ways, ways_between
from farpress.domain.job import Promise
from farpress.domain.premises import Premises
from farpress.reach.arrangements import weakest_ways
from farpress.reach.map_loops import KEPT_LOOPS
from farpress.reach.radio_link import Radio
from farpress.reach.radio_scene import place_end, terrain_of

__all__ = ["BoxPlaces"]


class BoxPlaces:
    """Places for boxes at one premises; the ways to each promise's place are computed once.

    Args:
        radio: the links of a case with one receiver of each kind that is thought of.
        premises: which address.
        points_m: the places, (n, 3) [m].
    """

    def __init__(self, radio: Radio, premises: str, points_m: NDArray[np.float64]) -> None:
        self.radio, self.premises, self.points_m = radio, premises, points_m
        terrain = terrain_of(self.house)
        over = points_m[:, 2] - terrain.height_m(points_m[:, 0], points_m[:, 1])
        self._over_m = np.maximum(np.round(over), 1.0)  # of two rays; whole metres keep the calls few
        self.indoors = sheltered(scene=radio.plan(premises).scene, points_m=points_m)
        self._ways: dict[str, list[tuple[NDArray[np.bool_], Ways]]] = {}

    @property
    def house(self) -> Premises:
        """The premises."""
        return self.radio.case.job.premises[self.premises]

    def shares(self, receiver: str, asked: Sequence[tuple[Promise, str]]) -> NDArray[np.float64]:
        """The chance that a receiver of this kind hears each promise from each place.

        Args:
            receiver: one of the kind, with its aerial at the box.
            asked: promises with the name of their place.

        Returns:
            (promises, places); not a number where a link lacks a value.
        """
        found = np.full((len(asked), len(self.points_m)), np.nan)
        for row, (promise, name) in enumerate(asked):
            link = self.radio.link(
                group=promise.to,
                premises=self.premises,
                receiver=receiver,
                place=self.house.places[name],
                place_path=f"{self.premises}/{name}",
            )
            if link.margin_db is None or link.path is None:
                continue
            for some, ways in self._ways_from(name):
                margin = link.margin_db + link.path.loss_db - ways.loss_db
                around = np.where(
                    ways.straight_db < 0.5, ENVIRONMENT_SD_DB["in sight"], ENVIRONMENT_SD_DB["behind walls"]
                )
                shared = np.sqrt(link.offset_sd_db**2 + around**2 + ways.wall_sd_db**2 + link.fob_sd_db**2)
                found[row, some] = press_share(
                    margin_db=margin,
                    shared_sd_db=shared,
                    press_sd_db=link.press_sd_db,
                    strongest_share=ways.strongest_share,
                    presses=int(promise.within_presses),
                    telegrams=link.telegrams,
                    clear_share=link.clear_share,
                )
        return found

    def _ways_from(self, name: str) -> list[tuple[NDArray[np.bool_], Ways]]:
        """The ways from a promise's place to all places, those of one height together."""
        if name not in self._ways:
            end = self.radio.roofed(self.premises, place_end(self.house, self.house.places[name]))
            made = []
            for height in sorted(set(self._over_m.tolist())):
                some = self._over_m == height
                ways = weakest_ways(
                    [
                        ways_between(
                            around=around,
                            aerial=end,
                            points_m=self.points_m[some],
                            over_ground_m=float(height),
                            outdoors=~self.indoors[some],
                            kept=KEPT_LOOPS,
                        )
                        for around in self.radio.arounds(self.premises)
                    ]
                )
                made.append((some, ways))
            self._ways[name] = made
        return self._ways[name]
