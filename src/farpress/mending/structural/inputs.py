"""Where each press turns a drive round: its input that only opens, if it has one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.driven import driven_of
from farpress.domain.finding import Change, Finding, Link
from farpress.mending.candidates import Candidate
from farpress.mending.structural.failing import failing_outputs

__all__ = ["inputs"]

_CODES: Final = frozenset({"OUT-02", "OUT-07", "RULE-06", "RULE-09", "RULE-11"})

_OPENS: Final = "open only"

_MINUTES: Final = 20
"""One core to another terminal, and the drive's closing time set; our choice."""


def inputs(case: Case, findings: Iterable[Finding]) -> Iterator[Candidate]:
    """The same contact at the drive's open-only input instead of its start input."""
    for path in failing_outputs(findings, _CODES):
        output = case.output(path)
        for driven in driven_of(case, output) if output is not None else ():
            assert output is not None
            if driven.logic != "start" or driven.works != output.output.works:
                continue
            device = driven.works.split(".")[0]
            part = case.equipment.devices.get(f"{output.premises}/{device}")
            for name, entry in ((part.sheet.inputs or {}) if part is not None else {}).items():
                if entry.logic == _OPENS:
                    root = ("premises", output.premises, "receivers", output.receiver, "outputs")
                    yield Candidate(
                        f"Work {device}.{name}, which only opens, instead of {driven.works}; the drive closes"
                        " by itself",
                        (Change((*root, output.number, "works"), f"{device}.{name}"),),
                        Link.OUTPUT,
                        _MINUTES,
                    )
