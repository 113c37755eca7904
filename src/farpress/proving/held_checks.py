"""Tests of a press that is held: where it ends, how far a leaf runs on, whether the travel fits in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from farpress.case.case import Case, OutputAt
from farpress.case.driven import Driven, moves
from farpress.case.leaf import OVERTRAVEL_LONGEST_M
from farpress.core.rehearsal.press import overtravel_m, run_on_s
from farpress.domain.cautions import CAUTIONS, DUTIES, LOCAL_CODES
from farpress.proving.tests import ProvingTest

__all__ = ["has_function", "held_tests", "output_words"]


def output_words(output: OutputAt) -> str:
    """An output as a sentence about it names it."""
    return f"output {output.number} of {output.receiver}"


def has_function(button: object, functions: tuple[str, ...]) -> bool:
    """Whether a button, as a group has it, does one of these functions."""
    if isinstance(button, str):
        return button in functions
    names = button if isinstance(button, tuple) else getattr(button, "functions", ())
    return any(name in functions for name in names)


def held_tests(
    case: Case, output: OutputAt, driven: tuple[Driven, ...], base: ProvingTest, gate: str
) -> Iterator[ProvingTest]:
    """A held press: where it ends, how far the leaf runs on, whether the travel fits in."""
    groups = [
        name
        for name, group in case.job.groups.items()
        if any(has_function(button, output.functions) for button in group.buttons.values())
    ]
    cut_offs = [
        fob.sheet.cut_off_s
        for name in groups
        if (fob := case.equipment.fobs.get(name)) is not None and fob.sheet.cut_off_s is not None
    ]
    receiver = case.equipment.receivers.get(output.receiver_path)
    dropout = receiver.sheet.dropout_s if receiver is not None else None
    if cut_offs:
        low, high = min(cut_offs), max(cut_offs) + (dropout or 0.5)
        yield replace(
            base,
            id=f"held press: {output.path}",
            kind="measure",
            does=(
                f"Hold the button for {output_words(output)} until the fob gives up by itself; take the time"
                " in seconds."
            ),
            expected=f"It ends by itself after {low:g} s, and needs a fresh press.",
            unit="s",
            low=0.9 * low,
            high=1.1 * high,
            predicted=low,
            minutes=2.0,
            caution=CAUTIONS["hold-to-run"],
            because="A held press ends after about 30 s: common practice.",
        )
    for thing in driven:
        if not moves(thing):
            continue
        travel = thing.sheet.travel_worst_s or thing.sheet.travel_s
        if travel is not None and cut_offs:
            yield replace(
                base,
                id=f"travel: {output.path} {thing.works}",
                kind="measure",
                does=(
                    f"Take the time of the whole travel of {thing.works.split('.')[0]} with the button held,"
                    " in seconds."
                ),
                expected=f"At most {min(cut_offs) - 1.0:g} s; the design says {travel:g} s at its worst.",
                unit="s",
                low=0.0,
                high=min(cut_offs) - 1.0,
                predicted=travel,
                minutes=2.0,
                caution=gate,
                because="The fob gives up before a longer travel has ended.",
            )
        if thing.traits.is_leaf:
            speed, stop = thing.sheet.speed_m_per_s, thing.sheet.stops_after_s
            predicted = (
                None
                if speed is None or dropout is None
                else overtravel_m(
                    speed_m_per_s=speed,
                    run_on_time_s=run_on_s(dropout_s=dropout, relay_s=0.0, stops_after_s=stop or 0.0),
                )
            )
            yield replace(
                base,
                id=f"overtravel: {output.path} {thing.works}",
                kind="measure",
                does=(
                    f"Let go at a mark during the movement of {thing.works.split('.')[0]}; measure the"
                    f" run-on,"
                    " in metres. Three times, the worst counts."
                ),
                expected=f"At most {OVERTRAVEL_LONGEST_M:g} m.",
                unit="m",
                low=0.0,
                high=OVERTRAVEL_LONGEST_M,
                predicted=predicted,
                minutes=3.0,
                who="competent person",
                caution=f"{CAUTIONS['hold-to-run']} {DUTIES['machine']} {LOCAL_CODES}",
                because="Guidance on EN 12453: at most 100 mm under hold-to-run control.",
            )
