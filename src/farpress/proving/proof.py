"""What the trials have shown: each test's verdict, each output's state, measured beside predicted.

An output stays "not proven" until every test it needs is proven; a prediction never proves
anything. Trials that were sent twice count once.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias

from farpress.case.case import Case, promise_id
from farpress.core.proving.attenuated import PadResult, margin_fit, pad_share
from farpress.core.proving.evidence import margin_belief
from farpress.core.proving.failure_share import failure_share_interval, failure_share_upper
from farpress.core.proving.sequential import SequentialState
from farpress.domain.acts import CheckDone, ReadingTaken, TrialDone
from farpress.domain.event import Event, happened
from farpress.phrases import plural
from farpress.proving.plan import PAD_SPREAD_DB, proving_plan
from farpress.proving.tests import PressPlan, ProvingPlan, ProvingTest

__all__ = ["OutputProof", "Proof", "TestProof", "proof_of", "proven_tests", "test_proof"]


Result: TypeAlias = tuple[str, TrialDone | CheckDone | ReadingTaken]
"""A result of a test, and the moment it was entered."""


class Proof(StrEnum):
    """How far something is proven; a paper prints the word."""

    PROVEN = "proven"
    STARTED = "started"
    NOT_PROVEN = "not proven"
    REFUTED = "refuted"


@dataclass(frozen=True)
class TestProof:
    """What one test has shown.

    Attributes:
        test: the test.
        proof: proven, started (evidence, but not enough), not proven (none yet), refuted.
        says: in a sentence, with numbers.
        predicted, measured: side by side, in words; empty where there is nothing.
        tries, failures: of presses without a pad.
        low_share, high_share: exact two-sided limits of failures for a fixed number; None otherwise.
        more_presses: how many more without a failure would prove it; 0 where it is decided.
        kept_chance: how sure prediction and presses together are that the promise is kept.
        margin_db, margin_sd_db: margin after the presses [dB]; None where it is not known.
        moment: when the last evidence came, UTC; empty for none.
    """

    __test__ = False

    test: ProvingTest
    proof: Proof
    says: str
    predicted: str = ""
    measured: str = ""
    tries: int = 0
    failures: int = 0
    low_share: float | None = None
    high_share: float | None = None
    more_presses: int = 0
    kept_chance: float | None = None
    margin_db: float | None = None
    margin_sd_db: float | None = None
    moment: str = ""


@dataclass(frozen=True)
class OutputProof:
    """State of one output.

    Attributes:
        output: "premises/receiver/number".
        proof: refuted if one test is; proven if every required one is; else started or not proven.
        missing: what is still to be done, test numbers and words.
        refuted: tests that failed.
        promises: promise → its own state.
    """

    output: str
    proof: Proof
    missing: tuple[str, ...]
    refuted: tuple[str, ...]
    promises: dict[str, Proof]

    @property
    def says(self) -> str:
        """For a paper: "proven", or "not proven" and what is missing."""
        if self.proof is Proof.PROVEN:
            return "proven"
        return f"{'refuted' if self.proof is Proof.REFUTED else 'not proven'}: {self.detail}"

    @property
    def detail(self) -> str:
        """What refutes it or is missing; empty where it is proven."""
        if self.proof is Proof.PROVEN:
            return ""
        if self.proof is Proof.REFUTED:
            return "; ".join(self.refuted)
        return f"{plural(len(self.missing), 'test')} missing"


def proof_of(
    case: Case, events: Iterable[Event], *, plan: ProvingPlan | None = None
) -> dict[str, OutputProof]:
    """State of every output of a job: output path → proof.

    Args:
        case: the job.
        events: of the record; other kinds than trials, checks and readings are passed over.
        plan: a plan made already, so that it is not made again.
    """
    case = case.without_evidence()
    plan = plan or proving_plan(case)
    tested = proven_tests(plan, events)
    found = {}
    for output in case.outputs():
        own = [proof for proof in tested if output.path in proof.test.outputs and proof.test.required]
        refuted = tuple(_short(proof) for proof in own if proof.proof is Proof.REFUTED)
        missing = tuple(_short(proof) for proof in own if proof.proof in (Proof.STARTED, Proof.NOT_PROVEN))
        promises: dict[str, Proof] = {}
        for promise in case.job.promises:
            if promise.function in output.functions:
                name = promise_id(promise)
                promises[name] = _together([proof.proof for proof in tested if name in proof.test.promises])
        found[output.path] = OutputProof(
            output.path, _together([proof.proof for proof in own]), missing, refuted, promises
        )
    return found


def _together(proofs: Sequence[Proof]) -> Proof:
    if Proof.REFUTED in proofs:
        return Proof.REFUTED
    if proofs and all(proof is Proof.PROVEN for proof in proofs):
        return Proof.PROVEN
    return Proof.STARTED if any(proof is not Proof.NOT_PROVEN for proof in proofs) else Proof.NOT_PROVEN


def _short(proof: TestProof) -> str:
    return f"{proof.test.number} {proof.test.id}"


def proven_tests(plan: ProvingPlan, events: Iterable[Event]) -> tuple[TestProof, ...]:
    """What every test of a plan has shown, in its order."""
    by_test: dict[str, list[Result]] = {}
    seen: set[str] = set()
    for event, act in happened(events, TrialDone, CheckDone, ReadingTaken):
        if not act.test or act.client_id in seen:
            continue
        if act.client_id is not None:
            seen.add(act.client_id)
        by_test.setdefault(act.test, []).append((event.moment, act))
    return tuple(test_proof(test, by_test.get(test.id, [])) for test in plan.tests)


def test_proof(test: ProvingTest, results: Sequence[Result]) -> TestProof:
    """What one test has shown so far.

    Args:
        test: the test.
        results: its own, each counted once, in the order of time.
    """
    if test.kind == "presses" and test.presses is not None:
        trials = [(moment, act) for moment, act in results if isinstance(act, TrialDone)]
        return _pressed(test, test.presses, trials)
    if test.kind == "measure":
        return _measured(test, [(moment, act) for moment, act in results if isinstance(act, ReadingTaken)])
    return _checked(test, [(moment, act) for moment, act in results if isinstance(act, CheckDone)])


def _checked(test: ProvingTest, checks: Sequence[tuple[str, CheckDone]]) -> TestProof:
    """The last try counts; earlier failures are told."""
    if not checks:
        return TestProof(test, Proof.NOT_PROVEN, "Not done yet.", predicted=test.expected)
    moment, last = checks[-1]
    passed = last.passed
    before = sum(not check.passed for _, check in checks[:-1])
    told = f" It failed {before} time{'s' if before != 1 else ''} before." if before else ""
    what = last.found or ("passed" if passed else "failed")
    says = f"{'Passed' if passed else 'Failed'}.{told}" + (f" Found: {what}." if last.found else "")
    proof = Proof.PROVEN if passed else Proof.REFUTED
    return TestProof(test, proof, says, test.expected, what, moment=moment)


def _measured(test: ProvingTest, readings: Sequence[tuple[str, ReadingTaken]]) -> TestProof:
    """The last reading counts."""
    unit = f" {test.unit}" if test.unit else ""
    predicted = f"{test.predicted:.3g}{unit}" if test.predicted is not None else ""
    if not readings:
        return TestProof(test, Proof.NOT_PROVEN, "Not measured yet.", predicted=predicted)
    moment, value = readings[-1][0], readings[-1][1].value
    inside = (test.low is None or value >= test.low) and (test.high is None or value <= test.high)
    allowed = " to ".join(f"{limit:.3g}" for limit in (test.low, test.high) if limit is not None)
    apart = f"; {value - test.predicted:+.3g}{unit} from the design" if test.predicted is not None else ""
    says = f"{value:.4g}{unit} measured, {allowed}{unit} allowed{apart}."
    return TestProof(
        test, Proof.PROVEN if inside else Proof.REFUTED, says, predicted, f"{value:.4g}{unit}", moment=moment
    )


def _pressed(test: ProvingTest, plan: PressPlan, trials: Sequence[tuple[str, TrialDone]]) -> TestProof:
    mended = [number for number, (_, trial) in enumerate(trials) if trial.anew]
    trials = trials[mended[-1] :] if mended else trials
    rows = [(trial.pad_db or 0.0, trial.heard, trial.presses) for _, trial in trials]
    pads: dict[float, list[int]] = {}
    for pad, heard, presses in rows:
        counts = pads.setdefault(pad, [0, 0])
        counts[0] += heard
        counts[1] += presses - heard
    results = [PadResult(pad, heard, lost) for pad, (heard, lost) in sorted(pads.items()) if heard + lost]
    predicted = f"{plan.predicted_share:.0%} of presses" if plan.predicted_share is not None else "open"
    if not results:
        return TestProof(test, Proof.NOT_PROVEN, "No press yet.", predicted, more_presses=plan.presses)
    tries, failures = (
        sum(presses if part == 0 else presses - heard for pad, heard, presses in rows if pad == 0.0)
        for part in (0, 1)
    )
    proof, says, more = _decided(plan, rows, results, tries, failures)
    limits = (
        failure_share_interval(failures=failures, trials=tries, confidence=plan.confidence)
        if tries and plan.method in ("fixed", "pad")
        else None
    )
    belief = None
    if plan.margin_db is not None:
        belief = margin_belief(
            margin_db=plan.margin_db,
            margin_sd_db=max(plan.margin_sd_db, 0.5),
            press_sd_db=plan.press_sd_db,
            results=results,
            presses=plan.within,
            wanted_share=plan.wanted_share,
            clear_share=plan.clear_share,
        )
    shown = "; ".join(_heard(result, plan) for result in results)
    return TestProof(
        test,
        proof,
        says,
        predicted,
        shown,
        tries,
        failures,
        limits.low if limits else None,
        limits.high if limits else None,
        more,
        belief.kept_chance if belief else None,
        belief.margin_db if belief else None,
        belief.margin_sd_db if belief else None,
        trials[-1][0],
    )


def _heard(result: PadResult, plan: PressPlan) -> str:
    """What was heard, with the interval of the share: "12 of 14 through 6 dB (57 % to 98 %)".

    Where pressing went on until it was decided, the number of presses was no choice, and none is given.
    """
    tries = result.heard + result.lost
    words = f"{result.heard} of {tries}{f' through {result.pad_db:g} dB' if result.pad_db else ''}"
    if plan.method == "sequential" and not result.pad_db:
        return words
    lost = failure_share_interval(failures=result.lost, trials=tries, confidence=plan.confidence)
    return f"{words} ({1.0 - lost.high:.0%} to {1.0 - lost.low:.0%})"


def _decided(
    plan: PressPlan, rows: list[tuple[float, int, int]], results: list[PadResult], tries: int, failures: int
) -> tuple[Proof, str, int]:
    """Proof, sentence, and presses still missing."""
    through = [result for result in results if result.pad_db > 0.0]
    if through:
        shown = _by_pad(plan, results)
        if shown is not None:
            # what was lost without a pad counts too: it cannot be heard through one and lost without
            least = (
                failure_share_interval(failures=failures, trials=tries, confidence=plan.confidence).low
                if tries
                else 0.0
            )
            if least > plan.failure_share:
                says = (
                    f"{failures} of {tries} lost without a pad, at least {least:.0%}, where"
                    f" {plan.failure_share:.0%} are allowed; that some were heard through a pad does not make"
                    " up for it. Was the pad in the way? Press anew."
                )
                return Proof.REFUTED, says, 0
            return Proof.PROVEN, shown, 0
    if not tries:
        best = max(through, key=lambda result: result.heard)
        if any(result.lost for result in through):
            fit = margin_fit(results=results)
            says = (
                f"Half of the presses are lost at {fit.margin_db:.1f} dB: too little in hand to prove it"
                " through a pad. Press without one."
            )
            return Proof.STARTED, says, plan.fixed
        return (
            Proof.STARTED,
            (
                f"{best.heard} presses through {best.pad_db:g} dB, all heard;"
                f" {max(plan.pad_presses - best.heard, 1)} more prove it."
            ),
            max(plan.pad_presses - best.heard, 1),
        )
    return (
        _fixed(plan, tries, failures)
        if plan.method == "fixed"
        else _sequential(plan, [row for row in rows if row[0] == 0.0])
    )


def _by_pad(plan: PressPlan, results: list[PadResult]) -> str | None:
    """The sentence where presses through pads prove it: all heard, or a margin whose lower limit is
    enough.
    """
    for result in results:
        if result.pad_db >= plan.pad_db and not result.lost and result.heard >= plan.pad_presses:
            return (
                f"{result.heard} presses through {result.pad_db:g} dB, all heard: without the pad fewer than"
                f" {plan.failure_share:.1%} are lost, {plan.confidence:.0%} sure (presses that differ by up"
                f" to {PAD_SPREAD_DB:g} dB)."
            )
    if (
        sum(result.heard for result in results)
        and sum(result.lost for result in results)
        and sum(result.heard + result.lost for result in results) >= 10
    ):
        fit = margin_fit(results=results)
        low = fit.margin_db - 1.645 * fit.margin_se_db
        spread = (
            min(fit.spread_db + 1.645 * fit.spread_se_db, 2.0 * PAD_SPREAD_DB)
            if fit.is_spread_known
            else PAD_SPREAD_DB
        )
        lost = 1.0 - pad_share(margin_db=low, spread_db=spread, pad_db=0.0)
        if lost <= plan.failure_share:
            return (
                f"Margin {fit.margin_db:.1f} dB, at least {low:.1f} dB (95 % one-sided), spread at most"
                f" {spread:.1f} dB: fewer than {lost:.1%} are lost without a pad."
            )
    return None


def _fixed(plan: PressPlan, tries: int, failures: int) -> tuple[Proof, str, int]:
    upper = failure_share_upper(failures=failures, trials=tries, confidence=plan.confidence)
    low = failure_share_interval(failures=failures, trials=tries, confidence=2.0 * plan.confidence - 1.0).low
    if upper <= plan.failure_share:
        return (
            Proof.PROVEN,
            (
                f"{tries - failures} of {tries} heard: fewer than {upper:.1%} are lost, {plan.confidence:.0%}"
                " sure."
            ),
            0,
        )
    if low > plan.failure_share:
        return (
            Proof.REFUTED,
            (
                f"{failures} of {tries} lost: more than {low:.1%} are lost, {plan.confidence:.0%} sure;"
                f" {plan.failure_share:.1%} are allowed."
            ),
            0,
        )
    wanted = next(
        (needed for allowed, needed in ((0, plan.fixed), *plan.with_failures) if allowed >= failures), None
    )
    says = (
        f"{tries - failures} of {tries} heard: shows only that fewer than {upper:.1%} are lost;"
        f" {plan.failure_share:.1%} are to be shown."
    )
    if wanted is None:
        return Proof.STARTED, f"{says} With {failures} lost no plan here proves it: mend first.", 0
    return Proof.STARTED, f"{says} {max(wanted - tries, 1)} more without a failure.", max(wanted - tries, 1)


def _sequential(plan: PressPlan, rows: list[tuple[float, int, int]]) -> tuple[Proof, str, int]:
    """Looked at after each entry; within one entry the order of presses is not known, and not used."""
    wald = plan.sequential
    tries = failures = 0
    state = SequentialState.GO_ON
    for _, heard, presses in rows:
        tries, failures = tries + presses, failures + presses - heard
        if failures <= wald.accept_at(tries):
            state = SequentialState.ACCEPT
        elif failures >= wald.reject_at(tries):
            state = SequentialState.REJECT
        elif tries >= wald.longest:
            middle = wald.slope * tries + (wald.above - wald.below) / 2.0
            state = SequentialState.ACCEPT if failures <= middle else SequentialState.REJECT
        if state is not SequentialState.GO_ON:
            break
    heard_text = f"{tries - failures} of {tries} heard"
    if state is SequentialState.ACCEPT:
        return (
            Proof.PROVEN,
            (
                f"{heard_text}; Wald's test accepts: a place that loses {wald.bad_share:.1%} would pass with"
                f" {wald.accept_bad_risk:.0%}, one that loses {wald.good_share:.1%} be refused with"
                f" {wald.reject_good_risk:.0%}."
            ),
            0,
        )
    if state is SequentialState.REJECT:
        return (
            Proof.REFUTED,
            f"{heard_text}; Wald's test refuses: more than the {wald.bad_share:.1%} allowed are lost.",
            0,
        )
    more = max(
        next(
            number
            for number in range(1, wald.longest + 2)
            if failures <= wald.accept_at(tries + number) or tries + number >= wald.longest
        ),
        1,
    )
    return Proof.STARTED, f"{heard_text}; {more} more without a failure prove it.", more
