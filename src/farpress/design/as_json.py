"""A design for programs."""

from __future__ import annotations

import json
from dataclasses import asdict

from farpress.design.result import Design, Designs
from farpress.domain.finding import Finding

__all__ = ["design_json"]


def design_json(designs: Designs) -> str:
    """All variants as JSON: figures, decisions and edits, what came to them, what is left and asked."""
    whole = {
        "job": designs.case.job.job,
        "fingerprint": designs.case.fingerprint,
        "places": designs.places,
        "cut_short": designs.is_cut_short,
        "asks": [{"about": about, "ask": ask} for about, ask in designs.asks],
        "unheard": [
            {"promise": promise, "best_share": round(share, 4), "at": where}
            for promise, share, where in designs.unheard
        ],
        "variants": [_variant(design) for design in designs.variants],
    }
    return json.dumps(whole, ensure_ascii=False, indent=2)


def _variant(design: Design) -> dict[str, object]:
    return {
        "variant": design.variant,
        "figures": asdict(design.figures) | {"money": _money(design)},
        "decisions": [
            {
                "does": decision.does,
                "because": decision.because,
                "about": list(decision.about),
                "at": decision.at,
                "outputs": list(decision.kinds),
                "changes": [
                    {"path": list(change.path), "value": change.value} for change in decision.changes
                ],
            }
            for decision in design.decisions
        ],
        "completed": [
            {
                "does": step.candidate.does,
                "changes": [
                    {"path": list(change.path), "value": change.value} for change in step.candidate.changes
                ],
                "cures": [_finding(cured.before) for cured in step.cures],
            }
            for step in design.steps
        ],
        "contradictions": list(design.contradictions),
        "left": [_finding(finding) for finding in design.left],
        "conflicts": [
            {
                "fault": _finding(conflict.finding),
                "between": list(conflict.between),
                "also": list(conflict.also),
            }
            for conflict in design.plan.conflicts
        ],
    }


def _finding(finding: Finding) -> dict[str, object]:
    return {"code": finding.code, "about": finding.about, "verdict": finding.verdict, "says": finding.says}


def _money(design: Design) -> str | None:
    """Money as text: it is exact."""
    return None if design.figures.money is None else str(design.figures.money)
