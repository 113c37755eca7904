"""Cables of a job as resistance, and everything that hangs on one supply as a circuit.

The worst case is meant throughout: cores at their largest permitted resistance, hot, and all
loads on that can be on together. What is not known stays unknown; nothing is guessed here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Final

from farpress.core.wiring.conductors import (
    COPPER_CLAD_FACTOR_HIGH,
    core_area_mm2,
    core_resistance_ohm_per_km,
    heated_resistance_ohm_per_km,
    loop_resistance_ohm,
)
from farpress.core.wiring.network import CurrentLoad, Element, Resistor, VoltageSource, solve
from farpress.domain.parts import CableSheet, DeviceSheet, Part
from farpress.domain.premises import CableRun, Premises
from farpress.sources import Citation, Mark, cited
from farpress.tasks.case import Case, OutputAt

__all__ = ["HOT_DEGC", "Core", "End", "Served", "coil_supply", "core_of", "device_current_a", "ends_of", "feeds_coil", "larger_cables", "loop_ohm_of", "mirror_of", "on_same_cable", "return_partner", "serve", "shares_return"]

HOT_DEGC: Final = 50.0
"""Temperature of a core in the worst case: our choice, for a roof space or sunny wall; 12 % more resistance than at 20 degC."""

HOT: Final = Citation("cores at 50 °C, loads at their label current", mark=Mark.CHOICE)

_STRANDED_FACTOR: Final = {True: 1.23, False: 1.13}
"""Largest permitted over ideal resistance, below and from 0.5 mm2, where only an area is known: read off IEC 60228 class 5 and VDE 0295."""

_SOLID_FACTOR: Final = 1.05
"""The same for a solid core of which only the diameter is known; our choice."""

_STEPS: Final = 500
"""Rounds in which loads of constant power must settle."""


@dataclass(frozen=True)
class Core:
    """One conductor of a cable: ohm per kilometre, cold and hot, cores in parallel included."""

    cold_ohm_per_km: float
    hot_ohm_per_km: float
    area_mm2: float | None
    rated_a: float | None
    sources: tuple[Citation, ...]


@dataclass(frozen=True)
class End:
    """Something that hangs on a supply.

    Attributes:
        name: unlike any other on this supply; may be named by `shares_return_with`.
        who: as it is called in messages.
        aliases: further names for that.
        subjects: as findings name them.
        run: its cable; None when it is not described.
        run_path: keys that lead to the cable in the job file.
        amperes: with everything of it on [A]; None if unknown.
        rest_a: at rest [A]; None if unknown.
        watts: instead of amperes, for a load of constant power [W].
        minimum_v, maximum_v: what it stands [V].
        nominal_v: on its label [V].
        current: "dc", "ac", "dc or ac", "mains", "potential-free" or None.
        ask: what is missing, in words.
        never_with: ends with the same text here are never on together.
        at: the output that switches it.
        is_coil: the coil of an interposing relay.
        is_panel: an alarm panel, whose voltages its own maker answers for.
        sources: of its values.
    """

    name: str
    who: str
    subjects: tuple[str, ...]
    run: CableRun | None
    run_path: tuple[str | int, ...]
    amperes: float | None
    rest_a: float | None
    minimum_v: float | None
    maximum_v: float | None
    nominal_v: float | None = None
    current: str | None = None
    watts: float | None = None
    aliases: tuple[str, ...] = ()
    ask: str = ""
    never_with: str = ""
    at: OutputAt | None = None
    is_coil: bool = False
    is_panel: bool = False
    sources: tuple[Citation, ...] = field(default=())


@dataclass(frozen=True)
class Served:
    """Volts and amperes of an end in a solved tree."""

    volts: float
    amperes: float


def core_of(part: Part[CableSheet]) -> Core | None:
    """One conductor of a cable at its largest permitted resistance; None if nothing is known of it."""
    sheet = part.sheet
    clad = COPPER_CLAD_FACTOR_HIGH if sheet.material == "copper-clad aluminium" else 1.0
    area = sheet.area_mm2 or (core_area_mm2(diameter_mm=sheet.diameter_m * 1000) if sheet.diameter_m else None)
    if sheet.resistance_ohm_per_km is not None:
        cold, sources = sheet.resistance_ohm_per_km, part.cite("resistance_ohm_per_km")
    elif area is not None:
        factor = _STRANDED_FACTOR[area < 0.5] if sheet.area_mm2 else _SOLID_FACTOR
        cold = core_resistance_ohm_per_km(area_mm2=area) * factor * clad
        sources = (*part.cite("area_mm2", "diameter_m", "material"), *cited(core_resistance_ohm_per_km))
    else:
        return None
    cold /= sheet.parallel or 1
    hot = heated_resistance_ohm_per_km(resistance_20_ohm_per_km=cold, temperature_degc=HOT_DEGC)
    rated = sheet.rated_a * (sheet.parallel or 1) if sheet.rated_a is not None else None
    return Core(cold, hot, area * (sheet.parallel or 1) if area else None, rated, (*sources, HOT))


def loop_ohm_of(case: Case, run: CableRun | None) -> float | None:
    """Hot resistance of a run, there and back [ohm]; None if unknown."""
    core = core_of(case.equipment.cables[run.part]) if run is not None and run.part in case.equipment.cables else None
    return loop_resistance_ohm(length_m=run.length_m, core_ohm_per_km=core.hot_ohm_per_km) if core and run else None


def larger_cables(case: Case, run: CableRun) -> Iterator[tuple[str, Core]]:
    """Copper cables with less resistance than a run's own, the thinnest first."""
    own = core_of(case.equipment.cables[run.part]) if run.part in case.equipment.cables else None
    known = ((name, core_of(part)) for name, part in case.equipment.cables.items() if part.sheet.material != "copper-clad aluminium")
    cores = sorted(((name, core) for name, core in known if core is not None), key=lambda pair: -pair[1].hot_ohm_per_km)
    yield from ((name, core) for name, core in cores if own is None or core.hot_ohm_per_km < own.hot_ohm_per_km * 0.999)


