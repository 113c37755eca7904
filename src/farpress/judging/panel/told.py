"""Judges whether the acknowledgement pulses say what happened: set from unset, an alarm that was, which
panel.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import Final

from farpress.case.case import Case, OutputAt
from farpress.case.citations import GIVEN
from farpress.case.driven import groups_of
from farpress.core.rehearsal.panels import ACKNOWLEDGED
from farpress.domain.finding import Change, Finding, Link, Remedy, Stake
from farpress.domain.refs import OutputRef, PanelRef, ReceiverRef, Ref
from farpress.judging.check import Answer, Check
from farpress.phrases import listed
from farpress.sources import Citation, Mark

__all__ = ["COUNTS_AGREE", "COUNTS_SAY_WHAT", "judge_pulses"]

COUNTS_SAY_WHAT: Final = Check(
    "PAN-10",
    Link.PANEL,
    "Acknowledgement pulses of a receiver: whether their number says what happened.",
    stake=Stake.PROMISE,
    mends="A number of pulses of its own for set, unset, and unset with an alarm cleared.",
)

COUNTS_AGREE: Final = Check(
    "PAN-11",
    Link.PANEL,
    "Acknowledgement pulses of two receivers: whether the same number means the same to who hears both.",
    stake=Stake.PROMISE,
    mends="The same numbers at both, or two that cannot be taken for each other.",
)

_COUNTS: Final = (ACKNOWLEDGED["set"], ACKNOWLEDGED["unset"], ACKNOWLEDGED["unset, alarm cleared"])
_TAKEN: Final = Citation("1 pulse set, 2 unset, 4 unset with an alarm cleared", mark=Mark.PRACTICE)
_BELIEF: Final = (
    "Whoever cannot tell believes what he hopes: left unset over a weekend, or set with somebody inside."
)
_TELL: Final = "Tell the users, and write it on their cards."


@dataclass(frozen=True)
class _Teller:
    """A receiver that acknowledges: pulses for set, unset, unset with an alarm cleared, and of which
    panels.
    """

    path: str
    counts: tuple[int, int, int]
    given: bool
    panels: tuple[str, ...]
    asking: tuple[OutputAt, ...]
    groups: frozenset[str]
    sources: tuple[Citation, ...]

    @property
    def subjects(self) -> tuple[Ref, ...]:
        return (
            *(OutputRef(output.path) for output in self.asking),
            *(PanelRef(panel) for panel in self.panels),
            ReceiverRef(self.path),
        )

    def means(self, count: int) -> str:
        return listed(
            word
            for word, number in zip(("set", "unset", "unset with an alarm cleared"), self.counts, strict=True)
            if number == count
        )


def judge_pulses(case: Case) -> Iterator[Finding]:
    """PAN-10 for each receiver that acknowledges a panel's state, PAN-11 for two of them that somebody hears
    both.
    """
    tellers = list(_tellers(case))
    for teller in tellers:
        yield _alone(teller)
    for first, second in combinations(tellers, 2):
        finding = _together(first, second)
        if finding is not None:
            yield finding


def _tellers(case: Case) -> Iterator[_Teller]:
    every = tuple(case.outputs())
    for premises, house in case.job.premises.items():
        for name, box in house.receivers.items():
            path = f"{premises}/{name}"
            part = case.equipment.receivers.get(path)
            read = [
                entry.reads.partition(".")[0]
                for entry in box.inputs.values()
                if entry.reads.partition(".")[2] == "set"
            ]
            panels = tuple(f"{premises}/{panel}" for panel in dict.fromkeys(read) if panel in house.panels)
            asking = tuple(
                output
                for output in every
                if output.receiver_path == path
                and any(f"{premises}/{works.partition('.')[0]}" in panels for works in output.works)
            )
            if part is None or part.sheet.acknowledge_within_s is None or not asking:
                continue
            if part.sheet.acknowledges_by == "nothing":
                continue
            groups = frozenset(group for output in asking for group, _ in groups_of(case, output))
            yield _Teller(
                path,
                part.sheet.acknowledge_pulses or _COUNTS,
                part.sheet.acknowledge_pulses is not None,
                panels,
                asking,
                groups,
                (
                    *part.cite("acknowledge_pulses"),
                    *(() if part.sheet.acknowledge_pulses else (_TAKEN,)),
                    GIVEN,
                ),
            )


def _alone(teller: _Teller) -> Finding:
    """PAN-10."""
    on, off, cleared = teller.counts
    said = (
        f"{teller.path} acknowledges with {_pulses(on)} for set, {off} for unset, {cleared} for unset with an"
        " alarm cleared"
    )
    premises, _, name = teller.path.partition("/")
    path = ("premises", premises, "receivers", name, "acknowledge_pulses")
    usual = Remedy(
        f"Give each its own number, as {', '.join(str(count) for count in _COUNTS)}, in the receiver and in"
        " the job.",
        "all three are told apart",
        (Change(path, list(_COUNTS)),),
    )

    def finding(answer: Answer, says: str, because: str = "", *remedies: Remedy) -> Finding:
        return COUNTS_SAY_WHAT.decide(
            about=teller.path,
            subjects=teller.subjects,
            cause=ReceiverRef(teller.path),
            answer=answer,
            says=says,
            because=because,
            remedies=remedies,
            sources=teller.sources,
        )

    if on == off:
        return finding(
            Answer.NO,
            f"{said}: set and unset sound the same.",
            f"The pulses say that something changed, not which way. {_BELIEF}",
            usual,
        )
    if on == cleared:
        return finding(
            Answer.NO,
            f"{said}: unset after an alarm sounds like set.",
            f"Whoever comes after an alarm believes the panel set while it is unset. {_BELIEF}",
            usual,
        )
    if len(teller.panels) > 1:
        lamp = Remedy(
            "Let a lamp at each panel's set output, seen from where it is pressed, say which; or acknowledge"
            " each through a receiver of its own with its own numbers."
        )
        return finding(
            Answer.BARELY,
            f"{said}, of {listed(teller.panels)} alike.",
            f"The pulses say that one of them changed, not which. {_TELL}",
            lamp,
        )
    if off == cleared:
        return finding(
            Answer.BARELY,
            f"{said}: that there was an alarm is not told.",
            "Whoever unsets after an alarm walks in unwarned: somebody may still be inside.",
            usual,
        )
    return finding(Answer.YES, f"{said}: each has its own number.")


def _together(first: _Teller, second: _Teller) -> Finding | None:
    """PAN-11; None where nobody hears both, or they mean the same at two premises."""
    both = sorted(first.groups & second.groups)
    if not both:
        return None
    about, subjects = (
        f"{first.path} and {second.path}",
        tuple(dict.fromkeys((*first.subjects, *second.subjects))),
    )
    sources = tuple(dict.fromkeys((*first.sources, *second.sources)))
    crossed = [
        (
            f"{_pulses(count)} at {first.path} mean {first.means(count)}, at {second.path}"
            f" {second.means(count)}"
            if count > 1
            else f"1 pulse at {first.path} means {first.means(1)}, at {second.path} {second.means(1)}"
        )
        for count in sorted(set(first.counts) & set(second.counts))
        if (count == first.counts[0]) != (count == second.counts[0])
    ]
    if crossed:
        same = Remedy(
            f"Give both receivers the same numbers, as {', '.join(str(count) for count in _COUNTS)}.",
            "one number means one thing wherever it is heard",
        )
        return COUNTS_AGREE.decide(
            about=about,
            answer=Answer.NO,
            says=f"{'; '.join(crossed)}.",
            because=f"Both are heard by {listed(both)}. {_BELIEF}",
            remedies=(same,),
            sources=sources,
            subjects=subjects,
        )
    shared = sorted(set(first.counts) & set(second.counts))
    near = first.path.partition("/")[0] == second.path.partition("/")[0]
    if near and shared and set(first.panels) != set(second.panels):
        says = (
            f"{first.path} of {listed(first.panels)} and {second.path} of {listed(second.panels)} acknowledge"
            f" with the same numbers, {listed(str(count) for count in shared)}."
        )
        apart = Remedy(
            "Let the two sound differently, or be out of hearing of each other; or give one of them other"
            " numbers."
        )
        return COUNTS_AGREE.decide(
            about=about,
            answer=Answer.BARELY,
            says=says,
            because=(
                f"Both are heard by {listed(both)} at one premises: the pulses do not say which panel."
                f" {_TELL}"
            ),
            remedies=(apart,),
            sources=sources,
            subjects=subjects,
        )
    if not near:
        return None
    return COUNTS_AGREE.decide(
        about=about,
        answer=Answer.YES,
        says=f"A number of pulses means the same at {first.path} and {second.path}.",
        because=f"Both are heard by {listed(both)}.",
        sources=sources,
        subjects=subjects,
    )


def _pulses(count: int) -> str:
    return f"{count} pulse{'s' if count > 1 else ''}"
