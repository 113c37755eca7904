"""A receiver's own signals, as of a weak cell, that went with it: led to the same place from a new one."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from farpress.case.case import Case
from farpress.case.signals import SignalAt, signals_of
from farpress.design.cables import cable_run
from farpress.design.drawing import Decision
from farpress.design.norms import cable_m
from farpress.domain.finding import Change
from farpress.mending.structural.as_written import as_written

__all__ = ["TakenSignal", "signal_decisions", "taken_from"]


@dataclass(frozen=True)
class TakenSignal:
    """A signal of a receiver that is drawn anew.

    Attributes:
        premises, receiver: as it stood.
        name: "low cell" or "acknowledge".
        entry: as it is written, its works and its cable.
    """

    premises: str
    receiver: str
    name: str
    entry: Mapping[str, Any]

    @property
    def ask(self) -> tuple[str, str]:
        """What is told where no new receiver has such a signal."""
        return (
            f"{self.premises}/{self.receiver}",
            f"No receiver that is drawn has the signal '{self.name}', which {self.receiver} led to"
            f" {self.entry.get('works')}: lead it there by hand, or fix another receiver.",
        )


def signal_decisions(
    made: Case, stood: Case, taken: Iterable[TakenSignal]
) -> tuple[tuple[Decision, ...], tuple[tuple[str, str], ...]]:
    """One decision for each signal that a new receiver can give, the nearest one; the rest as questions.

    Args:
        made: with the receivers drawn.
        stood: the job before.
        taken: what was led somewhere.
    """
    free = [
        signal
        for signal in signals_of(made)
        if signal.given is None and signal.receiver not in stood.job.premises[signal.premises].receivers
    ]
    decisions, asks = [], []
    for lost in taken:
        fit = [signal for signal in free if (signal.premises, signal.name) == (lost.premises, lost.name)]
        if not fit:
            asks.append(lost.ask)
            continue
        chosen = min(fit, key=lambda signal: _far_m(made, signal, lost))
        free.remove(chosen)
        decisions.append(_decision(made, chosen, lost))
    return tuple(decisions), tuple(asks)


def _decision(made: Case, signal: SignalAt, lost: TakenSignal) -> Decision:
    entry = dict(lost.entry)
    house = made.job.premises[signal.premises]
    box, far_m = house.receivers[signal.receiver], _far_m(made, signal, lost)
    if "cable" in entry and math.isfinite(far_m):
        entry["cable"] = cable_run(
            str(entry["cable"].get("part")), cable_m(box.at, _end(made, lost) or box.at)
        )
    supply = str(entry.get("load_from", "")).partition(".")[0]
    if supply and supply not in house.supplies and box.fed is not None:
        entry["load_from"] = box.fed.from_
    return Decision(
        f"The signal '{lost.name}' of {signal.receiver} to {lost.entry.get('works')}",
        f"as {lost.receiver} had it",
        (Change(("premises", signal.premises, "receivers", signal.receiver, "signals", lost.name), entry),),
        (signal.premises,),
    )


def _far_m(made: Case, signal: SignalAt, lost: TakenSignal) -> float:
    """Metres from a receiver to what its signal works; infinite where nobody says where that is."""
    end = _end(made, lost)
    here = made.job.premises[signal.premises].receivers[signal.receiver].at
    return math.inf if end is None else math.dist(here[:2], end[:2])


def _end(made: Case, lost: TakenSignal) -> tuple[float, ...] | None:
    thing = made.driven(lost.premises, str(lost.entry.get("works", "")))
    return None if thing is None or thing.at is None else tuple(thing.at)


def taken_from(case: Case, gone: Iterable[str]) -> Iterator[TakenSignal]:
    """The signals of receivers that are taken away."""
    for path in gone:
        premises, _, name = path.partition("/")
        for signal in case.job.premises[premises].receivers[name].signals:
            entry = as_written(case, "premises", premises, "receivers", name, "signals", signal)
            if isinstance(entry, dict):
                yield TakenSignal(premises, name, signal, entry)
