"""Readings of another state prove nothing; of two receivers that do the same one is enough."""

from __future__ import annotations

from farpress.case.case import Case
from farpress.domain.finding import Finding, Verdict
from farpress.domain.job import Promise, Reading
from farpress.domain.premises import Output, Receiver
from farpress.judging.air import otherwise
from farpress.judging.air.either import either_enough
from helpers.findings import finding_of
from helpers.logic_case import a_case


def with_reading(words: str | None) -> list[Finding]:
    """A reading at the receiver, and what stood otherwise."""
    reading = Reading(receiver="house/R1", place="here", heard=20, of=20, otherwise=words)
    case = a_case({"1": {"kind": "pulse", "for_s": 1.0, "works": "lamp.on"}})
    return list(otherwise.judge(case.with_job(case.job.model_copy(update={"readings": (reading,)}))))


def test_air_60_a_reading_with_the_shutter_open_says_nothing_of_the_morning() -> None:
    """It is told, and nothing where it was taken as things stand."""
    assert finding_of(with_reading("shutter open"), "AIR-60").verdict is Verdict.THIN
    assert not with_reading(None)


class _Link:
    def __init__(self, share: float | None) -> None:
        self._share = share

    def share(self, presses: int) -> float | None:
        return self._share


class _Radio:
    """Two receivers of which is known how surely they hear."""

    def __init__(self, **shares: float | None) -> None:
        self._shares = shares

    def link(self, *, receiver: str, **more: object) -> _Link:
        return _Link(self._shares[receiver])


def heard(kind: str, works: str, radio: _Radio) -> tuple[set[str], int]:
    """Receivers that have to hear a function of both, and how many of the others are told."""
    case = _two(kind, works)
    placed = {output.receiver_path: output for output in case.outputs_of("f1")}
    promise = Promise.model_validate({"to": "pair", "function": "f1", "from": "here"})
    kept, beside = either_enough(case, radio, promise, placed)  # type: ignore[arg-type]
    return set(kept), len(beside)


def _two(kind: str, works: str) -> Case:
    case = a_case(
        {"1": {"kind": kind, "for_s": 1.0, "works": "lamp.on"}},
        functions={"f1": {"outputs": ("house/R1/1", "house/R2/1")}},
    )
    case.job.premises["house"].receivers["R2"] = Receiver(
        at=(9.0, 0.0, 2.0), outputs={"1": Output.model_validate({"kind": kind, "for": 1.0, "works": works})}
    )
    return Case(case.job, case.equipment)


def test_of_two_receivers_for_one_gate_the_better_has_to_hear() -> None:
    """A wide site with two receivers beside each other; what keeps a state needs both."""
    good = _Radio(R1=0.9, R2=0.99)
    assert heard("pulse", "lamp.on", good) == ({"house/R2"}, 1)
    assert heard("toggle", "lamp.on", good) == ({"house/R1", "house/R2"}, 0)
    assert heard("pulse", "gate.open", good) == ({"house/R1", "house/R2"}, 0)


def test_a_receiver_of_which_nothing_is_known_is_not_left_out() -> None:
    """Its question stays."""
    assert heard("pulse", "lamp.on", _Radio(R1=0.9, R2=None))[0] == {"house/R1", "house/R2"}
