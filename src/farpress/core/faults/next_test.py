"""Which test next, or which cure: expected information per minute, and when to stop asking.

A test that needs a ladder, an open mains cover or another firm comes after all that need
none; its minutes include getting there.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Final, NamedTuple

import numpy as np

from farpress.core.faults.network import CauseBelief, FaultNetwork, believe, expected_information_bit
from farpress.errors import InputError, require_range
from farpress.sources import Mark, cites

__all__ = ["Advice", "RankedTest", "advise", "cure_minutes", "ranked_tests"]


LEAST_SAVING_MIN: Final = 0.5
"""A test that is expected to save less than this is not asked: our choice, half a minute of talk."""


BIT_WORTH_MIN: Final = 5.0
"""What a bit is worth beyond the next cure, in minutes: our choice, the best of 0 to 8 in simulated faults,
and flat there."""


class RankedTest(NamedTuple):
    """A test with what it is expected to tell.

    Attributes:
        name: its id.
        bit: expected information about the causes [bit].
        bit_per_min: the same for each minute; a question costs a quarter of a minute.
        minutes: time it takes.
        gate: 0 for anywhere, 1 and more for what has to be opened, climbed or asked first.
    """

    name: str
    bit: float
    bit_per_min: float
    minutes: float
    gate: int


class Advice(NamedTuple):
    """What to do next.

    Attributes:
        test: the test to do; empty where curing is cheaper.
        cure: the cause to cure first; empty where nothing is suspected.
        tests: every test left, the most telling first.
        minutes_now: expected minutes to the end if cures are tried from here on.
        minutes_after_test: the same after the proposed test, the test included.
    """

    test: str
    cure: str
    tests: tuple[RankedTest, ...]
    minutes_now: float
    minutes_after_test: float


@cites("Expected information per minute; Breese, Heckerman, MSR-TR-96-06", edition="1996", mark=Mark.COPY)
def ranked_tests(
    *, belief: CauseBelief, done: Collection[str], gates: Mapping[str, int], least_minutes: float = 0.25
) -> tuple[RankedTest, ...]:
    """Every test not yet done, those without a gate first, then by information per minute.

    Args:
        belief: what is known so far.
        done: observations already answered, the complaint included; never proposed again.
        gates: test → gate; tests not named have none.
        least_minutes: time that even a question costs [min].

    Raises:
        OutOfRange: a least time that is not positive.

    Example:
        >>> from farpress.core.faults.network import Observation
        >>> network = FaultNetwork(
        ...     {"cell": 0.5},
        ...     {
        ...         "lamp": Observation("lamp", 0.0, {"cell": 1.0}, 2.0),
        ...         "climb": Observation("climb", 0.0, {"cell": 1.0}, 1.0),
        ...     },
        ... )
        >>> [
        ...     test.name
        ...     for test in ranked_tests(
        ...         belief=believe(network=network, answers={}), done=(), gates={"climb": 1}
        ...     )
        ... ]
        ['lamp', 'climb']
    """
    require_range("least_minutes", least_minutes, "min", low=1e-6, because="even a question takes time")
    found = []
    for name, observation in belief.network.observations.items():
        if name in done:
            continue
        bit = expected_information_bit(belief, name)
        minutes = max(observation.minutes, least_minutes)
        found.append(RankedTest(name, bit, bit / minutes, minutes, gates.get(name, 0)))
    return tuple(sorted(found, key=lambda test: (test.bit < 1e-4, test.gate, -test.bit_per_min, test.name)))


@cites(
    "Cures by chance over cost, tried one after the other; Breese, Heckerman, MSR-TR-96-06",
    edition="1996",
    mark=Mark.COPY,
)
def cure_minutes(
    *,
    belief: CauseBelief,
    complaint: str,
    cures: Mapping[str, float],
    check_minutes: float,
    lost_minutes: float,
) -> tuple[float, str]:
    """Expected minutes if cures are tried from now on, best chance for its time first, and the first of them.

    After each cure the complaint is tried again. It stays where a cause that is left, or
    something unknown, had a hand in it; that is counted over every combination of causes.

    Args:
        belief: what is known so far.
        complaint: the observation that shall become normal.
        cures: cause → minutes of its cure; causes without one are passed over.
        check_minutes: time to try whether the complaint has gone [min].
        lost_minutes: what is still to be spent when no cure helped: another visit [min].

    Returns:
        Minutes, and the cause to cure first (empty if there is no cure at all).

    Raises:
        OutOfRange: a negative time.
        InputError: no such complaint.

    Example:
        >>> from farpress.core.faults.network import Observation
        >>> network = FaultNetwork(
        ...     {"a": 0.6, "b": 0.1}, {"dead": Observation("dead", 0.01, {"a": 0.9, "b": 0.9})}
        ... )
        >>> minutes, first = cure_minutes(
        ...     belief=believe(network=network, answers={"dead": True}),
        ...     complaint="dead",
        ...     cures={"a": 5.0, "b": 5.0},
        ...     check_minutes=1.0,
        ...     lost_minutes=60.0,
        ... )
        >>> first, round(minutes, 1)
        ('a', 8.0)
    """
    require_range("minutes", [*cures.values(), check_minutes, lost_minutes], "min", low=0.0, because="times")
    network = belief.network
    if complaint not in network.observations:
        raise InputError(
            f"this network has no complaint '{complaint}'; it has {', '.join(network.observations)}"
        )
    shares = {cause: share for cause, share in belief.causes.items() if cause in cures and share > 0.0}
    order = sorted(shares, key=lambda cause: (-shares[cause] / (cures[cause] + check_minutes + 1e-9), cause))
    columns = {cause: number for number, cause in enumerate(network.priors)}
    links = network.observations[complaint].links
    normal = 1.0 - network.abnormal[complaint]
    # chance that the complaint shows, and after cures still shows, state by state
    before = belief.joint / (1.0 - normal).clip(1e-12)
    left, minutes = 1.0, 0.0
    for cause in order:
        minutes += left * (cures[cause] + check_minutes)
        link = min(links.get(cause, 0.0), 1.0 - 1e-12)
        normal = normal / np.where(network.states[:, columns[cause]], 1.0 - link, 1.0)
        left = min(float(before @ (1.0 - normal).clip(0.0, 1.0)), left)
        if left < 1e-6:
            break
    return minutes + left * lost_minutes, order[0] if order else ""


@cites(
    "Stop rule: a test is done only where it is expected to save more minutes than it takes", mark=Mark.CHOICE
)
def advise(
    *,
    network: FaultNetwork,
    complaint: str,
    answers: Mapping[str, bool],
    absent: Collection[str],
    cures: Mapping[str, float],
    gates: Mapping[str, int],
    check_minutes: float,
    lost_minutes: float,
    look_at: int = 6,
) -> Advice:
    """The next test by information per minute, or the cure where no test is worth its time any more.

    Args:
        network: causes and tests.
        complaint: the observation that shall become normal.
        answers: observation → True where it was abnormal.
        absent: causes already cured or shut out.
        cures: cause → minutes of its cure.
        gates: test → gate, as in `ranked_tests`.
        check_minutes: time to try whether the complaint has gone [min].
        lost_minutes: what another visit costs [min].
        look_at: how many of the best tests are weighed against curing at once.

    Raises:
        InputError: answers that cannot come together.
        OutOfRange: a negative time.

    Example:
        >>> from farpress.core.faults.network import Observation
        >>> network = FaultNetwork(
        ...     {"cell": 0.1, "relay": 0.1},
        ...     {
        ...         "dead": Observation("dead", 0.01, {"cell": 0.9, "relay": 0.9}),
        ...         "lamp": Observation("lamp", 0.0, {"cell": 0.95}, 1.0),
        ...     },
        ... )
        >>> advise(
        ...     network=network,
        ...     complaint="dead",
        ...     answers={"dead": True},
        ...     absent=(),
        ...     cures={"cell": 10.0, "relay": 30.0},
        ...     gates={},
        ...     check_minutes=1.0,
        ...     lost_minutes=60.0,
        ... ).test
        'lamp'
    """
    belief = believe(network=network, answers=answers, absent=tuple(absent))
    tests = ranked_tests(belief=belief, done=tuple(answers), gates=gates)
    now, cure = cure_minutes(
        belief=belief,
        complaint=complaint,
        cures=cures,
        check_minutes=check_minutes,
        lost_minutes=lost_minutes,
    )
    best: tuple[float, str] = (now, "")
    for test in tests[:look_at]:
        if test.bit < 1e-4:
            continue
        after = test.minutes
        share = float(belief.joint @ network.abnormal[test.name])
        for is_abnormal, chance in ((True, share), (False, 1.0 - share)):
            if chance > 1e-9:
                then = believe(
                    network=network, answers={**answers, test.name: is_abnormal}, absent=tuple(absent)
                )
                after += (
                    chance
                    * cure_minutes(
                        belief=then,
                        complaint=complaint,
                        cures=cures,
                        check_minutes=check_minutes,
                        lost_minutes=lost_minutes,
                    )[0]
                )
        if after < now - LEAST_SAVING_MIN + BIT_WORTH_MIN * test.bit and not best[1]:
            best = (after, test.name)  # the first that pays, in the order of information per minute
    return Advice(best[1], cure, tests, now, best[0])
