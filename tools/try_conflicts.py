"""Is what stands in the way told truly? `python tools/try_conflicts.py [FOLDER ...]`, else the examples.

Each job is mended. Then every rule of it is given up alone: taken out of the mended job, which is judged
again. A rule by whose leaving out a fault is cured that is left must be named as what stands
in its way, and none that is named for that may leave it standing. Of each promise that must be kept and still
fails it is said whether something is told of it. Prints only; exit code 1 where the two disagree.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from farpress.case.case import Case
from farpress.case.changed import with_changes
from farpress.case.door import open_job
from farpress.domain.finding import Assessment, Change, Verdict
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
        after = _without(case, number)
        if after is None:
            continue
        stands = {
            fault_key(finding) for finding in after.findings if finding.verdict is not Verdict.HOLDS
        } - {fault_key(finding) for finding in after.findings if finding.verdict is Verdict.THIN}
        for finding in plan.left:
            key = fault_key(finding)
            if key not in told or finding.bars or _names_a_later_rule(finding.about, number):
                continue
            is_cured, is_named = key not in stands, name in told[key]
            if is_cured is not is_named:
                found.append(f"{key}: without {name} {'cured' if is_cured else 'not cured'}, told otherwise")
    return found


def _names_a_later_rule(about: str, number: int) -> bool:
    """Whether a finding is called by a rule whose number moves when an earlier one is taken out."""
    head = about.split(",")[0].split(":")[0]
    return head.startswith("rule ") and head[5:].isdigit() and int(head[5:]) > number


def _without(case: Case, number: int) -> Assessment | None:
    try:
        with without_remedies():
            return assess(with_changes(case, [Change(("rules", number - 1), None)]))
    except FarpressError:
        return None


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