def device_current_a(sheet: DeviceSheet) -> float | None:
    """Steady current of all pieces of a device [A]; from its power where only that is known."""
    one = sheet.current_a
    if one is None and sheet.power_w is not None and sheet.voltage_v:
        one = sheet.power_w / sheet.voltage_v
    return None if one is None else one * (sheet.pieces or 1)


def feeds_coil(case: Case, at: OutputAt) -> bool:
    """Whether the supply named as `load_from` works the relay's coil: its load is mains and cannot be meant."""
    sheets = [case.equipment.devices[path].sheet for path in (f"{at.premises}/{works.split('.')[0]}" for works in at.works) if path in case.equipment.devices]
    return bool(at.output.via and at.output.load_from and sheets) and all(sheet.supply == "mains" for sheet in sheets)


def coil_supply(case: Case, at: OutputAt) -> str | None:
    """Name of the supply that works the coil of an output's interposing relay."""
    if feeds_coil(case, at):
        return at.output.load_from
    return at.box.fed.from_ if at.box.fed else None


def mirror_of(at: OutputAt) -> str:
    """A text that two outputs share when they are never on together; empty for none."""
    other = at.output.interlock
    return "/".join(sorted((f"{at.receiver_path}/{at.number}", f"{at.receiver_path}/{other}"))) if other else ""


def ends_of(case: Case, premises: str, supply: str) -> tuple[End, ...]:
    """Everything a supply feeds, directly or over a receiver's contact."""
    house = case.job.premises[premises]
    return (*_receivers(case, premises, house, supply), *_coils(case, premises, supply), *_direct(case, premises, house, supply), *_switched(case, premises, house, supply))


def serve(case: Case, ends: tuple[End, ...], *, volts: float, source_ohm: float, instead: Mapping[str, tuple[float, float]] | None = None) -> dict[str, Served] | None:
    """Volts at every end with all loads on; shared return cores carry what flows in them.

    Args:
        case: the job.
        ends: of one supply; unknown currents count as none.
        volts: behind the source resistance [V].
        source_ohm: of the supply [ohm].
        instead: end → (ohm per km, length) of another cable to try.

    Returns:
        None when loads of constant power find no operating point: the cable cannot carry them.
    """
    cables = _cable_names(ends)
    tried = {cables[name]: core for name, core in (instead or {}).items()}
    lengths: dict[str, tuple[float, float]] = {}
    for end in ends:
        part = case.equipment.cables.get(end.run.part) if end.run else None
        core = core_of(part) if part else None
        own = (core.hot_ohm_per_km, end.run.length_m) if core and end.run else (0.0, 0.0)
        lengths[cables[end.name]] = tried.get(cables[end.name], own)
    draws = {end.name: end.amperes or 0.0 for end in ends}
    for _ in range(_STEPS):
        solution = solve(_elements(ends, lengths, draws, volts, source_ohm))
        at_end = {end.name: solution.across(f"{cables[end.name]} +", f"{cables[end.name]} -") for end in ends}
        drawn = dict(draws)
        for end in ends:
            if end.watts is not None:
                if at_end[end.name] < volts / 2:  # beyond half the voltage less comes out, whatever is drawn
                    return None
                drawn[end.name] = end.watts / at_end[end.name]
        if all(abs(drawn[name] - draws[name]) <= 1e-9 for name in draws):
            break
        draws = drawn
    else:
        return None
    return {end.name: Served(at_end[end.name], draws[end.name]) for end in ends}


