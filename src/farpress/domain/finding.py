"""A finding: one link of one promise (or one rule, cable, person) judged once.

Every screen, table, page and paper shows findings; nothing is judged twice.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property

from farpress.domain.refs import PlanRef, Ref, RuleRef
from farpress.sources import Citation

__all__ = [
    "Ask",
    "Assessment",
    "Chain",
    "ChainLink",
    "Change",
    "Finding",
    "Link",
    "Remedy",
    "Stake",
    "Verdict",
    "Who",
    "worst",
]


class Verdict(StrEnum):
    """How a finding turned out; drawn as a solid, thin, broken or dashed link."""

    HOLDS = "holds"
    THIN = "thin"
    UNKNOWN = "unknown"
    FAILS = "fails"

    @property
    def rank(self) -> int:
        """0 for the best to 3 for the worst; `unknown` lies between thin and fails."""
        return _RANKS[self]


_RANKS = {verdict: number for number, verdict in enumerate(Verdict)}


class Link(StrEnum):
    """The links between the thumb and the moving leaf, in that order, then the rules."""

    FOB = "fob"
    AIR = "air"
    RECEIVER = "receiver"
    OUTPUT = "output"
    CONTACT = "contact"
    SUPPLY = "supply"
    DEVICE = "device"
    PANEL = "panel"
    REGISTER = "register"
    RULE = "rule"
    SAFETY = "safety"


class Stake(StrEnum):
    """What is at stake if a finding fails; the first page is sorted by it, the gravest first."""

    HARM = "harm"
    PROMISE = "promise"
    WEAR = "wear"
    DUTY = "duty"

    @property
    def says(self) -> str:
        """In words, for people."""
        return _STAKES[self]

    @property
    def rank(self) -> int:
        """0 for the gravest to 3."""
        return list(Stake).index(self)


_STAKES = {
    Stake.HARM: "somebody can be hurt, nobody gets out, or the law forbids it",
    Stake.PROMISE: "it will not work as promised",
    Stake.WEAR: "it works today, but not for its years",
    Stake.DUTY: "papers, data or the insurer",
}


class Who(StrEnum):
    """Who or what can answer a question."""

    LABEL = "the label or data sheet"
    METER = "a meter on site"
    CUSTOMER = "the customer"
    LICENSED = "a licensed electrician"
    ALARM_COMPANY = "the alarm company"
    INSTALLER = "whoever installs it"


@dataclass(frozen=True)
class Ask:
    """A question whose answer is missing: asked once, however many findings wait for it.

    Attributes:
        says: what to find out, as an instruction in one sentence.
        who: who or what can say it.
        minutes: how long it takes.
    """

    says: str
    who: Who = Who.LABEL
    minutes: float = 3.0


@dataclass(frozen=True)
class Change:
    """One edit of the job file that a remedy consists of.

    Attributes:
        path: keys that lead to the value, as ("premises", "larkfen", "receivers", "R1").
        value: what to write there, as it stands in a job file; None removes it.
    """

    path: tuple[str | int, ...]
    value: object


@dataclass(frozen=True)
class Remedy:
    """What would mend it, computed: an action, its effect in numbers, its edit if any."""

    does: str
    effect: str = ""
    changes: tuple[Change, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Finding:
    """One judgement, as `judging.check.Check` makes it; nobody else does.

    Attributes:
        code: stable code of its check, as "AIR-01"; has a page of its own.
        link: which link of the chain it is about.
        verdict: holds, thin, unknown or fails.
        about: what is judged, for eyes: "larkfen/R1/1" or "family: open gate from street".
        says: the judgement in one sentence, numbers and units included.
        because: why: the reasoning in a sentence or two.
        value, limit: the number and what it is held against, in `unit`; None if unknown.
        unit: unit of value, limit and margin.
        margin: how far on the good side (positive) or bad side (negative), in `unit`.
        doubt: standard uncertainty of the margin, in `unit`; None where none is known.
        remedies: what would mend it, the most effective first.
        asks: what is not known yet.
        sources: where the numbers come from.
        subjects: outputs, devices, places, groups it touches, for look-up.
        cause: the one thing whose change would mend it.
        stake: what is at stake if it fails.
        bars: it fails, and nobody may accept it.
        halts: it is not known, and nothing goes into service before it is.
        advice: its limit is good habit, not need; the worst word is then thin.
    """

    code: str
    link: Link
    verdict: Verdict
    about: str
    says: str
    because: str = ""
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    margin: float | None = None
    doubt: float | None = None
    remedies: tuple[Remedy, ...] = ()
    sources: tuple[Citation, ...] = ()
    subjects: tuple[Ref, ...] = ()
    asks: tuple[Ask, ...] = ()
    cause: Ref | None = None
    stake: Stake = Stake.PROMISE
    bars: bool = False
    halts: bool = False
    advice: bool = False

    @property
    def key(self) -> str:
        """For sorting and for eyes: code and what it is about."""
        return f"{self.code} {self.about}"

    @property
    def identity(self) -> tuple[str, frozenset[Ref]]:
        """Unique within an assessment: code and subjects."""
        return self.code, frozenset(self.subjects)

    @cached_property
    def fault_key(self) -> str:
        """One fault, the same before and after a change: its check and what it is about."""
        return f"{self.code} {' '.join(sorted(subject.tag for subject in self.subjects))}"

    @cached_property
    def named(self) -> Mapping[str, frozenset[str]]:
        """What it names, kind of subject → names; plans and rules only tell findings apart."""
        found: dict[str, set[str]] = {}
        for subject in self.subjects:
            if not isinstance(subject, PlanRef | RuleRef):
                found.setdefault(subject.kind, set()).add(subject.path)
        return {kind: frozenset(names) for kind, names in found.items()}

    def touches(self, *refs: Ref) -> bool:
        """Whether it is about any of these."""
        return not set(refs).isdisjoint(self.subjects)


@dataclass(frozen=True)
class ChainLink:
    """One link of one promise: its findings and the worst verdict among them."""

    link: Link
    verdict: Verdict
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class Chain:
    """One promise judged from thumb to moving leaf.

    Attributes:
        id: stable name, as "family: open gate from street".
        says: the promise in words.
        importance: "must" or "should".
        links: in the order of the chain.
        group, function, place: to whom, what, from where.
    """

    id: str
    says: str
    importance: str
    links: tuple[ChainLink, ...]
    group: str = ""
    function: str = ""
    place: str = ""

    @property
    def verdict(self) -> Verdict:
        """The worst verdict of all links; unknown where no link could be judged."""
        return worst(link.verdict for link in self.links) if self.links else Verdict.UNKNOWN

    @property
    def weakest(self) -> Finding | None:
        """The finding that decides: worst verdict first, then least relative margin."""
        findings = [finding for link in self.links for finding in link.findings]
        return min(findings, key=_weakness, default=None)


@dataclass(frozen=True)
class Assessment:
    """A job judged: a value, the same for the same job, record and version.

    Attributes:
        job: its name.
        fingerprint: of the job file.
        version: of the program.
        findings: every judgement.
        promises: each with the findings that concern it.
        words: what the customer calls a rule, where the job file says so.
    """

    job: str
    fingerprint: str
    version: str
    findings: tuple[Finding, ...]
    promises: tuple[Chain, ...]
    words: dict[Ref, str] = field(default_factory=dict)

    @property
    def verdict(self) -> Verdict:
        """The worst verdict of all findings."""
        return worst(finding.verdict for finding in self.findings)

    @property
    def sources(self) -> tuple[Citation, ...]:
        """Every citation used, sorted, each once."""
        return tuple(sorted({source for finding in self.findings for source in finding.sources}))


def worst(verdicts: Iterable[Verdict]) -> Verdict:
    """The worst of several verdicts; `holds` when there are none."""
    return max(verdicts, key=lambda verdict: verdict.rank, default=Verdict.HOLDS)


def _weakness(finding: Finding) -> tuple[int, float, str]:
    if finding.margin is None:
        relative = 0.0
    elif finding.doubt:
        relative = finding.margin / finding.doubt
    else:
        relative = finding.margin / abs(finding.limit) if finding.limit else finding.margin
    return (-finding.verdict.rank, relative, finding.key)
