"""Where the two cores of a run in the short form end, terminal by terminal."""

from __future__ import annotations

from dataclasses import dataclass

from farpress.case.case import Case, OutputAt
from farpress.case.runs import Run
from farpress.domain.cables import Fed
from farpress.domain.premises import Premises
from farpress.domain.terminals import Terminal, panel_terminal, poles_of

__all__ = ["RunTerminals", "run_terminals", "source_of", "turning_links"]


@dataclass(frozen=True)
class RunTerminals:
    """Where the cores of a run end, the near end first.

    Attributes:
        out: of the core that leads out.
        back: of the core that leads back.
        live: supply's live side and the contact's common that a link joins; None where nothing is fed so.
    """

    out: tuple[Terminal, Terminal]
    back: tuple[Terminal, Terminal]
    live: tuple[Terminal, Terminal] | None = None


def run_terminals(case: Case, run: Run) -> RunTerminals:
    """Where the two cores of a run end; a link's are those of the thing it comes from."""
    match run.kind:
        case "supply":
            return _supply(case, run)
        case "coil":
            return _coil(case, run)
        case "power" | "command":
            return _worked(case, run)
        case "signal":
            return _signal(case, run)
        case "status":
            return _status(case, run)
        case "tamper":
            return _tamper(run)


def turning_links(case: Case, run: Run) -> tuple[tuple[Terminal, ...], ...]:
    """Links at a pair of outputs that change a motor's cores over: plus to both make contacts, 0 V to both
    break contacts; none for other runs.
    """
    if run.turned is None or run.at is None or run.supply is None:
        return ()
    poles = _poles(case, run.premises, run.supply, run.at.output.load_branch)
    return (
        (poles[0], *(Terminal(side.receiver, f"{side.number}.make") for side in (run.at, run.turned))),
        (poles[1], *(Terminal(side.receiver, f"{side.number}.break") for side in (run.at, run.turned))),
    )


def source_of(case: Case, run: Run) -> Terminal:
    """The terminal of a supply that the current of a run comes from.

    Raises:
        KeyError: the run has no supply.
    """
    if run.supply is None:
        raise KeyError(run.name)
    if run.kind == "supply":
        near = run_terminals(case, run).out[0]
        return near if near.thing == run.supply else _poles(case, run.premises, run.supply)[0]
    branch = (run.end.branch or None) if run.end is not None else None
    return _poles(case, run.premises, run.supply, branch)[0]


def _supply(case: Case, run: Run) -> RunTerminals:
    fed = _feed_of(case.job.premises[run.premises], run.target)
    near = _poles(case, run.premises, run.start, fed.branch if fed is not None else None)
    far = _poles(case, run.premises, run.target)
    if run.target in case.job.premises[run.premises].supplies:
        live, back = (Terminal(run.target, f"in {pole.name.rpartition('.')[2]}") for pole in near)
        far = (live, back)
    return RunTerminals((near[0], far[0]), (near[1], far[1]))


def _feed_of(house: Premises, name: str) -> Fed | None:
    things = (
        house.receivers.get(name),
        house.devices.get(name),
        house.panels.get(name),
        house.supplies.get(name),
    )
    return next((thing.fed for thing in things if thing is not None and thing.fed is not None), None)


def _coil(case: Case, run: Run) -> RunTerminals:
    """A relay beside its receiver takes its current there; one far away from the supply named for it."""
    output = _worked_by(run)
    relay = f"{output.number} relay"
    out = (_contact(output), Terminal(output.receiver, f"{relay}.A1"))
    if run.supply is None:
        return RunTerminals(out, (_common(output), Terminal(output.receiver, f"{relay}.A2")))
    poles = _poles(case, run.premises, output.receiver if run.run is None else run.supply)
    return RunTerminals(
        out, (poles[1], Terminal(output.receiver, f"{relay}.A2")), (poles[0], _common(output))
    )


def _worked(case: Case, run: Run) -> RunTerminals:
    output = _worked_by(run)
    live, common = _contact(output), _common(output)
    if output.output.via:
        relay = f"{output.number} relay"
        live, common = Terminal(output.receiver, f"{relay}.14"), Terminal(output.receiver, f"{relay}.13")
    target = _device_ends(case, run, output, run.target)
    if run.is_link:
        start = _device_ends(case, run, output, run.start)
        return RunTerminals((start[0], target[0]), (start[1], target[1]))
    if run.turned is not None:
        return RunTerminals((common, target[0]), (_common(run.turned), target[1]))
    if run.kind == "power" and run.supply:
        poles = _poles(case, run.premises, run.supply, output.output.load_branch)
        return RunTerminals((live, target[0]), (poles[1], target[1]), (poles[0], common))
    return RunTerminals((live, target[0]), (common, target[1]))


