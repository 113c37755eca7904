"""What is due when, by whom, premises by premises; `upkeep_rounds` puts it together.

Intervals are common practice or our choice, as each says; contracts, insurers, standards
and national rules come first where they ask for more.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final, NamedTuple

from farpress.case.case import Case
from farpress.case.driven import driven_of
from farpress.dates import add_months, day_of
from farpress.domain.acts import CheckDone, FaultReported
from farpress.domain.cautions import CAUTIONS, DUTIES
from farpress.domain.event import Event, happened
from farpress.domain.finding import Verdict
from farpress.domain.register import FobRegister
from farpress.faults.ask import About
from farpress.faults.entries import fault_ids
from farpress.judging.register import counters as register_counters
from farpress.judging.register.counters import CounterJudgement
from farpress.phrases import listed
from farpress.upkeep.cells import OTHER_WAYS, SOON_DAYS, cells_ahead, change_months
from farpress.upkeep.dates import WEEK, again_on, months_text
from farpress.upkeep.energy import SupplyEnergy, energies_of
from farpress.upkeep.tried import safeguards_tried
from farpress.upkeep.watch import battery_ages, contact_wear, place_watch

__all__ = ["Due", "done_task", "due_list", "record_done"]

OFTEN_DAYS: Final = 90.0
"""Somebody who is at a receiver more often than this keeps its counter in step; our choice."""

DONE_BY: Final = "upkeep: "
"""Head of the test id under which a task of upkeep is checked off in the record."""


class _Regular(NamedTuple):
    """A task that comes back: key, months (0: a week), who, what, why, minutes, caution."""

    key: str
    months: int
    who: str
    does: str
    because: str
    minutes: float
    caution: str = ""


@dataclass(frozen=True)
class Due:
    """One thing to do.

    Attributes:
        id: stable, as "gate check: larkfen/gate".
        premises: where.
        on: by when.
        who: customer, installer, competent person, alarm company, licensed electrician.
        does: what, in a sentence.
        because: why, and why then.
        minutes: time it takes.
        every_months: interval; 0 for once; a quarter of a month stands for a week.
        caution: sentence to print; empty for none.
        again: the further days on which it comes back, up to the last day looked at.
        turn: 0 for the next time, 1 for the one after it ...
    """

    id: str
    premises: str
    on: date
    who: str
    does: str
    because: str
    minutes: float
    every_months: float = 0.0
    caution: str = ""
    again: tuple[date, ...] = ()
    turn: int = 0

    @property
    def days(self) -> tuple[date, ...]:
        """Every day, the next one first."""
        return (self.on, *self.again)

    @property
    def often(self) -> str:
        """How often, and the last day looked at: "once", "every month, 11 times more, last 2027-11-28"."""
        more = (
            f", {len(self.again)} time{'s' if len(self.again) != 1 else ''} more, last {self.again[-1]}"
            if self.again
            else ""
        )
        return f"{months_text(self.every_months)}{more}"

    def each(self) -> Iterator[Due]:
        """One entry for each day."""
        return (replace(self, on=day, again=(), turn=turn) for turn, day in enumerate(self.days))


def due_list(
    case: Case, register: FobRegister, events: Sequence[Event], *, today: date, months: int = 24
) -> tuple[Due, ...]:
    """Everything due in the coming months, the earliest first; what is overdue stands at its own date.

    A task that comes back stands once, with its further days in `again`.

    Args:
        case: the job.
        register: who holds which fob, with the dates of its cells.
        events: of the record.
        today: from when.
        months: how far ahead.
    """
    until, start = (
        add_months(today, months),
        next((day for event in events if (day := day_of(event.moment)) is not None), today),
    )
    made = [
        *_regular(case, events, start),
        *_cells(case, register, events, today),
        *_parts(case, events, today, start),
        *_watched(case, events, today),
        *_open(case, register, events, today),
    ]
    ahead = (
        replace(task, again=again_on(task.on, task.every_months, today=today, until=until))
        for task in made
        if task.on <= until
    )
    return tuple(sorted(ahead, key=lambda task: (task.on, task.premises, task.id)))


def record_done(due_id: str, *, passed: bool = True, found: str = "") -> CheckDone:
    """The act that checks a task off, for `Record.append`."""
    return CheckDone(test=f"{DONE_BY}{due_id}", passed=passed, found=found)


def done_task(check: CheckDone) -> str:
    """The id of the task that an act checks off; empty where it is no task of upkeep."""
    return check.test.removeprefix(DONE_BY) if check.test.startswith(DONE_BY) else ""


def _last_done(events: Iterable[Event]) -> dict[str, date]:
    last = {}
    for event, check in happened(events, CheckDone):
        day = day_of(event.moment)
        if (task := done_task(check)) and day is not None:
            last[task] = day
    return last


def _regular(case: Case, events: Sequence[Event], start: date) -> Iterator[Due]:
    """Tasks that come back, counted from when they were last done or from the first day of the record."""
    done = _last_done(events)
    for premises, tasks in _tasks(case):
        for task in tasks:
            last = done.get(task.key, start)
            on = add_months(last, task.months) if task.months else last + timedelta(days=7)
            yield Due(
                task.key,
                premises,
                on,
                task.who,
                task.does,
                task.because,
                task.minutes,
                float(task.months) or WEEK,
                task.caution,
            )


def _tasks(case: Case) -> Iterator[tuple[str, list[_Regular]]]:
    judged = energies_of(case)
    for premises, house in case.job.premises.items():
        tasks = [
            _Regular(
                f"inspection: {premises}",
                12,
                "installer",
                "Look over receivers, aerials, connectors, boxes and cables; take the levels at every place"
                " again; press every function once; write the log book.",
                "Once a year: common practice; a commercial gate twice.",
                60.0,
            )
        ]
        done: set[str] = set()
        for output in (output for output in case.outputs() if output.premises == premises):
            for driven in driven_of(case, output):
                name = driven.path.split("/")[1]
                if driven.path in done:
                    continue
                done.add(driven.path)
                if driven.traits.is_leaf:
                    tasks.append(
                        _Regular(
                            f"gate check: {driven.path}",
                            1,
                            "customer",
                            f"{safeguards_tried(name, driven.sheet)}.",
                            "Monthly by the user: common practice.",
                            5.0,
                            CAUTIONS["automatic closing"],
                        )
                    )
                    tasks.append(
                        _Regular(
                            f"force test: {driven.path}",
                            12,
                            "competent person",
                            f"Measure the closing forces of {name} and test its safeguards.",
                            "Yearly: common practice; the risk assessment of the machine decides.",
                            45.0,
                            DUTIES["machine"],
                        )
                    )
                if driven.sheet.escape_route:
                    tasks.append(
                        _Regular(
                            f"escape: {driven.path}",
                            1,
                            "customer",
                            f"Open {name} from inside by hand, without fob.",
                            "Monthly: our choice; the fire authority may ask for more.",
                            2.0,
                            f"{CAUTIONS['escape']} {DUTIES['escape']}",
                        )
                    )
            if any(driven.traits.calls_help for driven in driven_of(case, output)) or any(
                case.job.functions[function].kind == "call" for function in output.functions
            ):
                tasks.append(
                    _Regular(
                        f"call: {output.path}",
                        0,
                        "customer",
                        "Press the call for help; somebody must come.",
                        "Weekly: common practice for a household call.",
                        3.0,
                        CAUTIONS["call for help"],
                    )
                )
        if house.panels:
            tasks.append(
                _Regular(
                    f"alarm: {premises}",
                    12,
                    "alarm company",
                    f"Maintenance of {listed(house.panels)}: tamper legs, set and unset by radio and keypad,"
                    " acknowledgement.",
                    "Yearly at least: common practice; grade and insurer decide.",
                    60.0,
                    DUTIES["alarm"],
                )
            )
        energies = [energy for path, energy in judged.items() if path.startswith(f"{premises}/")]
        tasks += [_before_winter(energy) for energy in energies if energy.is_cycled]
        if any(not energy.is_cycled for energy in energies):
            tasks.append(
                _Regular(
                    f"standby: {premises}",
                    12,
                    "installer",
                    "Mains off for an hour under the usual load; note the battery's volts before and after.",
                    "Yearly: common practice.",
                    70.0,
                )
            )
        yield premises, tasks


def _home(case: Case, group: str) -> str:
    """Premises where a group's fobs work; the first of them."""
    for function in case.job.functions_of(case.job.groups[group]):
        for output in case.outputs_of(function):
            return output.premises
    return next(iter(case.job.premises))


