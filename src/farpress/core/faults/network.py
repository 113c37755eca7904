"""Causes, what each makes abnormal, and what the answers so far say about the causes.

Two layers: causes that are present or not, each by itself, and observations (the complaint
and every test) that are abnormal when one of their causes makes them so, or by a leak.
Exact: every combination of causes is counted, which for the causes of one complaint is a
few thousand numbers.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from farpress.errors import InputError, require_range
from farpress.sources import Mark, cites

__all__ = [
    "MOST_CAUSES",
    "CauseBelief",
    "FaultNetwork",
    "Observation",
    "abnormal_share",
    "believe",
    "entropy_bit",
    "expected_information_bit",
]

MOST_CAUSES: Final = 16
"""Of one network: 65 536 combinations, still far below a blink; our choice."""


@dataclass(frozen=True)
class Observation:
    """One thing that is normal or abnormal: a complaint or a test.

    Attributes:
        name: its id.
        leak: chance that it is abnormal though none of the causes is present.
        links: cause → chance that this cause alone makes it abnormal.
        minutes: time it takes; 0 for a question.
    """

    name: str
    leak: float
    links: Mapping[str, float]
    minutes: float = 0.0


@dataclass(frozen=True)
class FaultNetwork:
    """Causes with their chances beforehand, and the observations that belong to them.

    Attributes:
        priors: cause → chance that it is present.
        observations: name → observation.
    """

    priors: Mapping[str, float]
    observations: Mapping[str, Observation] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Refuse chances outside 0 to 1, unknown causes, and more causes than can be counted out."""
        require_range(
            "number of causes",
            len(self.priors),
            "",
            low=1,
            high=MOST_CAUSES,
            because="every combination of causes is counted",
            hint="Keep to the causes of one complaint.",
        )
        require_range(
            "chances of the causes", list(self.priors.values()), "", low=0.0, high=1.0, because="chances"
        )
        for name, observation in self.observations.items():
            require_range(
                f"chances of {name}",
                [observation.leak, *observation.links.values()],
                "",
                low=0.0,
                high=1.0,
                because="chances",
            )
            unknown = sorted(set(observation.links) - set(self.priors))
            if unknown:
                raise InputError(
                    f"{name} depends on {', '.join(unknown)}, which this network does not have; it has"
                    f" {', '.join(self.priors)}"
                )

    @cached_property
    def states(self) -> NDArray[np.bool_]:
        """Every combination, shape (2^n, n); column order is that of `priors`."""
        count = len(self.priors)
        return np.asarray((np.arange(2**count)[:, None] >> np.arange(count)[None, :]) & 1, dtype=np.bool_)

    @cached_property
    def log_prior(self) -> NDArray[np.float64]:
        """Logarithm of the chance of every combination beforehand, shape (2^n,)."""
        chance = np.asarray(list(self.priors.values()))
        with np.errstate(divide="ignore"):
            on, off = np.log(chance), np.log1p(-chance)
        return np.asarray(np.where(self.states, on, off).sum(axis=1))

    @cached_property
    def abnormal(self) -> dict[str, NDArray[np.float64]]:
        """Observation → chance that it is abnormal in each combination, shape (2^n,)."""
        columns = {cause: number for number, cause in enumerate(self.priors)}
        found = {}
        for name, observation in self.observations.items():
            normal = np.full(len(self.states), 1.0 - observation.leak)
            for cause, link in observation.links.items():
                normal *= np.where(self.states[:, columns[cause]], 1.0 - link, 1.0)
            found[name] = 1.0 - normal
        return found


@dataclass(frozen=True)
class CauseBelief:
    """What is known after some answers.

    Attributes:
        network: of which.
        joint: chance of every combination of causes, shape (2^n,).
        evidence_share: chance of the answers, beforehand.
    """

    network: FaultNetwork
    joint: NDArray[np.float64]
    evidence_share: float

    @cached_property
    def causes(self) -> dict[str, float]:
        """Cause → chance that it is present, the likeliest first."""
        shares = self.joint @ self.network.states
        order = sorted(zip(self.network.priors, shares), key=lambda pair: (-pair[1], pair[0]))
        return {cause: float(share) for cause, share in order}

    def only(self, cause: str) -> float:
        """Chance that this cause, and no other, is present."""
        return float(self.joint[1 << list(self.network.priors).index(cause)])

    @property
    def none_share(self) -> float:
        """Chance that none of the causes is present: something this network does not know."""
        return float(self.joint[0])


