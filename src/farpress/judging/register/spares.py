"""Whether the spare fobs of a group last a year of losses."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case
from farpress.case.driven import holders
from farpress.domain.finding import Change, Finding, Link, Remedy, Stake
from farpress.domain.refs import GroupRef
from farpress.judging.check import AT_LEAST, Check, Estimate, Limit, no_edge
from farpress.sources import Citation, Mark
from farpress.units import write_share

__all__ = ["LOST_SHARE", "SPARES", "judge"]

LOST_SHARE: Final = 0.03
"""Of the fobs are lost in a year where the job does not say; common practice, no source."""

SPARES: Final = Check(
    "REG-15",
    Link.REGISTER,
    "Spare fobs of a group, against those that are lost in a year.",
    unit="fobs",
    bound=AT_LEAST,
    thin=no_edge("fobs are counted: as many as are lost are enough"),
    advice=True,
    stake=Stake.DUTY,
    ask="Say how many fobs the group has.",
    mends="As many spares as are lost in a year, taught or ready to be taught.",
)


def judge(case: Case) -> Iterator[Finding]:
    """One finding for each group of which losing a whole fob a year is to be expected."""
    given = case.job.register_.lost_share
    share = LOST_SHARE if given is None else given
    mark = Mark.PRACTICE if given is None else Mark.GIVEN
    source = Citation(f"{write_share(share)} of the fobs are lost in a year", mark=mark)
    for name, group in case.job.groups.items():
        number = holders(group)
        lost = float(int(share * number)) if number is not None else None
        if lost == 0.0:
            continue
        wanted = "" if lost is None else f"; {lost:g} of {number} are lost in a year"
        yield SPARES.judge(
            about=f"{name}: spares",
            subjects=(GroupRef(name),),
            says=f"{name} has {group.spares} spare fobs{wanted}.",
            because="Without a spare a holder waits for the next visit, and borrows a fob meanwhile.",
            value=Estimate(float(group.spares)),
            limit=Limit(lost, (source,)),
            remedies=lambda _, name=name, lost=lost: (  # type: ignore[misc]
                Remedy(
                    f"Keep {lost:g} spares for {name}.",
                    changes=(Change(("groups", name, "spares"), int(lost or 0)),),
                ),
            ),
        )