def _cells_of(fobs: int) -> str:
    return "cell of the fob" if fobs == 1 else f"cells of all {fobs} fobs"


def _cells(case: Case, register: FobRegister, events: Sequence[Event], today: date) -> Iterator[Due]:
    for forecast in cells_ahead(case, register, events, today=today):
        if forecast.no_way and forecast.fobs:
            yield Due(
                f"way of working: {forecast.group}",
                _home(case, forecast.group),
                today + timedelta(days=SOON_DAYS),
                "installer",
                f"Change how {forecast.group} work: {OTHER_WAYS}.",
                f"{forecast.no_way.partition(':')[0]}: the {_cells_of(forecast.fobs)} would be changed every"
                f" {months_text(change_months(forecast.plan)).removeprefix('every ')}: a fault of the design,"
                " no upkeep.",
                60.0,
            )
        elif forecast.batch_on is not None:
            yield Due(
                f"cells: {forecast.group}",
                _home(case, forecast.group),
                forecast.batch_on,
                "installer",
                f"Change the {_cells_of(forecast.fobs)} of {forecast.group} ({forecast.plan.cell}); write"
                f" the month into"
                f" {'it' if forecast.fobs == 1 else 'each'} and into the register.",
                forecast.batch_says,
                5.0 + 2.0 * forecast.fobs,
                change_months(forecast.plan),
                CAUTIONS["cell"],
            )
    for label, fob in sorted(register.fobs.items()):
        day = day_of(fob.low_cell_at)
        if day is not None:
            yield Due(
                f"low cell: {label}",
                _home(case, fob.group) if fob.group in case.job.groups else next(iter(case.job.premises)),
                day + timedelta(days=14),
                "installer",
                f"Change the cell of fob {label}.",
                f"Its low-cell signal came on {day}; two weeks are our choice.",
                5.0,
                caution=CAUTIONS["cell"],
            )


