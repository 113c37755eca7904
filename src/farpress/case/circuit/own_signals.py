"""What a receiver tells of itself, in its circuit: a contact or transistor for each, and lines to a panel."""

from __future__ import annotations

from farpress.case.circuit.loop_resistors import LoopLine, loop_line, zone_of
from farpress.case.circuit.parts import ClosingContact, NotKnown, Sink
from farpress.case.circuit.workshop import Workshop, pull_up
from farpress.case.cores import cores_of_run, named_cores
from farpress.case.signals import SignalAt, signals_of
from farpress.domain.terminals import panel_terminal

__all__ = ["add_own_signals", "signal_worker"]


def signal_worker(shop: Workshop, path: str) -> ClosingContact | Sink:
    """The contact or transistor of a signal; one of which nobody says the form is taken for a transistor,
    which is the weaker, and listed.

    Args:
        shop: where it goes, once.
        path: of the signal, "larkfen/R1/low cell".
    """
    signal = next(found for found in signals_of(shop.case) if _path(found) == path)
    place = f"{signal.receiver}.{signal.name}"
    form = signal.sheet.form if signal.sheet is not None else None
    name = f"signal {path}"
    if form == "relay":
        side = "break" if signal.breaks else "make"
        contact = ClosingContact(name, f"{place}.common", f"{place}.{side}", path, signal.breaks)
        return shop.contacts.setdefault(name, contact)
    if form is None:
        shop.unknown.append(NotKnown(place, "whether it is a relay contact or an open collector"))
    left = signal.part.sheet.saturation_v
    if left is None:
        shop.unknown.append(NotKnown(place, "the volts left across it"))
    return shop.sinks.setdefault(name, Sink(name, place, f"{signal.receiver}.0", path, left or 0.0))


def add_own_signals(shop: Workshop) -> None:
    """Every signal that goes to an input of a panel."""
    for signal in signals_of(shop.case):
        if signal.premises == shop.premises and signal.given is not None and signal.device is None:
            _to_panel(shop, signal)


def _path(signal: SignalAt) -> str:
    return f"{signal.premises}/{signal.receiver}/{signal.name}"


def _to_panel(shop: Workshop, signal: SignalAt) -> None:
    given = signal.given
    assert given is not None
    panel, _, name = given.works.partition(".")
    part = shop.case.equipment.panels.get(f"{shop.premises}/{panel}")
    if part is None:
        return
    worker = signal_worker(shop, _path(signal))
    live = f"{panel}.{panel_terminal(part.sheet, name) or 'input'}"
    common = f"{live} common"
    pull_up(shop, live, common, signal.panel_input)
    shop.join(common, f"{panel}.0")
    loop = signal.panel_input.loop if signal.panel_input is not None else None
    is_sunk = isinstance(worker, Sink)
    near, far = (
        (worker.b, worker.a) if isinstance(worker, ClosingContact) else (worker.collector, worker.zero)
    )
    line = LoopLine(live, near, far)
    is_whole = loop is not None and loop.normal_ohm is not None
    if loop is not None and loop.scheme not in ("closed", "open") and not is_sunk and is_whole:
        place = f"{signal.receiver}.{signal.name}"
        zone = zone_of(shop, given.works)
        line = loop_line(shop, place, loop, live, (near, far), zone, is_closed_at_rest=signal.breaks)
    run = given.cable
    path = ("premises", shop.premises, "receivers", signal.receiver, "signals", signal.name, "cable")
    metres = run.length_m if run is not None else 0.0
    (out, back), _ = cores_of_run(run)
    says = f"{signal.receiver} {signal.name} to {given.works}"
    shop.conduct(f"{says}, out", line.near, line.panel, run, path, metres, out)
    has_return = run is not None and run.shares_return_with is None and len(named_cores(run)) != 1
    if not is_sunk or has_return:
        shop.conduct(f"{says}, back", line.far, common, run, path, metres, back)
