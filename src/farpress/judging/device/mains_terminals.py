"""Which terminals stand at mains: what they are, and what hangs together with them, over a contact too."""

from __future__ import annotations

from farpress.case.case import Case
from farpress.case.switched import is_mains_signal, is_signal
from farpress.case.wire_nets import nets_of
from farpress.domain.cautions import caution
from farpress.domain.terminals import Terminal
from farpress.errors import InputError

__all__ = ["is_mains_terminal", "mains_beside", "refuse_mains", "why_no_wire"]


def refuse_mains(case: Case, premises: str, terminal: Terminal) -> None:
    """Take no wire of extra-low voltage to a terminal of mains.

    Raises:
        InputError: the terminal stands at mains, with the reason.
    """
    why = why_no_wire(case, premises, terminal)
    if why:
        raise InputError(why)


def why_no_wire(case: Case, premises: str, terminal: Terminal) -> str:
    """Why no wire of extra-low voltage is led to a terminal; empty where nothing is against it."""
    beside = mains_beside(case, premises, terminal)
    if beside is None:
        return ""
    why = (
        f"{terminal} stands at mains" if beside == terminal else f"{terminal} is wired to {beside}, at mains"
    )
    return (
        f"{why}. No wire of extra-low voltage is led there: one wrong core puts mains on the receiver, the"
        " panel and whoever touches them. Work it over a relay beside the device, with mains wired there."
        f" {caution('mains')}"
    )


def mains_beside(case: Case, premises: str, terminal: Terminal) -> Terminal | None:
    """The terminal at mains that one is, or hangs together with by wires or contacts; None for none."""
    if _stands_at_mains(case, premises, terminal):
        return terminal
    joined = sorted(nets_of(case, premises).joined(terminal, over_contacts=True))
    return next((there for there in joined if _stands_at_mains(case, premises, there)), None)


def is_mains_terminal(case: Case, premises: str, terminal: Terminal) -> bool:
    """Whether a terminal is one of the two that mains feeds a device by."""
    part = case.equipment.devices.get(f"{premises}/{terminal.thing}")
    return part is not None and part.sheet.supply == "mains" and terminal.name in ("L", "N")


def _stands_at_mains(case: Case, premises: str, terminal: Terminal) -> bool:
    """Those two, and inputs that are worked by mains."""
    if is_mains_terminal(case, premises, terminal):
        return True
    part = case.equipment.devices.get(f"{premises}/{terminal.thing}")
    command = (part.sheet.inputs or {}).get(terminal.name.removesuffix(" common")) if part else None
    if part is None or command is None:
        return False
    is_power = part.sheet.supply == "mains" and not is_signal(part.sheet, command)
    return is_power or is_mains_signal(command.voltage_v)
