"""Checks of the receivers' own signals: a weak cell is told, and a change of the panel is acknowledged."""

from __future__ import annotations

from collections.abc import Iterator

from farpress.case.case import Case
from farpress.case.signals import signals_of
from farpress.core.rehearsal.panels import ACKNOWLEDGED
from farpress.domain.cautions import CAUTIONS
from farpress.phrases import listed
from farpress.proving.tests import ProvingTest

__all__ = ["signal_tests"]


def signal_tests(case: Case) -> Iterator[ProvingTest]:
    """One check for each signal that is wired."""
    for signal in signals_of(case):
        given = signal.given
        if given is None:
            continue
        told = f", and {given.tells} is told" if given.tells else ""
        if signal.name == "low cell":
            does = f"Beside {signal.receiver}, press with a nearly empty cell, then with a good one."
            expected = f"{given.works} comes on at the weak press{told}, and goes off at the next good one."
        else:
            counts = signal.part.sheet.acknowledge_pulses or tuple(ACKNOWLEDGED.values())
            pulses = listed(f"{count} for {what}" for what, count in zip(ACKNOWLEDGED, counts, strict=True))
            does = "Set by fob, unset by fob, and unset after an alarm; count the pulses each time."
            expected = f"{given.works} gives {pulses}{told}."
        yield ProvingTest(
            f"signal: {signal.path}",
            "",
            "check",
            does,
            expected,
            signal.premises,
            receiver=f"{signal.premises}/{signal.receiver}",
            subjects=signal.subjects,
            required=False,
            minutes=5.0,
            caution=CAUTIONS["cell" if signal.name == "low cell" else "alarm"],
            because="Common practice, no source.",
        )
