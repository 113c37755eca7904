"""Rec. ITU-R P.2040-3, layered walls: against two independent libraries.

Material rows a, b, c, d were read in an independent implementation of the Recommendation
(sionna-rt 2.2.0). Witnesses, run here: tmm 0.2 (thin-film optics, any angle, both polarisations)
and scikit-rf 2 (transmission lines, straight through). The same ray tracer's own losses for
200 mm of concrete (5.2957, 6.5427, 8.0519 dB) were read when it was run for this project.
"""

from __future__ import annotations

import numpy as np
import pytest
import skrf
import tmm

from farpress.core.reach.slab import SlabLayer, complex_permittivity, material_at, slab_loss_db, slab_power
from helpers.printed import Printed

FREQUENCY_HZ = 433.92e6
WAVELENGTH_M = 299_792_458.0 / FREQUENCY_HZ
ROWS = {
    "concrete": (5.24, 0.0, 0.0462, 0.7822, 1.0, 100.0),
    "brick": (3.91, 0.0, 0.0238, 0.16, 1.0, 40.0),
    "plasterboard": (2.73, 0.0, 0.0085, 0.9395, 1.0, 100.0),
    "glass": (6.31, 0.0, 0.0036, 1.3394, 0.1, 100.0),
    "wood": (1.99, 0.0, 0.0047, 1.0718, 0.001, 100.0),
}
WALLS: dict[str, list[tuple[str, float]]] = {
    "concrete 200": [("concrete", 0.2)],
    "concrete 150": [("concrete", 0.15)],
    "brick 240": [("brick", 0.24)],
    "plasterboard 12.5": [("plasterboard", 0.0125)],
    "glass 6": [("glass", 0.006)],
    "wood 40": [("wood", 0.04)],
    "double glazing": [("glass", 0.004), ("air", 0.016), ("glass", 0.004)],
    "stud wall": [("plasterboard", 0.0125), ("air", 0.075), ("plasterboard", 0.0125)],
    "cavity brick": [("brick", 0.1025), ("air", 0.05), ("brick", 0.1025)],
    "uneven": [("brick", 0.115), ("air", 0.04), ("concrete", 0.18), ("plasterboard", 0.0125)],
}


def eta(name: str) -> complex:
    """Complex permittivity of a row at our frequency."""
    if name == "air":
        return 1.0 + 0j
    a, b, c, d, low, high = ROWS[name]
    at = material_at(a=a, b=b, c=c, d=d, lowest_ghz=low, highest_ghz=high, frequency_hz=FREQUENCY_HZ)
    return complex_permittivity(
        permittivity=at.permittivity, conductivity_s_per_m=at.conductivity_s_per_m, frequency_hz=FREQUENCY_HZ
    )


def layers(wall: str) -> list[SlabLayer]:
    """Layers of a wall as our function takes them."""
    return [SlabLayer(eta(name), thickness) for name, thickness in WALLS[wall]]


@pytest.mark.parametrize("wall", WALLS)
@pytest.mark.parametrize("angle_deg", [0.0, 30.0, 45.0, 60.0, 75.0])
@pytest.mark.parametrize(("ours", "theirs"), [("te", "s"), ("tm", "p")])
def test_power_through_and_back_as_in_thin_film_optics(
    wall: str, angle_deg: float, ours: str, theirs: str
) -> None:
    """Transmission and reflection agree with tmm at every angle, in both polarisations."""
    index = [1.0, *[complex(np.sqrt(np.conj(eta(name)))) for name, _ in WALLS[wall]], 1.0]
    optics = tmm.coh_tmm(
        theirs,
        index,
        [np.inf, *[thickness for _, thickness in WALLS[wall]], np.inf],
        np.radians(angle_deg),
        WAVELENGTH_M,
    )

    power = slab_power(layers=layers(wall), angle_deg=angle_deg, frequency_hz=FREQUENCY_HZ, polarisation=ours)  # type: ignore[arg-type]

    assert float(power.through) == pytest.approx(optics["T"], abs=1e-9)
    assert float(power.back) == pytest.approx(optics["R"], abs=1e-9)


@pytest.mark.parametrize("wall", WALLS)
def test_straight_through_as_a_transmission_line(wall: str) -> None:
    """Straight through, a wall is a chain of lines of another impedance: scikit-rf agrees."""
    frequency = skrf.Frequency.from_f([FREQUENCY_HZ], unit="Hz")
    free = 376.730313668
    chain = None
    for name, thickness in WALLS[wall]:
        root = np.sqrt(eta(name))
        gamma = 2j * np.pi / WAVELENGTH_M * root
        medium = skrf.media.DefinedGammaZ0(frequency, z0=free / root, gamma=gamma)
        line = medium.line(thickness, unit="m")
        line.renormalize(free)
        chain = line if chain is None else chain**line
    assert chain is not None

    loss = float(
        slab_loss_db(layers=layers(wall), angle_deg=0.0, frequency_hz=FREQUENCY_HZ, polarisation="te")
    )

    assert loss == pytest.approx(-20.0 * np.log10(abs(chain.s[0, 1, 0])), abs=1e-6)


@pytest.mark.parametrize(
    ("angle_deg", "loss"), [(0.0, Printed("5.2957")), (45.0, Printed("6.5427")), (60.0, Printed("8.0519"))]
)
def test_concrete_as_in_the_ray_tracer(angle_deg: float, loss: Printed) -> None:
    """200 mm of concrete, field along the wall: the ray tracer's figures."""
    assert loss.agrees_with(
        float(
            slab_loss_db(
                layers=layers("concrete 200"),
                angle_deg=angle_deg,
                frequency_hz=FREQUENCY_HZ,
                polarisation="te",
            )
        )
    )


def test_below_its_table_a_material_is_said_to_be_extrapolated() -> None:
    """Concrete starts at 1 GHz, glass at 0.1 GHz: only the first is extrapolated here; constants by hand from
    the row.
    """
    a, b, c, d, low, high = ROWS["concrete"]
    concrete = material_at(a=a, b=b, c=c, d=d, lowest_ghz=low, highest_ghz=high, frequency_hz=FREQUENCY_HZ)
    a, b, c, d, low, high = ROWS["glass"]
    glass = material_at(a=a, b=b, c=c, d=d, lowest_ghz=low, highest_ghz=high, frequency_hz=FREQUENCY_HZ)

    assert concrete.is_extrapolated
    assert not glass.is_extrapolated
    assert concrete.permittivity == 5.24
    assert concrete.conductivity_s_per_m == pytest.approx(0.0462 * 0.43392**0.7822, rel=1e-12)
