"""How every output of a job stands: what cards, papers, drawings and pages ask before they speak of it."""

from __future__ import annotations

from farpress.case.case import Case
from farpress.case.driven import driven_of
from farpress.domain.finding import Assessment
from farpress.domain.refs import OutputRef
from farpress.overview.standing import Standing, standing_of, told_of

__all__ = ["barred_outputs", "standings_of", "why_barred"]


def standings_of(case: Case, assessment: Assessment) -> dict[str, Standing]:
    """Path of each output → how it stands, in the order of the job."""
    return {
        output.path: standing_of(
            assessment, OutputRef(output.path), tuple(load.subject for load in driven_of(case, output))
        )
        for output in case.outputs()
    }


def barred_outputs(case: Case, assessment: Assessment) -> dict[str, str]:
    """Path of each output that must not be wired, set, tried or explained → why, in a few words."""
    return {
        path: why_barred(standing)
        for path, standing in standings_of(case, assessment).items()
        if standing.is_barred
    }


def why_barred(standing: Standing) -> str:
    """What bars an output, with the codes of the checks."""
    return "; ".join(f"{words} ({found[0].code})" for words, found in told_of(standing.barred_by))
