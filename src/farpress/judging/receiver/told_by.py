"""By what a receiver tells whoever presses that a panel took the command: the one home of that answer."""

from __future__ import annotations

from farpress.case.case import Case
from farpress.case.signals import SignalAt, signals_of
from farpress.judging.check import Answer

__all__ = ["how_told", "told_by"]


def told_by(case: Case, path: str) -> Answer:
    """Whether whoever presses notices what the status inputs of "premises/receiver" read."""
    sheet, signal = case.equipment.receivers[path].sheet, _acknowledging(case, path)
    if signal is not None and signal.given is not None and signal.device is not None:
        return Answer.YES
    if sheet.acknowledges_by == "sounder of its own":
        return Answer.YES
    if sheet.acknowledges_by is None and sheet.acknowledge is None:
        return Answer.UNKNOWN
    return Answer.NO


def how_told(case: Case, path: str) -> str:
    """The same as the end of a sentence, as "its own sounder tells of it"."""
    name, sheet, signal = (
        path.partition("/")[2],
        case.equipment.receivers[path].sheet,
        _acknowledging(case, path),
    )
    answer = told_by(case, path)
    if signal is not None and signal.given is not None and answer is Answer.YES:
        return f"{signal.given.works} tells of it"
    if answer is Answer.YES:
        return f"{name} tells of it itself"
    if answer is Answer.UNKNOWN:
        return f"by what {name} tells of it is not said"
    if sheet.acknowledges_by == "nothing":
        return f"{name} does nothing with it"
    if signal is not None and signal.given is not None:
        return f"the output 'acknowledge' of {name} goes to {signal.given.works}, where nobody hears it"
    return f"the output 'acknowledge' of {name} works nothing"


def _acknowledging(case: Case, path: str) -> SignalAt | None:
    return next(
        (
            signal
            for signal in signals_of(case)
            if signal.name == "acknowledge" and f"{signal.premises}/{signal.receiver}" == path
        ),
        None,
    )
