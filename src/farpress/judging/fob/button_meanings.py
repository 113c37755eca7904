"""What one button means in different places: letting in here and barring there."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from farpress.case.access import opens
from farpress.case.case import Case, OutputAt
from farpress.case.citations import PRACTICE
from farpress.case.driven import Driven, driven_of, goes_back
from farpress.domain.finding import Finding, Link, Remedy, Stake
from farpress.domain.job import Button, Group
from farpress.domain.refs import FunctionRef, GroupRef, Ref
from farpress.judging.check import Answer, Check

__all__ = ["ONE_MEANING", "judge"]

ONE_MEANING: Final = Check(
    "FOB-20",
    Link.FOB,
    "One button that opens in one place and bars the way in another: whoever is in a hurry presses the"
    " wrong one.",
    stake=Stake.HARM,
    mends="One button that always lets in, at every place, and another that always bars.",
)


def judge(case: Case) -> Iterator[Finding]:
    """FOB-20 of each button with such a pair of functions."""
    for name, group in case.job.groups.items():
        for number, functions in _presses(group):
            pair = _pair(case, functions)
            if pair is not None:
                yield _two_meanings(name, number, *pair)


def _presses(group: Group) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Each button, and the functions of one length of press of it."""
    for number, button in group.buttons.items():
        if isinstance(button, Button):
            for learned, length in ((button.short, "short"), (button.long, "long")):
                if isinstance(learned, tuple):
                    yield f"{number} ({length})", learned
        elif isinstance(button, tuple):
            yield number, button


def _bars(output: OutputAt, driven: Driven) -> bool:
    """Whether a press of this output shuts the way for somebody who comes or stands in it."""
    if not driven.traits.lets_in or not driven.traits.moves:
        return False
    lets_go = output.output.contact == "normally closed" and goes_back(driven)
    return lets_go or driven.logic in ("close", driven.traits.shutting_way)


def _lets_in(output: OutputAt, driven: Driven) -> bool:
    """Whether a press opens it; one that feeds a magnet locks."""
    is_locking = driven.traits.is_magnet and output.output.contact == "normally open"
    return opens(driven) and not is_locking and not _bars(output, driven)


_Use = tuple[str, OutputAt, Driven]


def _pair(case: Case, functions: tuple[str, ...]) -> tuple[_Use, _Use] | None:
    """A use that lets in and one that bars at another thing; those at two receivers first."""
    uses = [
        (name, output, driven)
        for name in functions
        for output in case.outputs_of(name)
        for driven in driven_of(case, output)
    ]
    pairs = [
        (lets, shuts)
        for lets in uses
        for shuts in uses
        if lets[2].path != shuts[2].path and _lets_in(lets[1], lets[2]) and _bars(shuts[1], shuts[2])
    ]
    return max(pairs, key=lambda pair: _is_apart(*pair), default=None)


def _is_apart(lets: _Use, shuts: _Use) -> bool:
    return lets[1].receiver_path != shuts[1].receiver_path


def _two_meanings(group: str, number: str, lets: _Use, shuts: _Use) -> Finding:
    is_apart = _is_apart(lets, shuts)
    refs: tuple[Ref, ...] = (GroupRef(group), FunctionRef(lets[0]), FunctionRef(shuts[0]))
    return ONE_MEANING.decide(
        about=f"{group}: button {number}",
        subjects=refs,
        answer=Answer.NO if is_apart else Answer.BARELY,
        says=f"Button {number} of {group} lets in at {lets[2].path.split('/')[1]} ('{lets[0]}') and bars"
        " the way"
        f" at {shuts[2].path.split('/')[1]} ('{shuts[0]}').",
        because="Whoever presses to be let in bars the way, and strikes what stands in it."
        + ("" if is_apart else " Both hang on one receiver, and may be meant together."),
        remedies=(
            Remedy("The same button lets in everywhere; another one bars, and is labelled so"),
            Remedy("Learn each fob only where its holder needs it"),
        ),
        sources=(PRACTICE,),
        cause=GroupRef(group),
    )