@cites(
    "Noisy-OR network, counted out; framework of Breese, Heckerman, MSR-TR-96-06",
    edition="1996",
    mark=Mark.COPY,
)
def believe(*, network: FaultNetwork, answers: Mapping[str, bool], absent: Sequence[str] = ()) -> CauseBelief:
    """What the answers so far say about the causes.

    Args:
        network: causes and observations.
        answers: observation → True where it was abnormal; the complaint is one of them.
        absent: causes known not to be there, or cured already.

    Raises:
        InputError: an observation the network does not have, or answers that cannot come together.

    Example:
        >>> network = FaultNetwork(
        ...     {"cell": 0.12, "aerial": 0.04},
        ...     {"dead": Observation("dead", 0.02, {"cell": 0.9, "aerial": 0.8})},
        ... )
        >>> believe(network=network, answers={"dead": True}).causes
        {'cell': 0.706, 'aerial': 0.215}
    """
    unknown = sorted(name for name in answers if name not in network.observations)
    unknown += sorted(cause for cause in absent if cause not in network.priors)
    if unknown:
        raise InputError(
            f"this network knows nothing of {', '.join(unknown)}; it knows"
            f" {', '.join([*network.observations, *network.priors])}"
        )
    with np.errstate(divide="ignore"):
        log_weight = network.log_prior.copy()
        for name, is_abnormal in answers.items():
            chance = network.abnormal[name]
            log_weight += np.log(chance if is_abnormal else 1.0 - chance)
    for cause in absent:
        log_weight[network.states[:, list(network.priors).index(cause)]] = -np.inf
    peak = float(log_weight.max())
    if not np.isfinite(peak):
        raise InputError("these answers cannot come together: take one back")
    weight = np.exp(log_weight - peak)
    total = float(weight.sum())
    return CauseBelief(network, weight / total, total * float(np.exp(peak)))


@cites("Shannon entropy of the joint state of all causes", mark=Mark.COMPUTED)
def entropy_bit(belief: CauseBelief) -> float:
    """How much is still open about all causes together [bit].

    Example:
        >>> entropy_bit(believe(network=FaultNetwork({"a": 0.5, "b": 0.5}), answers={}))
        2.0
    """
    kept = belief.joint[belief.joint > 0.0]
    return float(-(kept * np.log2(kept)).sum())


@cites("Noisy-OR network, counted out", mark=Mark.COMPUTED)
def abnormal_share(belief: CauseBelief, name: str) -> float:
    """Chance that a test will turn out abnormal.

    Args:
        belief: what is known so far.
        name: the test.

    Raises:
        InputError: no such observation.

    Example:
        >>> network = FaultNetwork({"cell": 0.5}, {"lamp dim": Observation("lamp dim", 0.0, {"cell": 0.8})})
        >>> abnormal_share(believe(network=network, answers={}), "lamp dim")
        0.4
    """
    if name not in belief.network.abnormal:
        raise InputError(
            f"this network has no test '{name}'; it has {', '.join(belief.network.observations)}"
        )
    return float(belief.joint @ belief.network.abnormal[name])


@cites("Expected information about all causes together, mutual information", mark=Mark.COMPUTED)
def expected_information_bit(belief: CauseBelief, name: str) -> float:
    """How much a test is expected to tell about the causes [bit]; never negative.

    The expected entropy falls; the actual one may rise with an unexpected answer.

    Args:
        belief: what is known so far.
        name: the test; one that was answered already tells nothing new, do not ask it again.

    Raises:
        InputError: no such observation.

    Example:
        >>> network = FaultNetwork({"cell": 0.5}, {"lamp dim": Observation("lamp dim", 0.0, {"cell": 1.0})})
        >>> expected_information_bit(believe(network=network, answers={}), "lamp dim")
        1.0
    """
    share = abnormal_share(belief, name)
    each = belief.network.abnormal[name]
    return max(_binary_bit(share) - float(belief.joint @ _binary_bits(each)), 0.0)


def _binary_bits(share: NDArray[np.float64]) -> NDArray[np.float64]:
    inside = np.clip(share, 1e-300, 1.0 - 1e-16)
    return np.asarray(-(inside * np.log2(inside) + (1.0 - inside) * np.log2(1.0 - inside)))


def _binary_bit(share: float) -> float:
    return float(_binary_bits(np.asarray([share]))[0])