def shares_return(ends: tuple[End, ...], end: End) -> set[str]:
    """Names of the ends on the same return core as an end, itself among them."""
    return next({one.name for one in group} for group in _return_groups(ends) if end in group)


def _elements(ends: tuple[End, ...], lengths: Mapping[str, tuple[float, float]], draws: Mapping[str, float], volts: float, source_ohm: float) -> list[Element]:
    cables = _cable_names(ends)
    elements: list[Element] = [VoltageSource("supply", "+", "0", volts, source_ohm)]
    for group in _return_groups(ends):
        runs = tuple(dict.fromkeys(cables[end.name] for end in group))
        shared = min(lengths[name][1] for name in runs) if len(runs) > 1 else 0.0
        owner = next((cables[end.name] for end in group if return_partner(ends, end) is None), runs[0])
        joint = f"return of {runs[0]}"
        elements.append(Resistor(joint, joint, "0", lengths[owner][0] * shared / 1000))
        for name in runs:
            ohm_per_km, length = lengths[name]
            elements.append(Resistor(f"{name} out", "+", f"{name} +", ohm_per_km * length / 1000))
            elements.append(Resistor(f"{name} back", f"{name} -", joint, ohm_per_km * (length - shared) / 1000))
        elements += [CurrentLoad(end.name, f"{cables[end.name]} +", f"{cables[end.name]} -", draws[end.name]) for end in group]
    return elements


def return_partner(ends: tuple[End, ...], end: End) -> End | None:
    """The end whose return core another one uses; a bare number means an output of the same receiver."""
    text = end.run.shares_return_with if end.run else None
    if text is None:
        return None
    texts = (text, f"{end.at.receiver}/{text}") if end.at else (text,)
    return next((other for wanted in texts for other in ends if other is not end and wanted in (other.name, *other.aliases)), None)


def on_same_cable(ends: tuple[End, ...], end: End) -> tuple[End, ...]:
    """Ends that hang on the cable of an end, itself among them: one contact may feed several devices."""
    cables = _cable_names(ends)
    return tuple(other for other in ends if cables[other.name] == cables[end.name])


def _cable_names(ends: tuple[End, ...]) -> dict[str, str]:
    """Name of an end → name of the first end on the same cable."""
    first: dict[tuple[str | int, ...], str] = {}
    return {end.name: first.setdefault(end.run_path, end.name) if end.run is not None else end.name for end in ends}


def _return_groups(ends: tuple[End, ...]) -> list[list[End]]:
    group_of = _cable_names(ends)
    for end in ends:
        shared = return_partner(ends, end)
        if shared is not None:
            old, new = group_of[end.name], group_of[shared.name]
            group_of = {name: new if group == old else group for name, group in group_of.items()}
    return [[end for end in ends if group_of[end.name] == group] for group in dict.fromkeys(group_of.values())]


def _receivers(case: Case, premises: str, house: Premises, supply: str) -> Iterator[End]:
    for name, box in house.receivers.items():
        if box.fed is None or box.fed.from_ != supply:
            continue
        part = case.equipment.receivers[f"{premises}/{name}"]
        sheet = part.sheet
        idle, relay = sheet.current_idle_a, sheet.current_per_relay_a
        together = len({mirror_of(at) or at.path for at in case.outputs() if at.receiver_path == f"{premises}/{name}"})
        amperes = idle + relay * together if idle is not None and relay is not None else idle if together == 0 else None
        yield End(
            name, name, (f"receiver:{premises}/{name}",), box.fed.cable, ("premises", premises, "receivers", name, "fed", "cable"),
            amperes, idle, sheet.voltage_min_v, sheet.voltage_max_v, current=sheet.supply,
            ask=f"current of {name}, at rest and for each relay" if amperes is None else "",
            sources=part.cite("current_idle_a", "current_per_relay_a", "voltage_min_v", "voltage_max_v"),
        )


