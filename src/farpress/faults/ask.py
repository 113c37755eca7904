"""From a complaint to its cause: chances from this job, the next best test, cause, cure and an entry.

Chances are chances: a test says more than any of them. Nothing here replaces the service of
a drive, a panel or an installation by whoever is licensed or competent for it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import TYPE_CHECKING, Final

from farpress.case.case import Case
from farpress.catalogue.faults import FAULT_CHANCES, load_faults
from farpress.core.faults.network import CauseBelief, FaultNetwork, Observation, believe
from farpress.core.faults.next_test import RankedTest, advise, ranked_tests
from farpress.domain.cautions import CAUTIONS, LOCAL_CODES
from farpress.domain.fault import Cause, Complaint, FaultTest
from farpress.domain.finding import Finding
from farpress.domain.register import FobRegister
from farpress.errors import InputError
from farpress.faults.noise_diary import Diary
from farpress.faults.priors import NOTHING_KNOWN, About, Prior, concerned, outputs_about, priors_of
from farpress.faults.words import Match, match_complaint
from farpress.judging.assess import assess
from farpress.sources import Citation

if TYPE_CHECKING:
    pass

__all__ = ["About", "FaultHunt", "Match", "RankedCause", "Step", "match_complaint", "open_hunt"]

CHECK_MIN: Final = 1.5
"""To try after a cure whether the complaint has gone; our choice."""

LOST_MIN: Final = 90.0
"""What a second visit costs; our choice, road included."""

HIGH_M: Final = 2.6
"""A receiver mounted higher than this needs a ladder; our choice."""

_COMPLAINT: Final = "complaint"


@dataclass(frozen=True)
class RankedCause:
    """One cause with its chance now.

    Attributes:
        cause: the cause.
        chance: now, after the answers.
        before: beforehand, on this job.
        because: what of this job made it likely beforehand.
        remedy: what the program computed as a remedy, in words; empty for none.
    """

    cause: Cause
    chance: float
    before: float
    because: tuple[str, ...] = ()
    remedy: str = ""


@dataclass(frozen=True)
class Step:
    """What to do next: a test, a cure, or to give up and say so.

    Attributes:
        kind: "test", "cure" or "end".
        test: the test; None otherwise.
        cause: the cause to cure; None otherwise.
        says: what to do, in a sentence.
        expect: what the design says about it, so that measured stands beside predicted; empty for nothing.
        because: why this one: bits per minute, or the minutes it saves.
        cautions: sentences to print.
    """

    kind: str
    test: FaultTest | None
    cause: Cause | None
    says: str
    expect: str = ""
    because: str = ""
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True)
class FaultHunt:
    """One complaint being followed; a value, every answer makes a new one.

    Attributes:
        complaint: which.
        about: what it is about.
        priors: cause → chance beforehand, with its reasons.
        network: the causes and tests of this complaint.
        tests: test → its words.
        gates: test → 0 anywhere, 1 opened or climbed, 2 another firm or a licensed person.
        findings: of the assessment that concern it.
        answers: test → True for the answer that points to a cause.
        cured: causes that were cured and did not help.
    """

    complaint: Complaint
    about: About
    priors: Mapping[str, Prior]
    network: FaultNetwork = field(repr=False)
    tests: Mapping[str, FaultTest] = field(repr=False)
    gates: Mapping[str, int] = field(repr=False)
    findings: tuple[Finding, ...] = field(default=(), repr=False)
    answers: Mapping[str, bool] = field(default_factory=dict)
    cured: tuple[str, ...] = ()

    @property
    def sources(self) -> tuple[Citation, ...]:
        """Where the chances come from."""
        return tuple(
            dict.fromkeys(
                [
                    FAULT_CHANCES,
                    *(
                        source
                        for prior in self.priors.values()
                        if prior.finding is not None
                        for source in prior.finding.sources
                    ),
                ]
            )
        )

    def belief(self) -> CauseBelief:
        """What is known now.

        Raises:
            InputError: answers that cannot come together.
        """
        return believe(network=self.network, answers={_COMPLAINT: True, **self.answers}, absent=self.cured)

    def causes(self) -> tuple[RankedCause, ...]:
        """Every cause left, the likeliest first."""
        found = []
        for name, chance in self.belief().causes.items():
            if name not in self.cured:
                prior = self.priors[name]
                remedy = (
                    prior.finding.remedies[0]
                    if prior.finding is not None and prior.finding.remedies and prior.because
                    else None
                )
                words = (
                    f"{remedy.does}{f': {remedy.effect}' if remedy.effect else ''}"
                    if remedy is not None
                    else ""
                )
                found.append(RankedCause(prior.cause, chance, prior.chance, prior.because, words))
        return tuple(found)

    def ranked(self) -> tuple[RankedTest, ...]:
        """Every test left, those that need neither ladder nor another firm first, the most telling per minute
        first.
        """
        return ranked_tests(belief=self.belief(), done=(_COMPLAINT, *self.answers), gates=self.gates)

    def step(self) -> Step:
        """The next best thing to do."""
        cures = {name: prior.cause.minutes for name, prior in self.priors.items() if name not in self.cured}
        advice = advise(
            network=self.network,
            complaint=_COMPLAINT,
            answers={_COMPLAINT: True, **self.answers},
            absent=self.cured,
            cures=cures,
            gates=self.gates,
            check_minutes=CHECK_MIN,
            lost_minutes=LOST_MIN,
        )
        belief = self.belief()
        if not advice.cure or (belief.none_share > 0.8 and not advice.test):
            says = (
                "None of the known causes is likely any more. Write down what was found, take the function"
                " out of use if it can hurt somebody, and ask somebody else to look."
            )
            return Step(
                "end",
                None,
                None,
                says,
                because=f"{belief.none_share:.0%} for something that is not in the list.",
            )
        if advice.test:
            test = self.tests[advice.test]
            ranked = next(ranked for ranked in advice.tests if ranked.name == advice.test)
            saved = advice.minutes_now - advice.minutes_after_test
            because = f"{ranked.bit:.2f} bit in {test.minutes:g} min" + (
                f"; saves {saved:.0f} of {advice.minutes_now:.0f} minutes expected."
                if saved >= 1.0
                else ", the most for its time."
            )
            gate = {
                0: "",
                1: " Something has to be opened or climbed.",
                2: f" By the {test.who}." if test.who != "installer" else "",
            }[min(self.gates.get(test.name, 0), 2)]
            return Step(
                "test",
                test,
                None,
                f"{test.ask}.{gate}" if not test.ask.endswith("?") else f"{test.ask}{gate}",
                self._expected(test),
                because,
                _cautions(test.caution),
            )
        cause = self.priors[advice.cure].cause
        who = f" By the {cause.who}." if cause.who != "installer" else ""
        because = (
            f"{belief.causes[cause.name]:.0%} likely; trying it takes {cause.minutes:g} min, and no test left"
            " saves more than it takes."
        )
        return Step(
            "cure", None, cause, f"{cause.cure}.{who}", because=because, cautions=_cautions(cause.caution)
        )

    def _expected(self, test: FaultTest) -> str:
        """What the design says about a test."""
        found = [finding for finding in self.findings if finding.code == test.expects]
        return max(found, key=lambda finding: (finding.verdict.rank, finding.key)).says if found else ""

    def answer(self, test: str, points_to_a_cause: bool) -> FaultHunt:
        """The hunt after one more answer.

        Args:
            test: name of the test.
            points_to_a_cause: True for its "yes" answer.

        Raises:
            InputError: no such test, or an answer that cannot come together with the others.
        """
        if test not in self.tests:
            raise InputError(
                f"there is no test '{test}' for this complaint; there are {', '.join(self.tests)}"
            )
        after = replace(self, answers={**self.answers, test: points_to_a_cause})
        after.belief()
        return after

    def without(self, test: str) -> FaultHunt:
        """The hunt as if a test could not be done."""
        kept = {
            name: observation
            for name, observation in self.network.observations.items()
            if name != test or name in self.answers
        }
        return replace(
            self,
            network=FaultNetwork(self.network.priors, kept),
            tests={name: test for name, test in self.tests.items() if name in kept},
        )

    def cure_failed(self, cause: str) -> FaultHunt:
        """The hunt after a cure that did not help.

        Raises:
            InputError: no such cause, or nothing is left that could be it.
        """
        if cause not in self.priors:
            raise InputError(
                f"there is no cause '{cause}' for this complaint; there are {', '.join(self.priors)}"
            )
        after = replace(self, cured=(*self.cured, cause))
        after.belief()
        return after


def open_hunt(
    case: Case,
    complaint: Complaint,
    about: About = NOTHING_KNOWN,
    *,
    findings: Sequence[Finding] | None = None,
    register: FobRegister | None = None,
    today: date | None = None,
    diary: Diary | None = None,
) -> FaultHunt:
    """Begin to follow a complaint on a job.

    Args:
        case: the job.
        complaint: which of the known complaints, see `match_complaint`.
        about: function, group, place, premises, fob, as far as they are known.
        findings: of an assessment made already; None judges the job.
        register: who holds which fob; None for none.
        today: for ages of cells and batteries; None leaves them out.
        diary: what the noise diary shows; None for none.

    Raises:
        InputError: a function, group, place or premises that the job does not have.
    """
    _check(case, about)
    book = load_faults()
    judged = tuple(assess(case).findings if findings is None else findings)
    priors = priors_of(
        case,
        [book.causes[name] for name in complaint.links],
        judged,
        about,
        register=register,
        today=today,
        diary=diary,
    )
    own = set(complaint.links)
    tests = {
        name: test
        for name, test in book.tests.items()
        if own & set(test.links) and (not test.needs or own & set(test.needs))
    }
    observations = {_COMPLAINT: Observation(_COMPLAINT, complaint.leak, complaint.links)}
    for name, test in tests.items():
        observations[name] = Observation(
            name, test.leak, {cause: link for cause, link in test.links.items() if cause in own}, test.minutes
        )
    network = FaultNetwork({name: prior.chance for name, prior in priors.items()}, observations)
    return FaultHunt(
        complaint,
        about,
        priors,
        network,
        tests,
        _gates(case, tests, about),
        tuple(concerned(case, judged, about)),
    )


def _check(case: Case, about: About) -> None:
    wrong = [
        f"there is no {kind} '{name}'; there are {', '.join(known) or 'none'}"
        for kind, name, known in (
            ("function", about.function, list(case.job.functions)),
            ("group", about.group, list(case.job.groups)),
            ("premises", about.premises, list(case.job.premises)),
        )
        if name and name not in known
    ]
    places = [
        f"{premises}/{place}" for premises, house in case.job.premises.items() for place in house.places
    ]
    if about.place and not any(about.place in (path, path.partition("/")[2]) for path in places):
        wrong.append(
            f"there is no place '{about.place}'; there are"
            f" {', '.join(path.partition('/')[2] for path in places)}"
        )
    if wrong:
        raise InputError("; ".join(wrong))


def _gates(case: Case, tests: Mapping[str, FaultTest], about: About) -> dict[str, int]:
    """A test at a receiver that hangs high needs a ladder: it comes after those that only need a lid
    opened.
    """
    high = any(
        len(output.box.at) == 3
        and output.box.at[2] - _floor_m(output.house.levels, output.box.level) > HIGH_M
        for output in outputs_about(case, about)
    )
    return {
        name: test.gate + (1 if high and test.gate == 1 else 0) for name, test in tests.items() if test.gate
    }


def _floor_m(levels: Mapping[str, object], name: str | None) -> float:
    level = levels.get(name or "")
    return float(getattr(level, "floor_m", 0.0))


def _cautions(subject: str) -> tuple[str, ...]:
    return (f"{CAUTIONS[subject]} {LOCAL_CODES}",) if subject in CAUTIONS else ()
