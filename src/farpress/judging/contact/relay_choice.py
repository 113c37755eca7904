"""Which relay or contactor may stand between a receiver's contact and a load: its own contact, and its coil
on the supply.

A relay that the supply cannot pull, or whose coil overloads it, is no remedy.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final, cast

from farpress.case.behaviour import is_collector
from farpress.case.cabling import ends_of
from farpress.case.case import Case, OutputAt
from farpress.case.circuit.arriving import heaviest_press, least_at, loop_ohm_at, most_given
from farpress.case.circuit.electrics import Electrics, electrics_of
from farpress.case.reads import Memo
from farpress.case.supply_ends import End, coil_needs_v, works_mains
from farpress.domain.finding import Change, Remedy
from farpress.domain.parts import Part, RelaySheet
from farpress.units import write_quantity

__all__ = ["TriedCoil", "coil_on", "feedable_relays", "relay_remedy"]


_LEAST_NOMINAL: Final = 0.8
"""Nominal volts of a coil, as a share of its supply's, from which on it is tried; our choice."""

_MOST_NOMINAL: Final = 1.1
"""Up to which; a relay pulls in at about 0.8 of its coil's nominal volts: common practice, no source."""


_ROOM_V: Final = 1.05
"""Volts at a receiver less what a coil beside it takes off, against those at which it pulls in: from here on
the circuit with the coil in it is not solved before the relay is proposed; our choice. Whether it does what
it is proposed for is judged on a copy of the job in any case."""

_ROOM_A: Final = 0.95
"""Likewise the share of its rating that a supply may give with the coil; our choice."""


@dataclass(frozen=True)
class TriedCoil:
    """A coil tried on its supply.

    Attributes:
        volts: at the coil in the worst case, everything on [V]; None if the supply's voltage is not known.
        least_v: at which it pulls in [V].
        supply: name of the supply.
        total_a, rated_a: with it, of the supply [A]; rated None if unknown.
        receiver_a: what the receiver's contact then switches [A].
    """

    volts: float | None
    least_v: float | None
    supply: str
    total_a: float
    rated_a: float | None
    receiver_a: float | None

    @property
    def holds(self) -> bool:
        """Whether it pulls in and the supply carries it, as far as is known."""
        pulls = self.volts is None or self.least_v is None or self.volts >= self.least_v
        return pulls and (self.rated_a is None or self.total_a <= self.rated_a * (1 + 1e-9))

    @property
    def says(self) -> str:
        """In words, for the effect of a remedy."""
        parts = []
        if self.volts is not None:
            parts.append(
                f"{write_quantity(float(f'{self.volts:.3g}'), 'voltage')} at its coil"
                + (
                    f", which needs {write_quantity(self.least_v, 'voltage')}"
                    if self.least_v is not None
                    else ""
                )
            )
        load = f" of {self.rated_a:g} A" if self.rated_a is not None else ""
        parts.append(
            f"{self.supply} then gives {write_quantity(float(f'{self.total_a:.3g}'), 'current')}{load}"
        )
        return "; ".join(parts)


def _has_room(case: Case, output: OutputAt, coil: RelaySheet) -> bool:
    """Whether the circuit as it stands leaves so much that a relay's coil beside the receiver pulls in and
    its supply carries it, in whichever moment; False where that is not plain.
    """
    fed = output.box.fed
    path = f"{output.premises}/{fed.from_}" if fed is not None else ""
    if (
        fed is None
        or path not in case.equipment.supplies
        or coil.coil_a is None
        or is_collector(case, output)
        or (output.output.load_from and works_mains(case, output))  # which then works the coil as well
    ):
        return False
    electrics = electrics_of(case, output.premises)
    source = next((source for source in electrics.circuit.sources if source.name == fed.from_), None)
    receiver = next(
        (
            end
            for end in ends_of(case, output.premises, fed.from_)
            if end.is_receiver and end.subjects[0].path == output.receiver_path
        ),
        None,
    )
    if (
        source is None
        or source.lowest is None
        or source.is_alternating
        or source.rectifier
        or electrics.circuit.rivals.get(fed.from_)
        or receiver is None
    ):
        return False
    arriving_v, ohm = _at_receiver(electrics, fed.from_, receiver)
    least_v = coil_needs_v(coil)
    if arriving_v is None or ohm is None or least_v is None:
        return False
    volts = arriving_v - (ohm + source.lowest.ohm) * coil.coil_a
    most_a = min((limit for limit in (source.rated_a, source.limit_a) if limit is not None), default=None)
    total_a = _total_a(case, output, fed.from_, electrics) + coil.coil_a
    return volts >= _ROOM_V * least_v and (most_a is None or total_a <= _ROOM_A * most_a)


def _at_receiver(electrics: Electrics, supply: str, receiver: End) -> tuple[float | None, float | None]:
    """Fewest volts at a receiver [V], and the resistance of its way and back [ohm]; None if unknown."""

    def found() -> tuple[float | None, float | None]:
        arrival = least_at(electrics, supply, receiver)
        return arrival.volts if arrival else None, loop_ohm_at(electrics, supply, receiver)

    answer = electrics.answers.once(("at a receiver", supply, receiver.name), found)
    return cast("tuple[float | None, float | None]", answer)


