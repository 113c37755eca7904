"""A light left on: the chain of the rehearsal's own model against closed forms and drawn evenings."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from farpress.case.case import Case
from farpress.domain.job import Promise
from farpress.rehearsal.chances import Chance, Heard, left_on
from helpers.logic_case import a_case

BUTTONS = {
    "on": {"output": "house/R1/1", "kind": "light", "switches": "on"},
    "off": {"output": "house/R1/1", "kind": "light", "switches": "off"},
}
LAMP = {"works": "lamp.on", "after_power_return": "off"}


def _case(kind: str, **output: Any) -> Case:
    one = {"f1": {"output": "house/R1/1", "kind": "light"}}
    return a_case({"1": {"kind": kind, **LAMP, **output}}, functions=BUTTONS if kind == "latch" else one)


def _chance(case: Case, p: float, q: float) -> Chance:
    promise = Promise(to="pair", function="f1", from_="here")
    heard = [Heard(share, promise, None) for share in (p, q)]  # type: ignore[arg-type]
    (found,) = left_on(case, next(case.outputs()), *heard)
    return found


def _numbers(found: Chance) -> list[float]:
    import re

    return [float(text) / 100 for text in re.findall(r"([\d.]+)%", found.says)]


@pytest.mark.parametrize("p", [0.95, 0.8, 0.5])
def test_a_toggle_is_left_on_by_parity(p: float) -> None:
    """On after 2n presses each heard with p: (1 - (1 - 2p)^2n) / 2; two who both leave: both heard, or
    neither.
    """
    once, often, both = _numbers(_chance(_case("toggle"), p, p))

    assert once == pytest.approx((1 - (1 - 2 * p) ** 2) / 2, abs=6e-4)
    assert often == pytest.approx((1 - (1 - 2 * p) ** 40) / 2, abs=6e-4)
    assert both == pytest.approx(p * p + (1 - p) ** 2, abs=6e-4)


@pytest.mark.parametrize(("p", "q"), [(0.95, 0.9), (0.9, 0.5), (0.3, 0.2)])
def test_a_latch_is_left_on_only_if_off_is_lost(p: float, q: float) -> None:
    """After a round on with chance x: (1 - q)(p + (1 - p) x); two who both leave: both lost."""
    once, often, both = _numbers(_chance(_case("latch"), p, q))
    x = 0.0
    rounds = [x := (1 - q) * (p + (1 - p) * x) for _ in range(20)]

    assert once == pytest.approx(rounds[0], abs=6e-4)
    assert often == pytest.approx(rounds[-1], abs=6e-4)
    assert both == pytest.approx((1 - q) ** 2, abs=6e-4)


@pytest.mark.parametrize("kind", ["toggle", "latch"])
def test_drawn_evenings_give_the_same(kind: str) -> None:
    """20 000 times twenty comings and goings with a fixed seed, no chain in sight: within four standard
    errors.
    """
    random, p, q = np.random.default_rng(20261128), 0.9, 0.8
    q = p if kind == "toggle" else q
    is_on = np.zeros(20_000, bool)
    for _ in range(20):
        for switching, share in ((True, p), (False, q)):
            heard = random.random(20_000) < share
            is_on = np.where(heard, ~is_on if kind == "toggle" else switching, is_on)
    _, often, _ = _numbers(_chance(_case(kind), p, q))

    assert abs(is_on.mean() - often) < 4 * np.sqrt(often * (1 - often) / 20_000) + 6e-4


def test_a_timed_light_cannot_be_left_on() -> None:
    """It goes off by itself, whatever is heard; the model's own timer says so."""
    found = _chance(_case("pulse", for_s=240.0, retrigger=True), 0.9, 0.9)

    assert found.share == 0.0
    assert "goes off 4 min after" in found.says


def test_what_is_no_light_or_is_held_is_not_asked() -> None:
    """A valve is not a light, and a held light is off when let go."""
    valve = a_case({"1": {"kind": "toggle", "works": "valve.on"}}, kinds={"1": "water"})
    promise = Promise(to="pair", function="f1", from_="here")
    heard = Heard(0.9, promise, None)  # type: ignore[arg-type]

    assert not list(left_on(valve, next(valve.outputs()), heard, heard))
    assert not list(left_on(_case("follow"), next(_case("follow").outputs()), heard, heard))
