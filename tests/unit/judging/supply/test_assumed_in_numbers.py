"""What is taken for granted where nobody says, on the side that hurts least, and what is told of it."""

from __future__ import annotations

from typing import Any

import pytest

from farpress.domain.parts import CableSheet
from farpress.judging.supply import cores, suits
from helpers.invented_parts import part_of


@pytest.mark.parametrize(
    ("source_ohm", "lowest_v", "amperes", "asked"),
    [
        (None, None, None, (21.6, 0.5, 0.1)),
        (0.4, 22.0, 0.3, (22.0, 0.5, 0.3)),
        (0.6, 22.0, 0.3, (22.0, 0.6, 0.3)),
    ],
)
def test_a_rectifier_is_tried_on_fifty_hertz_at_its_worst(
    source_ohm: float | None,
    lowest_v: float | None,
    amperes: float | None,
    asked: tuple[float, float, float],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """24 V: nine tenths of it, half an ohm of winding and a tenth of an ampere, unless somebody says more.
    The longer the period, the lower the volts fall between two peaks.
    """
    tried: list[dict[str, float]] = []
    real = suits.rectified
    monkeypatch.setattr(suits, "rectified", lambda **more: tried.append(more) or real(**more))
    supply: Any = _Sheet(voltage_v=24.0, voltage_max_v=None, voltage_min_v=lowest_v, source_ohm=source_ohm)
    says = suits._behind_a_rectifier(supply, _Sheet(amperes=amperes, maximum_v=None))  # type: ignore[arg-type]

    (values,) = tried
    assert values["frequency_hz"] == 50.0
    assert (values["rms_v"], values["source_ohm"]) == pytest.approx(asked[:2])
    assert values["rms_v"] / values["load_ohm"] == pytest.approx(asked[2])
    assert "V come out of it" in says


class _Sheet:
    def __init__(self, **values: float | None) -> None:
        self.__dict__.update(values)


@pytest.mark.parametrize(("rated_a", "cores_told"), [(1.0, ""), (18.0, " with all 12 cores loaded")])
def test_cores_that_are_rated_for_all_of_them_are_not_told_as_derated(
    rated_a: float, cores_told: str
) -> None:
    """What a signal cable may carry holds with every core loaded; what an installation cable may does not."""
    cable = part_of(CableSheet(area_mm2=1.5, cores=12, rated_a=rated_a))
    says = cores._rating_says(cable, rated_a, 1.0, None)

    assert f"are left at 40 °C (our choice, not given){cores_told}." in says
