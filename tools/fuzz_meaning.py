"""Jobs that say something odd, by hand: `python tools/fuzz_meaning.py [FOLDER ...] --cases 1000 --seed N`.

Each case is a job with one to three places changed: left out, swapped, doubled, extreme, in another script.
It is judged or refused with a sentence. Told are tracebacks, numbers that are none, and cases beyond a budget
of work: seconds of processor time and megabytes, for judging the whole job. With `--also` each judged job
goes through one of upkeep, proving, button plan and wiring schedule too. `--removals` leaves each single fact
out instead, whole blocks too, one at a time, and tells what reads better then.

Without folders the examples and the jobs of the tests. Prints only; exit code 1 where something was found.
"""

from __future__ import annotations

import argparse
import json
import math
import random
import resource
import signal
import sys
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from datetime import date
from pathlib import Path
from typing import Any, Final

from farpress.case.case import Case
from farpress.case.changed import tried_with
from farpress.case.door import open_job
from farpress.domain.finding import Assessment, Change
from farpress.domain.register import FobRegister
from farpress.errors import FarpressError
from farpress.judging.as_json import assessment_json
from farpress.judging.assess import assess
from farpress.keys.layout import plan_layout
from farpress.overview.page import first_page
from farpress.proving.plan import proving_plan
from farpress.upkeep.due import due_list
from farpress.upkeep.rounds import visits
from farpress.wiring.schedule import wiring_schedule
from left_out import better_without, facts_of
from odd_jobs import odd_changes, places_of

ROOT = Path(__file__).resolve().parent.parent
TODAY: Final = date(2026, 11, 30)
HANGS_S: Final = 60
"""Processor seconds after which a case is given up."""


class _GivenUp(BaseException):
    """A case took too long."""


def main() -> int:
    """Try so many odd jobs, or every removal; tell what should not be."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("folders", nargs="*", type=Path)
    parser.add_argument("--cases", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=5.0, help="of processor time for one job")
    parser.add_argument("--megabytes", type=float, default=1000.0, help="of memory for the whole run")
    parser.add_argument("--also", action="store_true", help="other rooms than judging too")
    parser.add_argument("--removals", action="store_true", help="leave every single fact out instead")
    asked = parser.parse_args()
    jobs = asked.folders or [
        *sorted((ROOT / "examples").iterdir()),
        *sorted((ROOT / "tests" / "data" / "jobs").glob("*.yaml")),
    ]
    signal.signal(signal.SIGVTALRM, _give_up)
    found: Counter[str] = Counter()
    told: set[str] = set()
    begun = time.process_time()
    cases = _removals(jobs) if asked.removals else _odd(jobs, asked.cases, asked.seed)
    for number, (job, case, changes, check) in enumerate(cases, 1):
        for kind, words in _tried(case, changes, check, asked):
            found[kind] += 1
            if kind not in ("judged", "refused") and (key := f"{kind} {words.splitlines()[-1]}") not in told:
                told.add(key)
                print(f"{kind}: {job.name}: {_shown(changes)}\n{words}\n", flush=True)
        if number % 100 == 0:
            print(f"  {number}: {dict(found)}, {time.process_time() - begun:.0f} s", file=sys.stderr)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000
    print(f"{dict(found)}; {time.process_time() - begun:.0f} s of processor time, at most {peak:.0f} MB")
    if peak > asked.megabytes:
        print(f"more than {asked.megabytes:.0f} MB")
    return 1 if set(found) - {"judged", "refused"} or peak > asked.megabytes else 0


_Check = Callable[[Assessment], Iterator[tuple[str, str]]]
_Try = tuple[Path, Case, tuple[Change, ...], _Check]


def _odd(jobs: Sequence[Path], count: int, seed: int) -> Iterator[_Try]:
    chance = random.Random(seed)
    opened = [(job, case := open_job(job), places_of(_tree(case))) for job in jobs]
    for _ in range(count):
        job, case, places = chance.choice(opened)
        yield job, case, odd_changes(case, chance, places), lambda _: iter(())


def _removals(jobs: Sequence[Path]) -> Iterator[_Try]:
    for job in jobs:
        case = open_job(job)
        before = assess(case)

        def better(after: Assessment, before: Assessment = before) -> Iterator[tuple[str, str]]:
            yield from (("better", words) for words in better_without(before, after))

        for path in facts_of(case):
            yield job, case, (Change(path, None),), better


def _tree(case: Case) -> Any:
    assert case.document is not None
    return case.document.tree


def _tried(
    case: Case, changes: tuple[Change, ...], check: _Check, asked: argparse.Namespace
) -> Iterator[tuple[str, str]]:
    """What becomes of one case: a kind, and words."""
    begun = time.process_time()
    signal.setitimer(signal.ITIMER_VIRTUAL, HANGS_S)
    try:
        try:
            odd = tried_with(case, list(changes))
        except FarpressError as refused:
            yield ("refused", "") if str(refused).strip() else ("refused without a word", "?")
            return
        assessment = assess(odd)
        took = time.process_time() - begun
        if took > asked.seconds:
            yield "slow", f"{took:.1f} s"
        yield from check(assessment)
        yield from _numbers(assessment)
        if not first_page(assessment):
            yield "no first page", "?"
        if asked.also:
            _also(odd, random.Random(repr(changes)))
        yield "judged", ""
    except _GivenUp:
        yield "hang", "".join(traceback.format_exc().splitlines(keepends=True)[-8:])
    except FarpressError as refused:
        yield "refused late", f"{refused}\n{traceback.format_exc().splitlines()[-3]}"
    except Exception:
        yield "traceback", "".join(traceback.format_exc().splitlines(keepends=True)[-6:])
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)


def _numbers(assessment: Assessment) -> Iterator[tuple[str, str]]:
    odd: list[str] = []
    json.loads(assessment_json(assessment), parse_constant=odd.append)
    for finding in assessment.findings:
        numbers = (finding.value, finding.limit, finding.margin, finding.doubt)
        if any(number is not None and not math.isfinite(number) for number in numbers):
            yield "no number", finding.key
    if odd:
        yield "no number", f"in JSON: {odd[:3]}"


def _also(case: Case, chance: random.Random) -> None:
    """One of the other rooms."""
    match chance.randrange(4):
        case 0:
            due = due_list(case, FobRegister(), (), today=TODAY)
            visits(case, due, today=TODAY)
        case 1:
            proving_plan(case)
        case 2:
            plan_layout(case, limit_s=5.0)
        case 3:
            wiring_schedule(case)


def _shown(changes: Sequence[Change]) -> str:
    return "; ".join(f"{'.'.join(map(str, change.path))} = {change.value!r:.80}" for change in changes)


def _give_up(*_: object) -> None:
    raise _GivenUp


if __name__ == "__main__":
    sys.exit(main())
