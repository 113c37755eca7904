"""The busy peak: presses of many people that fall on each other in the air."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import CHOICE, GIVEN
from farpress.core.reach.contention import clear_press_share, overlap_free_share, simulated_clear_share
from farpress.domain.finding import Finding, Link, Remedy, Verdict
from farpress.domain.job import Traffic
from farpress.domain.refs import FunctionRef, ReceiverRef
from farpress.reach.channel import CAPTURE_DB, LEVEL_SD_DB
from farpress.sources import cited

__all__ = ["CODES", "judge", "peak_of"]

CODES: Final[dict[str, str]] = {
    "AIR-05": "Share of presses at the busiest stretch that no other press spoils."
}

PRESS_S: Final = 0.6
"""A short press; common practice."""

WANTED_SHARE: Final = 0.95
"""Of the presses shall pass at the first try even at the peak; our choice."""

LIGHT_LOAD: Final = 0.3
"""Presses per press length up to which the closed forms hold; above, the simulation is far from them."""


def judge(case: Case) -> Iterator[Finding]:
    """One finding for each place with an arrival profile and each receiver it presses."""
    for traffic in case.job.traffic:
        for at in case.outputs_of(traffic.function):
            yield _contention(case, traffic, at)


def peak_of(traffic: Traffic) -> tuple[str, int, float]:
    """The busiest stretch: its name, its arrivals, and presses per second."""

    def rate(item: tuple[str, int]) -> float:
        (start, _, end), count = item[0].partition("-"), item[1]
        return count / max(_minutes(end) - _minutes(start), 1) / 60

    name, count = max(traffic.arrivals.items(), key=rate)
    return name, count, rate((name, count))


def _minutes(clock: str) -> int:
    hours, _, minutes = clock.strip().partition(":")
    return int(hours) * 60 + int(minutes or 0)


def _contention(case: Case, traffic: Traffic, at: OutputAt) -> Finding:
    about, link = f"{traffic.function} at {at.receiver_path}", Link.AIR
    groups = case.groups_with(traffic.function)
    subjects = (FunctionRef(traffic.function), ReceiverRef(at.receiver_path))
    fob = case.equipment.fobs.get(groups[0][0]) if groups else None
    needed = case.equipment.receivers[at.receiver_path].sheet.telegrams_needed
    if fob is None or fob.sheet.telegram_s is None or needed is None:
        says = f"Whether presses for {traffic.function} spoil each other at the peak cannot be said."
        return Finding(
            "AIR-05",
            link,
            Verdict.UNKNOWN,
            about,
            says,
            "Find out the length of a telegram, and how many in a row the receiver wants.",
            subjects=subjects,
        )
    name, count, per_s = peak_of(traffic)
    worst = overlap_free_share(presses_per_s=per_s, press_s=PRESS_S)
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
    verdict = (
        Verdict.FAILS if played < WANTED_SHARE else Verdict.THIN if worst < WANTED_SHARE else Verdict.HOLDS
    )
    return Finding(
        "AIR-05",
        link,
        verdict,
        about,
        f"{name}: {count} presses, {per_s:.2f} a second. {worst:.0%} of them of {PRESS_S:g} s meet no other;"
        f" thanks to repeats {played:.0%} come through.",
        "The stronger of two fobs often wins, so those far away lose. One fob stuck down, in a glove box say,"
        " takes the channel until it gives up."
        + f" Played out with {sent} telegrams a press and a capture of {CAPTURE_DB:g} dB; the closed form"
        f" gives {best:.0%} as its upper limit"
        + (", too kind at this load." if per_s * PRESS_S > LIGHT_LOAD else "."),
        100 * worst,
        100 * WANTED_SHARE,
        "%",
        100 * (worst - WANTED_SHARE),
        100 * (best - worst),
        remedies=(
            (
                Remedy(
                    "Hold the button until the barrier moves; keep the barrier open while vehicles follow",
                    f"up to {best:.0%}",
                ),
            )
            if verdict is not Verdict.HOLDS
            else ()
        ),
        sources=(
            *fob.cite("telegram_s"),
            *cited(overlap_free_share),
            *cited(clear_press_share),
            *cited(simulated_clear_share),
            GIVEN,
            CHOICE,
        ),
        subjects=subjects,
    )
