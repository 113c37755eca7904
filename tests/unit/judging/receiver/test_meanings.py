"""One horn for a call and for something else; lamps that show two things."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.finding import Finding, Stake, Verdict
from farpress.judging.receiver.meanings import judge
from helpers.logic_case import a_case

HORN: dict[str, Any] = {"kind": "pulse", "for_s": 10.0, "works": "siren.on"}
SIGNAL: dict[str, Any] = {"form": "relay"}
FAILS, THIN = Verdict.FAILS, Verdict.THIN


def judged(kinds: tuple[str, ...], signals: dict[str, str] | None = None) -> list[Finding]:
    """RCV-10 with a function of each kind on the siren, and signals of the receiver led somewhere."""
    numbers = [str(number) for number in range(1, len(kinds) + 1)]
    return list(
        judge(
            a_case(
                dict.fromkeys(numbers, HORN) or {"1": {"kind": "toggle", "works": "lamp.on"}},
                kinds=dict(zip(numbers, kinds)),
                receiver={"acknowledge": SIGNAL, "low_cell": SIGNAL},
                box={"signals": {name: {"works": works} for name, works in (signals or {}).items()}},
            )
        )
    )


@pytest.mark.parametrize(
    ("kinds", "signals", "verdict", "stake"),
    [
        (("call", "sound"), {}, FAILS, Stake.HARM),
        (("call",), {"acknowledge": "siren.on"}, FAILS, Stake.HARM),
        (("sound",), {"acknowledge": "siren.on"}, THIN, Stake.PROMISE),
        ((), {"acknowledge": "siren.on", "low cell": "siren.on"}, THIN, Stake.PROMISE),
    ],
)
def test_rcv_10_two_meanings_of_which_one_is_a_call(
    kinds: tuple[str, ...], signals: dict[str, str], verdict: Verdict, stake: Stake
) -> None:
    """With a call nobody comes any more to what he takes for the other; else a card may explain it."""
    (finding,) = judged(kinds, signals)
    assert (finding.verdict, finding.stake) == (verdict, stake)


@pytest.mark.parametrize(
    ("kinds", "signals"),
    [
        (("call", "call"), {}),
        (("sound", "sound"), {}),
        (("call",), {"acknowledge": "lamp.on"}),
        ((), {"low cell": "siren.on"}),
    ],
)
def test_rcv_10_one_meaning_is_none_to_speak_of(kinds: tuple[str, ...], signals: dict[str, str]) -> None:
    """Two calls are both calls; a lamp of its own shows its own."""
    assert not judged(kinds, signals)
