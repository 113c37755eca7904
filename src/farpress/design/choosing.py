"""Which receivers hang where at one premises, by what is wished of a variant: cheapest, surest, fewest boxes.

The reach model says for every place how surely each promise is heard there; the solver weighs boxes, metres
of cable and chances. What the judge refutes afterwards, a promise not heard from where it was thought to be,
counts as missed in the next choice.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np
from numpy.typing import NDArray

from farpress.case.case import Case, promise_id
from farpress.case.driven import holders
from farpress.core.design.placing import Box, BoxLoad, Weights, best_placing
from farpress.design.fixes import Fixes
from farpress.design.makes import Makes, probe_name, with_probes
from farpress.design.norms import DesignWeights, cable_m
from farpress.design.sites import BoxSite, site_called
from farpress.design.wishes import WishedContact, promises_of
from farpress.domain.job import Promise
from farpress.domain.parts import ReceiverSheet
from farpress.errors import InputError
from farpress.reach.box_places import BoxPlaces
from farpress.reach.radio_link import Radio, radio_of

__all__ = ["ChosenBox", "Field", "Refuted", "Variant", "field_of"]

Refuted = frozenset[tuple[str, str, str]]
"""Promise, name of a place and part of a receiver, where the judge found it not heard."""


class Variant(StrEnum):
    """What a design is to be first of all."""

    CHEAPEST = "cheapest"
    SUREST = "surest"
    FEWEST = "fewest"


_WEIGHTS: Final = {
    Variant.CHEAPEST: Weights(),
    Variant.SUREST: Weights(risk=10),
    Variant.FEWEST: Weights(box=20_000),
}
"""Our choice: a thousandth of the allowed failures is worth ten minutes to the surest, a box more than any
cable to
the one with the fewest."""

_RISK_MOST: Final = 2000
"""Beyond twice the allowed failures one place is as bad as another."""

_WORSE_MOST: Final = 100
_MUST: Final = 10
"""A promise that is a must counts so many wishes."""

_EACH: Final = 4
_ALL: Final = 8
"""So many places are kept for the solver, the best for each load and the best for all of them: our choice."""


@dataclass(frozen=True)
class ChosenBox:
    """A receiver of the design.

    Attributes:
        site: where; with the name of the receiver where it stands already.
        part: what is bought; empty for one that stands.
        loads: what it works.
    """

    site: BoxSite
    part: str
    loads: tuple[tuple[WishedContact, ...], ...]

    @property
    def key(self) -> object:
        """Equal for equal choices."""
        return self.site, self.part, tuple(contact.works for load in self.loads for contact in load)


@dataclass(frozen=True)
class _Option:
    """One box that could be used: place, part and the column of its place in the tables."""

    site: BoxSite
    part: str
    column: int


class Field:
    """Everything that is known of one premises before anything is chosen; the variants share it.

    Args:
        case: the job.
        premises: which.
        loads: what has to be worked there.
        sites: where a box could hang, those of standing receivers left out.
        makes: what could be bought.
        source: where the supply hangs.
        fixes: what the user has decided.
        weights: minutes of boxes and metres, money as minutes.
    """

    def __init__(
        self,
        case: Case,
        premises: str,
        loads: Sequence[tuple[WishedContact, ...]],
        sites: Sequence[BoxSite],
        makes: Makes,
        source: BoxSite,
        fixes: Fixes,
        weights: DesignWeights,
    ) -> None:
        self.case, self.premises, self.loads = case, premises, tuple(loads)
        self.makes, self.source, self.fixes, self.weights = makes, source, fixes, weights
        self.house = case.job.premises[premises]
        self._fixed_sites = {
            contact.functions: site_called(sites, fixed["at"], self.house)
            for load in loads
            for contact in load
            if "at" in (fixed := self._fixed(contact))
        }
        self.sites = tuple(dict.fromkeys((*sites, *self._fixed_sites.values())))
        self.parts = self._parts()
        self.asked = [self._asked(load) for load in self.loads]
        self._shares = self._all_shares()

    def looked_at(self) -> int:
        """Places that were looked at."""
        return len(self.sites)

    def best_share(self, promise: str) -> tuple[float, BoxSite] | None:
        """The best chance that a promise has at any place with any receiver, and where; None where not
        known.
        """
        best: tuple[float, BoxSite] | None = None
        for part in self.parts:
            for number, asked in enumerate(self.asked):
                for row, (wanted, _) in enumerate(asked):
                    shares = self._shares[part][number][row]
                    if promise_id(wanted) == promise and np.isfinite(shares).any():
                        n = int(np.nanargmax(shares))
                        if best is None or shares[n] > best[0]:
                            best = float(shares[n]), self.sites[n]
        return best

    def choose(self, variant: Variant, refuted: Refuted = frozenset()) -> tuple[ChosenBox, ...] | None:
        """The boxes of a variant; None where no choice fits.

        Args:
            variant: what counts first.
            refuted: what the judge found not to be heard.
        """
        if not self.loads:
            return ()
        options = self._options(variant)
        boxes = [self._box(option) for option in options]
        loads = [self._load(number, options, refuted) for number in range(len(self.loads))]
        found = best_placing(boxes=boxes, loads=loads, weights=_WEIGHTS[variant])
        if found is None:
            return None
        chosen: dict[int, list[tuple[WishedContact, ...]]] = {}
        for load, number in zip(self.loads, found.boxes, strict=True):
            chosen.setdefault(number, []).append(load)
        return tuple(
            ChosenBox(options[number].site, options[number].part, tuple(works))
            for number, works in sorted(chosen.items())
        )

    def _fixed(self, contact: WishedContact) -> dict[str, str]:
        fixed: dict[str, str] = {}
        for name in contact.functions:
            fixed |= self.fixes.of(name)
        return fixed

    def _parts(self) -> tuple[str, ...]:
        """Receivers that may be bought: the job's own; where they cannot do it all, the catalogue's too; and
        what is fixed.
        """
        own = [name for name in self.makes.receivers if name in self.makes.own]
        fixed = [
            fixed["receiver"]
            for load in self.loads
            for contact in load
            if "receiver" in (fixed := self._fixed(contact))
        ]
        is_enough = all(any(self._can(load, part) for part in own) for load in self.loads)
        return tuple(dict.fromkeys((*own, *(() if is_enough else self.makes.receivers), *fixed)))

    def _can(self, load: tuple[WishedContact, ...], part: str) -> bool:
        """Whether a receiver has the outputs for a load, and pulses as long as it wants."""
        sheet = self.makes.receivers[part]
        return (sheet.relays or 0) >= len(load) and all(_is_settable(contact, sheet) for contact in load)

    def _asked(self, load: tuple[WishedContact, ...]) -> list[tuple[Promise, str]]:
        """Promises of a load with their place at this premises."""
        found = []
        for promise in promises_of(self.case, load):
            place = self.case.place(promise.from_, self.premises)
            if place is not None and place[0] == self.premises:
                found.append((promise, place[1]))
        return found

    def _all_shares(self) -> dict[str, list[NDArray[np.float64]]]:
        """Part → for each load the chances (promises, places); parts that hear alike are computed once."""
        if not self.sites:
            return {}
        probed = with_probes(self.case, self.premises, self.parts, self.makes, self.sites[0])
        places = BoxPlaces(Radio(probed), self.premises, np.array([site.at for site in self.sites]))
        alike: dict[object, list[NDArray[np.float64]]] = {}
        found = {}
        for part in self.parts:
            sheet = self.makes.receivers[part]
            key = tuple(getattr(sheet, name) for name in _RADIO)
            if key not in alike:
                alike[key] = [places.shares(probe_name(part), asked) for asked in self.asked]
            found[part] = alike[key]
        return found

    def _options(self, variant: Variant) -> list[_Option]:
        """Boxes for the solver: places worth a look with each part, and standing boxes with free outputs."""
        columns = self._worth_a_look(variant)
        options = [
            _Option(self.sites[n], part, n)
            for n in columns
            for part in self.parts
            for _ in range(2 if self._is_largest(part) else 1)
        ]
        for name, box in self.house.receivers.items():
            part = self.case.equipment.receivers.get(f"{self.premises}/{name}")
            if part is not None and (part.sheet.relays or 0) > len(box.outputs):
                x, y, z = (*box.at, 2.0)[:3]
                options.append(_Option(BoxSite(f"in {name}", (x, y, z), box.level, box=name), "", -1))
        return options

    def _is_largest(self, part: str) -> bool:
        relays = [self.makes.receivers[name].relays or 0 for name in self.parts]
        return (self.makes.receivers[part].relays or 0) == max(relays)

    def _worth_a_look(self, variant: Variant) -> list[int]:
        """Columns of places: for each load and for all together those that serve best."""
        numbers = range(len(self.sites))
        scores = np.zeros((len(self.loads), len(self.sites)))
        for row in range(len(self.loads)):
            for n in numbers:
                misses, risk = min(self._heard(row, part, n, frozenset()) for part in self.parts)
                scores[row, n] = (
                    misses * 1e6
                    + self._metres(row, self.sites[n]) * self.weights.metre
                    + _WEIGHTS[variant].risk * risk
                )
        own = np.array([min(self._box_cost(site, part) for part in self.parts) for site in self.sites], float)
        kept: list[int] = []
        for score in scores:
            kept += [int(n) for n in np.argsort(score + own, kind="stable")[:_EACH]]
        kept += [int(n) for n in np.argsort(scores.sum(axis=0) + own, kind="stable")[:_ALL]]
        kept += [n for n in numbers if self.sites[n] in self._fixed_sites.values()]
        return sorted(set(kept))

    def _box_cost(self, site: BoxSite, part: str) -> int:
        feed = cable_m(self.source.at, site.at) * self.weights.metre
        return self.weights.box(part) + feed + (self.weights.outside if site.level is None else 0)

    def _box(self, option: _Option) -> Box:
        if option.site.box:
            sheet = self.case.equipment.receivers[f"{self.premises}/{option.site.box}"].sheet
            used = len(self.house.receivers[option.site.box].outputs)
            return Box(0, (sheet.relays or 0) - used, is_new=False)
        sheet = self.makes.receivers[option.part]
        # of two boxes at one price the one with fewer outputs: it is the cheaper part
        return Box(
            self._box_cost(option.site, option.part) + (sheet.relays or 0),
            sheet.relays or 0,
            sheet.capacity,
            sheet.capacity_counts == "buttons",
        )

    def _load(self, number: int, options: Sequence[_Option], refuted: Refuted) -> BoxLoad:
        load = self.loads[number]
        costs: list[int | None] = []
        misses, risks = [], []
        for option in options:
            allowed = self._is_allowed(load, option)
            costs.append(self._metres(number, option.site) * self.weights.metre if allowed else None)
            missed, risk = self._heard(number, option.part, option.column, refuted, option.site)
            misses.append(missed)
            risks.append(risk)
        names = {name for contact in load for name in contact.functions}
        held = [
            (name, (holders(group) or 1) + group.spares)
            for name, group in self.case.job.groups.items()
            if names & (set(self.case.job.functions_of(group)) | _promised_to(self.case, name))
        ]
        return BoxLoad(len(load), tuple(costs), tuple(misses), tuple(risks), tuple(held))

    def _is_allowed(self, load: tuple[WishedContact, ...], option: _Option) -> bool:
        """Whether the box can do it: as long a pulse, and what the user fixed."""
        sheet = self._sheet(option)
        for contact in load:
            if not _is_settable(contact, sheet):
                return False
            fixed = self._fixed(contact)
            if "receiver" in fixed and fixed["receiver"] != option.part:
                return False
            if contact.functions in self._fixed_sites and self._fixed_sites[contact.functions] != option.site:
                return False
        return True

    def _sheet(self, option: _Option) -> ReceiverSheet:
        if option.site.box:
            return self.case.equipment.receivers[f"{self.premises}/{option.site.box}"].sheet
        return self.makes.receivers[option.part]

    def _metres(self, number: int, site: BoxSite) -> int:
        """Cable from a place to everything that a load works there."""
        ends = {contact.device: _where(self.case, self.premises, contact) for contact in self.loads[number]}
        return sum(cable_m(site.at, end) for end in ends.values() if end is not None)

    def _heard(
        self, number: int, part: str, column: int, refuted: Refuted, site: BoxSite | None = None
    ) -> tuple[int, int]:
        """What the promises of a load lack at a place, and how much of the allowed failures the worst uses
        up.
        """
        asked = self.asked[number]
        if site is not None and site.box:
            radio = radio_of(self.case)
            shares = [self._standing_share(radio, site.box, promise, name) for promise, name in asked]
        else:
            shares = [float(share) for share in self._shares[part][number][:, column]] if asked else []
        here = site.name if site is not None else self.sites[column].name
        lacks, worst = 0, 0
        for (promise, _), share in zip(asked, shares, strict=True):
            if not np.isfinite(share):
                continue
            weight = _MUST if promise.importance == "must" else 1
            if share < promise.at_least_share or (promise_id(promise), here, part) in refuted:
                lacks += weight * (1 + round(_WORSE_MOST * max(promise.at_least_share - share, 0.0)))
            allowed = max(1.0 - promise.at_least_share, 1e-3)
            worst = max(worst, min(round(1000 * (1.0 - share) / allowed), _RISK_MOST))
        return lacks, worst

    def _standing_share(self, radio: Radio, receiver: str, promise: Promise, name: str) -> float:
        link = radio.link(
            group=promise.to,
            premises=self.premises,
            receiver=receiver,
            place=self.house.places[name],
            place_path=f"{self.premises}/{name}",
        )
        share = link.share(int(promise.within_presses))
        return float("nan") if share is None else share


_RADIO: Final = (
    "aerial",
    "gain_dbi",
    "sensitivity_dbm",
    "noise_figure_db",
    "over_noise_db",
    "bandwidth_hz",
    "telegrams_needed",
)
"""What of a receiver's sheet decides how it hears."""


