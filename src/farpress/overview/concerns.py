"""Findings brought together by what has to change: one concern for people, however many things it touches.

Findings of one check are one concern, unless they hang on a few different receivers, or want changes of a
different kind. Points of different checks are one where the same change mends both, or where they have the
same causes and are matters of one trade: a thin cable is not mended with the program of the output that it
leads to.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from farpress.domain.finding import Chain, Finding, Link, Remedy, Stake
from farpress.domain.refs import DeviceRef, FunctionRef, PanelRef, ReceiverRef, Ref, RuleRef, ZoneRef, refs_of
from farpress.overview.headlines import figures, headline
from farpress.overview.questions import questions_of
from farpress.phrases import called, in_one, listed

__all__ = ["Concern", "concerns_of", "spoken_of"]

_HOSTS: Final = 3
"""A check that fails at more receivers than these is one concern for all of them; our choice."""

_MANY_THINGS: Final = (PanelRef,)
"""Causes that stand for so much that sharing one says nothing: a panel has loops, outputs and areas."""

_TRADES: Final = {
    **dict.fromkeys((Link.FOB, Link.OUTPUT, Link.DEVICE, Link.PANEL, Link.RULE, Link.SAFETY), Link.OUTPUT),
    Link.RECEIVER: Link.AIR,
}
"""Links that are one trade with another: what a press means, and the radio; every other one is its own."""

_WORK: Final = {
    **dict.fromkeys(("SUP-01", "SUP-05", "SUP-07", "SUP-13"), "a thicker or better fused cable"),
    **dict.fromkeys(("SUP-03", "SUP-10", "SUP-11", "SUP-14"), "a stronger supply"),
    **dict.fromkeys(("SUP-04", "SUP-08", "SUP-30"), "another battery"),
    **dict.fromkeys(("SUP-02", "SUP-06", "SUP-09"), "another kind of supply"),
}
"""Checks of supplies and cables that the same work mends; the other ones are mended link by link."""


@dataclass(frozen=True)
class Concern:
    """One thing to stop, to mend or to watch.

    Attributes:
        findings: those it consists of, the gravest check first.
        promises: ids of the promises that wait for it.
        functions: functions of these promises, in the customer's words.
        words: what the customer calls a rule.
        number: on the page; 0 where it has none.
        first_about: functions and things that its gravest check is about.
    """

    findings: tuple[Finding, ...]
    promises: tuple[str, ...]
    functions: tuple[str, ...]
    words: Mapping[Ref, str]
    number: int = 0
    first_about: tuple[str, ...] = ()

    @property
    def key(self) -> str:
        """For sorting."""
        return self.findings[0].key

    @property
    def codes(self) -> tuple[str, ...]:
        """Checks that fail, the gravest first."""
        return tuple(dict.fromkeys(finding.code for finding in self.findings))

    @property
    def barred(self) -> bool:
        """Whether nobody may accept it."""
        return any(finding.bars for finding in self.findings)

    @property
    def stops(self) -> bool:
        """Whether somebody can be hurt by it, or nobody may accept it."""
        return self.barred or self.stake is Stake.HARM

    @property
    def stake(self) -> Stake:
        """The gravest of its findings."""
        return min((finding.stake for finding in self.findings), key=lambda stake: stake.rank)

    @property
    def causes(self) -> tuple[Ref, ...]:
        """What would have to change."""
        return tuple(dict.fromkeys(finding.cause for finding in self.findings if finding.cause is not None))

    @property
    def things(self) -> tuple[str, ...]:
        """Zones, or else devices and panels, it is about, by their names."""
        return tuple(dict.fromkeys(name for finding in self.findings for name in _things(finding)))

    @property
    def names(self) -> tuple[str, ...]:
        """What the customer knows it by: what its gravest check is about before the other functions, else
        things, else what would have to change.
        """
        causes = tuple(f"rule {ref}" if isinstance(ref, RuleRef) else str(ref) for ref in self.causes)
        return tuple(dict.fromkeys((*self.first_about, *self.functions))) or self.things or causes

    def advice(self, *, with_effect: bool = True) -> str:
        """What mends its gravest check, and whether other findings of it need another change."""
        if self.findings[0].halts:
            return questions_of(self.of_code(self.codes[0]))[0].says
        chosen = next(((code, found[0]) for code in self.codes if (found := self._firsts(code))), None)
        if chosen is None:
            return ""
        code, remedy = chosen
        deeds = tuple(dict.fromkeys(other.does for other in self._firsts(code)))
        together = in_one(deeds)
        does = (together or remedy.does).rstrip(".")
        is_told = with_effect and bool(remedy.effect) and (together is None or len(deeds) == 1)
        sentence = f"{does}: {remedy.effect}." if is_told else f"{does}."
        return sentence if together else f"{sentence} The others differ."

    def _firsts(self, code: str) -> list[Remedy]:
        return [finding.remedies[0] for finding in self.of_code(code) if finding.remedies]

    def of_code(self, code: str) -> tuple[Finding, ...]:
        """Its findings of one check."""
        return tuple(finding for finding in self.findings if finding.code == code)

    def says(self, code: str) -> str:
        """One check in a few words with its figures: "too few volts arrive: 9.97 V, needs 10.2"."""
        found = self.of_code(code)
        rules = [
            self.words[rule] for f in found for rule in refs_of(RuleRef, f.subjects) if rule in self.words
        ]
        name = f"“{rules[0]}”" if rules else headline(code)
        if found and found[0].halts:
            return f"not ruled out: {name}"
        numbers = figures(found)
        return f"{name}: {numbers}" if numbers else name

    @property
    def told(self) -> tuple[str, ...]:
        """All its checks in a few words, each once, the gravest first."""
        return tuple(dict.fromkeys(self.says(code) for code in self.codes))

    @property
    def harmful(self) -> int:
        """How many of these, from the first on, can hurt somebody."""
        grave = {finding.code for finding in self.findings if finding.stake is Stake.HARM}
        texts = {self.says(code) for code in grave}
        return next((n for n, text in enumerate(self.told) if text not in texts), len(self.told))

    def numbered(self, number: int) -> Concern:
        """The same with its number on the page."""
        return replace(self, number=number)


def concerns_of(
    findings: Iterable[Finding],
    chains: Sequence[Chain],
    words: Mapping[Ref, str],
    *,
    by_remedy: bool = True,
    by_cause: bool = True,
) -> tuple[Concern, ...]:
    """Bring findings together.

    Args:
        findings: of one verdict.
        chains: the promises, to say which of them wait.
        words: what the customer calls a rule.
        by_remedy: bring different checks together where the same change, or answer, settles both.
        by_cause: and where they have the same causes, whatever their remedies.
    """
    found = tuple(findings)
    alike = _split(found, lambda finding: (finding.code, _host(finding)))
    hosts = Counter(group[0].code for group in alike)
    deeds: dict[str, set[str]] = {}
    for finding in found:
        deeds.setdefault(finding.code, set()).update({_deed_kind(finding)} - {""})
    groups = _split(
        found,
        lambda f: (
            f.code,
            _host(f) if hosts[f.code] <= _HOSTS else None,
            _deed_kind(f) if len(deeds[f.code]) > 1 else "",
        ),
    )
    if by_remedy:
        groups = _mended_together(groups, by_cause=by_cause)
    return tuple(_concern(group, chains, words) for group in groups)


def _split(findings: Iterable[Finding], key: Callable[[Finding], Hashable]) -> list[list[Finding]]:
    groups: dict[Hashable, list[Finding]] = {}
    for finding in findings:
        groups.setdefault(key(finding), []).append(finding)
    return list(groups.values())


def _host(finding: Finding) -> Ref | None:
    """What equal findings must share to be one concern: a receiver; everything else goes together."""
    return finding.cause if isinstance(finding.cause, ReceiverRef) else None


def _things(finding: Finding) -> list[str]:
    zones = refs_of(ZoneRef, finding.subjects)
    if zones:
        return [called("zone", zone.path.rpartition("/")[2]) for zone in zones]
    return [ref.name for ref in (*refs_of(DeviceRef, finding.subjects), *refs_of(PanelRef, finding.subjects))]


def _deed_kind(finding: Finding) -> str:
    """What has to be done, without the names and figures of this case: its first word."""
    return next(iter(finding.remedies[0].does.split()), "") if finding.remedies else ""


def _mended_together(groups: list[list[Finding]], *, by_cause: bool) -> list[list[Finding]]:
    """Groups joined that have the same causes, or whose first remedy is the same at the same thing."""
    joined: list[list[Finding]] = []
    for group in groups:
        home = next((other for other in joined if _linked(other, group, by_cause=by_cause)), None)
        if home is None:
            joined.append(list(group))
        else:
            home.extend(group)
    return joined if len(joined) == len(groups) else _mended_together(joined, by_cause=by_cause)


def _linked(group: list[Finding], other: list[Finding], *, by_cause: bool) -> bool:
    causes, others = ({finding.cause for finding in part} - {None} for part in (group, other))
    telling = not any(isinstance(cause, _MANY_THINGS) for cause in causes)
    if by_cause and causes and others and telling and _trade(group) == _trade(other):
        if causes == others:
            return True
        # what fails at one of several cables is mended in the same visit
        if group[0].code in _WORK and (causes < others or others < causes):
            return True
    actions, deeds = ({f.remedies[0].does for f in part if f.remedies} for part in (group, other))
    if not actions & deeds:
        return False
    here, there = ({ref for f in part for ref in refs_of(DeviceRef, f.subjects)} for part in (group, other))
    return bool(causes & others) or bool(here & there)


def _trade(group: Sequence[Finding]) -> Link | str:
    return _WORK.get(group[0].code) or _TRADES.get(group[0].link, group[0].link)


def _concern(group: list[Finding], chains: Sequence[Chain], words: Mapping[Ref, str]) -> Concern:
    keys = {finding.key for finding in group}
    waiting = [chain for chain in chains if any(f.key in keys for link in chain.links for f in link.findings)]
    functions = [chain.function for chain in waiting] or [
        ref.path for finding in group for ref in refs_of(FunctionRef, finding.subjects)
    ]
    ordered = sorted(group, key=lambda f: (not f.bars, f.stake.rank, f.code, f.about))
    return Concern(
        tuple(ordered),
        tuple(chain.id for chain in waiting),
        tuple(name for name in dict.fromkeys(functions) if name),
        words,
        first_about=_about_first(ordered, waiting),
    )


def spoken_of(finding: Finding, chains: Sequence[Chain]) -> str:
    """What a finding is about, as people speak of it: functions, else things, else as the job file has it."""
    waiting = [
        chain for chain in chains if any(f.key == finding.key for link in chain.links for f in link.findings)
    ]
    names = _about_first((finding,), waiting)
    return listed(names) if names else finding.about


def _about_first(ordered: Sequence[Finding], waiting: Sequence[Chain]) -> tuple[str, ...]:
    """Of the gravest check: functions of the promises that wait for it; where none waits its functions, else
    things that no function stands for yet.
    """
    first = [finding for finding in ordered if finding.code == ordered[0].code]
    keys = {finding.key for finding in first}
    held = {f.key for chain in waiting for link in chain.links for f in link.findings}
    told = {ref for f in ordered if f.key in held for ref in refs_of(DeviceRef, f.subjects)}
    names = [
        chain.function
        for chain in waiting
        if any(f.key in keys for link in chain.links for f in link.findings)
    ]
    for finding in first:
        if finding.key not in held:
            functions = [ref.path for ref in refs_of(FunctionRef, finding.subjects)]
            names += functions or [
                ref.name for ref in refs_of(DeviceRef, finding.subjects) if ref not in told
            ]
    return tuple(name for name in dict.fromkeys(names) if name)
