"""The links of a job: scenes, ways, aerials and readings put together, each computed once.

The one place where fob, way, aerial, coax, noise and readings meet; `judging.air` and
`judging.receiver` judge what stands here.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

import numpy as np

from farpress.case.case import Case
from farpress.case.reads import Memo
from farpress.core.reach.aerial import RANDOM_POLARISATION_DB, held_spread_db, polarisation_loss_db
from farpress.core.reach.direct import PathLoss
from farpress.core.reach.press import press_share
from farpress.core.reach.readings import Read, Updated, updated
from farpress.core.reach.scene import PathEnd
from farpress.core.reach.shelter import sheltered
from farpress.core.reach.ways import Around, around, many_ways_path
from farpress.domain.job import Reading
from farpress.domain.premises import Aerial, Place, Premises
from farpress.reach.arrangements import Arrangement, arrangements, weakest_path
from farpress.reach.channel import busiest, hit_share
from farpress.reach.gaps import Gap, GapKind, sensitivity_gap
from farpress.reach.hidden import hidden_lines
from farpress.reach.map_loops import look_for_loops
from farpress.reach.radio_budget import (
    BURSTS_SHARE,
    CHOICES,
    FOB_SD_DB,
    MODEL_SD_DB,
    BudgetLine,
    BudgetPart,
    Chosen,
    Pressed,
    RadioLink,
    fob_lines,
    line_of,
    telegrams_of,
)
from farpress.reach.radio_readings import (
    Placed,
    ReadingAt,
    aerial_read_with,
    counted_text,
    group_that_works,
    level_read_dbm,
    readings_at,
    reads_of,
    shielding_read_db,
    spot_of,
)
from farpress.reach.radio_receiver import (
    FREQUENCY_HZ,
    READINGS,
    AerialAt,
    Needed,
    aerial_inside,
    aerial_mounted,
    needed_at,
)
from farpress.reach.radio_scene import PlanScene, place_end, plan_gaps_at, scene_of
from farpress.reach.unwalled import into_a_building
from farpress.reach.ways_kept import kept_way, scene_digest
from farpress.sources import cited

__all__ = ["Radio", "bursts_at", "radio_of"]


def bursts_at(house: Premises, receiver: str) -> tuple[float, bool]:
    """Share of time that others are on the channel of a receiver, and whether it was measured."""
    own = house.receivers[receiver].noise_bursts_share
    measured = own if own is not None else house.noise_bursts_share
    return (BURSTS_SHARE, False) if measured is None else (measured, True)


def radio_of(case: Case) -> Radio:
    """The radio links of a job, each computed once, whoever asks."""
    return case.once(Radio)


class Radio:
    """The links of a job; scenes and ways are computed once each."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self._arrangements: Memo[tuple[Arrangement, ...]] = Memo()
        self._scenes: Memo[PlanScene] = Memo()
        self._around: Memo[Around] = Memo()
        self._digests: Memo[bytes] = Memo()
        self._readings: Memo[tuple[ReadingAt, ...]] = Memo()
        self._updated: Memo[Updated] = Memo()
        self._aerials: Memo[AerialAt] = Memo()

    def arrangements(self, premises: str) -> tuple[Arrangement, ...]:
        """How what moves at an address can stand; the first as it is drawn."""
        return self._arrangements.once(premises, lambda: arrangements(self.case.job.premises[premises]))

    def plan(self, premises: str, frequency_hz: float = FREQUENCY_HZ, arrangement: int = 0) -> PlanScene:
        """The scene of an address, in one of the ways in which things can stand."""
        return self._scenes.once(
            (premises, frequency_hz, arrangement),
            lambda: scene_of(
                self.case.job.premises[premises],
                self.case.equipment,
                frequency_hz,
                self.arrangements(premises)[arrangement],
            ),
        )

    def plan_gaps(self, premises: str, frequency_hz: float = FREQUENCY_HZ) -> tuple[Gap, ...]:
        """What the plan of an address leaves open."""
        return self.case.found(_plan_gaps, premises, frequency_hz)

    def around(self, premises: str, frequency_hz: float = FREQUENCY_HZ, arrangement: int = 0) -> Around:
        """The scene of an address, made ready for every way."""
        return self._around.once(
            (premises, frequency_hz, arrangement),
            lambda: around(
                scene=self.plan(premises, frequency_hz, arrangement).scene, frequency_hz=frequency_hz
            ),
        )

    def arounds(self, premises: str) -> tuple[Around, ...]:
        """The same as drawn and, where anything moves, as everything stands otherwise: for whole maps."""
        return tuple(
            self.around(premises, arrangement=arrangement)
            for arrangement in range(min(len(self.arrangements(premises)), 2))
        )

    def shown_for(self, premises: str) -> tuple[str, ...]:
        """How things stand in `arounds`, in words; empty where nothing moves."""
        return tuple(way.says for way in self.arrangements(premises)[:2] if way.says)

    def roofed(self, premises: str, end: PathEnd) -> PathEnd:
        """An end without a level that has walls round it lies indoors."""
        return self.case.found(_roofed, premises, end)

    def _under_roof(self, premises: str, end: PathEnd) -> PathEnd:
        has_walls_round = end.is_outdoors and bool(
            sheltered(scene=self.plan(premises).scene, points_m=[end.at_m])[0]
        )
        return end._replace(is_outdoors=False) if has_walls_round else end

    def path(self, premises: str, fob: PathEnd, aerial: PathEnd, frequency_hz: float) -> PathLoss:
        """The way between two ends as things stand worst for it; where no wall is drawn, getting into the
        building costs what buildings cost.
        """
        return self.case.found(_way, premises, fob, aerial, frequency_hz)

    def read_path(self, premises: str, fob: PathEnd, aerial: PathEnd, frequency_hz: float) -> PathLoss:
        """The same as things stand best for it."""
        return self.case.found(_read_way, premises, fob, aerial, frequency_hz)

    def _worst_path(self, premises: str, fob: PathEnd, aerial: PathEnd, frequency_hz: float) -> PathLoss:
        return weakest_path(
            self.arrangements(premises),
            lambda arrangement: self._kept_path(premises, fob, aerial, frequency_hz, arrangement),
        )

    def _best_path(self, premises: str, fob: PathEnd, aerial: PathEnd, frequency_hz: float) -> PathLoss:
        every = range(len(self.arrangements(premises)))
        ways = [self._kept_path(premises, fob, aerial, frequency_hz, arrangement) for arrangement in every]
        return min(ways, key=lambda path: path.loss_db)

    def _kept_path(
        self, premises: str, fob: PathEnd, aerial: PathEnd, frequency_hz: float, arrangement: int
    ) -> PathLoss:
        is_unwalled = self.is_unwalled(premises, fob, aerial)
        return kept_way(
            self._digest(premises, frequency_hz, arrangement),
            fob,
            aerial,
            frequency_hz,
            unwalled=is_unwalled,
            make=lambda: self._made_path(premises, fob, aerial, frequency_hz, arrangement, is_unwalled),
        )

    def _made_path(
        self,
        premises: str,
        fob: PathEnd,
        aerial: PathEnd,
        frequency_hz: float,
        arrangement: int,
        is_unwalled: bool,
    ) -> PathLoss:
        look_for_loops()
        found = many_ways_path(
            around=self.around(premises, frequency_hz, arrangement),
            fob=self.roofed(premises, fob),
            aerial=self.roofed(premises, aerial),
        )
        return into_a_building(found, frequency_hz) if is_unwalled else found

    def _digest(self, premises: str, frequency_hz: float, arrangement: int) -> bytes:
        """Of the scenes that a way is made from: at its own frequency, and at the one that says what lies
        indoors.
        """
        asked = dict.fromkeys(((frequency_hz, arrangement), (FREQUENCY_HZ, 0)))
        return self._digests.once(
            (premises, frequency_hz, arrangement),
            lambda: b"".join(scene_digest(self.plan(premises, *which).scene) for which in asked),
        )

    def _is_on_any_storey(self, premises: str, place: Place, end: PathEnd, frequency_hz: float) -> bool:
        """Whether a place lies in a house of several storeys, and nobody says on which, nor how high."""
        if place.level is not None or len(place.at) > 2 or len(self.case.job.premises[premises].levels) < 2:
            return False
        return bool(sheltered(scene=self.plan(premises, frequency_hz).scene, points_m=[end.at_m])[0])

    def is_unwalled(self, premises: str, fob: PathEnd, aerial: PathEnd) -> bool:
        """Whether the way leads into a building of which no wall is drawn."""
        return not self.case.job.premises[premises].walls and fob.is_outdoors != aerial.is_outdoors

    def aerial(self, premises: str, receiver: str) -> AerialAt:
        """The aerial a receiver listens with today."""
        return self._aerials.once((premises, receiver), lambda: self._present_aerial(premises, receiver))

    def _present_aerial(self, premises: str, receiver: str) -> AerialAt:
        box = self.case.job.premises[premises].receivers[receiver]
        if box.antenna is not None:
            return self.aerial_at(premises, receiver, box.antenna, is_present=True)
        return aerial_inside(self.case, premises, receiver, self.shielding_readings(premises, receiver))

    def aerial_at(
        self, premises: str, receiver: str, aerial: Aerial, *, is_present: bool = False
    ) -> AerialAt:
        """An aerial mounted away from its receiver, today or as a proposal."""
        pairs = self.shielding_readings(premises, receiver)
        return aerial_mounted(self.case, premises, receiver, aerial, pairs, is_present=is_present)

    def needed(self, premises: str, receiver: str) -> Needed:
        """The level a receiver needs where it is mounted."""
        return needed_at(self.case, premises, receiver)

    def shielding_readings(self, premises: str, receiver: str) -> list[float]:
        """Differences open less closed of readings taken at the same place in the same way [dB]."""
        return shielding_read_db(self.case, premises, receiver)

    def link(
        self,
        *,
        group: str,
        premises: str,
        receiver: str,
        place: Place,
        place_path: str,
        pressed: Pressed | None = None,
        aerial: AerialAt | None = None,
        fob_end: PathEnd | None = None,
        use_readings: bool = True,
        there: Collection[str] | None = None,
    ) -> RadioLink:
        """The budget from a place to a receiver, with its present aerial or another one.

        Args:
            group: whose fob.
            premises, receiver: where to.
            place, place_path: where from, and its "premises/name".
            pressed: how the fob is held; as the place says, if None.
            aerial: another aerial than today's.
            fob_end: another point than the place's.
            use_readings: correct the prediction by the readings at this receiver. What a reading says of
                its own place counts only for the aerial it was taken with; its offset counts for all.
                Without, for what a reading is held against: as things stand best, since nobody wrote down how
                they stood, and one held against too weak a way would make every link look better.
            there: what of the things that hide the place at times is there; all of it, if None.
        """
        house = self.case.job.premises[premises]
        part = self.case.equipment.fobs.get(group)
        listening = aerial or self.aerial(premises, receiver)
        held = pressed or place.pressed
        # beside a reading that does not say the seat the best is taken, as of doors
        seat = place.seat or (None if use_readings else "front")
        lines, gaps, sources = fob_lines(group, part, held, seat)
        carried = tuple(lines)
        gaps += listening.gaps
        frequency = part.sheet.frequency_hz if part is not None and part.sheet.frequency_hz else FREQUENCY_HZ
        drawn = self.plan_gaps(premises, frequency)
        if any(gap.kind is GapKind.WALL_LOSS for gap in drawn):
            gaps += drawn
        needed = self.needed(premises, receiver)
        if needed.level_dbm is None:
            gaps.append(sensitivity_gap(receiver))
        elif needed.own_floor_dbm is None or needed.present_floor_dbm is None:
            says = f"bandwidth and noise figure of {receiver}, for the noise on site: see its data sheet"
            gaps.append(Gap(GapKind.NOISE, says))
        fob_sd = part.sheet.erp_sd_db if part is not None and part.sheet.erp_sd_db is not None else FOB_SD_DB
        path: PathLoss | None = None
        notes: list[str] = []
        level: float | None = None
        place_sd, offset_sd = 0.0, MODEL_SD_DB
        if listening.end is not None:
            start = fob_end or place_end(house, place, held)
            way = self.path if use_readings else self.read_path
            path = way(premises, start, listening.end, frequency)
            gaps += plan_gaps_at(house, place.level if fob_end is None else None, start, "the place")
            if place_path and fob_end is None and self._is_on_any_storey(premises, place, start, frequency):
                gaps.append(Gap(GapKind.STOREY, "the storey or the height of the place, which lies indoors"))
            if self.is_unwalled(premises, start, listening.end):
                gaps.append(
                    Gap(
                        GapKind.WALLS_UNDRAWN,
                        "the walls between the place and the receiver: draw them with their builds",
                    )
                )
            lines += [line_of(term) for term in path.terms]
            lines += [
                BudgetLine(BudgetPart.RECEIVING, f"{listening.says}, gain", listening.gain_dbi),
                *listening.pattern_lines(path, start.at_m),
                *listening.lines,
                BudgetLine(
                    BudgetPart.RECEIVING,
                    "fob held at any angle (polarisation)",
                    -RANDOM_POLARISATION_DB,
                    held_spread_db(),
                ),
            ]
            notes += path.notes
            sources += [*path.sources, *cited(polarisation_loss_db), *cited(held_spread_db)]
            place_sd = path.local_sd_db
            hidden, unknown = hidden_lines(
                place if fob_end is None else None, self.case.equipment.builds, there
            )
            lines += hidden
            gaps += unknown
            hidden_sd = float(np.sqrt(sum(line.sd_db**2 for line in hidden)))
            known = self.updated(premises, receiver) if use_readings else None
            if known is not None and known.spots:
                after = known.at(spot_of(path, start, listening.end))
                place_sd = float(np.sqrt(max(after.sd_db**2 - after.offset_sd_db**2, 0.0)))
                offset_sd = after.offset_sd_db
                says = f"correction from {self.counted(premises, receiver)} at {receiver}"
                lines.append(BudgetLine(BudgetPart.READINGS, says, after.add_db))
                sources += [READINGS, *cited(updated)]
            place_sd = float(np.sqrt(place_sd**2 + hidden_sd**2 + sum(line.sd_db**2 for line in carried)))
            level = sum(line.adds_db for line in lines)
        telegrams = telegrams_of(part, self.case.equipment.receivers.get(f"{premises}/{receiver}"))
        busy = None
        if use_readings:
            busy = busiest(
                self.case,
                place_path,
                telegram_s=part.sheet.telegram_s if part is not None else None,
                period_s=part.sheet.repeat_s if part is not None else None,
                telegrams=telegrams,
            )
        clear_of_presses = 1.0
        if busy is not None:
            notes.append(busy.says)
            sources += busy.sources
            clear_of_presses = busy.clear_share
        # each telegram of a press may be met by one of what sends by itself; one that is not is enough
        met = hit_share(self.case, premises, receiver, part.sheet.telegram_s if part is not None else None)
        if met is None:
            says = f"how long and how often what sends by itself near {receiver} does, and the fob's telegram"
            gaps.append(Gap(GapKind.SENDERS, says))
        elif met:
            clear_of_presses *= 1.0 - met**telegrams.sent
            notes.append(f"one telegram in {1.0 / met:.1f} is met by what sends there by itself")
        bursts, is_measured = bursts_at(house, receiver)
        chosen = Chosen(0.0 if is_measured else bursts, needed.usual_db, needed.usual_sd_db)
        half_sd = fob_sd / float(np.sqrt(2.0))
        # many ways come at many angles, so turning the fob matters by the strongest way's share
        turned_sd = held_spread_db() * (path.strongest_share if path is not None else 1.0)
        is_known = all(gap.kind.has_stand_in for gap in gaps)
        return RadioLink(
            lines=tuple(lines),
            level_dbm=level if is_known else None,
            needed_dbm=needed.level_dbm,
            offset_sd_db=float(np.hypot(offset_sd, chosen.noise_sd_db)),
            place_sd_db=place_sd,
            fob_sd_db=half_sd,
            press_sd_db=float(np.hypot(half_sd, turned_sd)),
            clear_share=(1.0 - bursts) * clear_of_presses,
            needed_because=needed.because,
            notes=tuple(notes),
            gaps=tuple(dict.fromkeys(gaps)),
            sources=tuple(
                dict.fromkeys([*sources, *listening.sources, *needed.sources, *cited(press_share), CHOICES])
            ),
            path=path,
            telegrams=telegrams,
            chosen=chosen,
        )

    def updated(self, premises: str, receiver: str) -> Updated:
        """What the readings at a receiver say of it, of its walls and of the places round them."""
        return self._updated.once(
            (premises, receiver),
            lambda: updated(readings=self._reads(premises, receiver), shared_sd_db=MODEL_SD_DB),
        )

    def counted(self, premises: str, receiver: str) -> str:
        """How many levels and presses correct the prediction at a receiver, in words."""
        return counted_text(self._reads(premises, receiver))

    def _reads(self, premises: str, receiver: str) -> list[Read]:
        return [read for reading in self.readings(premises, receiver) for read in reading.reads]

    def readings(self, premises: str, receiver: str) -> tuple[ReadingAt, ...]:
        """Levels and counted presses at a receiver as it works, each beside its prediction without
        readings.
        """
        return self._readings.once((premises, receiver), lambda: tuple(self._compared(premises, receiver)))

    def _compared(self, premises: str, receiver: str) -> Iterator[ReadingAt]:
        group = group_that_works(self.case, premises, receiver)
        for placed in readings_at(self.case, premises, receiver) if group is not None else ():
            beside = self._beside_prediction(placed, receiver, group or "")
            if beside is not None:
                yield beside

    def _beside_prediction(self, placed: Placed, receiver: str, group: str) -> ReadingAt | None:
        """A reading beside its prediction; None where the two cannot be compared."""
        reading, premises, place_path = placed
        aerial = self._aerial_of(reading, premises, receiver)
        if aerial is None or aerial.end is None or (aerial.is_shut_in and reading.housing == "open"):
            return None
        house = self.case.job.premises[premises]
        place = house.places[place_path.split("/")[1]]
        held = reading.held or place.pressed
        link = self.link(
            group=group,
            premises=premises,
            receiver=receiver,
            place=place,
            place_path=place_path,
            pressed=held,
            aerial=aerial,
            use_readings=False,
            there=reading.there,
        )
        reads, against = reads_of(reading, link, place_end(house, place, held), aerial.end)
        if not reads or link.level_dbm is None:
            return None
        level = level_read_dbm(reading)
        return ReadingAt(reading, place_path, link.level_dbm, level, link.place_sd_db, tuple(reads), against)

    def _aerial_of(self, reading: Reading, premises: str, receiver: str) -> AerialAt | None:
        """The aerial a reading was taken with: today's, or one of the other places; None where it is
        neither.
        """
        if reading.aerial_at is None:
            return self.aerial(premises, receiver)
        box = self.case.job.premises[premises].receivers[receiver]
        drawn = aerial_read_with(reading, box)
        if drawn is None:
            return None
        return self.aerial_at(premises, receiver, drawn, is_present=drawn is box.antenna)


def _way(case: Case, premises: str, fob: PathEnd, aerial: PathEnd, frequency_hz: float) -> PathLoss:
    return radio_of(case)._worst_path(premises, fob, aerial, frequency_hz)


def _read_way(case: Case, premises: str, fob: PathEnd, aerial: PathEnd, frequency_hz: float) -> PathLoss:
    return radio_of(case)._best_path(premises, fob, aerial, frequency_hz)


def _roofed(case: Case, premises: str, end: PathEnd) -> PathEnd:
    return radio_of(case)._under_roof(premises, end)


def _plan_gaps(case: Case, premises: str, frequency_hz: float) -> tuple[Gap, ...]:
    return radio_of(case).plan(premises, frequency_hz).gaps