def _before_winter(energy: SupplyEnergy) -> _Regular:
    """A battery that the sun charges: what can be seen and measured before the dark months."""
    return _Regular(
        f"sun: {energy.supply}",
        12,
        "installer",
        f"At {energy.supply}, before winter: clean the panel, cut what shades it, and measure how many hours"
        " the battery carries its usual load.",
        f"Yearly, in autumn: common practice. {energy.says}".strip(),
        45.0,
    )


def _parts(case: Case, events: Sequence[Event], today: date, start: date) -> Iterator[Due]:
    energies = energies_of(case)
    for energy in energies.values():
        for lack in energy.lacks:
            yield Due(
                f"design: {lack.code} {energy.supply}",
                energy.supply.split("/")[0],
                today + timedelta(days=SOON_DAYS),
                "installer",
                f"Mend what feeds {energy.supply}: another battery of the same kind does not.",
                f"{lack.says} That is a fault of the design, no upkeep.",
                60.0,
            )
    for battery in battery_ages(case, events, today=today):
        yield Due(
            f"battery: {battery.supply}",
            battery.supply.split("/")[0],
            battery.due_on,
            "installer",
            (
                f"Change the battery of {battery.supply}."
                if battery.changed_on is not None
                else f"Read the date of the battery of {battery.supply}; change it where none is to be read."
            ),
            f"{battery.says} {energies[battery.supply].says}".strip(),
            20.0,
        )
    for wear in contact_wear(case, events, today=today, since=start):
        yield Due(
            f"contact: {wear.output}",
            wear.output.split("/")[0],
            wear.due_on,
            "installer",
            f"Replace the relay behind {wear.output}, or the receiver.",
            wear.says,
            45.0,
        )


def _watched(case: Case, events: Sequence[Event], today: date) -> Iterator[Due]:
    for watched in place_watch(case, events):
        if watched.signal is not None and watched.signal.direction == "down":
            yield Due(
                f"level: {watched.place} to {watched.receiver}",
                watched.place.split("/")[0],
                today + timedelta(days=14),
                "installer",
                f"Find what costs level between {watched.place} and {watched.receiver}.",
                watched.says,
                45.0,
            )


def _open(case: Case, register: FobRegister, events: Sequence[Event], today: date) -> Iterator[Due]:
    """Open faults, and fobs that must be pressed at a receiver before it forgets them."""
    words = {report.fault: (report.complaint, report.about) for _, report in happened(events, FaultReported)}
    for fault in fault_ids(events):
        says, about = words[fault]
        named = About.from_text(about).premises
        premises = named if named in case.job.premises else next(iter(case.job.premises))
        yield Due(
            f"fault: {fault}",
            premises,
            today,
            "installer",
            f"Go on with {fault}: {says}.",
            "It is not closed yet.",
            45.0,
        )
    for judged in register_counters.counter_judgements(case):
        due = _resync(case, judged, today)
        if due is not None:
            yield due


def _resync(case: Case, judged: CounterJudgement, today: date) -> Due | None:
    """A fob that may run out of a receiver's wider window: press it there twice a year."""
    if judged.finding.verdict is not Verdict.FAILS or not judged.may_be_forgotten:
        return None
    group, receiver = judged.group, judged.receiver
    visits = case.job.groups[group].visits_per_day if group in case.job.groups else {}
    often = visits.get(receiver, visits.get(receiver.split("/")[0]))
    if often and 1.0 / often < OFTEN_DAYS:
        return None  # they are there often enough; a long absence is nobody's regular task
    return Due(
        f"in step: {group} at {receiver}",
        receiver.split("/")[0],
        add_months(today, 3),
        "customer",
        f"Let every fob of {group} be pressed twice at {receiver}.",
        judged.finding.says,
        10.0,
        3.0,
    )