def _coils(case: Case, premises: str, supply: str) -> Iterator[End]:
    """Coils of interposing relays: on the receiver's supply, or on the one named for a load that is mains."""
    for at in case.outputs():
        part = case.equipment.relays.get(at.output.via or "")
        if at.premises != premises or part is None or coil_supply(case, at) != supply:
            continue
        coil, own = part.sheet, at.box.fed.from_ if at.box.fed else None
        run = at.output.cable if supply != own or feeds_coil(case, at) else None
        yield End(
            f"coil of {at.output.via} at output {at.number} of {at.receiver}", f"the coil of {at.output.via}", (f"output:{at.path}",), run,
            ("premises", premises, "receivers", at.receiver, "outputs", at.number, "cable"), coil.coil_a, 0.0,
            coil.coil_min_v, None, coil.coil_v, coil.coil_supply, never_with=mirror_of(at), at=at, is_coil=True,
            ask=f"coil current of {at.output.via}" if coil.coil_a is None else "", sources=part.cite("coil_a", "coil_min_v"),
        )


def _direct(case: Case, premises: str, house: Premises, supply: str) -> Iterator[End]:
    for name, device in house.devices.items():
        if device.fed is not None and device.fed.from_ == supply:
            path = ("premises", premises, "devices", name, "fed", "cable")
            yield _device_end(case, premises, name, device.fed.cable, path, at=None, rest=_rest_share(case, premises, name))
    for name, panel in house.panels.items():
        if panel.fed is not None and panel.fed.from_ == supply:
            part = case.equipment.panels[f"{premises}/{name}"]
            # a panel without a figure of its own stands in the supply's other load, where that is given
            amperes = part.sheet.current_a if part.sheet.current_a is not None or house.supplies[supply].other_load_a is None else 0.0
            yield End(
                name, name, (f"panel:{premises}/{name}",), panel.fed.cable, ("premises", premises, "panels", name, "fed", "cable"),
                amperes, amperes, None, None, ask=f"current of {name}" if amperes is None else "",
                is_panel=True, sources=part.cite("current_a"),
            )


def _rest_share(case: Case, premises: str, name: str) -> float | None:
    """What of its current a device that is fed directly draws while nothing happens: all, none, or unknown."""
    sheet = case.equipment.devices[f"{premises}/{name}"].sheet
    if sheet.load == "input" or sheet.supply == "potential-free" or sheet.device == "magnetic lock":
        return 1.0
    working = [at for at in case.outputs() if at.premises == premises and name in {works.split(".")[0] for works in at.works}]
    if not working or sheet.load is None:
        return None
    return 0.0 if all(at.output.contact == "normally open" for at in working) else 1.0


def _switched(case: Case, premises: str, house: Premises, supply: str) -> Iterator[End]:
    for at in case.outputs():
        if at.premises != premises or at.output.load_from != supply or feeds_coil(case, at):
            continue
        path = ("premises", premises, "receivers", at.receiver, "outputs", at.number, "cable")
        for device in dict.fromkeys(works.split(".")[0] for works in at.works):
            if device in house.devices:
                yield _device_end(case, premises, device, at.output.cable, path, at=at, rest=float(at.output.contact == "normally closed"))


def _device_end(
    case: Case, premises: str, name: str, run: CableRun | None, path: tuple[str | int, ...], *, at: OutputAt | None, rest: float | None
) -> End:
    part = case.equipment.devices[f"{premises}/{name}"]
    sheet = part.sheet
    amperes = device_current_a(sheet)
    steady_power = sheet.load == "constant power" and sheet.power_w is not None
    subjects = (f"device:{premises}/{name}", *((f"output:{at.path}",) if at else ()))
    return End(
        f"{name} over output {at.number} of {at.receiver}" if at else name, name, subjects, run, path,
        amperes, _rest_a(sheet, amperes, rest), sheet.voltage_min_v, sheet.voltage_max_v, sheet.voltage_v, sheet.supply,
        watts=(sheet.power_w or 0.0) * (sheet.pieces or 1) if steady_power else None,
        aliases=(name, at.path, f"{at.receiver}/{at.number}") if at else (),
        ask=f"current of {name}" if amperes is None else "",
        never_with=(mirror_of(at) or f"device {name}") if at else "", at=at,
        sources=part.cite("current_a", "power_w", "pieces", "voltage_min_v", "voltage_max_v"),
    )


def _rest_a(sheet: DeviceSheet, amperes: float | None, share: float | None) -> float | None:
    if sheet.current_rest_a is not None:
        return float(sheet.current_rest_a * (sheet.pieces or 1))
    if share == 0:
        return 0.0
    return None if share is None or amperes is None else share * amperes
