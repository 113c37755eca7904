"""Time of a proving plan for 14 places and 40 promises, and of a verdict over 2 000 results.

Run: python benchmarks/proving.py. The peer in the same run is reading and judging the same
job (`assess`), which everything else waits for; nothing is asserted.
"""

from __future__ import annotations

import time
from dataclasses import replace
from pathlib import Path

from farpress.case.case import Case, promise_id
from farpress.case.door import open_job
from farpress.domain.event import Event, canonical
from farpress.judging.assess import assess
from farpress.proving.ask import proof_of, proving_plan

ROOT = Path(__file__).resolve().parent.parent


def with_promises(case: Case, wanted: int) -> Case:
    """The house with so many promises, its groups and functions at further places."""
    promises = list(case.job.promises)
    names = {promise_id(one) for one in promises}
    places = list(next(iter(case.job.premises.values())).places)
    for place in places:
        for group, one in case.job.groups.items():
            for function in case.job.functions_of(one):
                made = promises[0].model_copy(update={"to": group, "function": function, "from_": place})
                if len(promises) < wanted and promise_id(made) not in names:
                    promises.append(made)
                    names.add(promise_id(made))
    return replace(case, job=case.job.model_copy(update={"promises": tuple(promises)}))


def main() -> None:
    """Print times and ratios."""
    case = with_promises(open_job(ROOT / "examples" / "larkfen-house"), 40)
    places = {promise.from_ for promise in case.job.promises}
    begin = time.perf_counter()
    plan = proving_plan(case)
    planned = time.perf_counter() - begin
    begin = time.perf_counter()
    assess(case)
    judged = time.perf_counter() - begin
    events = [
        Event(
            "x",
            number,
            case.job.job,
            f"2026-11-25T10:{number // 60 % 60:02d}:{number % 60:02d}.000000Z",
            "installer",
            "trial done",
            canonical(
                {
                    "test": plan.tests[number % 10].id,
                    "presses": 1,
                    "heard": int(number % 7 > 0),
                    "pad_db": 0.0,
                }
            ),
        )
        for number in range(2000)
    ]
    begin = time.perf_counter()
    proof_of(case, events, plan=plan)
    shown = time.perf_counter() - begin
    print(
        f"plan: {len(places)} places, {len(case.job.promises)} promises, {len(plan.tests)} tests:"
        f" {planned:.3f} s, {planned / judged:.2f} of judging the job ({judged:.2f} s)"
    )
    print(f"verdict over {len(events)} results: {shown:.3f} s, {shown / judged:.2f} of judging the job")


if __name__ == "__main__":
    main()
