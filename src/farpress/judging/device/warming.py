"""Judges how long a motor runs in a row, or in its busiest hour, against what it may before it is too hot."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import BUSY_HOURS, Driven, driven_of, moves, seconds
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Who
from farpress.domain.premises import Device
from farpress.domain.refs import DeviceRef, OutputRef
from farpress.judging.check import AT_MOST, Check, Estimate, Limit
from farpress.judging.contact.use import forecast_per_day
from farpress.sources import Citation, Mark

__all__ = ["WARMS_UP", "judge_warming"]

WARMS_UP: Final = Check(
    "DEV-08",
    Link.DEVICE,
    "Running time of a motor in a row, or in its busiest hour, against what it may before it has to cool.",
    unit="s",
    bound=AT_MOST,
    stake=Stake.PROMISE,
    ask="Read off the label of the motor how long it may run (S2 ... min) and how long it has to cool.",
    mends="Fewer runs in a row, groups that take turns, or a motor made for more.",
)

_DUTY: Final = Citation(
    "IEC 60034-1",
    place="duty types: S2 short-time, S3 intermittent; a motor cools between runs",
    mark=Mark.MEMORY,
)
_HOUR_S: Final = 3600.0


@dataclass(frozen=True)
class _Runs:
    """How much it runs: in a row as the job says, or in the busiest hour as its days let expect [s]."""

    runs: float
    run_s: float
    in_a_row: bool

    @property
    def total_s(self) -> float:
        return self.runs * self.run_s


def judge_warming(case: Case) -> Iterator[Finding]:
    """DEV-08 of every motor that outputs feed themselves: a drive with its own control sees to its own."""
    for path, rows in _motors(case).items():
        premises, _, name = path.partition("/")
        yield _judged(case, case.job.premises[premises].devices[name], rows)


def _motors(case: Case) -> dict[str, list[tuple[OutputAt, Driven]]]:
    found: dict[str, list[tuple[OutputAt, Driven]]] = {}
    for output in case.outputs():
        for driven in driven_of(case, output):
            if driven.device is not None and moves(driven) and driven.sheet.load == "motor":
                found.setdefault(driven.path, []).append((output, driven))
    return found


def _judged(case: Case, device: Device, rows: list[tuple[OutputAt, Driven]]) -> Finding:
    driven, name = rows[0][1], rows[0][1].path.split("/")[1]
    longest, cools = driven.sheet.longest_run_s, driven.sheet.cools_s
    use = _use(case, device, rows)
    asks: list[Ask] = []
    if longest is None:
        asks.append(
            Ask(f"Read off the label of {name} how long it may run in a row (S2 ... min).", Who.LABEL)
        )
    if use is None:
        asks.append(
            Ask(
                f"Say how often a day {name} moves, and how many whole travels follow each other.",
                Who.CUSTOMER,
            )
        )
    limit = longest
    says = f"How long {name} runs in a row, and may, is not known."
    if use is not None and longest is None:
        says = f"{name} runs for {_total(use)}; how long it may is not known."
    elif use is None and longest is not None:
        says = f"{name} may run {seconds(longest)} in a row; how many runs follow each other is not known."
    elif use is not None and longest is not None:
        says = f"{name} runs for {_total(use)}; it may {seconds(longest)} in a row."
        if not use.in_a_row and use.total_s > longest:
            limit = _HOUR_S * longest / (longest + cools) if cools is not None else longest
            says = f"{name} runs for {_total(use)}; it may {seconds(longest)} in a row"
            says += f", then cools for {seconds(cools)}." if cools is not None else "."
            if cools is None:
                asks += _how_it_cools(name)
    return WARMS_UP.judge(
        about=name if len(rows) == 1 else f"{name}: {', '.join(output.path for output, _ in rows)}",
        subjects=(DeviceRef(driven.path), *(OutputRef(output.path) for output, _ in rows)),
        value=Estimate(None if use is None else use.total_s, None, (GIVEN,)),
        limit=Limit(limit, (*driven.cite("longest_run_s", "cools_s", "travel_s", "travel_worst_s"), _DUTY)),
        says=says,
        because="Its thermal switch stops it in the middle of a travel, and nobody can move it until it has"
        " cooled, often a quarter of an hour.",
        asks=asks,
        failure_stands=use is not None and use.in_a_row,
        remedies=_remedies(use, longest),
        sources=(PRACTICE,),
    )


def _how_it_cools(name: str) -> list[Ask]:
    return [
        Ask(
            f"Ask how long {name} has to stand still after its longest run, and write it as 'cools'.",
            Who.LABEL,
        ),
        Ask(
            f"Ask how many whole travels of {name} follow each other, and write 'runs_in_a_row'.",
            Who.CUSTOMER,
        ),
    ]


def _use(case: Case, device: Device, rows: list[tuple[OutputAt, Driven]]) -> _Runs | None:
    sheet = rows[0][1].sheet
    ways = [way for way in (sheet.travel_worst_s, sheet.travel_s, sheet.travel_back_s) if way is not None]
    pulses = [output.output.for_s for output, _ in rows if output.output.for_s is not None]
    run_s = max(ways, default=max(pulses, default=None))
    if run_s is None:
        return None
    if device.runs_in_a_row is not None:
        return _Runs(device.runs_in_a_row, run_s, in_a_row=True)
    daily = device.moves_per_day
    if daily is None:
        counted = [forecast_per_day(case, output)[0] for output, _ in rows]
        daily = None if None in counted else sum(count or 0.0 for count in counted)
    return None if daily is None else _Runs(math.ceil(daily / BUSY_HOURS), run_s, in_a_row=False)


def _total(use: _Runs) -> str:
    many = f"{use.runs:.0f} run{'' if use.runs == 1 else 's'} of {seconds(use.run_s)}"
    return f"{seconds(use.total_s)} ({many} {'in a row' if use.in_a_row else 'in its busiest hour'})"


def _remedies(use: _Runs | None, longest: float | None) -> tuple[Remedy, ...]:
    if use is None or longest is None:
        return ()
    fit = int(longest // use.run_s)
    if fit < 1:
        return (Remedy("A motor made for a whole travel and more"),)
    return (
        Remedy(
            f"At most {fit} run{'' if fit == 1 else 's'} in a row, then a rest",
            f"{seconds(fit * use.run_s)} of {seconds(longest)}",
        ),
        Remedy("A motor made for more running, or one for each half of the way"),
    )
