"""A zone in numbers: what the panel sees of each number of open contacts, and what it takes that for."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

from farpress.case.case import Case
from farpress.case.cores import core_of_run
from farpress.core.wiring.conductors import loop_resistance_ohm
from farpress.core.wiring.loops import Band
from farpress.core.wiring.zones import ZoneChain, zone_ohm
from farpress.domain.finding import Ask, Who
from farpress.domain.parts import Loop
from farpress.domain.refs import PanelRef, Ref, ZoneRef
from farpress.domain.zones import Zone
from farpress.judging.panel.loop_bands import accepted_bands, ohms
from farpress.phrases import called
from farpress.sources import Citation

__all__ = ["KnownZone", "ZoneAt", "known_zone", "states_of_zone", "told", "worst_state"]

MOST_OPEN: Final = 4
"""Contacts open together that are looked at, besides all of them: our choice; more are told by those."""


@dataclass(frozen=True)
class KnownZone:
    """A zone of which everything is known.

    Attributes:
        chain: nominal, as it is drawn.
        loop_ohm: of its cable [ohm].
        tolerance_share: of its resistors.
        bands: of the panel.
        asks: what is not known of its cable and of the tolerance of its resistors; either then counts for
            nothing. What fails without them fails with them: what is shown only spreads.
        cable_known, tolerance_known: whether they are counted.
    """

    chain: ZoneChain
    loop_ohm: float
    tolerance_share: float
    bands: tuple[Band, ...]
    asks: tuple[Ask, ...] = ()
    cable_known: bool = True
    tolerance_known: bool = True

    def shown(self, chain: ZoneChain, opened: int) -> tuple[float, float]:
        """Least and most that the panel sees of a chain, resistors at either edge, cable at its warmest."""
        ends = []
        for factor, cable in ((1 - self.tolerance_share, 0.0), (1 + self.tolerance_share, self.loop_ohm)):
            scaled = replace(
                chain,
                normal_ohm=chain.normal_ohm * factor,
                alarm_ohm=None if chain.alarm_ohm is None else chain.alarm_ohm * factor,
            )
            ends.append(zone_ohm(chain=scaled, worked=opened, loop_ohm=cable))
        return ends[0], ends[1]

    def read(self, ohm: float) -> str:
        """What the panel takes a resistance for."""
        return next(
            (band.name for band in self.bands if band.low_ohm <= ohm <= band.high_ohm), "no state: a fault"
        )


@dataclass(frozen=True)
class ZoneAt:
    """A zone and its panel."""

    path: str
    name: str
    zone: Zone
    loop: Loop | None
    sources: tuple[Citation, ...]

    @property
    def about(self) -> str:
        """For eyes."""
        return f"{self.path}: {self.called}"

    @property
    def called(self) -> str:
        """Its name, with the word zone in it."""
        return called("zone", self.name)

    @property
    def head(self) -> str:
        """The same at the beginning of a sentence."""
        return self.called[0].upper() + self.called[1:]

    @property
    def ref(self) -> ZoneRef:
        """The zone itself."""
        return ZoneRef(f"{self.path}/{self.name}")

    @property
    def subjects(self) -> tuple[Ref, ...]:
        """The panel, and which of its zones."""
        return (PanelRef(self.path), self.ref)


def known_zone(case: Case, zone_at: ZoneAt) -> KnownZone | tuple[Ask, ...]:
    """The zone in numbers, or what is to be asked before; a cable not named is asked for beside them."""
    zone, loop = zone_at.zone, zone_at.loop
    asks: list[Ask] = []

    def ask(says: str, who: Who = Who.ALARM_COMPANY) -> None:
        asks.append(Ask(says, who, 5.0))

    if loop is None:
        ask(f"Say how {zone_at.called} is supervised: its scheme and its resistors.")
        return tuple(asks)
    core = core_of_run(case, zone.cable)
    has_resistors = loop.scheme not in ("closed", "open")
    if has_resistors and loop.normal_ohm is None:
        ask(f"Find the resistor at the end of {zone_at.called}.")
    if loop.scheme in ("double end-of-line", "masked") and loop.alarm_ohm is None:
        ask(f"Find the resistor across the contact of {zone_at.called}.")
    makes = loop.scheme == "two-resistor"
    if makes and loop.alarm_ohm is None:
        ask(f"Find the resistor that a contact of {zone_at.called} switches in.")
    contacts = zone.contacts or max(1, len(zone.holds))
    is_double = loop.scheme in ("double end-of-line", "masked")
    if is_double and contacts > 1 and zone.each_resistor is None and not zone.side_by_side:
        ask(f"Say whether each contact of {zone_at.called} has a resistor of its own, or all of them one.")
    if loop.scheme == "masked" and contacts > 1:
        ask(f"Zone {zone_at.name} is of a scheme with one contact; describe it as the input it is.")
    bands = accepted_bands(loop)
    if bands is None:
        ask(f"Find the bands in which the panel takes {zone_at.called} for normal and for alarm.")
    if asks or bands is None:
        return tuple(asks)
    chain = ZoneChain(
        loop.normal_ohm or 0.0,
        loop.alarm_ohm if is_double or makes else None,
        contacts,
        zone.contact_ohm,
        bool(zone.each_resistor),
        zone.side_by_side,
        makes,
    )
    tolerance_known = not has_resistors or loop.tolerance_share is not None
    if not tolerance_known:
        ask(f"Find the tolerance of the resistors of {zone_at.called}.")
    cable = 0.0
    cable_known = core is not None and zone.cable is not None
    if core is None or zone.cable is None:
        ask(f"Name the cable of {zone_at.called} and its length.", Who.INSTALLER)
    else:
        cable = loop_resistance_ohm(length_m=zone.cable.length_m, core_ohm_per_km=core.cold_ohm_per_km)
    return KnownZone(
        chain, cable, loop.tolerance_share or 0.0, bands, tuple(asks), cable_known, tolerance_known
    )


def states_of_zone(known: KnownZone, chain: ZoneChain) -> list[tuple[int, float, float, float]]:
    """Number of open contacts, nominal, least and most of what the panel sees."""
    numbers = [*range(min(chain.contacts, MOST_OPEN) + 1)]
    return [
        (opened, zone_ohm(chain=chain, worked=opened, loop_ohm=known.loop_ohm), *known.shown(chain, opened))
        for opened in numbers
    ]


def told(known: KnownZone, states: list[tuple[int, float, float, float]]) -> str:
    """Each number of open contacts with its ohms and what the panel reads."""
    words = []
    for opened, nominal, low, high in states:
        what = "at rest" if opened == 0 else f"{opened} {'closed' if known.chain.makes else 'open'}"
        shown = "an open line" if math.isinf(nominal) else ohms(nominal)
        words.append(f"{what} {shown} ({known.read(nominal)}{_within(known, nominal, low, high)})")
    return "; ".join(words)


def _within(known: KnownZone, nominal: float, low: float, high: float) -> str:
    """From where to where the tolerance of the resistors takes it, where that leads into another state."""
    reads = known.read(nominal)
    if math.isinf(high) or (known.read(low) == reads == known.read(high)):
        return ""
    other = known.read(low) if known.read(low) != reads else known.read(high)
    return f"; by its resistors {ohms(low)} to {ohms(high)}: {other}"


def _nearest(known: KnownZone, opened: int, low: float, high: float) -> tuple[float, Band] | None:
    """The end of what is shown that lies nearest to an end of the band it belongs in, and that band."""
    if math.isinf(high):
        return None
    same = _belongs_in(known, opened)
    if not same:
        return None
    band = min(same, key=lambda limits: max(limits.low_ohm - low, high - limits.high_ohm))
    is_low = low - band.low_ohm <= band.high_ohm - high
    return (low if is_low else high), band


def _belongs_in(known: KnownZone, opened: int) -> list[Band]:
    """Bands in which it must be seen: normal at rest; open, alarm, or no normal one where none is given."""
    normal = [band for band in known.bands if band.name == "normal"]
    if opened == 0:
        return normal
    alarm = [band for band in known.bands if band.name == "alarm"]
    if alarm or not normal:
        return alarm
    below, above = min(band.low_ohm for band in normal), max(band.high_ohm for band in normal)
    return [Band("alarm", -math.inf, below), Band("alarm", above, math.inf)]


def worst_state(
    known: KnownZone, states: list[tuple[int, float, float, float]]
) -> tuple[int, float, Band] | None:
    """The first number of open contacts that lies outside its band, else the one nearest to an end of it."""
    found = [
        (opened, near[0], near[1])
        for opened, _, low, high in states
        if (near := _nearest(known, opened, low, high)) is not None
    ]

    def slack(entry: tuple[int, float, Band]) -> float:
        _, value, band = entry
        return min(value - band.low_ohm, band.high_ohm - value)

    outside = [entry for entry in found if slack(entry) < 0]
    return outside[0] if outside else min(found, key=slack, default=None)
