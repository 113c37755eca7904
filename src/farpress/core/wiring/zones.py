"""What a panel measures of a zone with several contacts, as it is drawn and as it is found.

Contacts that break lie in series at the far end, beside the resistors; contacts that make lie side by side,
each with a resistor of its own in series. `loops` has the schemes with one contact.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from farpress.core.wiring.loops import terminal_ohm
from farpress.errors import require_range
from farpress.sources import Mark, cites

__all__ = ["ZoneChain", "leak_for_ohm", "zone_ohm"]


@dataclass(frozen=True)
class ZoneChain:
    """Contacts and resistors of a zone.

    Attributes:
        normal_ohm: resistor at the end of the line; 0 where it is missing [ohm].
        alarm_ohm: resistor across a contact; None: a contact that opens cuts the line [ohm].
        contacts: in series.
        contact_ohm: of one closed contact [ohm].
        each: every contact has a resistor of its own across it; else one lies across the whole chain. Side
            by side without a resistor across a contact, each has `normal_ohm` of its own in series.
        parallel: contacts that break lie side by side, and the line opens only when all of them are open.
        makes: the contacts close when they are worked, each with `alarm_ohm` in series, all of them across
            `normal_ohm`; else they open.
        bridged: a wire lies across the contacts, so that none of them is seen; across one that makes, it
            looks worked for good.
        leak_ohm: between the cores at the far end; infinite for none [ohm].
    """

    normal_ohm: float
    alarm_ohm: float | None
    contacts: int = 1
    contact_ohm: float = 0.0
    each: bool = False
    parallel: bool = False
    makes: bool = False
    bridged: bool = False
    leak_ohm: float = math.inf


@cites("resistors in series and parallel", mark=Mark.COMPUTED)
def zone_ohm(*, chain: ZoneChain, worked: int, loop_ohm: float) -> float:
    """Resistance at the panel's terminals with some contacts worked [ohm]; infinite where the line is cut.

    Args:
        chain: contacts and resistors.
        worked: how many of them are open, of those that make: closed.
        loop_ohm: cable, there and back [ohm].

    Raises:
        OutOfRange: more contacts worked than there are.

    Example:
        25 doors, each with 3.3 kohm across its contact, 1.5 kohm at the end, 27.84 ohm of cable:

        >>> doors = ZoneChain(1500.0, 3300.0, contacts=25, each=True)
        >>> [round(zone_ohm(chain=doors, worked=n, loop_ohm=27.84), 2) for n in (0, 1, 2)]
        [1527.84, 4827.84, 8127.84]

        Two doors side by side, one resistor across them: the panel sees the first of them never:

        >>> pair = ZoneChain(2200.0, 4700.0, contacts=2, parallel=True)
        >>> [zone_ohm(chain=pair, worked=n, loop_ohm=0.0) for n in (0, 1, 2)]
        [2200.0, 2200.0, 6900.0]

        Two doors side by side, each with 5.6 kohm of its own: shut they halve it, and one open looks right:

        >>> own = ZoneChain(5600.0, None, contacts=2, each=True, parallel=True)
        >>> [zone_ohm(chain=own, worked=n, loop_ohm=0.0) for n in (0, 1, 2)]
        [2800.0, 5600.0, inf]

        Four cords to pull, each with 2.2 kohm across a line that ends in 5.6 kohm:

        >>> cords = ZoneChain(5600.0, 2200.0, contacts=4, makes=True)
        >>> [round(zone_ohm(chain=cords, worked=n, loop_ohm=0.0)) for n in (0, 1, 2)]
        [5600, 1579, 919]
    """
    require_range(
        "worked", worked, "", low=0, high=chain.contacts, because="no more can be worked than there are"
    )
    if chain.makes:
        return terminal_ohm(far_ohm=_of_makes(chain, worked), loop_ohm=loop_ohm, leak_ohm=chain.leak_ohm)
    if chain.parallel and chain.each and chain.alarm_ohm is None and not chain.bridged:
        still = chain.contacts - worked
        own = (chain.normal_ohm + chain.contact_ohm) / still if still else math.inf
        return terminal_ohm(far_ohm=own, loop_ohm=loop_ohm, leak_ohm=chain.leak_ohm)
    across = chain.alarm_ohm if chain.alarm_ohm is not None else math.inf
    far = chain.normal_ohm
    if not chain.bridged and chain.parallel:
        still_closed = chain.contacts - worked
        far += across if not still_closed else _beside(chain.contact_ohm / still_closed, across)
    elif not chain.bridged and chain.each:
        closed = _beside(chain.contact_ohm, across) * (chain.contacts - worked)
        far += closed + (across * worked if worked else 0.0)
    elif not chain.bridged:
        far += across if worked else _beside(chain.contact_ohm * chain.contacts, across)
    return terminal_ohm(far_ohm=far, loop_ohm=loop_ohm, leak_ohm=chain.leak_ohm)


def _of_makes(chain: ZoneChain, worked: int) -> float:
    """What lies at the far end of contacts that make [ohm]."""
    active = max(worked, 1) if chain.bridged else worked
    end = chain.normal_ohm if chain.normal_ohm > 0 else math.inf
    if not active:
        return end
    branch = ((chain.alarm_ohm or 0.0) + chain.contact_ohm) / active
    return _beside(branch, end)


def _beside(one_ohm: float, other_ohm: float) -> float:
    """Two in parallel; the other one may be infinite."""
    return one_ohm if math.isinf(other_ohm) else one_ohm * other_ohm / (one_ohm + other_ohm)


@cites("resistors in series and parallel", mark=Mark.COMPUTED)
def leak_for_ohm(*, far_ohm: float, loop_ohm: float, read_ohm: float) -> float | None:
    """What must lie between the cores at the far end for a reading [ohm]; None where nothing explains it.

    Args:
        far_ohm: resistors and contacts at the far end [ohm].
        loop_ohm: cable, there and back [ohm].
        read_ohm: at the panel's end [ohm].

    Example:
        >>> leak_for_ohm(far_ohm=1500.0, loop_ohm=27.84, read_ohm=1256.76)
        6800.1
    """
    seen = read_ohm - loop_ohm
    return seen * far_ohm / (far_ohm - seen) if 0.0 <= seen < far_ohm else None
