"""The logic's judgements on the example jobs: what was planted is found, what is sound is not called faulty.

The key was written from the jobs by hand; which code finds which fault is written down here.
"""

from __future__ import annotations

from functools import cache

import pytest

from farpress.case.door import open_job
from farpress.domain.finding import Finding, Verdict
from farpress.judging.device import moves as device
from farpress.judging.fob import cells
from farpress.judging.output import suits as output
from farpress.judging.register import memory as register
from farpress.judging.rules import built as rules
from farpress.judging.safety import refusals as safety
from helpers.project import EXAMPLES
from journeys.planted import BRINDLEMARK, COURT, ENTRIES, LARKFEN

ROOMS = (cells, output, device, register, rules, safety)


@cache
def _found(job: str) -> tuple[Finding, ...]:
    case = open_job(EXAMPLES / job)
    return tuple(one for room in ROOMS for one in room.judge(case))


@pytest.mark.parametrize(
    ("job", "code", "about", "verdict"),
    [
        (LARKFEN, "OUT-02", "larkfen/R1/4", Verdict.FAILS),
        (LARKFEN, "OUT-03", "larkfen/R3/1", Verdict.FAILS),
        (LARKFEN, "SAFE-10", "tavi", Verdict.THIN),
        (COURT, "REG-01", "court/R2", Verdict.FAILS),
        (COURT, "OUT-07", "court/R1/1", Verdict.FAILS),
        (COURT, "RULE-06", "court/R1/1", Verdict.FAILS),
        (COURT, "DEV-05", "court/entry-barrier", Verdict.FAILS),
        (COURT, "REG-04", "court/R1", Verdict.UNKNOWN),
        (COURT, "REG-05", "visitors", Verdict.THIN),
        (COURT, "SAFE-09", "old wicket fobs", Verdict.FAILS),
        (COURT, "FOB-06", "orrindell", Verdict.THIN),
        (BRINDLEMARK, "OUT-02", "lowdrift/L1/4", Verdict.FAILS),
        (BRINDLEMARK, "RULE-08", "sarnbeck/S1/2", Verdict.FAILS),
        (BRINDLEMARK, "REG-03", "fitters at sarnbeck/S1", Verdict.FAILS),
        (BRINDLEMARK, "OUT-08", "lowdrift heat", Verdict.UNKNOWN),
        (BRINDLEMARK, "REG-05", "oakmire/O1", Verdict.FAILS),
        (BRINDLEMARK, "REG-05", "vessing/V2", Verdict.FAILS),
        (BRINDLEMARK, "REG-07", "fitter with lost fob", Verdict.THIN),
    ],
)
def test_a_planted_fault_is_found(job: str, code: str, about: str, verdict: Verdict) -> None:
    """With its code, where it is."""
    assert verdict in {one.verdict for one in _found(job) if one.code == code and about in one.about}


@pytest.mark.parametrize("job", [LARKFEN, COURT, BRINDLEMARK])
def test_nothing_else_fails(job: str) -> None:
    """Every finding that fails belongs to a planted fault or a weak point of the key."""
    case = open_job(EXAMPLES / job)
    known: set[str] = set()
    houses = list(case.job.premises)
    for entry in ENTRIES[job]:
        if entry.kind != "sound":
            for subject in entry.subjects:
                kind, _, name = subject.partition(":")
                wanted = {"output": 2, "receiver": 1, "device": 1, "panel": 1}.get(kind, 0)
                known.add(f"{kind}:{name if name.count('/') >= wanted else f'{houses[0]}/{name}'}")
                known.update(
                    f"output:{path}"
                    for path in (case.job.functions[name].paths if kind == "function" else ())
                )

    assert [
        one.key
        for one in _found(job)
        if one.verdict is Verdict.FAILS and not {ref.tag for ref in one.subjects} & known
    ] == []


@pytest.mark.parametrize("job", [LARKFEN, COURT, BRINDLEMARK])
def test_keys_are_unique(job: str) -> None:
    """No judgement hides another."""
    keys = [one.key for one in _found(job)]

    assert len(keys) == len(set(keys))


def test_the_round_of_the_lost_fob_is_that_of_the_map() -> None:
    """155 min of driving: 24 + 52 + 38 + 41."""
    lost = next(one for one in _found(BRINDLEMARK) if one.key == "REG-07 fitter with lost fob")

    assert lost.value == pytest.approx(24 + 52 + 38 + 41)
    assert "5 receivers of 4 premises" in lost.says
