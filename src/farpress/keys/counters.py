"""Which fob has been away from which receiver for so long that its first press will be swallowed.

From the record: when a fob was last heard at, or learned at, a receiver; from the job: how
often its group presses elsewhere, and what the receiver accepts.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from farpress.core.keys.counters import days_for_risk, share_first_press_ignored
from farpress.domain.register import FobRegister, FobState
from farpress.keys.find import holder_of

if TYPE_CHECKING:
    from farpress.case.case import Case
    from farpress.record.persons import PersonEntry

__all__ = ["RISK", "Exposure", "exposures"]

RISK: Final = 0.05
"""Chance of a swallowed first press up to which nobody needs to go there; our choice."""


@dataclass(frozen=True)
class Exposure:
    """One fob at one receiver.

    Attributes:
        fob, holder, receiver: which.
        since: when it was last heard there, or learned.
        heard: whether `since` was a press that was heard.
        days: since then.
        presses: made elsewhere in that time, on average.
        ignored_share: chance that the next press there is swallowed; None if it cannot be told.
        dead_share: chance that it must be learned again; None if it cannot be told.
        visit_by: date until which the chance stays within `RISK`; empty if it cannot be told.
        asks: what to ask or measure where something is not known.
    """

    fob: str
    holder: str
    receiver: str
    since: str
    heard: bool
    days: float
    presses: float | None
    ignored_share: float | None
    dead_share: float | None
    visit_by: str
    asks: str = ""


def exposures(
    register: FobRegister, people: Mapping[str, PersonEntry], case: Case, *, now: datetime
) -> tuple[Exposure, ...]:
    """Every fob that is given out, at every receiver that obeys it; the likeliest to fail first."""
    found = []
    for _, fob in sorted(register.fobs.items()):
        if fob.state is not FobState.ISSUED:
            continue
        learned: dict[str, tuple[str, int]] = {}
        for entry in fob.known_at:
            latest, count = learned.get(entry.receiver, ("", 0))
            learned[entry.receiver] = (max(latest, entry.at), count + 1)
        for receiver, (learned_at, buttons) in learned.items():
            heard = fob.heard.get(receiver, "")
            since = max(heard, learned_at)
            found.append(
                _one(
                    case,
                    fob.label,
                    holder_of(fob, people),
                    fob.group,
                    len(fob.buttons),
                    receiver,
                    since,
                    heard >= learned_at,
                    now,
                    buttons,
                )
            )
    return tuple(
        sorted(
            found,
            key=lambda exposure: (
                -(exposure.dead_share or 0.0),
                -(exposure.ignored_share if exposure.ignored_share is not None else -1.0),
                exposure.fob,
                exposure.receiver,
            ),
        )
    )


def _one(
    case: Case,
    fob: str,
    holder: str,
    group: str,
    buttons: int,
    receiver: str,
    since: str,
    heard: bool,
    now: datetime,
    learned: int,
) -> Exposure:
    begin = datetime.fromisoformat(since.replace("Z", "+00:00"))
    days = max((now - begin).total_seconds() / 86400, 0.0)
    part, fobs, people = (
        case.equipment.receivers.get(receiver),
        case.equipment.fobs.get(group),
        case.job.groups.get(group),
    )
    rate = people.presses_per_day if people is not None else None
    window = part.sheet.window_single if part is not None else None
    double = part.sheet.window_double if part is not None else None
    if rate is None or window is None:
        asks = (
            "how often this group presses in a day"
            if rate is None
            else f"how many presses a fob may be ahead at {receiver}"
        )
        return Exposure(fob, holder, receiver, since, heard, days, None, None, None, "", f"Ask {asks}.")
    if fobs is not None and fobs.sheet.counter == "one per button" and buttons:
        rate /= buttons
    mean = rate * days
    ignored = share_first_press_ignored(unheard_mean=mean, window=window)
    dead = share_first_press_ignored(unheard_mean=mean, window=double) if double is not None else None
    by = ""
    if rate > 0:
        safe = _safe_days(rate, window)
        by = (begin + timedelta(days=min(safe, 36500))).date().isoformat()
    asks = (
        ""
        if double is not None
        else f"Ask whether two presses in a row are accepted at {receiver}, and how far ahead."
    )
    return Exposure(fob, holder, receiver, since, heard, days, mean, ignored, dead, by, asks)


@lru_cache(maxsize=1024)
def _safe_days(rate: float, window: int) -> float:
    return days_for_risk(risk_share=RISK, presses_per_day=rate, window=window)
