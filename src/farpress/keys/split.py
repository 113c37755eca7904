"""Tenants shared out over several receivers, or merged onto one."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from farpress.case.driven import holders
from farpress.core.keys.capacity import years_until_full
from farpress.core.keys.waves import split_tenants
from farpress.errors import InputError
from farpress.keys.rights import buttons_of, places_of
from farpress.phrases import listed

if TYPE_CHECKING:
    from farpress.case.case import Case

__all__ = ["SplitPlan", "plan_split"]


@dataclass(frozen=True)
class SplitPlan:
    """Tenants over receivers: (receiver number → tenants), how full each is, and years until the first is
    full.
    """

    tenants: tuple[tuple[str, ...], ...]
    fill: tuple[tuple[int, int], ...]
    unit: str
    years: float | None
    proven: bool


def plan_split(
    case: Case, receiver: str | Sequence[str], receivers: int, *, capacity: int | None = None
) -> SplitPlan:
    """Share the tenants of one or several receivers out over others, the fullest as empty as possible; over
    one: merge them.

    Args:
        case: the job.
        receiver: "premises/receiver", or several of them, whose groups are shared out.
        receivers: over how many.
        capacity: of each; that of the first receiver's part by default.

    Raises:
        InputError: no such receiver, its memory is not known, or no way to fit all.
    """
    olds = [receiver] if isinstance(receiver, str) else list(dict.fromkeys(receiver))
    for old in olds:
        if old not in case.equipment.receivers:
            close = difflib.get_close_matches(old, case.equipment.receivers, n=1)
            raise InputError(
                f"There is no receiver '{old}' in the job{f'; closest: {close[0]}' if close else ''}. It has"
                f" {', '.join(case.equipment.receivers)}."
            )
    part = case.equipment.receivers[olds[0]]
    capacity = capacity or part.sheet.capacity
    if capacity is None:
        raise InputError(f"What the memory of {olds[0]} holds is not known; give the capacity.")
    if receivers < 1:
        raise InputError("At least one receiver.")
    counts = part.sheet.capacity_counts or "buttons"
    needs: dict[str, int] = {}
    active = 0
    for name, group in case.job.groups.items():
        presses = {place.button for place in places_of(case, buttons_of(group)) if place.receiver in olds}
        number = holders(group)
        if presses and number is not None:
            each = len(presses) if counts == "buttons" else 1
            tenant = group.organisation or name
            needs[tenant] = needs.get(tenant, 0) + (number + group.spares) * each
            active += number * each
    if not needs:
        raise InputError(f"Nobody has a button for {listed(olds)}.")
    tenants = list(needs)
    large = [f"{name} alone need {need}" for name, need in needs.items() if need > capacity]
    if large:
        raise InputError(
            f"{listed(large)} of {capacity} {counts}: no way of sharing tenants out helps. Take a receiver"
            " that holds more" + (", or one that counts fobs" if counts == "buttons" else "") + "."
        )
    least = -(-sum(needs.values()) // capacity)
    if least > receivers:
        raise InputError(
            f"{sum(needs.values())} {counts} need {least} receivers for {capacity} each at least; {receivers}"
            f" {'was' if receivers == 1 else 'were'} given."
        )
    found = split_tenants(records=list(needs.values()), capacity=[capacity] * receivers)
    shared = tuple(
        tuple(name for name, shared_to in zip(tenants, found.receiver, strict=True) if shared_to == number)
        for number in range(receivers)
    )
    fill = tuple((sum(needs[name] for name in names), capacity) for names in shared)
    plan = case.job.register_
    years = None
    if plan.churn_share is not None or plan.growth_share is not None:
        fullest = max(fill)[0]
        churn = 0.0 if plan.leavers_deleted else plan.churn_share or 0.0
        share = active / max(sum(needs.values()), 1)
        years = years_until_full(
            capacity=capacity,
            used=fullest,
            holders=fullest * share,
            churn_share=churn,
            growth_share=plan.growth_share or 0.0,
        )
    return SplitPlan(shared, fill, counts, years, found.gap < 1e-6)
