"""Judges whether it is said what feeds a panel or a device; what feeds a receiver is among its needs."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.drawn_wires import drawn_feed
from farpress.domain.finding import Ask, Finding, Link, Stake, Who
from farpress.domain.refs import DeviceRef, OutputRef, PanelRef, Ref, SupplyRef
from farpress.judging.check import Answer, Check
from farpress.phrases import listed

__all__ = ["SUPPLY_NAMED", "judge_fed", "perhaps_asks"]

SUPPLY_NAMED: Final = Check(
    "SUP-12",
    Link.SUPPLY,
    "Whether it is said which supply feeds a panel or a device, or what an output switches to it.",
    stake=Stake.PROMISE,
    ask="Say which supply feeds it.",
    who=Who.INSTALLER,
    mends="The supply written into the job, with the cable from it.",
)

FED_ELSEWHERE: Final = frozenset({"mains", "potential-free"})
"""Kinds of current of a device that no supply of a job feeds: the mains is a licensed electrician's, and what
a dry contact works brings its own."""


def judge_fed(case: Case) -> Iterator[Finding]:
    """SUP-12 of everything that wants a supply, and of every supply on which it may hang."""
    for premises, house in case.job.premises.items():
        loose: list[tuple[str, str | None]] = []
        for name, panel in house.panels.items():
            if panel.fed is None and drawn_feed(case, premises, name) is None:
                yield _panel(PanelRef(f"{premises}/{name}"))
                if case.equipment.panels[f"{premises}/{name}"].sheet.current_a:
                    loose.append((name, None))  # one that says what it draws wants a supply of the job
        for name, device in house.devices.items():
            if device.fed is None and drawn_feed(case, premises, name) is None:
                found = list(_device(case, premises, name))
                yield from found
                if found:
                    loose.append((name, case.equipment.devices[f"{premises}/{name}"].sheet.supply))
        for supply in house.supplies:
            given = case.equipment.supplies[f"{premises}/{supply}"].sheet.supply
            names = [name for name, wanted in loose if given is None or wanted in (None, "dc or ac", given)]
            if names:
                yield _perhaps_more(SupplyRef(f"{premises}/{supply}"), names)


def perhaps_asks(case: Case, supply: SupplyRef) -> tuple[Ask, ...]:
    """Whether something of the same premises that is fed from nowhere hangs on a supply."""
    return case.once(_perhaps_asks).get(supply.path, ())


def _perhaps_asks(case: Case) -> dict[str, tuple[Ask, ...]]:
    return {
        finding.about: tuple(ask for ask in finding.asks if isinstance(ask, Ask))
        for finding in judge_fed(case)
        if finding.subjects == (SupplyRef(finding.about),)
    }


def _perhaps_more(supply: SupplyRef, names: list[str]) -> Finding:
    """What hangs on a supply is not known as a whole while something at its premises is fed from nowhere."""
    are = "is" if len(names) == 1 else "are"
    return SUPPLY_NAMED.decide(
        about=supply.path,
        subjects=(supply,),
        answer=Answer.UNKNOWN,
        says=f"What hangs on {supply.path} is not known as a whole: {listed(names)} {are} fed from nowhere.",
        because="If it is this supply, its volts, load, fuse and standby are worse than judged.",
        asks=tuple(_ask(name) for name in names),
    )


def _ask(name: str) -> Ask:
    return Ask(f"Say which supply feeds {name}, and through which cable.", Who.INSTALLER, 5.0)


def _panel(panel: PanelRef) -> Finding:
    ask = Ask(
        f"Say which supply feeds {panel.name}; if it is the panel's own, write that down with its battery.",
        Who.ALARM_COMPANY,
        5.0,
    )
    return _not_named(panel.path, (panel,), panel.name, ask)


def _device(case: Case, premises: str, name: str) -> Iterator[Finding]:
    """Of a device that has no run of its own: each output that works it must bring it something."""
    device = DeviceRef(f"{premises}/{name}")
    sheet = case.equipment.devices[device.path].sheet
    if sheet.supply in FED_ELSEWHERE or sheet.load == "input":
        return
    outputs = [
        output
        for output in case.outputs()
        if output.premises == premises and name in {works.split(".")[0] for works in output.works}
    ]
    if any(
        given.load_from is not None and given.works.partition(".")[0] == name
        for box in case.job.premises[premises].receivers.values()
        for given in box.signals.values()
    ):
        return
    ask = _ask(name)
    if not outputs:
        yield _not_named(device.path, (device,), name, ask)
    for output in outputs:
        if output.output.load_from is None:
            about = f"{name} over output {output.number} of {premises}/{output.receiver}"
            yield _not_named(about, (device, OutputRef(output.path)), name, ask)


def _not_named(about: str, subjects: tuple[Ref, ...], name: str, ask: Ask) -> Finding:
    return SUPPLY_NAMED.decide(
        about=about,
        subjects=subjects,
        answer=Answer.UNKNOWN,
        says=f"What feeds {name} is not said, so nothing about its supply can be judged.",
        because="Volts, load, fuse and standby all hang on it.",
        asks=(ask,),
    )
