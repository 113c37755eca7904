"""A mending plan for programs."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict

from farpress.domain.finding import Finding, Verdict
from farpress.mending.result import MendingPlan

__all__ = ["mending_json"]


def mending_json(
    plan: MendingPlan, takes: Mapping[str, object] | None = None, *, first: Sequence[str] = ()
) -> str:
    """The plan as JSON: steps with their edits and the figures before and after, and what is left.

    Args:
        plan: the plan.
        takes: parts and money, as `farpress.quoting.changed_parts` gives them.
        first: what had to be changed so that the job could be judged at all, a sentence each.
    """
    steps = [
        {
            "does": step.candidate.does,
            "minutes": step.candidate.minutes,
            "changes": [
                {"path": list(change.path), "value": change.value} for change in step.candidate.changes
            ],
            "cures": [
                {
                    "before": _finding(cured.before),
                    "after": None if cured.after is None else _finding(cured.after),
                }
                for cured in step.cures
            ],
            "averts": [_finding(finding) for finding in step.averts],
        }
        for step in plan.steps
    ]
    whole = {
        "job": plan.before.job,
        "fingerprint": plan.before.fingerprint,
        "first": list(first),
        "minutes": plan.minutes,
        "tried": plan.tried,
        "cut_short": plan.is_cut_short,
        "promises_failing": {
            "before": sum(chain.verdict is Verdict.FAILS for chain in plan.before.promises),
            "after": sum(chain.verdict is Verdict.FAILS for chain in plan.after.promises),
        },
        "steps": steps,
        "least": None if plan.least is None else asdict(plan.least),
        "takes": None if takes is None else dict(takes),
        "left": [_finding(finding) for finding in plan.left],
        "conflicts": [
            {
                "fault": _finding(conflict.finding),
                "between": list(conflict.between),
                "giving_up": [{"what": wish, "allows": does} for wish, does in conflict.gives],
                "also": list(conflict.also),
            }
            for conflict in plan.conflicts
        ],
    }
    return json.dumps(whole, ensure_ascii=False, indent=2)


def _finding(finding: Finding) -> dict[str, object]:
    return {
        "code": finding.code,
        "about": finding.about,
        "verdict": finding.verdict,
        "says": finding.says,
        "value": finding.value,
        "limit": finding.limit,
        "unit": finding.unit,
    }
