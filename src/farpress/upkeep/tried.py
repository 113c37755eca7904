"""How a user tries the safeguards of what moves: only those that exist, and never with a hand."""

from __future__ import annotations

from typing import Final

from farpress.domain.device_sheets import DeviceSheet
from farpress.phrases import listed

__all__ = ["safeguards_tried"]

_HOW: Final = {
    "beams": "hold a test stick into the beams",
    "edge": "let its edge meet a test block of foam or wood that lies in the way",
    "force limit": "let it meet a test block of foam or wood that lies in the way",
    "loop": "leave a vehicle on the loop",
    "presence": "let a test block stand where somebody might",
}


def safeguards_tried(name: str, sheet: DeviceSheet) -> str:
    """What to do while it closes, in one or two sentences; that nothing is tried where nothing is recorded.

    Example:
        >>> safeguards_tried("door", DeviceSheet(device="garage door", safeguards=("beams",)))[:64]
        'door: stand outside its path, a hand on the stop. While it close'
        >>> safeguards_tried("door", DeviceSheet(device="garage door"))
        'door: no safeguard is recorded, so nothing is tried; ask the firm'
    """
    if not sheet.safeguards:
        return f"{name}: no safeguard is recorded, so nothing is tried; ask the firm"
    does = listed(dict.fromkeys(_HOW[guard] for guard in sheet.safeguards), last=", then ")
    return (
        f"{name}: stand outside its path, a hand on the stop. While it closes {does}; it must stop or turn at"
        " once. Never a hand, a foot or a child"
    )
