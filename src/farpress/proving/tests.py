"""A test of the proving plan, and the plan: plain values that phone, paper and table show alike."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final, Literal

from farpress.core.proving.sequential import SequentialPlan
from farpress.domain.refs import Ref

__all__ = ["METHODS", "Method", "PressPlan", "ProvingPlan", "ProvingTest", "Who"]

Method = Literal["sequential", "fixed", "pad"]
METHODS: Final[tuple[Method, ...]] = ("sequential", "fixed", "pad")
"""Stop as soon as Wald's test allows; a fixed number without a failure; fewer presses through a pad."""

Who = Literal["installer", "licensed electrician", "competent person", "alarm company", "customer"]


@dataclass(frozen=True)
class PressPlan:
    """How many presses at one place, by each of the three methods, and what to expect.

    Attributes:
        failure_share: single presses that may be lost at most for every promise from here.
        confidence: with which this is to be shown.
        fixed: presses that must all be heard.
        with_failures: (failures, presses) of the longer plans that forgive failures.
        pad_db, pad_presses: presses through a pad that must all be heard [dB].
        sequential: Wald's plan; None where no share can be lost at all.
        mean_presses: exact mean number of the sequential plan at the predicted share.
        predicted_share: of single presses heard, by the design; None where it is open.
        margin_db, margin_sd_db, press_sd_db: predicted margin, its doubt, spread of presses [dB].
        clear_share: chance that no foreign burst covers a press.
        within, wanted_share: the strictest promise, as the belief needs it.
        method: the cheapest of the three that is likely to pass, or the one asked for.
    """

    failure_share: float
    confidence: float
    fixed: int
    with_failures: tuple[tuple[int, int], ...]
    pad_db: float
    pad_presses: int
    sequential: SequentialPlan
    mean_presses: float | None
    predicted_share: float | None
    margin_db: float | None
    margin_sd_db: float
    press_sd_db: float
    clear_share: float
    within: int
    wanted_share: float
    method: Method

    @property
    def presses(self) -> int:
        """Presses of the chosen method if none fails."""
        return {"sequential": self.sequential.first_accept, "fixed": self.fixed, "pad": self.pad_presses}[
            self.method
        ]


@dataclass(frozen=True)
class ProvingTest:
    """One test.

    Attributes:
        id: stable: what it is about, as "reach: larkfen/street to larkfen/R1".
        number: short name within this plan, as "P03".
        kind: presses are counted; a check is passed or not; a measurement gives a number.
        does: what to do, in a sentence or two.
        expected: what should be seen.
        premises: where.
        place: "premises/place" where somebody presses; empty where it does not matter.
        receiver: "premises/receiver"; empty for none.
        outputs: outputs that this test belongs to.
        promises: promises that it proves.
        subjects: as in a finding.
        who: who does it.
        required: an output is proven only with it.
        presses: for kind "presses".
        unit, low, high, predicted: of a measurement: allowed from, to, and what the design says.
        minutes: time it takes.
        caution: sentence to print with it.
        held: how the fob is held.
        because: why so, or why so many.
    """

    id: str
    number: str
    kind: Literal["presses", "check", "measure"]
    does: str
    expected: str
    premises: str
    place: str = ""
    receiver: str = ""
    outputs: tuple[str, ...] = ()
    promises: tuple[str, ...] = ()
    subjects: tuple[Ref, ...] = ()
    who: Who = "installer"
    required: bool = True
    presses: PressPlan | None = None
    unit: str = ""
    low: float | None = None
    high: float | None = None
    predicted: float | None = None
    minutes: float = 1.0
    caution: str = ""
    held: str = ""
    because: str = ""


@dataclass(frozen=True)
class ProvingPlan:
    """All tests of a job in the order of walking.

    Attributes:
        job: name of the job.
        confidence: with which failures are to be shown rare.
        tests: in the order in which they are done.
        cautions: sentences for the head of the plan.
    """

    job: str
    confidence: float
    tests: tuple[ProvingTest, ...]
    cautions: tuple[str, ...] = field(default=())

    @property
    def minutes(self) -> float:
        """Time of all tests together."""
        return sum(test.minutes for test in self.tests)

    def find(self, name: str) -> ProvingTest | None:
        """A test by its number or its id; None where there is none."""
        wanted = name.strip().casefold()
        short = wanted[:1] + wanted[1:].lstrip("0")
        return next(
            (
                test
                for test in self.tests
                if wanted == test.id.casefold()
                or short == (test.number[:1] + test.number[1:].lstrip("0")).casefold()
            ),
            None,
        )
