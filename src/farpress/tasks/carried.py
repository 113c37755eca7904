"""Where a fob is carried: pressed unnoticed in a pocket, and cold in a parked car."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.core.upkeep.cold import loaded_voltage_v
from farpress.domain.cautions import caution
from farpress.domain.finding import Finding, Link, Remedy, Verdict
from farpress.domain.job import Group
from farpress.sources import Citation, Mark, cited
from farpress.tasks.case import Case
from farpress.tasks.driven import driven_of, moves
from farpress.tasks.grounds import CHOICE, GIVEN, PRACTICE

__all__ = ["CODES", "judge"]

CODES: Final[dict[str, str]] = {
    "FOB-06": "What a fob that is carried in a pocket works when it is pressed unnoticed.",
    "FOB-07": "Voltage of the fob's cell while it sends in the coldest place it lies in.",
}

USED_FACTOR: Final = 2.0
"""A coin cell's inner resistance near its end against a new one's: 15-20 ohm new, 30 ohm at three quarters used."""

_USED: Final = Citation("lithium coin cells, inner resistance over use", place="about 18 to 20 ohm, 30 ohm at three quarters used", mark=Mark.COPY)

_TELLING: Final = frozenset({"strike", "magnetic lock"})


def judge(case: Case) -> Iterator[Finding]:
    """All findings about how groups carry their fobs."""
    for name, group in case.job.groups.items():
        if group.kept == "in pocket":
            yield from _pocket(case, name, group)
        if group.coldest_degc is not None:
            yield _cold(case, name, group)


def _pocket(case: Case, name: str, group: Group) -> Iterator[Finding]:
    opened = [
        one.works
        for function in case.job.functions_of(group)
        for at in case.outputs_of(function)
        for one in driven_of(case, at)
        if moves(one) or one.kind in _TELLING
    ]
    if not opened:
        return
    what = ", ".join(dict.fromkeys(opened))
    loss = case.equipment.fobs[name].sheet.pocket_loss_db
    weaker = f" From there it is also {loss:g} dB weaker." if loss is not None else ""
    yield Finding(
        "FOB-06", Link.FOB, Verdict.THIN, name, f"{name} carry their fob in a pocket; a press unnoticed works {what}.{weaker}",
        f"Loose and protruding buttons are a standing cause of doors found open. {caution('general')}",
        loss, None, "dB",
        remedies=(Remedy("A fob with recessed buttons or a cover, or a hook for it; timed closing only with its safeguards"),),
        sources=(*case.equipment.fobs[name].cite("pocket_loss_db"), PRACTICE, GIVEN), subjects=(f"group:{name}",),
    )


def _cold(case: Case, name: str, group: Group) -> Finding:
    fob, cell = case.equipment.fobs[name], case.equipment.cells.get(name)
    subjects, coldest = (f"group:{name}",), group.coldest_degc
    needed = fob.sheet.low_cell_v if fob.sheet.low_cell_v is not None else (cell.sheet.end_v if cell is not None else None)
    if cell is None or coldest is None or cell.sheet.voltage_v is None or cell.sheet.inner_ohm is None or fob.sheet.current_send_a is None or needed is None:
        says = f"The fobs of {name} get as cold as {coldest:g} °C; what voltage their cells then give is not known."
        asks = "Find out: the cell's voltage and inner resistance, the fob's current while sending, and the voltage it needs."
        return Finding("FOB-07", Link.FOB, Verdict.OPEN, name, says, asks, subjects=subjects)
    new, used = (
        loaded_voltage_v(open_v=cell.sheet.voltage_v, inner_ohm=cell.sheet.inner_ohm * factor, current_a=fob.sheet.current_send_a, temperature_degc=coldest)
        for factor in (1.0, USED_FACTOR)
    )
    verdict = Verdict.FAILS if new < needed else Verdict.THIN if used < needed else Verdict.HOLDS
    return Finding(
        "FOB-07", Link.FOB, verdict, name,
        f"At {coldest:g} °C a used cell of {name} gives {used:.2f} V while sending, a new one {new:.2f} V; the fob wants {needed:g} V.",
        "The cold raises a cell's inner resistance; fobs left in parked cars fail first in winter.",
        used, needed, "V", used - needed, new - used,
        remedies=(Remedy("Change these cells each autumn, and keep the fob with the person", f"{new:.2f} V with a new cell"),) if verdict is not Verdict.HOLDS else (),
        sources=(*fob.cite("current_send_a", "low_cell_v"), *cell.cite("voltage_v", "inner_ohm"), *cited(loaded_voltage_v), _USED, GIVEN, CHOICE), subjects=subjects,
    )