def _device_ends(case: Case, run: Run, output: OutputAt, device: str) -> tuple[Terminal, Terminal]:
    """Terminals of what an output works: its poles where the contact feeds it, else its input."""
    entry = next((works.partition(".")[2] for works in output.works if works.partition(".")[0] == device), "")
    if run.turned is not None:
        return _poles(case, run.premises, device)
    if run.kind == "command":
        return _input(case, run.premises, device, entry or "input")
    if run.is_mains:
        live, way_back = Terminal(device, "L"), Terminal(device, "N")
    else:
        live, way_back = _poles(case, run.premises, device)
    others = {
        works
        for other in case.outputs()
        if other.premises == run.premises
        for works in other.works
        if works.partition(".")[0] == device
    }
    return (Terminal(device, entry) if entry and len(others) > 1 else live), way_back


def _input(case: Case, premises: str, thing: str, name: str) -> tuple[Terminal, Terminal]:
    """An input and its common."""
    panel = case.equipment.panels.get(f"{premises}/{thing}")
    entry = name if panel is None else panel_terminal(panel.sheet, name)
    return Terminal(thing, entry), Terminal(thing, f"{entry} common")


def _status(case: Case, run: Run) -> RunTerminals:
    number = run.target_terminals[0].removeprefix("input ")
    name = run.start_terminals[0]
    far = (Terminal(run.target, f"in{number}"), Terminal(run.target, f"in{number} common"))
    if run.start not in case.job.premises[run.premises].panels:
        return RunTerminals(
            (Terminal(run.start, f"{name} 1"), far[0]), (Terminal(run.start, f"{name} 2"), far[1])
        )
    entry = panel_terminal(case.equipment.panels[f"{run.premises}/{run.start}"].sheet, name, is_output=True)
    is_collector = run.start_terminals[1] == "0 V"
    back = Terminal(run.start, "0" if is_collector else f"{entry} common")
    return RunTerminals((Terminal(run.start, entry), far[0]), (back, far[1]))


def _signal(case: Case, run: Run) -> RunTerminals:
    """A receiver's own contact or transistor, and what it works: fed from a supply, or a panel's input."""
    if run.supply is None:
        far = _input(case, run.premises, run.target, run.target_terminals[0])
        near = tuple(_own(run.start, name) for name in run.start_terminals)
        return RunTerminals((near[0], far[0]), (near[1], far[1]))
    branch = (run.end.branch or None) if run.end is not None else None
    poles, ends = _poles(case, run.premises, run.supply, branch), _poles(case, run.premises, run.target)
    if not run.common:  # a transistor lies in the way back
        return RunTerminals((poles[0], ends[0]), (_own(run.back, run.start_terminals[1]), ends[1]))
    contact, common = _own(run.start, run.start_terminals[0]), _own(run.start, run.common)
    return RunTerminals((contact, ends[0]), (poles[1], ends[1]), (poles[0], common))


def _own(receiver: str, printed: str) -> Terminal:
    """A terminal of a receiver's own signal as it is printed: "low cell make", "low cell", "0 V"."""
    name, _, side = printed.rpartition(" ")
    if side in ("make", "break", "common"):
        return Terminal(receiver, f"{name}.{side}")
    return Terminal(receiver, "0" if printed == "0 V" else printed)


def _tamper(run: Run) -> RunTerminals:
    entry, common = run.start_terminals
    return RunTerminals(
        (Terminal(run.start, entry), Terminal(run.target, "tamper 1")),
        (Terminal(run.start, common), Terminal(run.target, "tamper 2")),
    )


def _worked_by(run: Run) -> OutputAt:
    assert run.at is not None  # of a run over a contact
    return run.at


def _contact(output: OutputAt) -> Terminal:
    breaks = output.output.contact == "normally closed"
    return Terminal(output.receiver, f"{output.number}.{'break' if breaks else 'make'}")


def _common(output: OutputAt) -> Terminal:
    return Terminal(output.receiver, f"{output.number}.common")


def _poles(case: Case, premises: str, thing: str, branch: str | None = None) -> tuple[Terminal, Terminal]:
    """Live terminal and way back of a supply, one of its branches, or what hangs on one."""
    house = case.job.premises[premises]
    head = f"branch {branch}." if branch is not None else ""
    if "." in thing and thing not in house.supplies:  # an output of a panel: "alarm.aux"
        panel, _, output = thing.partition(".")
        if output == "aux":
            return Terminal(panel, "aux.+"), Terminal(panel, "aux.0")
        return Terminal(panel, output), Terminal(panel, "0")
    path = f"{premises}/{thing}"
    part = (
        case.equipment.supplies.get(path)
        or case.equipment.receivers.get(path)
        or case.equipment.devices.get(path)
    )
    poles = poles_of(part.sheet.supply if part is not None else None) or ("+", "0")
    return Terminal(thing, f"{head}{poles[0]}"), Terminal(thing, f"{head}{poles[1]}")
