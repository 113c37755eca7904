"""Mains in cables: made for it, and nothing of extra-low voltage in the same sheath, way or wire."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.cable_bodies import CableBody, CoreBody
from farpress.case.cables import cables_of
from farpress.case.case import Case
from farpress.case.citations import GIVEN, MAINS, PRACTICE
from farpress.case.runs import Run
from farpress.case.wire_nets import WireNets, nets_of
from farpress.domain.cautions import caution
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import CableRef, DeviceRef, OutputRef, Ref, ZoneRef
from farpress.domain.terminals import Terminal
from farpress.judging.check import Answer, Check
from farpress.judging.device.mains_terminals import is_mains_terminal
from farpress.phrases import listed
from farpress.sources import Citation, Mark

__all__ = ["MAINS_CABLE", "SHARED_WAY", "carries_mains", "judge"]

MAINS_CABLE: Final = Check(
    "SAFE-11",
    Link.SAFETY,
    "Cables with mains in them: made for mains, and no extra-low voltage in the same sheath.",
    stake=Stake.HARM,
    bars=True,
    ask="Read what is printed on the sheath of the cable.",
    mends="A cable made for mains, laid apart; or a relay beside the device and mains wired there.",
)

SHARED_WAY: Final = Check(
    "SAFE-20",
    Link.SAFETY,
    "Ducts and trays: mains kept apart from extra-low voltage all along them.",
    stake=Stake.HARM,
    ask="Look what else lies in the duct, and whether a partition divides it.",
    who=Who.INSTALLER,
    minutes=5.0,
    mends="A partition, or a duct of its own for the extra-low voltage.",
)

APART: Final = Citation(
    "IEC 60364-4-41",
    place="414.4: separation of SELV and PELV from the live parts of other circuits",
    mark=Mark.MEMORY,
)

BESIDE: Final = Citation(
    "IEC 60364-5-52",
    place="528.1: circuits of different volts in one duct only where each cable is insulated for the highest",
    mark=Mark.MEMORY,
)

_RELAY_THERE: Final = Remedy(
    "A relay beside the device, its coil worked over this cable, and the mains wired there by a licensed"
    " electrician"
)


def judge(case: Case) -> Iterator[Finding]:
    """SAFE-11 of each cable that carries mains to a device, SAFE-20 of each way that cables share."""
    for premises in case.job.premises:
        in_way: dict[str, tuple[list[CableBody], list[CableBody]]] = {}
        for body in cables_of(case, premises):
            mains, others = _sorted_cores(case, body, nets_of(case, premises))
            carried = [run for run in body.runs if run.is_mains and run.run is not None]
            if body.way is not None:
                in_way.setdefault(body.way, ([], []))[0 if mains or carried else 1].append(body)
            if not mains and not carried:
                continue
            for run in carried:
                yield _insulation(case, body, f"{_run_about(run)}", run.target, _subjects(run, body))
            if mains and body.is_drawn and not any(run.is_mains for run in body.runs):
                target = listed(dict.fromkeys(end.thing for core in mains for end in core.far))
                yield _insulation(case, body, f"{body.label} at {premises}", target, (body.ref,))
            if others and mains:
                yield _company(body, mains, others)
        zones = _zones_in_ways(case, premises)
        for way in dict.fromkeys((*in_way, *zones)):
            with_mains, without = in_way.get(way, ([], []))
            yield _way(case, premises, way, with_mains, without, zones.get(way, []))
        if case.job.premises[premises].cables or case.job.premises[premises].links:
            yield from _joined(case, premises, nets_of(case, premises))


def _zones_in_ways(case: Case, premises: str) -> dict[str, list[tuple[str, ZoneRef, str]]]:
    """The cables of detection circuits that lie in each way: extra-low voltage, always."""
    in_way: dict[str, list[tuple[str, ZoneRef, str]]] = {}
    for panel, box in case.job.premises[premises].panels.items():
        for name, zone in box.zones.items():
            if zone.cable is not None and zone.cable.way is not None:
                ref = ZoneRef(f"{premises}/{panel}/{name}")
                found = (f"the cable of zone {name}", ref, zone.cable.part)
                in_way.setdefault(zone.cable.way, []).append(found)
    return in_way


def carries_mains(case: Case, body: CableBody) -> bool:
    """Whether mains comes to any core of a cable, so that it is a licensed electrician's."""
    mains, _ = _sorted_cores(case, body, nets_of(case, body.premises))
    return bool(mains) or any(run.is_mains for run in body.runs)


