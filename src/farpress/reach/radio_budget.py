"""The budget of one radio link: its lines from the fob's power to the level, and the chances that follow."""

from __future__ import annotations

import functools
from dataclasses import dataclass, replace
from enum import Enum
from typing import Final, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from farpress.core.reach.direct import PathLoss, PathTerm, TermKind
from farpress.core.reach.press import USUAL, Telegrams, people_share, press_share, telegram_spread
from farpress.domain.parts import FobSheet, Part, ReceiverSheet
from farpress.reach.gaps import Gap, GapKind
from farpress.sources import Citation, Mark
from farpress.units import eirp_from_erp_dbm

__all__ = [
    "BURSTS_SHARE",
    "CHOICES",
    "FOB_SD_DB",
    "MEASURED",
    "MODEL_SD_DB",
    "READING_SD_DB",
    "SHORT_PRESS_S",
    "BudgetLine",
    "BudgetPart",
    "Chosen",
    "Pressed",
    "RadioLink",
    "fob_lines",
    "line_of",
    "telegrams_of",
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

CHOICES: Final = Citation(
    "spread of fob, hand, model and readings; share of foreign bursts; hand moved between two presses by"
    " half",
    mark=Mark.CHOICE,
)

Pressed = Literal["in hand", "in pocket", "in car"]
Seat = Literal["front", "rear"]

REAR_SEAT_DB: Final = 4.0
"""More lost on the rear seat than at the windscreen, where the loss in a car is taken: our choice."""

REAR_SEAT_SD_DB: Final = 2.0
"""How far that scatters from car to car: our choice."""

_SEATS: Final = Citation("rear seat against front seat of a car", mark=Mark.CHOICE)


class BudgetPart(Enum):
    """The part of a budget that a line belongs to, in the order of the way."""

    FOB = "fob"
    DISTANCE = "distance"
    WALLS = "walls"
    OTHER_WAYS = "other ways"
    RECEIVING = "receiving"
    READINGS = "readings"


_PART_OF_TERM: Final = {
    TermKind.DISTANCE: BudgetPart.DISTANCE,
    TermKind.OTHER_WAYS: BudgetPart.OTHER_WAYS,
    TermKind.WALL: BudgetPart.WALLS,
    TermKind.FLOOR: BudgetPart.WALLS,
    TermKind.STEEL: BudgetPart.WALLS,
    TermKind.TERRAIN: BudgetPart.WALLS,
    TermKind.STREET: BudgetPart.WALLS,
    TermKind.BUILDING_ENTRY: BudgetPart.WALLS,
}


@dataclass(frozen=True)
class BudgetLine:
    """One line of a budget.

    Attributes:
        part: where on the way.
        says: its words.
        adds_db: what it adds to the level, a loss below 0; the first line is the fob's power [dBm].
        sd_db: its spread [dB].
    """

    part: BudgetPart
    says: str
    adds_db: float
    sd_db: float = 0.0


def line_of(term: PathTerm) -> BudgetLine:
    """A term of the way's loss as a line of the budget."""
    return BudgetLine(_PART_OF_TERM[term.kind], term.says, -term.loss_db, term.sd_db)


@functools.lru_cache(maxsize=16_384)
def _press_share(
    margin_db: float,
    shared_sd_db: float,
    press_sd_db: float,
    strongest_share: float,
    presses: int,
    telegrams: Telegrams,
    clear_share: float,
) -> float:
    """See `press_share`; kept, as most links of a job are the same after an edit."""
    return float(
        press_share(
            margin_db=margin_db,
            shared_sd_db=shared_sd_db,
            press_sd_db=press_sd_db,
            strongest_share=strongest_share,
            presses=presses,
            telegrams=telegrams,
            clear_share=clear_share,
        )
    )


class Chosen(NamedTuple):
    """What of a link rests on values that nobody measured on site.

    Attributes:
        bursts_share: share of time that others are taken to be on the channel.
        noise_db: how much more level than its sensitivity the receiver is taken to need [dB].
        noise_sd_db: how far that scatters from place to place [dB].
    """

    bursts_share: float = 0.0
    noise_db: float = 0.0
    noise_sd_db: float = 0.0


MEASURED: Final = Chosen()
"""Nothing of a link rests on what is usual."""


@dataclass(frozen=True, kw_only=True)
class RadioLink:
    """One budget.

    Attributes:
        lines: the budget line by line; they add up to `level_dbm`.
        level_dbm, needed_dbm: median level at the receiver and what it needs; None with gaps.
        offset_sd_db: doubt of the whole prediction at this receiver [dB].
        place_sd_db, fob_sd_db, press_sd_db: spread of places, fobs, presses [dB].
        clear_share: chance that neither a foreign burst nor other fobs' presses take a press away.
        notes: what is extrapolated, limited or corrected.
        gaps: what has to be known before it can be judged.
        chosen: what of it nobody measured.
    """

    lines: tuple[BudgetLine, ...]
    level_dbm: float | None
    needed_dbm: float | None
    offset_sd_db: float
    place_sd_db: float
    fob_sd_db: float
    press_sd_db: float
    clear_share: float
    needed_because: str
    notes: tuple[str, ...] = ()
    gaps: tuple[Gap, ...] = ()
    sources: tuple[Citation, ...] = ()
    path: PathLoss | None = None
    telegrams: Telegrams = USUAL
    chosen: Chosen = MEASURED

    def at_best(self, *, quiet_channel: bool, quiet_site: bool) -> RadioLink:
        """The same link, had a measurement found nobody else on the channel, or no noise but the receiver's
        own; values that were measured stay.
        """
        bursts, noise_db, noise_sd_db = self.chosen
        found, needed, offset = self.clear_share, self.needed_dbm, self.offset_sd_db
        if quiet_channel and bursts < 1.0:
            found, bursts = found / (1.0 - bursts), 0.0
        if quiet_site and needed is not None:
            needed, noise_db = needed - noise_db, 0.0
            offset, noise_sd_db = float(np.sqrt(max(offset**2 - noise_sd_db**2, 0.0))), 0.0
        chosen = Chosen(bursts, noise_db, noise_sd_db)
        return replace(self, clear_share=found, needed_dbm=needed, offset_sd_db=offset, chosen=chosen)

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
        return _press_share(
            float(margin + moved_db),
            shared_sd_db,
            float(self.press_sd_db),
            float(self.strongest_share),
            presses,
            self.telegrams,
            float(self.clear_share),
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


def telegrams_of(fob: Part[FobSheet] | None, box: Part[ReceiverSheet] | None) -> Telegrams:
    """What a short press sends: as many telegrams as fit, three at least."""
    period = fob.sheet.repeat_s if fob is not None and fob.sheet.repeat_s else 0.1
    needed = (box.sheet.telegrams_needed if box is not None else None) or 1
    return Telegrams(
        BITS[(fob.sheet.code if fob is not None else None) or "rolling"],
        min(max(int(SHORT_PRESS_S / period), 3, needed), 40),
        needed,
    )


def fob_lines(
    group: str, part: Part[FobSheet] | None, held: Pressed, seat: Seat | None = None
) -> tuple[list[BudgetLine], list[Gap], list[Citation]]:
    """Power of a fob and what its pocket or its seat in a car costs: lines, gaps, sources."""
    if part is None or part.sheet.erp_dbm is None:
        says = f"the radiated power of the fob of {group}: see its data sheet"
        return [], [Gap(GapKind.FOB_POWER, says)], []
    lines = [
        BudgetLine(
            BudgetPart.FOB,
            f"fob {part.sheet.erp_dbm:.0f} dBm e.r.p. in the hand, isotropic",
            eirp_from_erp_dbm(part.sheet.erp_dbm),
        )
    ]
    gaps: list[Gap] = []
    sources = [*part.cite("erp_dbm", "erp_sd_db")]
    names: dict[str, Literal["pocket_loss_db", "car_loss_db"]] = {
        "in pocket": "pocket_loss_db",
        "in car": "car_loss_db",
    }
    if held in names:
        loss = getattr(part.sheet, names[held])
        if loss is None:
            says = (
                f"what the fob of {group} loses {held}: take the level once in the hand and once {held}, at"
                " one place"
            )
            gaps.append(Gap(GapKind.FOB_CARRIED, says))
        else:
            lines.append(BudgetLine(BudgetPart.FOB, f"pressed {held}", -loss))
            sources += part.cite(names[held])
        if held == "in car" and seat != "front":
            says = "on the rear seat" if seat else "on a seat nobody named, taken as the rear"
            lines.append(BudgetLine(BudgetPart.FOB, says, -REAR_SEAT_DB, REAR_SEAT_SD_DB))
            sources.append(_SEATS)
    return lines, gaps, sources
