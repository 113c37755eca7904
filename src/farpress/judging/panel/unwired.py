"""What a panel or a receiver tells and nobody wired: a panel's own outputs, the lid of a receiver."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import PRACTICE
from farpress.case.driven import alarm, driven_of
from farpress.domain.finding import Finding, Link, Remedy, Stake
from farpress.domain.refs import PanelRef, ReceiverRef
from farpress.judging.check import Answer, Check
from farpress.phrases import listed
from farpress.sources import Citation, Mark

__all__ = ["LID_WATCHED", "OUTPUTS_USED", "judge"]

OUTPUTS_USED: Final = Check(
    "PAN-25",
    Link.PANEL,
    "Outputs of a panel, as for a fault or a weak battery: whether they reach anybody.",
    stake=Stake.DUTY,
    advice=True,
    mends="A lamp or a dialler on it, over a relay where it is a transistor.",
)
LID_WATCHED: Final = Check(
    "PAN-26",
    Link.PANEL,
    "Whether the housing of a receiver that sets or unsets an alarm is watched.",
    stake=Stake.PROMISE,
    advice=True,
    mends="Its tamper contact led to a tamper input of the panel.",
)

_GRADE_2: Final = Citation(
    "EN 50131-1", edition="2006", place="tamper and power-fault indication from grade 2", mark=Mark.MEMORY
)


def judge(case: Case) -> Iterator[Finding]:
    """PAN-25 of each panel with an output that nothing hangs on, PAN-26 of each receiver at a panel."""
    for premises, house in case.job.premises.items():
        for panel in house.panels:
            yield from _outputs(case, premises, panel)
        for receiver in house.receivers:
            yield from _lid(case, premises, receiver)


def _outputs(case: Case, premises: str, panel: str) -> Iterator[Finding]:
    house, part = case.job.premises[premises], case.equipment.panels[f"{premises}/{panel}"]
    used = {entry.reads for box in house.receivers.values() for entry in box.inputs.values()}
    used |= {device.fed.from_ for device in house.devices.values() if device.fed is not None}
    cores = [cable.core(name) for cable in house.cables.values() for name in cable.cores]
    drawn = {end for ends in (*(core.ends for core in cores), *house.links) for end in ends}
    idle = [
        name
        for name in part.sheet.outputs or {}
        if f"{panel}.{name}" not in used and not any(end.startswith(f"{panel}.{name}") for end in drawn)
    ]
    if not idle:
        return
    told = [f"'{(part.sheet.outputs or {})[name].says or name}'" for name in idle]
    yield OUTPUTS_USED.decide(
        about=f"{premises}/{panel}: outputs",
        subjects=(PanelRef(f"{premises}/{panel}"),),
        answer=Answer.NO,
        says=f"{panel} tells {listed(told)} on an output that nothing is wired to: nobody learns of it.",
        because="A battery that is tired looks well until the mains fails; a panel's display is seen by few.",
        remedies=(Remedy("Lead it to a lamp that somebody sees, or to whoever is called, over a relay"),),
        sources=(*part.cite("outputs"), _GRADE_2, PRACTICE),
    )


def _lid(case: Case, premises: str, receiver: str) -> Iterator[Finding]:
    path, box = f"{premises}/{receiver}", case.job.premises[premises].receivers[receiver]
    at_panel = [
        driven
        for output in case.outputs()
        if output.receiver_path == path
        for driven in driven_of(case, output)
        if alarm(driven)
    ]
    if not at_panel or box.tamper is not None:
        return
    panel = at_panel[0].path
    yield LID_WATCHED.decide(
        about=path,
        subjects=(ReceiverRef(path), PanelRef(panel)),
        answer=Answer.NO,
        says=f"{receiver} sets or unsets {panel}, and nothing tells that its housing was opened.",
        because="Whoever opens it joins two wires, or teaches it a fob of his own.",
        remedies=(Remedy(f"Lead its tamper contact to a tamper input of {panel.partition('/')[2]}"),),
        sources=(*case.equipment.receivers[path].cite("tamper_contact"), _GRADE_2),
    )