def _sorted_cores(
    case: Case, body: CableBody, nets: WireNets
) -> tuple[tuple[CoreBody, ...], tuple[CoreBody, ...]]:
    """The cores that mains comes to, over a contact too, and the others in use."""
    mains: list[CoreBody] = []
    others: list[CoreBody] = []
    for core in body.conductors:
        is_mains = any(
            is_mains_terminal(case, body.premises, there)
            for end in (*core.near, *core.far)
            for there in nets.joined(end, over_contacts=True)
        )
        (mains if is_mains else others).append(core)
    return tuple(mains), tuple(others)


def _insulation(case: Case, body: CableBody, about: str, target: str, subjects: tuple[Ref, ...]) -> Finding:
    part = case.equipment.cables[body.part]
    is_made = part.sheet.mains_rated
    because = caution("mains")
    asks: tuple[str, ...] = ()
    carries = f"{body.label} carries mains to {target}"
    if is_made is None:
        says = f"{carries}; whether {body.part} is made for that is not known."
        asks = (f"Read what is printed on the sheath of {body.part} and give 'mains_rated'.",)
    elif is_made:
        says = f"{carries}, and {body.part} is made for mains."
    else:
        says = f"{carries} in {body.part}, which is not made for mains."
        because = (
            "Its insulation is made for extra-low voltage: it can give a shock and start a fire."
            f" {caution('mains')}"
        )
    return MAINS_CABLE.decide(
        about=about,
        subjects=subjects,
        cause=body.ref,
        answer=Answer.of(is_made),
        says=says,
        because=because,
        asks=asks,
        remedies=(_RELAY_THERE, Remedy("A cable made for mains, laid apart from the others")),
        sources=(*part.cite("mains_rated"), MAINS),
    )


def _company(body: CableBody, mains: tuple[CoreBody, ...], others: tuple[CoreBody, ...]) -> Finding:
    """Extra-low voltage in the sheath of a mains cable."""
    ends = listed(
        dict.fromkeys(end.thing for core in others for end in (*core.near, *core.far)), nothing="nothing"
    )
    outputs = tuple(OutputRef(run.at.path) for run in body.runs if run.is_mains and run.at is not None)
    return MAINS_CABLE.decide(
        about=f"{body.label} at {body.premises}, beside others",
        subjects=(*outputs, body.ref),
        cause=body.ref,
        answer=Answer.NO,
        says=f"{body.label} carries mains on {_named(mains)} and extra-low voltage on {_named(others)}"
        f" ({ends}) in one sheath.",
        because="One damaged core puts mains on the receiver, the panel and whoever touches them."
        f" {caution('mains')}",
        remedies=(Remedy("Mains in a cable of its own, laid apart"), _RELAY_THERE),
        sources=(GIVEN, MAINS, APART),
    )


def _joined(case: Case, premises: str, nets: WireNets) -> Iterator[Finding]:
    """Wires that are drawn from a mains terminal to something of extra-low voltage."""
    for terminal in nets.terminals:
        if not is_mains_terminal(case, premises, terminal):
            continue
        low = sorted(end for end in nets.joined(terminal) if _is_low(case, premises, end))
        yield MAINS_CABLE.decide(
            about=f"wires of {terminal} at {premises}",
            subjects=(DeviceRef(f"{premises}/{terminal.thing}"),),
            answer=Answer.of(not low),
            says=f"{terminal} carries mains and is joined to {listed(map(str, low))}."
            if low
            else f"No wire joins {terminal} to anything of extra-low voltage.",
            because=f"Mains on extra-low voltage kills, and burns what hangs on it. {caution('mains')}"
            if low
            else "",
            remedies=(Remedy("Take that wire out of the drawing before anybody follows it"), _RELAY_THERE),
            sources=(GIVEN, MAINS, APART),
        )


