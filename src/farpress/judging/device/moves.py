"""What driven devices need: run time, overtravel, safeguards, locks, lanes.

Judged from what the job records; whether a machine is safe is for its own assessment, by
somebody licensed or competent for it. Run time and overtravel here; the rest beside it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, OVERTRAVEL, PRACTICE
from farpress.case.driven import Driven, change, driven_of, moves, subjects_of
from farpress.case.leaf import OVERTRAVEL_LONGEST_M, run_on
from farpress.core.rehearsal.held import BUTTON_LAG_S, TRAVEL_FACTOR
from farpress.domain.finding import Ask, Finding, Link, Remedy, Stake, Verdict, Who
from farpress.domain.refs import DeviceRef, ReceiverRef
from farpress.judging.check import AT_LEAST, AT_MOST, Check, Estimate, Limit, wide_edge
from farpress.judging.device.between import judge_between
from farpress.judging.device.doorway import judge_doorway
from farpress.judging.device.examined import judge_examined
from farpress.judging.device.hand_release import judge_hand_release
from farpress.judging.device.headroom import judge_headroom
from farpress.judging.device.lanes import judge_lanes
from farpress.judging.device.leaf_facts import judge_leaf_facts
from farpress.judging.device.locks import judge_locks
from farpress.judging.device.on_foot import judge_on_foot
from farpress.judging.device.on_touch import judge_on_touch
from farpress.judging.device.one_lanes import judge_one_lanes
from farpress.judging.device.pumps import judge_pumps
from farpress.judging.device.safeguards import in_sight, judge_safeguards, protection
from farpress.judging.device.slope import judge_slope
from farpress.judging.device.steps import judge_steps
from farpress.judging.device.waits import judge_waits
from farpress.judging.device.warming import judge_warming
from farpress.judging.device.wind import judge_wind
from farpress.judging.hurting import FIXED_HOLD
from farpress.judging.output.times import travels_of
from farpress.units import rounded_down

__all__ = ["in_sight", "judge", "protection"]

TIMED_RUN: Final = Check(
    "DEV-01",
    Link.DEVICE,
    "A timed run against the travel of what it moves.",
    unit="s",
    bound=AT_LEAST,
    thin=wide_edge(BUTTON_LAG_S, "relay and drive start late, and clocks differ, by a second together"),
    stake=Stake.PROMISE,
    ask="Measure the whole travel, on a cold morning if it can be chosen.",
    who=Who.METER,
    mends="A longer pulse; the end switch ends the travel.",
)

RUNS_ON: Final = Check(
    "DEV-02",
    Link.DEVICE,
    "How far a leaf runs on after the button is let go, against a hand's width.",
    unit="m",
    bound=AT_MOST,
    limit=Limit(OVERTRAVEL_LONGEST_M, (OVERTRAVEL,)),
    stake=Stake.HARM,
    ask="Let go at a mark, and measure from the mark to where the leaf stands.",
    who=Who.METER,
    mends="A slower leaf, or a receiver that drops out sooner.",
)

_BETTER: Final = 0.9
"""A leaf is to keep a tenth below the limit: the width of the thin edge."""


def judge(case: Case) -> Iterator[Finding]:
    """All findings about driven devices."""
    for output in case.outputs():
        for driven in driven_of(case, output):
            if moves(driven):
                yield from _timed_run(output, driven)
                yield from _overtravel(case, output, driven)
    yield from judge_safeguards(case)
    yield from judge_locks(case)
    yield from judge_lanes(case)
    yield from judge_waits(case)
    yield from judge_between(case)
    yield from judge_warming(case)
    yield from judge_on_foot(case)
    yield from judge_on_touch(case)
    yield from judge_wind(case)
    yield from judge_pumps(case)
    yield from judge_leaf_facts(case)
    yield from judge_one_lanes(case)
    yield from judge_hand_release(case)
    yield from judge_headroom(case)
    yield from judge_steps(case)
    yield from judge_examined(case)
    yield from judge_doorway(case)
    yield from judge_slope(case)


def _timed_run(output: OutputAt, driven: Driven) -> Iterator[Finding]:
    """DEV-01; a pulse without a length is asked about with the kind of the output."""
    for_s = output.output.for_s
    feeds_its_motor = driven.wants is None and driven.sheet.load == "motor"
    if (
        not output.output.traits.wants_length
        or for_s is None
        or output.output.steps  # by feel, judged by where it then stands
        or not (driven.wants == "maintained" or feeds_its_motor)
        or driven.way not in ("up", "down", "open only", "close")
    ):
        return
    travel, worst = travels_of(driven)
    needed = worst if worst is not None or travel is None else TRAVEL_FACTOR * travel
    says = f"{output.path} runs {driven.works} for {for_s:g} s, but its travel time is not known."
    if needed is not None:
        basis = "at its worst" if worst is not None else f"{travel:g} s x {TRAVEL_FACTOR:g}"
        says = (
            f"{output.path} runs {driven.works} for {for_s:g} s; the whole travel takes {needed:.1f} s"
            f" ({basis})."
        )
    because = {
        Verdict.FAILS: "It stops short.",
        Verdict.THIN: f"Less than {BUTTON_LAG_S:g} s is left over.",
        Verdict.HOLDS: "The end switch ends the travel.",
    }
    better = f"{math.ceil((needed or 0.0) + BUTTON_LAG_S)} s"
    yield TIMED_RUN.judge(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        value=Estimate(for_s, None, (GIVEN,)),
        limit=Limit(needed, (*driven.cite("travel_s", "travel_worst_s", "travel_back_s"), PRACTICE)),
        says=says,
        because=lambda verdict: because.get(verdict, ""),
        asks=[Ask(f"Measure the whole travel of {driven.works}, on a cold morning.", Who.METER, 5.0)]
        * (needed is None)
        + [Ask(f"See in the manual of {driven.path} what its input {driven.works} does.", Who.INSTALLER)]
        * feeds_its_motor,
        remedies=(
            Remedy(
                f"Run for {better}",
                f"{better} against {needed or 0.0:.1f} s needed",
                (change(output, "for", better),),
            ),
        ),
    )


def _overtravel(case: Case, output: OutputAt, driven: Driven) -> Iterator[Finding]:
    """DEV-02; with a figure missing the rest is the least it can be."""
    ran = run_on(case, output, driven)
    speed, stop, dropout = ran.speed_m_per_s, ran.stops_after_s, ran.dropout_s
    if (
        not output.output.traits.while_held
        or driven.wants == "pulse"
        or (not driven.traits.is_leaf and speed is None)
    ):
        return
    receiver = case.equipment.receivers.get(output.receiver_path)
    named = (
        (speed, f"Measure the speed of the leaf of {driven.works}.", Who.METER),
        (dropout, f"Read the drop-out time of {output.receiver} off its sheet.", Who.LABEL),
        (stop, f"Measure how soon the leaf of {driven.works} stands still once the drive is off.", Who.METER),
    )
    asks = [Ask(says, who) for value, says, who in named if value is None]
    way = ran.way_m
    says = f"How far {driven.works} runs on after the button is let go is not known."
    because = ""
    if way is not None:
        least = "at least " if asks else ""
        says = (
            f"After the button is let go {driven.works} runs on by {least}{1000 * way:.0f} mm;"
            f" {1000 * OVERTRAVEL_LONGEST_M:g} mm is the most under hold-to-run control."
        )
        because = f"{speed:.3g} m/s for {dropout:g} s of drop-out, the stop itself not counted."
        if stop is not None:
            because = f"{speed:.3g} m/s for {dropout:g} s of drop-out and {stop:g} s to stop."
    wanted_m = _BETTER * OVERTRAVEL_LONGEST_M
    runs_on_s = (dropout or 0.0) + (stop or 0.0)
    yield RUNS_ON.judge(
        about=f"{output.path}: {driven.works}",
        subjects=(*subjects_of(output, driven), ReceiverRef(output.receiver_path)),
        cause=DeviceRef(driven.path),
        value=Estimate(
            way,
            None,
            (
                *driven.cite("speed_m_per_s", "leaf_m", "angle_deg", "stops_after_s"),
                *(receiver.cite("dropout_s") if receiver is not None else ()),
            ),
        ),
        says=says,
        because=because,
        asks=asks,
        remedies=lambda _: (
            *(
                (Remedy("No time after letting go", "", (change(output, "stays", None),)),)
                * bool(output.output.stays_s)
            ),
            *(
                (FIXED_HOLD,)
                if driven.traits.lifts
                else (
                    Remedy(
                        f"A leaf no faster than {rounded_down(wanted_m / runs_on_s, 2):.2f} m/s, or a"
                        " receiver that drops out sooner",
                        f"{1000 * wanted_m:g} mm",
                    ),
                )
            ),
        ),
    )
