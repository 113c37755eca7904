"""The link budget of one fob at one place to one receiver, line by line, with its chance.

The one place where fob, way, aerial, coax, noise and readings are put together; `air` and
`receiver` judge what stands here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from farpress.case.case import Case
from farpress.core.reach.aerial import RANDOM_POLARISATION_DB, held_spread_db, polarisation_loss_db
from farpress.core.reach.direct import PathEnd, PathLoss, PathTerm
from farpress.core.reach.entry import entry_loss_db
from farpress.core.reach.press import (
    USUAL,
    Telegrams,
    people_share,
    press_margin_db,
    press_share,
    telegram_spread,
)
from farpress.core.reach.readings import Read, Spot, Updated, updated
from farpress.core.reach.shelter import sheltered
from farpress.core.reach.ways import Around, around, many_ways_path
from farpress.domain.job import Reading
from farpress.domain.parts import FobSheet, Part, ReceiverSheet
from farpress.domain.premises import Aerial, Place
from farpress.reach.channel import busiest
from farpress.reach.radio_receiver import (
    FREQUENCY_HZ,
    PLUGGED_M,
    READINGS,
    AerialAt,
    Needed,
    aerial_inside,
    aerial_mounted,
    needed_at,
)
from farpress.reach.radio_scene import PlanScene, place_end, scene_of
from farpress.sources import Citation, Mark, cited
from farpress.units import eirp_from_erp_dbm

__all__ = [
    "FOB_SD_DB",
    "MODEL_SD_DB",
    "READING_SD_DB",
    "Pressed",
    "Radio",
    "RadioLink",
    "ReadingAt",
    "spot_of",
]

FOB_SD_DB: Final = 4.0
"""Spread from fob to fob and hand to hand where the sheet gives none: our choice."""

MODEL_SD_DB: Final = 6.0
"""Spread of the whole prediction at one receiver before any reading: our choice."""

READING_SD_DB: Final = 3.0
"""Scatter of one reading with a fob in the hand: our choice."""

BURSTS_SHARE: Final = 0.02
"""Share of time that others are on the channel where none was measured: our choice after reports from 868
MHz."""

SHORT_PRESS_S: Final = 0.5
"""Length of a press that is not held: our choice, 0.3 s to 0.8 s are usual (from memory)."""

BITS: Final = {"rolling": 66, "fixed": 24}
"""Bits of a telegram by the kind of code (from memory); rolling where the sheet does not say."""

_CHOICES: Final = Citation(
    "spread of fob, hand, model and readings; share of foreign bursts; hand moved between two presses by"
    " half",
    mark=Mark.CHOICE,
)

Pressed = Literal["in hand", "in pocket", "in car"]


@dataclass(frozen=True)
class ReadingAt:
    """A reading beside its prediction without readings [dBm], with the spread from place to place [dB].

    `read_dbm` is None for counted presses; `read` is what the update takes.
    """

    reading: Reading
    place: str
    predicted_dbm: float
    read_dbm: float | None
    local_sd_db: float
    read: Read


@dataclass(frozen=True)
class RadioLink:
    """One budget.

    Attributes:
        lines: says and signed decibels; they add up to `level_dbm`.
        level_dbm, needed_dbm: median level at the receiver and what it needs; None with gaps.
        offset_sd_db: doubt of the whole prediction at this receiver [dB].
        place_sd_db, fob_sd_db, press_sd_db: spread of places, fobs, presses [dB].
        clear_share: chance that neither a foreign burst nor other fobs' presses take a press away.
        notes: what is extrapolated, limited or corrected.
        gaps: what has to be known before it can be judged.
    """

    lines: tuple[PathTerm, ...]
    level_dbm: float | None
    needed_dbm: float | None
    offset_sd_db: float
    place_sd_db: float
    fob_sd_db: float
    press_sd_db: float
    clear_share: float
    needed_because: str
    notes: tuple[str, ...] = ()
    gaps: tuple[str, ...] = ()
    sources: tuple[Citation, ...] = ()
    path: PathLoss | None = None
    telegrams: Telegrams = USUAL

    @property
    def margin_db(self) -> float | None:
        """Median level over the needed one [dB]."""
        return None if self.level_dbm is None or self.needed_dbm is None else self.level_dbm - self.needed_dbm

    @property
    def spread_db(self) -> float:
        """Everything together [dB]."""
        return float(
            np.sqrt(self.offset_sd_db**2 + self.place_sd_db**2 + self.fob_sd_db**2 + self.press_sd_db**2)
        )

    def share(self, presses: int) -> float | None:
        """Chance that one of several presses is heard."""
        shared = float(np.sqrt(self.offset_sd_db**2 + self.place_sd_db**2 + self.fob_sd_db**2))
        return self._share(0.0, shared, presses)

    def doubt(self, presses: int) -> float | None:
        """How far the chance moves when the whole prediction is off by one standard deviation."""
        shared = float(np.sqrt(self.place_sd_db**2 + self.fob_sd_db**2))
        high, low = (
            self._share(self.offset_sd_db, shared, presses),
            self._share(-self.offset_sd_db, shared, presses),
        )
        return None if high is None or low is None else (high - low) / 2.0

    def _share(self, moved_db: float, shared_sd_db: float, presses: int) -> float | None:
        margin = self.margin_db
        if margin is None:
            return None
        return float(
            press_share(
                margin_db=margin + moved_db,
                shared_sd_db=shared_sd_db,
                press_sd_db=self.press_sd_db,
                strongest_share=self.strongest_share,
                presses=presses,
                telegrams=self.telegrams,
                clear_share=self.clear_share,
            )
        )

    def telegrams_heard(self) -> tuple[NDArray[np.float64], NDArray[np.float64]] | None:
        """Chance of one telegram, others on the channel left out, spread over presses: chances, and the share
        of presses with each.
        """
        margin = self.margin_db
        return (
            None
            if margin is None
            else telegram_spread(
                margin_db=margin,
                sd_db=self.spread_db,
                strongest_share=self.strongest_share,
                bits=self.telegrams.bits,
            )
        )

    @property
    def strongest_share(self) -> float:
        """Share of the power by the strongest way; it tells how deep the fading is."""
        return 1.0 if self.path is None else self.path.strongest_share

    def people(self, of_presses: float = 0.9) -> float | None:
        """Share of people for whom at least a share of single presses is heard."""
        margin = self.margin_db
        if margin is None:
            return None
        shared = float(np.sqrt(self.offset_sd_db**2 + self.place_sd_db**2 + self.fob_sd_db**2))
        return float(
            people_share(
                margin_db=margin,
                shared_sd_db=shared,
                press_sd_db=self.press_sd_db,
                strongest_share=self.strongest_share,
                of_presses=of_presses,
                telegrams=self.telegrams,
            )
        )


class Radio:
    """The links of a job; scenes and ways are computed once each."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self._scenes: dict[tuple[str, float], PlanScene] = {}
        self._around: dict[tuple[str, float], Around] = {}
        self._paths: dict[tuple[object, ...], PathLoss] = {}
        self._readings: dict[tuple[str, str], tuple[ReadingAt, ...]] = {}
        self._updated: dict[tuple[str, str], Updated] = {}
        self._aerials: dict[tuple[str, str], AerialAt] = {}

    def plan(self, premises: str, frequency_hz: float = FREQUENCY_HZ) -> PlanScene:
        """The scene of an address."""
        key = (premises, frequency_hz)
        if key not in self._scenes:
            self._scenes[key] = scene_of(self.case.job.premises[premises], self.case.equipment, frequency_hz)
        return self._scenes[key]

    def around(self, premises: str, frequency_hz: float = FREQUENCY_HZ) -> Around:
        """The scene of an address, made ready for every way."""
        key = (premises, frequency_hz)
        if key not in self._around:
            self._around[key] = around(
                scene=self.plan(premises, frequency_hz).scene, frequency_hz=frequency_hz
            )
        return self._around[key]

    def roofed(self, premises: str, end: PathEnd) -> PathEnd:
        """An end without a level that has walls round it lies indoors."""
        if not end.is_outdoors or not bool(
            sheltered(scene=self.plan(premises).scene, points_m=[end.at_m])[0]
        ):
            return end
        return end._replace(is_outdoors=False)

    def path(self, premises: str, fob: PathEnd, aerial: PathEnd, frequency_hz: float) -> PathLoss:
        """The way between two ends; where no wall is drawn, getting into the building costs what buildings
        cost.
        """
        key = (premises, fob, aerial, frequency_hz)
        if key not in self._paths:
            found = many_ways_path(
                around=self.around(premises, frequency_hz),
                fob=self.roofed(premises, fob),
                aerial=self.roofed(premises, aerial),
            )
            if self.is_unwalled(premises, fob, aerial):
                half, upper, lower = (
                    entry_loss_db(frequency_hz=frequency_hz, share=share, building="traditional")
                    for share in (0.5, 0.84, 0.16)
                )
                sd = (upper - lower) / 2.0
                term = PathTerm("into a building of unknown walls", half, sd)
                found = replace(
                    found,
                    terms=(*found.terms, term),
                    loss_db=found.loss_db + half,
                    local_sd_db=float(np.hypot(found.local_sd_db, sd)),
                    sources=found.sources + cited(entry_loss_db),
                )
            self._paths[key] = found
        return self._paths[key]

    def is_unwalled(self, premises: str, fob: PathEnd, aerial: PathEnd) -> bool:
        """Whether the way leads into a building of which no wall is drawn."""
        return not self.case.job.premises[premises].walls and fob.is_outdoors != aerial.is_outdoors

    def aerial(self, premises: str, receiver: str) -> AerialAt:
        """The aerial a receiver listens with today."""
        key = (premises, receiver)
        if key not in self._aerials:
            box = self.case.job.premises[premises].receivers[receiver]
            if box.antenna is not None:
                self._aerials[key] = self.aerial_at(premises, receiver, box.antenna, is_present=True)
            else:
                self._aerials[key] = aerial_inside(
                    self.case, premises, receiver, self.shielding_readings(premises, receiver)
                )
        return self._aerials[key]

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
        levels: dict[tuple[str, str | None], dict[str, float]] = {}
        for reading, _, place in self._readings_of(premises, receiver):
            if reading.housing is not None and reading.level_dbm is not None and reading.aerial_at is None:
                levels.setdefault((place, reading.held), {})[reading.housing] = reading.level_dbm + (
                    reading.pad_db or 0.0
                )
        return [pair["open"] - pair["closed"] for pair in levels.values() if len(pair) == 2]

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
        """
        house = self.case.job.premises[premises]
        part = self.case.equipment.fobs.get(group)
        listening = aerial or self.aerial(premises, receiver)
        held = pressed or place.pressed
        lines, gaps, sources = _fob_lines(group, part, held)
        gaps += listening.gaps
        frequency = part.sheet.frequency_hz if part is not None and part.sheet.frequency_hz else FREQUENCY_HZ
        gaps += (
            self.plan(premises, frequency).gaps
            if any("no loss is known" in gap for gap in self.plan(premises, frequency).gaps)
            else ()
        )
        needed = self.needed(premises, receiver)
        if needed.level_dbm is None:
            gaps.append(f"the sensitivity of {receiver}: see its data sheet")
        fob_sd = part.sheet.erp_sd_db if part is not None and part.sheet.erp_sd_db is not None else FOB_SD_DB
        path: PathLoss | None = None
        notes: list[str] = []
        level: float | None = None
        place_sd, offset_sd = 0.0, MODEL_SD_DB
        if listening.end is not None:
            start = fob_end or place_end(house, place, held)
            path = self.path(premises, start, listening.end, frequency)
            if self.is_unwalled(premises, start, listening.end):
                gaps.append("the walls between the place and the receiver: draw them with their builds")
            lines += [PathTerm(term.says, -term.loss_db, term.sd_db) for term in path.terms]
            lines += [
                PathTerm(f"{listening.says}, gain", listening.gain_dbi),
                *listening.lines,
                PathTerm("fob held at any angle (polarisation)", -RANDOM_POLARISATION_DB, held_spread_db()),
            ]
            notes += path.notes
            sources += [*path.sources, *cited(polarisation_loss_db), *cited(held_spread_db)]
            place_sd = path.local_sd_db
            known = self.updated(premises, receiver) if use_readings else None
            if known is not None and known.spots:
                after = known.at(spot_of(path, start, listening.end))
                place_sd, offset_sd = (
                    float(np.sqrt(max(after.sd_db**2 - after.offset_sd_db**2, 0.0))),
                    after.offset_sd_db,
                )
                count = len(known.spots)
                lines.append(
                    PathTerm(
                        f"correction from {count} reading{'s' if count > 1 else ''} at {receiver}",
                        after.add_db,
                    )
                )
                sources += [READINGS, *cited(updated)]
            level = sum(line.loss_db for line in lines)
        telegrams = _telegrams(part, self.case.equipment.receivers.get(f"{premises}/{receiver}"))
        busy = (
            busiest(
                self.case,
                place_path,
                telegram_s=part.sheet.telegram_s if part is not None else None,
                period_s=part.sheet.repeat_s if part is not None else None,
                telegrams=telegrams,
            )
            if use_readings
            else None
        )
        if busy is not None:
            notes.append(busy.says)
            sources += busy.sources
        bursts = house.noise_bursts_share if house.noise_bursts_share is not None else BURSTS_SHARE
        half = fob_sd / float(np.sqrt(2.0))
        turned = float(
            np.hypot(half, held_spread_db() * (path.strongest_share if path is not None else 1.0))
        )  # many ways come at many angles
        is_known = not any(gap for gap in gaps if "walls between" not in gap)
        return RadioLink(
            tuple(lines),
            level if is_known else None,
            needed.level_dbm,
            offset_sd,
            place_sd,
            half,
            turned,
            (1.0 - bursts) * (busy.clear_share if busy is not None else 1.0),
            needed.because,
            tuple(notes),
            tuple(dict.fromkeys(gaps)),
            tuple(
                dict.fromkeys([*sources, *listening.sources, *needed.sources, *cited(press_share), _CHOICES])
            ),
            path,
            telegrams,
        )

    def updated(self, premises: str, receiver: str) -> Updated:
        """What the readings at a receiver say of it, of its walls and of the places round them."""
        key = (premises, receiver)
        if key not in self._updated:
            reads = [one.read for one in self.readings(premises, receiver)]
            self._updated[key] = updated(readings=reads, shared_sd_db=MODEL_SD_DB)
        return self._updated[key]

    def readings(self, premises: str, receiver: str) -> tuple[ReadingAt, ...]:
        """Levels and counted presses at a receiver as it works, each beside its prediction without
        readings.
        """
        key = (premises, receiver)
        if key not in self._readings:
            found = []
            group = self._test_group(premises, receiver)
            for reading, where, place in self._readings_of(premises, receiver):
                aerial = self._aerial_of(reading, premises, receiver)
                if (
                    group is None
                    or aerial is None
                    or aerial.end is None
                    or (aerial.is_shut_in and reading.housing == "open")
                ):
                    continue
                spot = self.case.job.premises[where].places[place.split("/")[1]]
                held = reading.held or spot.pressed
                link = self.link(
                    group=group,
                    premises=premises,
                    receiver=receiver,
                    place=spot,
                    place_path=place,
                    pressed=held,
                    aerial=aerial,
                    use_readings=False,
                )
                read = self._read(
                    reading, link, place_end(self.case.job.premises[where], spot, held), aerial.end
                )
                if read is not None and link.level_dbm is not None:
                    level = None if reading.level_dbm is None else reading.level_dbm + (reading.pad_db or 0.0)
                    found.append(ReadingAt(reading, place, link.level_dbm, level, link.place_sd_db, read))
            self._readings[key] = tuple(found)
        return self._readings[key]

    def _read(self, reading: Reading, link: RadioLink, start: PathEnd, end: PathEnd) -> Read | None:
        """A reading as the update takes it: a level, or presses heard of tried."""
        if link.level_dbm is None or link.path is None:
            return None
        spot = spot_of(link.path, start, end)
        if reading.level_dbm is not None:
            return Read(
                spot,
                residual_db=reading.level_dbm + (reading.pad_db or 0.0) - link.level_dbm,
                sd_db=READING_SD_DB,
            )
        if reading.heard is None or not reading.of or link.margin_db is None:
            return None
        low, half, high = (
            press_margin_db(
                share=share,
                press_sd_db=link.press_sd_db,
                strongest_share=link.strongest_share,
                telegrams=link.telegrams,
            )
            for share in (0.1587, 0.5, 0.8413)
        )
        return Read(
            spot,
            heard=min(reading.heard, reading.of),
            tried=reading.of,
            margin_db=link.margin_db - (reading.pad_db or 0.0) - half,
            slope_db=float(np.hypot((high - low) / 2.0, READING_SD_DB)),
        )

    def _aerial_of(self, reading: Reading, premises: str, receiver: str) -> AerialAt | None:
        """The aerial a reading was taken with: today's, or one of the other places; None where it is
        neither.
        """
        if reading.aerial_at is None:
            return self.aerial(premises, receiver)
        box = self.case.job.premises[premises].receivers[receiver]
        places = (*((box.antenna,) if box.antenna is not None else ()), *box.antenna_places)
        near = [one for one in places if math.dist(one.at[:2], reading.aerial_at[:2]) <= PLUGGED_M]
        return (
            self.aerial_at(premises, receiver, near[0], is_present=near[0] is box.antenna) if near else None
        )

    def _readings_of(self, premises: str, receiver: str) -> list[tuple[Reading, str, str]]:
        found = []
        for reading in self.case.job.readings:
            at = self.case.place(reading.place, premises)
            if (
                at is not None
                and at[0] == premises
                and reading.receiver in (receiver, f"{premises}/{receiver}")
            ):
                found.append((reading, at[0], f"{at[0]}/{at[1]}"))
        return found

    def _test_group(self, premises: str, receiver: str) -> str | None:
        """The group whose fob works this receiver; the first, as readings do not name theirs."""
        for name, group in self.case.job.groups.items():
            for function in self.case.job.functions_of(group):
                listed = self.case.job.functions.get(function)
                if listed is not None and any(
                    path.startswith(f"{premises}/{receiver}/") for path in listed.paths
                ):
                    return name
        return None


def _telegrams(fob: Part[FobSheet] | None, box: Part[ReceiverSheet] | None) -> Telegrams:
    """What a short press sends: as many telegrams as fit, three at least."""
    period = fob.sheet.repeat_s if fob is not None and fob.sheet.repeat_s else 0.1
    needed = (box.sheet.telegrams_needed if box is not None else None) or 1
    return Telegrams(
        BITS[(fob.sheet.code if fob is not None else None) or "rolling"],
        min(max(int(SHORT_PRESS_S / period), 3, needed), 40),
        needed,
    )


def spot_of(path: PathLoss, fob: PathEnd, aerial: PathEnd) -> Spot:
    """A way as the update by readings sees it: its ends, its scatter, the kinds of wall in it."""
    scatter = float(np.sqrt(max(path.local_sd_db**2 - path.wall_sd_db**2, 0.0)))
    given = float(np.sqrt(sum(term.sd_db**2 for term in path.terms)))
    scale = path.wall_sd_db / given if given > 0.0 else 0.0
    walls: dict[str, float] = {}
    for term in path.terms:
        if term.sd_db > 0.0:
            walls[term.build or term.says] = walls.get(term.build or term.says, 0.0) + term.sd_db * scale
    length = float(np.sqrt(sum(sd**2 for sd in walls.values())))
    return Spot(
        fob.at_m,
        aerial.at_m,
        scatter,
        tuple((name, sd * (path.wall_sd_db / length)) for name, sd in walls.items()) if length > 0.0 else (),
    )


def _fob_lines(
    group: str, part: Part[FobSheet] | None, held: Pressed
) -> tuple[list[PathTerm], list[str], list[Citation]]:
    if part is None or part.sheet.erp_dbm is None:
        return [], [f"the radiated power of the fob of {group}: see its data sheet"], []
    lines = [
        PathTerm(
            f"fob {part.sheet.erp_dbm:.0f} dBm e.r.p. in the hand, isotropic",
            eirp_from_erp_dbm(part.sheet.erp_dbm),
        )
    ]
    gaps: list[str] = []
    sources = [*part.cite("erp_dbm", "erp_sd_db")]
    names: dict[str, Literal["pocket_loss_db", "car_loss_db"]] = {
        "in pocket": "pocket_loss_db",
        "in car": "car_loss_db",
    }
    if held in names:
        loss = getattr(part.sheet, names[held])
        if loss is None:
            gaps.append(
                f"what the fob of {group} loses {held}: take the level once in the hand and once {held}, at"
                " one place"
            )
        else:
            lines.append(PathTerm(f"pressed {held}", -loss))
            sources += part.cite(names[held])
    return lines, gaps, sources