def _is_low(case: Case, premises: str, terminal: Terminal) -> bool:
    """Whether a terminal is one of extra-low voltage."""
    house, path = case.job.premises[premises], f"{premises}/{terminal.thing}"
    if terminal.thing in house.supplies or terminal.thing in house.panels:
        return True
    if terminal.thing in house.receivers:
        return terminal.name in ("+", "0", "~1", "~2") or terminal.name.startswith(("in", "tamper"))
    part = case.equipment.devices.get(path)
    return part is not None and part.sheet.supply in ("dc", "ac", "dc or ac", "potential-free")


def _named(cores: tuple[CoreBody, ...]) -> str:
    return f"core{'s' if len(cores) > 1 else ''} {listed(core.name for core in cores)}"


def _way(
    case: Case,
    premises: str,
    name: str,
    with_mains: list[CableBody],
    without: list[CableBody],
    zones: list[tuple[str, ZoneRef, str]],
) -> Finding:
    way = case.job.premises[premises].ways[name]
    cables = (*with_mains, *without)
    low = listed((*(body.label for body in without), *(says for says, _, _ in zones)))
    high = [body.label for body in with_mains] + (["mains cables not drawn here"] if way.mains else [])
    answer, asks, because = Answer.YES, [], ""
    if not (without or zones):
        says = f"In {name} lies no extra-low voltage."
    elif not high and way.mains is None:
        answer, says = Answer.UNKNOWN, f"In {name} lie {low}; whether mains lies in it too is not said."
        asks = [Ask(f"Look whether mains cables lie in {name} too, and give 'mains'.", Who.INSTALLER, 5.0)]
    elif not high:
        says = f"In {name} lie {low}, and no mains."
    elif way.divided:
        says = f"In {name} lie {low} and {listed(high)}, with a partition between them."
    else:
        says = f"In {name} lie {low} and {listed(high)}, kept apart by their sheaths alone."
        parts = tuple(dict.fromkeys((*(body.part for body in without), *(part for _, _, part in zones))))
        answer, asks, made = _beside_mains(case, parts)
        says += made
        because = (
            "A sheath that is cut or crushed there puts mains on what everybody touches, and switching on the"
            f" mains disturbs what runs beside it. {caution('mains')}"
        )
        if way.divided is None:
            answer = Answer.UNKNOWN
            says = f"In {name} lie {low} and {listed(high)}; whether a partition divides it is not said."
            asks = [
                Ask(f"Look whether a partition divides {name} all along, and give 'divided'.", Who.INSTALLER)
            ]
    return SHARED_WAY.decide(
        about=f"{name} at {premises}",
        subjects=(*(body.ref for body in cables), *(ref for _, ref, _ in zones)),
        answer=answer,
        says=says,
        because=because,
        asks=asks,
        remedies=(
            Remedy("A duct of its own for the extra-low voltage"),
            Remedy("A duct with a partition, mains on one side"),
        ),
        sources=(GIVEN, MAINS, APART, BESIDE, PRACTICE),
    )


def _beside_mains(case: Case, parts: tuple[str, ...]) -> tuple[Answer, list[Ask], str]:
    """Cables of extra-low voltage that lie against mains: each must be made for the mains beside it."""
    made = {
        part: case.equipment.cables[part].sheet.mains_rated if part in case.equipment.cables else None
        for part in parts
    }
    weak = [part for part in parts if made[part] is False]
    if weak:
        are = "is" if len(weak) == 1 else "are"
        return Answer.NO, [], f" {listed(weak)} {are} not made for mains."
    if None in made.values():
        open_parts = [part or "the cable" for part in parts if made[part] is None]
        ask = Ask(f"Read on the sheath whether {listed(open_parts)} is made for mains.", Who.LABEL)
        return Answer.UNKNOWN, [ask], f" Whether {listed(open_parts)} is made for mains is not known."
    return Answer.BARELY, [], ""


def _run_about(run: Run) -> str:
    return f"{run.at.path if run.at is not None else run.premises} to {run.target}"


def _subjects(run: Run, body: CableBody) -> tuple[Ref, ...]:
    output = (OutputRef(run.at.path),) if run.at is not None else ()
    return (*output, DeviceRef(f"{run.premises}/{run.target}"), CableRef(body.ref.path))