def field_of(
    case: Case,
    premises: str,
    loads: Iterable[tuple[WishedContact, ...]],
    sites: Sequence[BoxSite],
    makes: Makes,
    source: BoxSite,
    fixes: Fixes,
    weights: DesignWeights,
) -> Field:
    """What is known of one premises; refused where there is nowhere to hang a box.

    Raises:
        InputError: no place is known there.
    """
    here = [load for load in loads if load[0].premises == premises]
    if here and not sites:
        raise InputError(
            f"Nothing to mount a receiver on is known at {premises}: no wall is drawn, and no device, panel"
            " or supply says where it is. Draw the walls, give the devices 'at', or name places under"
            " 'mounts'."
        )
    return Field(case, premises, here, sites, makes, source, fixes, weights)


def _is_settable(contact: WishedContact, sheet: ReceiverSheet) -> bool:
    """Whether a receiver can be set to the pulse that a contact wants, as far as its sheet says."""
    wants = contact.wants_s
    return wants is None or (sheet.pulse_min_s or 0.0) <= wants <= (sheet.pulse_max_s or float("inf"))


def _promised_to(case: Case, group: str) -> set[str]:
    return {promise.function for promise in case.job.promises if promise.to == group}


def _where(case: Case, premises: str, contact: WishedContact) -> Sequence[float] | None:
    """Where the device or panel of a contact is; None where nobody says."""
    thing = case.driven(premises, contact.works[0])
    return thing.at if thing is not None else None
