"""What goes wrong, how it shows and how it is found: plain values, read from a data file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

__all__ = ["Cause", "Complaint", "FaultBook", "FaultTest"]


@dataclass(frozen=True)
class Cause:
    """One cause.

    Attributes:
        name: its id, in words.
        says: what it is, as part of a sentence.
        prior: chance that it is behind a complaint, where nothing is known of the job.
        judged: code of a finding → chance where it holds, is thin, is open, fails.
        source: number that the program works out for this cause; empty for none.
        cure, minutes, who: what mends it, how long that takes, by whom.
        caution: subject of a sentence of caution; empty for none.
    """

    name: str
    says: str
    prior: float
    cure: str
    minutes: float
    judged: Mapping[str, tuple[float, float, float, float]] = field(default_factory=dict)
    source: str = ""
    who: str = "installer"
    caution: str = ""


@dataclass(frozen=True)
class FaultTest:
    """One test or question with two answers; "yes" is the one that points to a cause.

    Attributes:
        name: its id, in words.
        ask: what to do or to ask.
        yes, no: the two answers.
        minutes: time it takes.
        gate: 0 for anywhere, 1 if something has to be climbed or opened, 2 for another firm or a licensed
            person.
        leak: chance of "yes" without any of the causes.
        links: cause → chance that it makes the answer "yes".
        who, caution: as of a cause.
        expects: code of the finding whose number belongs beside the answer; empty for none.
        needs: asked only where the complaint may come from one of these causes; empty for any.
    """

    name: str
    ask: str
    yes: str
    no: str
    minutes: float
    leak: float
    links: Mapping[str, float]
    gate: int = 0
    who: str = "installer"
    caution: str = ""
    expects: str = ""
    needs: tuple[str, ...] = ()


@dataclass(frozen=True)
class Complaint:
    """One complaint as customers make it.

    Attributes:
        number: 1 to 35.
        says: in one sentence.
        words: other ways to say it.
        leak: chance that it comes from something not listed.
        links: cause → how surely it shows like this.
    """

    number: int
    says: str
    words: tuple[str, ...]
    leak: float
    links: Mapping[str, float]


@dataclass(frozen=True)
class FaultBook:
    """Everything known about faults; keys are the names."""

    causes: Mapping[str, Cause]
    tests: Mapping[str, FaultTest]
    complaints: Mapping[int, Complaint]