def _total_a(case: Case, output: OutputAt, supply: str, electrics: Electrics) -> float:
    """What a supply gives in the heaviest press, with what is charged and not drawn in the job [A]."""
    press = heaviest_press(electrics, supply)
    # what a single press draws may not include an output that no function presses yet: then all on counts
    given = most_given(electrics, supply) if not output.functions or press is None else press
    other_a = case.job.premises[output.premises].supplies[supply].other_load_a or 0.0
    return given[1] + (
        other_a + (case.equipment.supplies[f"{output.premises}/{supply}"].sheet.charge_a or 0.0)
    )


def coil_on(case: Case, output: OutputAt, name: str, part: Part[RelaySheet]) -> TriedCoil | None:
    """A relay's coil tried on the receiver's own supply in place of whatever the output works now, each once.

    Args:
        case: the job.
        output: whose contact works the relay.
        name, part: of the relay.

    Returns:
        None where the receiver's supply is not named.
    """
    return case.once(_tried_coils).once((output.path, name), lambda: _tried(case, output, name, part))


def _tried_coils(case: Case) -> Memo[TriedCoil | None]:
    """Path of an output and name of a relay → as it was tried; several checks offer the same one."""
    del case
    return Memo()


def _tried(case: Case, output: OutputAt, name: str, part: Part[RelaySheet]) -> TriedCoil | None:
    fed = output.box.fed
    if fed is None or f"{output.premises}/{fed.from_}" not in case.equipment.supplies:
        return None
    path = f"{output.premises}/{fed.from_}"
    supply = case.equipment.supplies[path]
    tried = _with_relay(case, output, name)
    electrics = electrics_of(tried, output.premises)
    coil = next(
        (
            end
            for end in ends_of(tried, output.premises, fed.from_)
            if end.is_coil and end.at is not None and end.at.path == output.path
        ),
        None,
    )
    arrival = least_at(electrics, fed.from_, coil) if coil is not None else None
    return TriedCoil(
        arrival.volts if arrival else None,
        coil.minimum_v if coil is not None else part.sheet.coil_min_v,
        fed.from_,
        _total_a(tried, output, fed.from_, electrics),
        supply.sheet.rated_a,
        part.sheet.coil_a,
    )


def _with_relay(case: Case, output: OutputAt, name: str) -> Case:
    """The job with another interposing relay at an output."""
    boxes, houses = output.house.receivers, case.job.premises
    outputs = output.box.outputs | {output.number: output.output.model_copy(update={"via": name})}
    box = output.box.model_copy(update={"outputs": outputs})
    house = output.house.model_copy(update={"receivers": boxes | {output.receiver: box}})
    return case.with_job(case.job.model_copy(update={"premises": houses | {output.premises: house}}))


def feedable_relays(case: Case, output: OutputAt) -> Iterator[tuple[str, Part[RelaySheet]]]:
    """Relays whose coil is made for the receiver's own supply, the weakest contact first."""
    fed = output.box.fed
    supply = case.equipment.supplies.get(f"{output.premises}/{fed.from_}") if fed else None
    volts = supply.sheet.voltage_v if supply else None
    if supply is None or volts is None:
        return
    for name, part in sorted(
        case.equipment.relays.items(),
        key=lambda item: (item[1].sheet.contact_rated_a or 0.0, item[1].sheet.contact_make_a or 0.0),
    ):
        coil = part.sheet
        same_kind = coil.coil_supply in (supply.sheet.supply, "dc or ac")
        low, high = _LEAST_NOMINAL * volts, _MOST_NOMINAL * volts
        if same_kind and coil.coil_v is not None and low <= coil.coil_v <= high:
            yield name, part


def relay_remedy(
    case: Case,
    output: OutputAt,
    *,
    does: str,
    fits: Callable[[RelaySheet], bool],
    effect: Callable[[RelaySheet], str],
) -> Remedy | None:
    """The first relay that does it and whose coil the supply can work; None if there is none.

    Args:
        case: the job.
        output: whose contact works the relay.
        does: sentence with {relay} for its name.
        fits: whether its contact is good enough.
        effect: what its contact can do, in words.
    """
    for name, part in feedable_relays(case, output):
        if name == output.output.via or not fits(part.sheet):
            continue
        wets = case.equipment.receivers[output.receiver_path].sheet.contact_of(output.number).contact_min_a
        if wets is not None and part.sheet.coil_a is not None and part.sheet.coil_a < wets:
            continue
        says = ""
        if not _has_room(case, output, part.sheet):
            coil = coil_on(case, output, name, part)
            if coil is None or not coil.holds:
                continue
            says = coil.says
        change = Change(
            ("premises", output.premises, "receivers", output.receiver, "outputs", output.number, "via"), name
        )
        return Remedy(
            does.format(relay=name), "; ".join(text for text in (effect(part.sheet), says) if text), (change,)
        )
    return None
