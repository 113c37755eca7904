"""How often the customer means to change cells, against how long they last."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.citations import GIVEN
from farpress.domain.finding import Finding, Link, Remedy, Stake, Who
from farpress.domain.refs import GroupRef
from farpress.judging.air.advice import is_call
from farpress.judging.check import AT_MOST, Check, Estimate, Limit
from farpress.judging.fob.cell_plan import cell_plan
from farpress.judging.fob.cells import YEAR_S

__all__ = ["CHANGED_IN_TIME", "judge"]

CHANGED_IN_TIME: Final = Check(
    "FOB-60",
    Link.FOB,
    "Years between two changes of the cells, as the customer plans it, against the years that they last.",
    unit="years",
    bound=AT_MOST,
    stake=Stake.WEAR,
    ask="Find what the cells' life hangs on: the fob's sheet, and how often it is pressed.",
    who=Who.LABEL,
    minutes=10.0,
    mends="A shorter time between changes, on a day that is written down; half the life leaves a reserve.",
)


def judge(case: Case) -> Iterator[Finding]:
    """FOB-60 of each group whose cells somebody means to change."""
    for name, group in case.job.groups.items():
        if group.cells_changed_s is None:
            continue
        every = group.cells_changed_s / YEAR_S
        plan = cell_plan(case, name)
        if plan is None:
            yield CHANGED_IN_TIME.judge(
                about=name,
                subjects=(GroupRef(name),),
                value=Estimate(every, 0.0, (GIVEN,)),
                limit=Limit(None),
                says=f"The cells of {name} are to be changed every {every:.3g} years; how long they last"
                " is not known.",
            )
            continue
        yield CHANGED_IN_TIME.judge(
            about=name,
            subjects=(GroupRef(name),),
            value=Estimate(every, None, (GIVEN,)),
            limit=Limit(plan.years),
            says=f"The cells of {name} are to be changed every {every:.3g} years; they last"
            f" {plan.years:.1f} years" + (f" ({plan.assumed})" if plan.assumed else "") + ".",
            because="An empty cell is noticed at the press that nobody hears.",
            stake=Stake.HARM if _calls(case, name) else None,
            remedies=(
                Remedy(
                    f"Change the cells every {plan.years / 2:.1f} years", f"half of {plan.years:.1f} years"
                ),
            ),
        )


def _calls(case: Case, name: str) -> bool:
    functions = case.job.functions_of(case.job.groups[name])
    return any(is_call(case, output) for function in functions for output in case.outputs_of(function))
