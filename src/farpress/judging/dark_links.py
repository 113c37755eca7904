"""Links of a promise on which nobody said what they hang on: leaving a fact out makes none of them well."""

from __future__ import annotations

from farpress.case.case import Case, OutputAt
from farpress.case.driven import driven_of, is_purpose_open
from farpress.domain.finding import Link
from farpress.phrases import listed

__all__ = ["dark_links"]


def dark_links(case: Case, number: int) -> dict[Link, str]:
    """Links of a promise that hang on something nobody says, and on what.

    All behind its own output where it is not said what that works; fob and register where no output or no
    button is said; and what its fob's buttons mean beside each other where another function of theirs is so.
    """
    promise = case.job.promises[number]
    dark: dict[Link, str] = {}
    function, outputs = promise.function, case.outputs_of(promise.function)
    group = case.job.groups.get(promise.to)
    buttons = case.job.functions_of(group) if group is not None else ()
    beside = [other.function for other in case.job.promises if other.to == promise.to]
    no_button = [name for name in dict.fromkeys(beside) if name not in buttons]
    unsaid = [name for name in dict.fromkeys(buttons) if _is_dark_function(case, name)]
    if unsaid:
        dark |= dict.fromkeys((Link.FOB, Link.SAFETY), f"what {listed(unsaid)} is for or works")
    if no_button:
        dark[Link.FOB] = f"which button of {promise.to} has {listed(no_button)}"
    if is_purpose_open(case, function) or any(_is_dark(case, output) for output in outputs):
        dark |= dict.fromkeys((Link.OUTPUT, Link.SAFETY), f"what {function} works")
    if any(not output.output.works for output in outputs):
        hung = (Link.OUTPUT, Link.CONTACT, Link.SUPPLY, Link.SAFETY)
        dark |= dict.fromkeys(hung, f"what {function} works")
    whole = (Link.FOB, Link.OUTPUT, Link.REGISTER, Link.SAFETY)
    if function not in buttons:
        dark |= dict.fromkeys(whole, f"which button of {promise.to} has {function}")
    if not outputs:
        dark |= dict.fromkeys(whole, f"by which output {function} works")
    return dark


def _is_dark_function(case: Case, name: str) -> bool:
    """Whether nobody says what a press is for, by which output, or what that works."""
    outputs = case.outputs_of(name)
    return not outputs or is_purpose_open(case, name) or any(_is_dark(case, output) for output in outputs)


def _is_dark(case: Case, output: OutputAt) -> bool:
    """Whether nobody says what an output works, or what kind of thing that is."""
    return not output.output.works or any(driven.traits.is_unsaid for driven in driven_of(case, output))
