"""Two-button latches: which button switches on, which off, and that no press does both.

Part of the judgements on output logic; see `output` for the list of codes.
"""

from __future__ import annotations

from collections.abc import Iterator

from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN, PRACTICE
from farpress.case.driven import driven_of, groups_of, subjects_of, switching
from farpress.domain.finding import Change, Finding, Link, Remedy, Verdict
from farpress.domain.refs import FunctionRef
from farpress.phrases import listed

__all__ = ["judge_latches"]


def judge_latches(case: Case) -> Iterator[Finding]:
    """Findings about outputs of the kind latch, and about functions that say on or off where nothing
    latches.
    """
    latched = set()
    for at in case.outputs():
        if at.output.traits.has_two_buttons:
            latched.add(at.path)
            yield from _latch(case, at)
    for name, function in case.job.functions.items():
        if function.switches is not None and function.paths and not latched & set(function.paths):
            says = (
                f"{name} switches {function.switches}, but {listed(function.paths)} is no latch: each press"
                " does there what the output's kind says."
            )
            yield Finding(
                "OUT-09",
                Link.OUTPUT,
                Verdict.UNKNOWN,
                name,
                says,
                "Make the output a latch, or take 'switches' out.",
                remedies=(
                    Remedy("Take 'switches' out", "", (Change(("functions", name, "switches"), None),)),
                ),
                sources=(GIVEN,),
                subjects=(FunctionRef(name),),
            )


def _latch(case: Case, at: OutputAt) -> Iterator[Finding]:
    on, off, silent = (switching(case, at, way) for way in ("on", "off", None))
    subjects = subjects_of(at, *driven_of(case, at))
    for name in silent:
        says = f"{at.path} is a two-button latch; whether {name} switches it on or off is not said."
        yield Finding(
            "OUT-09",
            Link.OUTPUT,
            Verdict.UNKNOWN,
            f"{at.path}: {name}",
            says,
            "Write 'switches: on' or 'switches: off' with the function.",
            sources=(GIVEN,),
            subjects=(*subjects, FunctionRef(name)),
        )
    if silent or not (on or off):
        return
    if not on or not off:
        missing = "on" if not on else "off"
        stays = (
            "nothing ever switches it off again but the loss of its supply" if on else "it can never come on"
        )
        says = f"{at.path} is a two-button latch, but no function switches it {missing}: {stays}."
        yield Finding(
            "OUT-09",
            Link.OUTPUT,
            Verdict.FAILS,
            at.path,
            says,
            f"Add a function that switches it {missing}, on a button of its own.",
            sources=(GIVEN,),
            subjects=subjects,
        )
        return
    both = [label for label, names in _presses(case) if set(names) & set(on) and set(names) & set(off)]
    one_way = [
        name
        for name, group in groups_of(case, at)
        if len(
            {case.job.functions[one].switches for one in case.job.functions_of(group) if one in at.functions}
        )
        == 1
    ]
    if both:
        says = f"One press of {listed(both)} switches {at.path} on and off."
        yield Finding(
            "OUT-09",
            Link.OUTPUT,
            Verdict.FAILS,
            at.path,
            says,
            "Off wins, so such a press never switches it on.",
            sources=(GIVEN,),
            subjects=subjects,
        )
    elif one_way:
        says = (
            f"{_named(on)} switches {at.path} on, {_named(off)} switches it off; {listed(one_way)}"
            f" {'has' if len(one_way) == 1 else 'have'} only one of the two buttons."
        )
        yield Finding(
            "OUT-09",
            Link.OUTPUT,
            Verdict.THIN,
            at.path,
            says,
            "Who can only switch on leaves it on; who can only switch off may be meant so.",
            remedies=(Remedy("Give them both buttons"),),
            sources=(PRACTICE, GIVEN),
            subjects=subjects,
        )
    else:
        says = (
            f"{_named(on)} switches {at.path} on, {_named(off)} switches it off; repeating either does no"
            " harm."
        )
        yield Finding(
            "OUT-09",
            Link.OUTPUT,
            Verdict.HOLDS,
            at.path,
            says,
            "The last press decides, whoever gives it.",
            sources=(PRACTICE, GIVEN),
            subjects=subjects,
        )


def _named(functions: tuple[str, ...]) -> str:
    return listed(f"'{name}'" for name in functions)


def _presses(case: Case) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Every press of every fob and what it is learned for."""
    from farpress.case.access import one_press

    yield from one_press(case)
