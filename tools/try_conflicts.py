"""Is what stands in the way told truly? `python tools/try_conflicts.py [FOLDER ...]`, else the examples.

Each job is mended. Then every rule and every promise of it is given up alone: taken out of the mended job,
which is judged again. A rule by whose leaving out a fault is cured that is left must be named as what stands
in its way, and none that is named for that may leave it standing; a promise by whose leaving out a fault of
something else is cured must be named beside it. What cannot be tried is told as a disagreement. Of each
promise that must be kept and still fails it is said whether something is told of it. Prints only; exit code 1
where the two disagree.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from farpress.case.case import Case, promise_id
from farpress.case.changed import tried_with
from farpress.case.door import open_job
from farpress.domain.finding import Change, Verdict
from farpress.errors import FarpressError
from farpress.judging.assess import assess
from farpress.judging.check import without_remedies
from farpress.judging.remedies.effects import fault_key
from farpress.mending.plan import mend
from farpress.mending.result import MendingPlan
from farpress.mending.telling import left_told

__all__ = ["disagreements"]

ROOT = Path(__file__).resolve().parent.parent
EXAMPLES = ("larkfen-house", "tallowmere-court", "brindlemark")


def disagreements(plan: MendingPlan) -> list[str]:
    """Where the plan's conflicts and the search over single rules disagree, in words.

    Args:
        plan: of a job that was read from a file.
    """
    case = plan.changed
    assert case is not None
    found = []
    told = {fault_key(conflict.finding): {wish for wish, _ in conflict.gives} for conflict in plan.conflicts}
    for number, rule in enumerate(case.job.rules, start=1):
        name = f"rule {number} ({rule.says or rule.never})"
        stands = _standing_without(case, "rules", number)
        if isinstance(stands, str):
            found.append(f"{name} could not be given up: {stands}")
            continue
        for finding in plan.left:
            key = fault_key(finding)
            if key not in told or finding.bars or _names_a_later_rule(finding.about, number):
                continue
            is_cured, is_named = key not in stands, name in told[key]
            if is_cured is not is_named:
                found.append(f"{key}: without {name} {'cured' if is_cured else 'not cured'}, told otherwise")
    return [*found, *_over_promises(plan, case)]


def _over_promises(plan: MendingPlan, case: Case) -> list[str]:
    """Promises that alone stand in the way of a fault of something else, and are not named for it."""
    found = []
    named = {
        fault_key(conflict.finding): " ".join((*conflict.between, *conflict.also))
        for conflict in plan.conflicts
    }
    for number, promise in enumerate(case.job.promises, start=1):
        name = promise_id(promise)
        stands = _standing_without(case, "promises", number)
        if isinstance(stands, str):
            found.append(f"promise '{name}' could not be given up: {stands}")
            continue
        for finding in plan.left:
            key = fault_key(finding)
            is_its_own = promise.function in finding.about or promise.to in finding.about
            if key not in stands and not is_its_own and name not in named.get(key, ""):
                found.append(f"{key}: without promise '{name}' cured, told otherwise")
    return found


def _standing_without(case: Case, top: str, number: int) -> set[str] | str:
    """Faults, and what is not known, of the job without one entry of a list; why it could not be tried."""
    try:
        with without_remedies():
            after = assess(tried_with(case, [Change((top, number - 1), None)]))
    except FarpressError as error:
        return str(error)
    return {
        fault_key(finding)
        for finding in after.findings
        if finding.verdict in (Verdict.FAILS, Verdict.UNKNOWN)
    }


def _names_a_later_rule(about: str, number: int) -> bool:
    """Whether a finding is called by a rule whose number moves when an earlier one is taken out."""
    head = about.split(",")[0].split(":")[0]
    return head.startswith("rule ") and head[5:].isdigit() and int(head[5:]) > number


def main() -> int:
    """Mend each and say what was found."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folders", nargs="*", type=Path)
    folders = parser.parse_args().folders or [ROOT / "examples" / name for name in EXAMPLES]
    wrong = 0
    for folder in folders:
        plan = mend(open_job(folder))
        musts = [
            chain.id
            for chain in plan.after.promises
            if chain.importance == "must" and chain.verdict is Verdict.FAILS
        ]
        silent = [says for says, lines in left_told(plan) if not lines]
        found = disagreements(plan)
        print(
            f"{folder.name}: {len(plan.left)} faults left, {len(musts)} promises that must be kept still"
            f" fail;"
            f" nothing told of {len(silent)}; {len(found)} disagreements",
            flush=True,
        )
        for line in (*silent, *found):
            print(f"  {line}", flush=True)
        wrong += len(found) + len(silent)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
