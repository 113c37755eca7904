"""Change one limit, doubt, factor or sign in judging at a time, and see whether a test notices.

    python tools/mutate_judging.py --count 120 --seed 7
    python tools/mutate_judging.py --all --room air --kind limit

Drawn in turn from limits, doubts, factors and signs, as far as there are so many. One process at a time, by
hand. Each change is made in memory, in a process of its own that begins with everything loaded; nothing in
the tree is written.

A change is killed where a test fails. Asked are the tests of judging and the frozen findings of the examples
that run through the changed line, those of its room first. One that cannot even be loaded, or adds what
cannot be added, is no change of a number and counts nowhere; one that does not come to an end is said, and
not counted as killed. Prints every survivor with its kind and line, and how many only the frozen findings
notice. Survivors that nothing could notice, for a reason that is written down, count as survivors and are
listed apart.
"""

from __future__ import annotations

import argparse
import random
import sys
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Final

from equivalent_mutants import why_unnoticed
from judging_mutants import JUDGING, Kind, Mutant, mutants
from mutant_tries import FAILED, FROZEN_FAILED, NO_END, NO_NUMBER, NO_TRY, PASSED, Tries

WORD_OF: Final = {
    PASSED: "SURVIVED",
    FAILED: "killed",
    FROZEN_FAILED: "killed (frozen only)",
    NO_TRY: "NOT TRIED",
    NO_END: "NO END",
    NO_NUMBER: "no number",
}


def main() -> int:
    """Draw so many changes, try each, and say how many were noticed."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--count", type=int, default=120)
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--all", action="store_true", help="every change there could be")
    parser.add_argument(
        "--room", nargs="*", default=[""], help="only modules whose path has one of these words"
    )
    parser.add_argument(
        "--kind", nargs="*", type=Kind, default=list(Kind), help="only changes of these kinds"
    )
    asked = parser.parse_args()
    known = [
        mutant
        for mutant in mutants()
        if any(room in str(mutant.file.relative_to(JUDGING)) for room in asked.room)
        and mutant.kind in asked.kind
    ]
    if not asked.all:
        random.Random(asked.seed).shuffle(known)
    tries = Tries()
    print(f"{len(tries.known.takes_s)} tests, {len(known)} changes there could be", flush=True)
    for test in tries.known.failed:
        print(f"Fails without a change, and is not asked: {test}", flush=True)
    results: dict[Mutant, int] = {}
    for mutant in known if asked.all else _in_turn(known):
        if not asked.all and sum(result != NO_NUMBER for result in results.values()) == asked.count:
            break
        results[mutant] = tries.result(mutant)
        print(f"{len(results):4} {WORD_OF[results[mutant]]} {mutant}", flush=True)
    return _told(results)


def _told(results: dict[Mutant, int]) -> int:
    """Survivors, and how many of each kind were killed; the exit code."""
    valid = {mutant: result for mutant, result in results.items() if result != NO_NUMBER}
    left_over = [mutant for mutant, result in valid.items() if result not in (FAILED, FROZEN_FAILED)]
    unnoticed = {mutant: why for mutant in left_over if (why := why_unnoticed(mutant))}
    if unnoticed:
        print("\nSurvivors that nothing could notice:")
    for mutant, why in unnoticed.items():
        print(f"  {mutant}: {why}")
    survivors = [mutant for mutant in left_over if mutant not in unnoticed]
    print("\nOther survivors:" if survivors else "\nNo other survivors.")
    for mutant in sorted(survivors, key=str):
        print(f"  {mutant}")
    tried, left = (Counter(mutant.kind for mutant in some) for some in (valid, left_over))
    print("; ".join(f"{kind} {tried[kind] - left[kind]} of {tried[kind]}" for kind in Kind))
    killed, frozen = len(valid) - len(left_over), sum(result == FROZEN_FAILED for result in valid.values())
    share = 100.0 * killed / max(len(valid), 1)
    print(f"{killed} of {len(valid)} killed, {share:.1f} %; {frozen} of them by the frozen findings alone")
    if unnoticed:
        could = len(valid) - len(unnoticed)
        print(f"{killed} of the {could} that could be noticed, {100.0 * killed / max(could, 1):.1f} %")
    return 1 if survivors else 0


def _in_turn(known: Sequence[Mutant]) -> Iterable[Mutant]:
    """One of each kind after the other, as long as there are some."""
    rows = {kind: [mutant for mutant in known if mutant.kind is kind] for kind in Kind}
    while any(rows.values()):
        for row in rows.values():
            if row:
                yield row.pop()


if __name__ == "__main__":
    sys.exit(main())
