"""One lamp or sounder for several meanings: whoever hears it cannot tell which."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import driven_of
from farpress.case.signals import signals_of
from farpress.domain.finding import Finding, Link, Remedy, Stake
from farpress.domain.refs import DeviceRef, FunctionRef, ReceiverRef, Ref
from farpress.judging.check import Answer, Check
from farpress.phrases import listed

__all__ = ["ONE_MEANING", "judge"]

ONE_MEANING: Final = Check(
    "RCV-10",
    Link.RECEIVER,
    "A lamp or sounder that calls for help, or shows a receiver's own signal: for one meaning alone.",
    mends="A lamp or sounder of its own for each, of another sound or colour.",
)

_Meaning = tuple[str, bool, tuple[Ref, ...]]
"""In words, whether it is a call for help, and what it is about."""


def judge(case: Case) -> Iterator[Finding]:
    """RCV-10 of each device worked by a signal or a call and by something else too."""
    meanings: dict[str, list[_Meaning]] = {}
    for signal in signals_of(case):
        if signal.given is not None and signal.device is not None:
            path = f"{signal.premises}/{signal.given.works.partition('.')[0]}"
            said = f"'{signal.name}' of {signal.receiver}"
            meanings.setdefault(path, []).append(
                (said, False, (ReceiverRef(f"{signal.premises}/{signal.receiver}"),))
            )
    shown = set(meanings)
    for output in case.outputs():
        for driven in (use for use in driven_of(case, output) if use.device is not None):
            for name in output.functions:
                is_call = case.job.functions[name].kind == "call" or driven.traits.calls_help
                meanings.setdefault(driven.path, []).append((name, is_call, (FunctionRef(name),)))
    for path, found in meanings.items():
        told = {said: (is_call, refs) for said, is_call, refs in found}
        calls = [said for said, (is_call, _) in told.items() if is_call]
        if len(told) > 1 and (path in shown or 0 < len(calls) < len(told)):
            yield _judged(path, told, calls)


def _judged(path: str, told: dict[str, tuple[bool, tuple[Ref, ...]]], calls: list[str]) -> Finding:
    name = path.split("/")[1]
    refs = tuple(dict.fromkeys(ref for _, refs in told.values() for ref in refs))
    check = replace(ONE_MEANING, stake=Stake.HARM) if calls else ONE_MEANING
    return check.decide(
        about=path,
        subjects=(DeviceRef(path), *refs),
        answer=Answer.NO if calls else Answer.BARELY,
        says=f"{name} is worked by {listed(list(told))}: who hears or sees it cannot tell which.",
        because=(
            f"Whoever is used to the others does not come when it is {listed(calls)}."
            if calls
            else "Write on the card how many pulses mean what, or give each its own."
        ),
        remedies=(Remedy("A lamp or sounder of its own for each meaning, of another sound or colour"),),
        sources=(PRACTICE, GIVEN),
    )
