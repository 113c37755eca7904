"""Lamps that take minutes to come up, and minutes before they light again, on a timed output."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import Driven, driven_of, seconds, subjects_of
from farpress.domain.finding import Finding, Link, Remedy
from farpress.judging.check import AT_LEAST, Check, Estimate, Limit

__all__ = ["FULL_LIGHT", "judge_lamp_times"]

FULL_LIGHT: Final = Check(
    "OUT-33",
    Link.OUTPUT,
    "Full light that a press gives from a discharge lamp, against the time for which it is dark or dim for"
    " it.",
    unit="s",
    bound=AT_LEAST,
    ask="Time the lamp with a watch: until it is bright, and until it lights again once it was warm.",
    minutes=20.0,
    mends="Lamps that are bright at once; or a time of half an hour and more, by a time switch.",
)


def judge_lamp_times(case: Case) -> Iterator[Finding]:
    """OUT-33 of each timed output on a lamp that comes up slowly."""
    for output in case.outputs():
        for driven in driven_of(case, output):
            is_slow = driven.sheet.comes_up_s or driven.sheet.relights_s
            if output.output.traits.wants_length and driven.traits.gives_light and is_slow:
                yield _full_light(output, driven)


def _full_light(output: OutputAt, driven: Driven) -> Finding:
    up, again, length = driven.sheet.comes_up_s, driven.sheet.relights_s, output.output.for_s
    name = driven.path.split("/")[1]
    full = None if length is None or up is None else max(length - up, 0.0)
    dark = None if up is None or again is None else max(up, again)
    says = f"How long a press of {output.path} gives full light at {name} is not known."
    if full is not None and length is not None:
        says = (
            f"Of {seconds(length)} that a press of {output.path} lasts, {name} gives full light for"
            f" {seconds(full)}, after {seconds(up or 0.0)} of coming up."
        )
    if again is not None:
        says += f" Once off it stays dark for {seconds(again)}, whatever is pressed."
    return FULL_LIGHT.judge(
        about=f"{output.path}: {driven.works}",
        subjects=subjects_of(output, driven),
        value=Estimate(full, None, (GIVEN,)),
        limit=Limit(dark, driven.cite("comes_up_s", "relights_s")),
        says=says,
        because="A press just after the end gives no light, and whoever is there stands in the dark.",
        remedies=(
            Remedy("Lamps that are bright at once"),
            Remedy("A time of half an hour and more, or a time switch; the fob does not switch it off"),
        ),
        sources=(PRACTICE,),
    )
