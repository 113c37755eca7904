"""The busy peak: presses of many people that fall on each other in the air."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import CHOICE, GIVEN
from farpress.case.driven import driven_of
from farpress.core.reach.contention import clear_press_share, overlap_free_share, simulated_clear_share
from farpress.dates import stretch_s
from farpress.domain.finding import Finding, Link, Remedy
from farpress.domain.job import Traffic
from farpress.domain.refs import FunctionRef, ReceiverRef
from farpress.judging.check import AT_LEAST, Check, Estimate, Limit
from farpress.reach.channel import CAPTURE_DB, LEVEL_SD_DB
from farpress.sources import cited

__all__ = ["UNSPOILT", "judge", "peak_of"]


PRESS_S: Final = 0.6
"""A short press; common practice."""

HELD_S: Final = 30.0
"""A hold of which nobody knows how long it takes; common practice, where fobs stop by themselves."""

WANTED_SHARE: Final = 0.95
"""Share of the presses that shall pass at the first try even at the peak; our choice."""

UNSPOILT: Final = Check(
    "AIR-05",
    Link.AIR,
    "Share of presses at the busiest stretch that no other press spoils.",
    unit="%",
    bound=AT_LEAST,
    limit=Limit(100.0 * WANTED_SHARE, (CHOICE,)),
    ask="Find out the length of a telegram, and how many in a row the receiver wants.",
    mends="The button held until it moves; the way kept open while others follow.",
)

LIGHT_LOAD: Final = 0.3
"""Presses per press length up to which the closed forms hold; above, the simulation is far from them."""


def judge(case: Case) -> Iterator[Finding]:
    """One finding for each place with an arrival profile and each receiver it presses."""
    for traffic in case.job.traffic:
        for output in case.outputs_of(traffic.function):
            yield _contention(case, traffic, output)


def peak_of(traffic: Traffic) -> tuple[str, int, float]:
    """The busiest stretch: its name, its arrivals, and presses per second."""

    def rate(item: tuple[str, int]) -> float:
        return item[1] / (stretch_s(item[0]) or 3600.0)  # one that cannot be read: an hour

    name, count = max(traffic.arrivals.items(), key=rate)
    return name, count, rate((name, count))


def _contention(case: Case, traffic: Traffic, output: OutputAt) -> Finding:
    """The share that comes through is played out; half of what the closed forms leave open is its doubt."""
    about = f"{traffic.function} at {output.receiver_path}"
    groups = case.groups_with(traffic.function)
    subjects = (FunctionRef(traffic.function), ReceiverRef(output.receiver_path))
    fob = case.equipment.fobs.get(groups[0][0]) if groups else None
    needed = case.equipment.receivers[output.receiver_path].sheet.telegrams_needed
    if fob is None or fob.sheet.telegram_s is None or needed is None:
        return UNSPOILT.judge(
            about=about,
            subjects=subjects,
            says=f"Whether presses for {traffic.function} spoil each other at the peak cannot be said.",
            because=UNSPOILT.ask,
            value=Estimate(None),
        )
    held_s = _held_s(output, fob.sheet.cut_off_s)
    if held_s is not None:
        return _held(case, traffic, output, held_s, about, subjects)
    name, count, per_s = peak_of(traffic)
    alone = overlap_free_share(presses_per_s=per_s, press_s=PRESS_S)
    best = clear_press_share(presses_per_s=per_s, telegram_s=fob.sheet.telegram_s, telegrams_needed=needed)
    period_s = max(fob.sheet.repeat_s or 0.1, fob.sheet.telegram_s)
    sent = max(int((PRESS_S - fob.sheet.telegram_s) / period_s) + 1, needed)
    played = simulated_clear_share(
        presses_per_s=min(per_s, 100.0),
        telegram_s=fob.sheet.telegram_s,
        period_s=period_s,
        sent=sent,
        needed=needed,
        capture_db=CAPTURE_DB,
        gap_sd_db=LEVEL_SD_DB,
    )
    too_kind = ", too kind at this load." if per_s * PRESS_S > LIGHT_LOAD else "."
    return UNSPOILT.judge(
        about=about,
        subjects=subjects,
        cause=FunctionRef(traffic.function),
        says=f"{name}: {count} presses, {per_s:.2f} a second. {alone:.0%} of them of {PRESS_S:g} s meet no"
        f" other; thanks to repeats {played:.0%} come through.",
        because="The stronger of two fobs often wins, so those far away lose. One fob stuck down, in a glove"
        " box say, takes the channel until it gives up."
        f" Played out with {sent} telegrams a press and a capture of {CAPTURE_DB:g} dB; the closed form"
        f" gives {best:.0%} as its upper limit{too_kind}",
        value=Estimate(100.0 * played, 100.0 * max(best - alone, 0.0) / 2.0, fob.cite("telegram_s")),
        remedies=(
            Remedy(
                "Hold the button until the barrier moves; keep the barrier open while vehicles follow",
                f"up to {best:.0%}",
            ),
        ),
        sources=(*cited(overlap_free_share), *cited(clear_press_share), *cited(simulated_clear_share), GIVEN),
    )


def _held_s(output: OutputAt, cut_off_s: float | None) -> float | None:
    """How long a button is held for what the output works; None where a short press is enough [s]."""
    if not output.output.traits.while_held:
        return None
    return min(HELD_S, cut_off_s or HELD_S)


def _held(
    case: Case,
    traffic: Traffic,
    output: OutputAt,
    longest_s: float,
    about: str,
    subjects: tuple[FunctionRef, ReceiverRef],
) -> Finding:
    """Presses held for a whole travel: each that meets another may break off on the way."""
    travels = [
        driven.sheet.travel_worst_s or driven.sheet.travel_s
        for driven in driven_of(case, output)
        if driven.sheet.travel_s is not None
    ]
    held_s = min(longest_s, max((travel for travel in travels if travel), default=longest_s))
    name, count, per_s = peak_of(traffic)
    alone = overlap_free_share(presses_per_s=per_s, press_s=held_s)
    dropout = case.equipment.receivers[output.receiver_path].sheet.dropout_s
    gap = "" if dropout is None else f" A gap of {dropout:g} s stops it on the way."
    return UNSPOILT.judge(
        about=about,
        subjects=subjects,
        cause=FunctionRef(traffic.function),
        says=f"{name}: {count} presses, each held {held_s:.0f} s: {alone:.0%} of them meet no other.",
        because=f"Two fobs held at once spoil each other's telegrams; the nearer one often wins.{gap}",
        value=Estimate(100.0 * alone, None, (GIVEN,)),
        remedies=(Remedy("A short press that starts the whole movement, guarded by edge and beams instead"),),
        sources=cited(overlap_free_share),
    )
