"""The receiving end: an aerial where it hangs, what lies behind it, and the level that is needed there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from farpress.case.case import Case
from farpress.case.citations import GIVEN
from farpress.core.reach.aerial import coax_loss_db, rod_pattern_db, slot_shielding_db
from farpress.core.reach.direct import PathLoss
from farpress.core.reach.noise import (
    NOISE_PLACE_SD_DB,
    SURROUNDINGS_NOISE_DB,
    needed_level_dbm,
    noise_floor_dbm,
    noise_spread_db,
    total_noise_figure_db,
)
from farpress.core.reach.scene import PathEnd
from farpress.domain.premises import Aerial, Receiver
from farpress.reach.gaps import Gap, GapKind
from farpress.reach.radio_budget import BudgetLine, BudgetPart
from farpress.reach.radio_scene import plan_gaps_at, point_end
from farpress.sources import Citation, Mark, cited

__all__ = [
    "FREQUENCY_HZ",
    "PLUGGED_M",
    "READINGS",
    "AerialAt",
    "Needed",
    "aerial_inside",
    "aerial_mounted",
    "needed_at",
]

FREQUENCY_HZ: Final = 433.92e6
"""Taken where a fob's sheet gives no frequency: the middle of the band of this trade's fobs."""

PLUGGED_M: Final = 0.5
"""An aerial drawn this near to its receiver, without coax, is plugged straight in: our choice."""

NOISIEST: Final = max(SURROUNDINGS_NOISE_DB, key=lambda kind: SURROUNDINGS_NOISE_DB[kind])
"""The surroundings with most noise: taken where a job does not say which it has."""

QUIETEST_DB: Final = 3.0
"""Noise figure taken where a sheet does not give one: of a very good receiver, which noise on site costs
most; our choice, so that leaving it out makes no link better [dB].
"""

ANY_BANDWIDTH_HZ: Final = 100e3
"""Where noise on site is what is usual, it and the receiver's own grow alike with the bandwidth, so that any
stands for one that is not given [Hz].
"""

READINGS: Final = Citation("readings of this job", mark=Mark.MEASURED)


@dataclass(frozen=True)
class AerialAt:
    """An aerial where it hangs: its end of the way, gain, loss behind it, and what is not known of it."""

    end: PathEnd | None
    gain_dbi: float
    behind_db: float
    says: str
    lines: tuple[BudgetLine, ...] = ()
    gaps: tuple[Gap, ...] = ()
    is_shut_in: bool = False
    sources: tuple[Citation, ...] = ()
    is_rod: bool = False
    tilt_deg: float = 0.0

    def pattern_db(
        self, points_m: NDArray[np.float64], strongest_share: NDArray[np.float64] | float
    ) -> NDArray[np.float64]:
        """What its pattern takes away towards each point (n, 3), 0 or below, (n,) [dB]."""
        if not self.is_rod or self.end is None:
            return np.zeros(len(points_m))
        away = points_m - np.asarray(self.end.at_m)
        polar = np.degrees(np.arctan2(np.hypot(away[:, 0], away[:, 1]), away[:, 2]))
        return rod_pattern_db(polar_deg=polar, tilt_deg=self.tilt_deg, strongest_share=strongest_share)

    def pattern_lines(self, path: PathLoss, point_m: tuple[float, float, float]) -> list[BudgetLine]:
        """The line of a budget for its pattern; none where it takes nothing away."""
        taken = float(self.pattern_db(np.asarray([point_m]), path.strongest_share)[0])
        if taken > -0.05:
            return []
        leans = f"leaning {self.tilt_deg:g} degrees" if self.tilt_deg else "upright"
        return [BudgetLine(BudgetPart.RECEIVING, f"a rod {leans} hears less in this direction", taken)]

    def hung_at(self, end: PathEnd | None) -> AerialAt:
        """The same aerial at another point, whose height is then known."""
        if end is None:
            return replace(self, end=None)
        about_its_place = (GapKind.AERIAL_HEIGHT, GapKind.UNDERGROUND)
        gaps = tuple(gap for gap in self.gaps if gap.kind not in about_its_place)
        return replace(self, end=end, gaps=gaps)


@dataclass(frozen=True)
class Needed:
    """Level a receiver needs where it is mounted [dBm], why, what is not known; and where its noise was not
    measured, how much of that level rests on what is usual, and how far that scatters [dB].
    """

    level_dbm: float | None
    because: str
    own_floor_dbm: float | None = None
    present_floor_dbm: float | None = None
    is_measured: bool = False
    sources: tuple[Citation, ...] = ()
    usual_db: float = 0.0
    usual_sd_db: float = 0.0


def aerial_inside(case: Case, premises: str, receiver: str, shielding_db: Sequence[float]) -> AerialAt:
    """The aerial inside a receiver's own housing.

    Args:
        case: the job.
        premises, receiver: which one.
        shielding_db: what its closed housing was read to cost, once per place [dB].
    """
    house = case.job.premises[premises]
    box = house.receivers[receiver]
    part = case.equipment.receivers.get(f"{premises}/{receiver}")
    end = point_end(house, box.at, box.level, default_m=None)
    gaps: list[Gap] = []
    if end is None:
        gaps.append(Gap(GapKind.AERIAL_HEIGHT, f"the height of {receiver}: write its third coordinate"))
    else:
        gaps += plan_gaps_at(house, box.level, end, receiver)
    gain = part.sheet.gain_dbi if part is not None else None
    if part is not None and part.sheet.aerial == "connector":
        says = f"the aerial of {receiver}: it has a connector, and no aerial is drawn"
        gaps.append(Gap(GapKind.AERIAL_MISSING, says))
    elif gain is None:
        says = f"the gain of the aerial inside {receiver}: see its data sheet"
        gaps.append(Gap(GapKind.AERIAL_GAIN, says))
    lines: tuple[BudgetLine, ...] = ()
    behind, sources = 0.0, part.cite("gain_dbi", "aerial") if part is not None else ()
    if box.housing == "steel":
        behind, says, extra = _shielding(box, shielding_db)
        sources += extra
        if says:
            lines = (BudgetLine(BudgetPart.RECEIVING, says, -behind),)
        else:
            gaps.append(_ask_shielding(receiver))
    return AerialAt(
        end, gain or 0.0, behind, "aerial inside", lines, tuple(gaps), box.housing == "steel", tuple(sources)
    )


def _shielding(box: Receiver, pairs: Sequence[float]) -> tuple[float, str, tuple[Citation, ...]]:
    """Loss of a steel housing: measured open against closed at one place, else by its slot."""
    if pairs:
        return (
            float(np.mean(pairs)),
            f"steel housing, measured open against closed {np.mean(pairs):.0f} dB",
            (READINGS,),
        )
    if box.housing_loss_db is not None:
        return box.housing_loss_db, f"steel housing, given as {box.housing_loss_db:g} dB", (GIVEN,)
    slot = box.slot_m
    if slot is None or slot <= 0.0:
        return 0.0, "", ()
    loss = slot_shielding_db(slot_m=slot, frequency_hz=FREQUENCY_HZ)
    return (
        loss,
        f"steel housing with a slot of {slot * 1000:.0f} mm, a rough estimate",
        cited(slot_shielding_db),
    )


def aerial_mounted(
    case: Case,
    premises: str,
    receiver: str,
    aerial: Aerial,
    shielding_db: Sequence[float],
    *,
    is_present: bool,
) -> AerialAt:
    """An aerial mounted on or away from its receiver, today or as a proposal.

    Without coax and within 0.5 m of the receiver it is plugged straight in, and shares its
    housing; without coax and further away the coax is asked for.
    """
    house, equipment = case.job.premises[premises], case.equipment
    key = f"{premises}/{receiver}"
    part = (equipment.aerials.get(key) if is_present else None) or equipment.aerial_parts.get(aerial.part)
    coax_part = None
    if aerial.coax is not None:
        coax_part = (equipment.coaxes.get(key) if is_present else None) or equipment.coax_parts.get(
            aerial.coax.part
        )
    end = point_end(house, aerial.at, aerial.level, default_m=None)
    gaps: list[Gap] = []
    if end is None:
        says = f"the height of the aerial of {receiver}: write its third coordinate"
        gaps.append(Gap(GapKind.AERIAL_HEIGHT, says))
    else:
        gaps += plan_gaps_at(house, aerial.level, end, f"the aerial of {receiver}")
    gain = part.sheet.gain_dbi if part is not None else None
    if gain is None:
        says = f"the gain of the aerial '{aerial.part}': see its data sheet"
        gaps.append(Gap(GapKind.AERIAL_GAIN, says))
    lines: list[BudgetLine] = []
    sources = part.cite("gain_dbi", "polarisation", "pattern") if part is not None else ()
    pattern = part.sheet.pattern if part is not None else None
    is_rod = pattern != "even"
    if is_rod:
        sources += cited(rod_pattern_db)
    if pattern is None and part is not None:
        says = f"the pattern of the aerial '{aerial.part}': a rod, or even in all directions"
        gaps.append(Gap(GapKind.AERIAL_TILT, says))
    if is_rod and aerial.tilt_deg is None and is_present:
        says = f"how the aerial of {receiver} stands: its tilt, 0 deg upright, 90 deg lying"
        gaps.append(Gap(GapKind.AERIAL_TILT, says))
    mounted = part.sheet.polarisation if part is not None else None
    behind = 0.0
    box = house.receivers[receiver]
    is_plugged = (
        aerial.coax is None
        and end is not None
        and float(np.hypot(aerial.at[0] - box.at[0], aerial.at[1] - box.at[1])) <= PLUGGED_M
    )
    is_shut_in = is_plugged and box.housing == "steel"
    if is_shut_in:
        behind, says, extra = _shielding(box, shielding_db)
        sources += extra
        if says:
            lines.append(BudgetLine(BudgetPart.RECEIVING, says, -behind))
        else:
            gaps.append(_ask_shielding(receiver))
    elif is_plugged:
        pass
    elif aerial.coax is None:
        says = f"the coax between the aerial and {receiver}: which kind, how long"
        gaps.append(Gap(GapKind.COAX_KIND, says))
    else:
        loss = coax_part.sheet.loss_db_per_100m if coax_part is not None else None
        pair = coax_part.sheet.connectors_db if coax_part is not None else None
        if loss is None:
            says = f"the loss of the coax '{aerial.coax.part}': see its data sheet"
            gaps.append(Gap(GapKind.COAX_LOSS, says))
        else:
            behind = coax_loss_db(
                loss_db_per_100m=loss,
                length_m=aerial.coax.length_m,
                connector_pairs=aerial.coax.connector_pairs,
                connector_pair_db=0.5 if pair is None else pair,
                frequency_hz=FREQUENCY_HZ,
            )
            lines.append(
                BudgetLine(
                    BudgetPart.RECEIVING,
                    f"{aerial.coax.length_m:g} m of {aerial.coax.part} and {aerial.coax.connector_pairs}"
                    " connector pairs",
                    -behind,
                )
            )
            sources += cited(coax_loss_db) + (
                coax_part.cite("loss_db_per_100m", "connectors_db") if coax_part is not None else ()
            )
    return AerialAt(
        end,
        gain or 0.0,
        behind,
        f"aerial {aerial.part}{f', {mounted}' if mounted else ''}",
        tuple(lines),
        tuple(gaps),
        is_shut_in,
        tuple(sources),
        is_rod,
        aerial.tilt_deg or 0.0,
    )


def needed_at(case: Case, premises: str, receiver: str) -> Needed:
    """The level a receiver needs where it is mounted."""
    house = case.job.premises[premises]
    part = case.equipment.receivers.get(f"{premises}/{receiver}")
    sheet = part.sheet if part is not None else None
    if part is None or sheet is None or sheet.sensitivity_dbm is None:
        return Needed(None, "")
    cites = part.cite("sensitivity_dbm", "bandwidth_hz", "noise_figure_db", "over_noise_db")
    own_place = house.receivers[receiver].noise_floor_dbm
    measured_dbm = own_place if own_place is not None else house.noise_floor_dbm
    bandwidth_hz, figure_db = sheet.bandwidth_hz, sheet.noise_figure_db
    if measured_dbm is None and sheet.over_noise_db is None:
        bandwidth_hz = ANY_BANDWIDTH_HZ if bandwidth_hz is None else bandwidth_hz
        figure_db = QUIETEST_DB if figure_db is None else figure_db
    if sheet.over_noise_db is not None:
        own = sheet.sensitivity_dbm - sheet.over_noise_db
    elif bandwidth_hz is not None and figure_db is not None:
        own = noise_floor_dbm(bandwidth_hz=bandwidth_hz, noise_figure_db=figure_db)
    else:
        return Needed(
            sheet.sensitivity_dbm, "sensitivity of the data sheet, noise on site not counted", sources=cites
        )
    usual_sd = 0.0
    if measured_dbm is not None:
        present, says, measured = measured_dbm, f"measured noise floor {measured_dbm:.0f} dBm", True
        cites += (Citation("noise floor of this job", mark=Mark.MEASURED), *cited(needed_level_dbm))
    elif bandwidth_hz is not None and figure_db is not None:
        # what nobody said is taken as the noisiest: leaving it out makes no link better
        surroundings = house.surroundings or NOISIEST
        external = SURROUNDINGS_NOISE_DB[surroundings]
        total = total_noise_figure_db(external_db=external, noise_figure_db=figure_db)
        usual_sd = noise_spread_db(
            external_db=external, noise_figure_db=figure_db, external_sd_db=NOISE_PLACE_SD_DB[surroundings]
        )
        present, measured = noise_floor_dbm(bandwidth_hz=bandwidth_hz, noise_figure_db=total), False
        said = "" if house.surroundings else ", the noisiest, as no surroundings are given"
        if sheet.noise_figure_db is None:
            said += f"; its noise figure is not given, and taken as {QUIETEST_DB:g} dB"
        says = f"noise floor {present:.0f} dBm usual for {surroundings} surroundings{said}"
        cites += (*cited(total_noise_figure_db), *cited(noise_spread_db), *cited(needed_level_dbm))
    else:
        return Needed(
            sheet.sensitivity_dbm,
            "sensitivity of the data sheet, noise on site not known",
            own,
            sources=cites,
        )
    level = needed_level_dbm(
        sensitivity_dbm=sheet.sensitivity_dbm, own_floor_dbm=own, present_floor_dbm=present
    )
    return Needed(
        level,
        f"sensitivity {sheet.sensitivity_dbm:.0f} dBm, {says}",
        own,
        present,
        measured,
        cites,
        0.0 if measured else level - sheet.sensitivity_dbm,
        usual_sd,
    )


def _ask_shielding(receiver: str) -> Gap:
    return Gap(
        GapKind.HOUSING,
        f"what the steel housing of {receiver} holds back: take the level at one place with its door open and"
        " closed, or give its longest slot",
    )
