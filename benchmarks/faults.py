"""Minutes to find and mend a fault: the guided order beside a fixed checklist, on simulated faults.

Run: python benchmarks/faults.py [--faults 1000] [--seed 1]

Each fault is drawn anew: a job, one of its complaints, which causes are there, which of
them make the complaint, what each test would show. Both orders meet the same fault. The
checklist goes through the causes of a complaint by how frequent they are anywhere, does
the most telling test for each, cures what it points to, and tries again. The guided order
asks what `farpress faults` would ask on that job. Then the same with faults from a model
that is deliberately wrong: other frequencies, weaker and misleading signs than assumed.

Minutes to find are all tests, tries after a cure, cures that were not needed and second
visits; the cures that nobody could leave out are the same in every order and are counted
apart. It prints ratios (guided / other), and what somebody would need who knew every cause
beforehand: no order of tests can be below that. Nothing is asserted.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path

import numpy as np

from farpress.case.door import open_job
from farpress.catalogue.faults import load_faults
from farpress.core.faults.network import FaultNetwork, believe
from farpress.faults.ask import CHECK_MIN, LOST_MIN, FaultHunt, open_hunt
from farpress.faults.priors import About
from farpress.judging.assess import assess

ROOT = Path(__file__).resolve().parent.parent
JOBS = ("larkfen-house", "tallowmere-court", "brindlemark")
COMPLAINT = "complaint"


class World:
    """One fault: what is there, what makes the complaint, what each test shows."""

    def __init__(self, network: FaultNetwork, rng: np.random.Generator) -> None:
        joint = believe(network=network, answers={COMPLAINT: True}).joint
        state = network.states[rng.choice(len(joint), p=joint)]
        self.present = [
            cause for cause, there in zip(network.priors, state) if there
        ]  # in order: the same seed gives the same faults
        complaint = network.observations[COMPLAINT]
        while True:  # the complaint is there: draw which of the causes make it, until one does
            self.acting = {cause for cause in self.present if rng.random() < complaint.links.get(cause, 0.0)}
            self.unknown = rng.random() < complaint.leak
            if self.acting or self.unknown:
                break
        self.shows = {
            name: (
                rng.random() < one.leak
                or any(cause in self.present and rng.random() < link for cause, link in one.links.items())
            )
            for name, one in network.observations.items()
            if name != COMPLAINT
        }

    def needed(self, hunt: FaultHunt) -> float:
        """Minutes of the cures that nobody could leave out."""
        return sum(hunt.priors[cause].cause.minutes for cause in sorted(self.acting))

    def known_minutes(self, hunt: FaultHunt) -> float:
        """Minutes of somebody who knows the causes: their cures, a try after each, another visit where none
        is in the list.
        """
        return self.needed(hunt) + CHECK_MIN * len(self.acting) + (LOST_MIN if self.unknown else 0.0)

    def gone(self, cured: set[str]) -> bool:
        """Whether the complaint is gone after these cures."""
        return not self.unknown and not (self.acting - cured)


def checklist_minutes(hunt: FaultHunt, world: World) -> float:
    """A fixed list: causes by general frequency, the best test for each, cure, try again; then every cure
    left.
    """
    minutes, cured, done = 0.0, set[str](), {}
    causes = sorted(
        hunt.priors.values(),
        key=lambda one: (-one.cause.prior * hunt.complaint.links[one.cause.name], one.cause.name),
    )
    for prior in causes:
        cause = prior.cause
        tests = [test for test in hunt.tests.values() if test.links.get(cause.name, 0.0) >= 0.5]
        if tests:
            best = max(
                tests,
                key=lambda test: (
                    test.links[cause.name]
                    - test.leak
                    - 0.15
                    * sum(
                        link
                        for other, link in test.links.items()
                        if other in hunt.priors and other != cause.name
                    ),
                    -test.minutes,
                ),
            )
            if best.name not in done:
                minutes += max(best.minutes, 0.25)
                done[best.name] = world.shows[best.name]
            if not done[best.name]:
                continue
        minutes += cause.minutes + CHECK_MIN
        cured.add(cause.name)
        if world.gone(cured):
            return minutes
    for prior in causes:
        if prior.cause.name not in cured:
            minutes += prior.cause.minutes + CHECK_MIN
            cured.add(prior.cause.name)
            if world.gone(cured):
                return minutes
    return minutes + LOST_MIN


def fixed_tests_minutes(hunt: FaultHunt, world: World) -> float:
    """The same reasoning and cures as the guided order, but every test of the list in its printed order."""
    minutes = 0.0
    for name, test in hunt.tests.items():
        minutes += max(test.minutes, 0.25)
        hunt = hunt.answer(name, world.shows[name])
        top = hunt.causes()[0]
        if top.chance > 0.9:
            break
    return minutes + _cures(hunt, world)


def guided_minutes(hunt: FaultHunt, world: World) -> float:
    """What `farpress faults` asks and proposes."""
    minutes = 0.0
    while True:
        step = hunt.step()
        if step.test is not None:
            minutes += max(step.test.minutes, 0.25)
            hunt = hunt.answer(step.test.name, world.shows[step.test.name])
        elif step.cause is not None:
            minutes += step.cause.minutes + CHECK_MIN
            if world.gone({*hunt.cured, step.cause.name}):
                return minutes
            if len(hunt.cured) + 1 == len(hunt.priors):
                return minutes + LOST_MIN
            hunt = hunt.cure_failed(step.cause.name)
        else:
            return minutes + LOST_MIN


def _cures(hunt: FaultHunt, world: World) -> float:
    minutes = 0.0
    while True:
        left = [one for one in hunt.causes() if one.chance > 1e-6]
        if not left:
            return minutes + LOST_MIN
        best = max(left, key=lambda one: (one.chance / (one.cause.minutes + CHECK_MIN), one.cause.name))
        minutes += best.cause.minutes + CHECK_MIN
        if world.gone({*hunt.cured, best.cause.name}):
            return minutes
        if len(hunt.cured) + 1 == len(hunt.priors):
            return minutes + LOST_MIN
        hunt = hunt.cure_failed(best.cause.name)


def wrong_network(network: FaultNetwork, rng: np.random.Generator) -> FaultNetwork:
    """Other frequencies (up to about three times more or less), signs that show less surely and mislead twice
    as often.
    """
    priors = {
        cause: float(np.clip(chance * np.exp(rng.normal(0.0, 1.0)), 0.002, 0.9))
        for cause, chance in network.priors.items()
    }

    def links(known: Mapping[str, float]) -> dict[str, float]:
        return {
            cause: float(np.clip(link * rng.uniform(0.6, 1.05), 0.0, 0.99)) for cause, link in known.items()
        }

    observations = {
        name: replace(one, leak=min(2.0 * one.leak, 0.5), links=links(one.links))
        for name, one in network.observations.items()
    }
    return FaultNetwork(priors, observations)


def hunts() -> Iterator[FaultHunt]:
    """Every complaint on every job."""
    for name in JOBS:
        case = open_job(ROOT / "examples" / name)
        findings = assess(case).findings
        for complaint in load_faults().complaints.values():
            yield open_hunt(case, complaint, About(), findings=findings)


def main() -> None:
    """Print minutes and ratios."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--faults", type=int, default=1000)
    asked.add_argument("--seed", type=int, default=1)
    given = asked.parse_args()
    known = list(hunts())
    weights = np.array(
        [believe(network=one.network, answers={COMPLAINT: True}).evidence_share for one in known]
    )
    for title, is_wrong in (
        ("faults drawn from the model", False),
        ("faults drawn from a deliberately wrong model", True),
    ):
        rng = np.random.default_rng(given.seed)
        sums = {"guided": 0.0, "checklist": 0.0, "same reasoning, tests in printed order": 0.0}
        steps, taken, needed, known_causes = 0, 0.0, 0.0, 0.0
        for number in rng.choice(len(known), size=given.faults, p=weights / weights.sum()):
            hunt = known[number]
            world = World(wrong_network(hunt.network, rng) if is_wrong else hunt.network, rng)
            begin = time.perf_counter()
            sums["guided"] += guided_minutes(hunt, world)
            taken += time.perf_counter() - begin
            steps += 1
            needed += world.needed(hunt)
            known_causes += world.known_minutes(hunt)
            sums["checklist"] += checklist_minutes(hunt, world)
            sums["same reasoning, tests in printed order"] += fixed_tests_minutes(hunt, world)
        print(f"{title} ({given.faults})")
        for name, total in sums.items():
            print(
                f"  {name:40} {(total - needed) / given.faults:6.1f} min to find, ratio"
                f" {(sums['guided'] - needed) / (total - needed):.2f}; {total / given.faults:6.1f} min with"
                f" the cures, ratio {sums['guided'] / total:.2f}"
            )
        print(
            f"  {'causes known beforehand':40} {(known_causes - needed) / given.faults:6.1f} min to find;"
            f" {known_causes / given.faults:6.1f} min with the cures, {known_causes / sums['checklist']:.2f}"
            " of the checklist's"
        )
        print(f"  {1000 * taken / steps:.1f} ms of computing for one whole fault")
    network = max((one.network for one in known), key=lambda one: len(one.priors))
    begin = time.perf_counter()
    for _ in range(20):
        FaultNetwork(network.priors, network.observations)
        next(one for one in known if one.network is network).step()
    print(
        f"ranking update with {len(network.priors)} causes and {len(network.observations) - 1} tests:"
        f" {(time.perf_counter() - begin) / 20 * 1000:.1f} ms"
    )


if __name__ == "__main__":
    main()
