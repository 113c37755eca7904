"""What a wave loses in a flat wall of layers, at any angle, in both polarisations.

The layers are even and endless: no rebar, foil, hollow bricks or moisture. Planning values of
whole walls come from the catalogue; this gives them their shape over the angle. Metal is opaque
and not computed here.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from farpress.errors import require_range
from farpress.sources import Mark, cites
from farpress.units import wavelength_m

__all__ = [
    "VACUUM_PERMITTIVITY",
    "MaterialAt",
    "SlabLayer",
    "SlabPower",
    "complex_permittivity",
    "material_at",
    "slab_loss_db",
    "slab_power",
]

VACUUM_PERMITTIVITY: Final = 8.8541878128e-12
"""Electric constant [F/m], CODATA 2018 (from memory)."""


class MaterialAt(NamedTuple):
    """A material at one frequency: permittivity, conductivity [S/m], and whether the table goes that low or
    high.
    """

    permittivity: float
    conductivity_s_per_m: float
    is_extrapolated: bool


class SlabLayer(NamedTuple):
    """One layer: complex relative permittivity (imaginary part negative) and thickness [m]."""

    permittivity: complex
    thickness_m: float


class SlabPower(NamedTuple):
    """Shares of the arriving power that go through and that come back."""

    through: NDArray[np.float64]
    back: NDArray[np.float64]


@cites("Rec. ITU-R P.2040", edition="3", place="slab of several layers, plane wave", mark=Mark.COPY)
def slab_power(
    *,
    layers: Sequence[SlabLayer],
    angle_deg: ArrayLike,
    frequency_hz: float,
    polarisation: Literal["te", "tm"],
) -> SlabPower:
    """Power through and back from a wall of layers in air, by characteristic matrices.

    Args:
        layers: from one face to the other; none is air.
        angle_deg: angle to the wall's normal, 0 to 89 [deg]; any shape.
        frequency_hz: carrier frequency [Hz].
        polarisation: "te" with the electric field along the wall, "tm" with the magnetic one.

    Returns:
        Shares between 0 and 1, of the shape of `angle_deg`.

    Raises:
        OutOfRange: angle beyond 89 degrees, a layer thicker than 3 m.

    Source:
        Rec. ITU-R P.2040-3, layered slab; characteristic-matrix form from memory, equal to two
        independent libraries (see the tests).
    """
    angle = np.radians(np.asarray(angle_deg, dtype=np.float64))
    require_range(
        "angle_deg", angle_deg, "deg", low=0.0, high=89.0, because="a ray along the wall does not cross it"
    )
    for layer in layers:
        require_range(
            "thickness_m",
            layer.thickness_m,
            "m",
            low=0.0,
            high=3.0,
            because="our choice, thicker is not a wall",
        )
    sine2 = np.sin(angle) ** 2
    outside = np.cos(angle) if polarisation == "te" else 1.0 / np.cos(angle)
    turn = 2.0 * np.pi / wavelength_m(frequency_hz)
    m11 = np.ones_like(sine2, dtype=np.complex128)
    m12, m21, m22 = np.zeros_like(m11), np.zeros_like(m11), np.ones_like(m11)
    for layer in layers:
        root = np.sqrt(layer.permittivity - sine2 + 0j)
        admittance = root if polarisation == "te" else layer.permittivity / root
        phase = turn * layer.thickness_m * root
        c, s = np.cos(phase), 1j * np.sin(phase)
        m11, m12, m21, m22 = (
            m11 * c + m12 * admittance * s,
            m11 * s / admittance + m12 * c,
            m21 * c + m22 * admittance * s,
            m21 * s / admittance + m22 * c,
        )
    field, flow = m11 + m12 * outside, m21 + m22 * outside
    total = outside * field + flow
    return SlabPower(np.abs(2.0 * outside / total) ** 2, np.abs((outside * field - flow) / total) ** 2)


@cites("Rec. ITU-R P.2040", edition="3", place="slab of several layers, plane wave", mark=Mark.COPY)
def slab_loss_db(
    *,
    layers: Sequence[SlabLayer],
    angle_deg: ArrayLike,
    frequency_hz: float,
    polarisation: Literal["te", "tm", "both"],
) -> NDArray[np.float64]:
    """Transmission loss of a wall of layers [dB]; "both" is the mean power of the two polarisations.

    Args:
        layers: from one face to the other; none is air.
        angle_deg: angle to the wall's normal, 0 to 89 [deg]; any shape.
        frequency_hz: carrier frequency [Hz].
        polarisation: "te", "tm" or "both".

    Example:
        200 mm of dry concrete, straight through:

        >>> concrete = material_at(
        ...     a=5.24, b=0.0, c=0.0462, d=0.7822, lowest_ghz=1.0, highest_ghz=100.0, frequency_hz=433.92e6
        ... )
        >>> eta = complex_permittivity(
        ...     permittivity=concrete.permittivity,
        ...     conductivity_s_per_m=concrete.conductivity_s_per_m,
        ...     frequency_hz=433.92e6,
        ... )
        >>> float(
        ...     slab_loss_db(
        ...         layers=[SlabLayer(eta, 0.2)], angle_deg=0.0, frequency_hz=433.92e6, polarisation="te"
        ...     )
        ... )
        5.296
        >>> concrete.is_extrapolated
        True
    """
    kinds: tuple[Literal["te", "tm"], ...] = ("te", "tm") if polarisation == "both" else (polarisation,)
    through = [
        slab_power(layers=layers, angle_deg=angle_deg, frequency_hz=frequency_hz, polarisation=kind).through
        for kind in kinds
    ]
    return np.asarray(-10.0 * np.log10(sum(through) / len(kinds)))


@cites(
    "Rec. ITU-R P.2040",
    edition="3",
    place="material table: permittivity a f^b, conductivity c f^d",
    mark=Mark.COPY,
)
def material_at(
    *, a: float, b: float, c: float, d: float, lowest_ghz: float, highest_ghz: float, frequency_hz: float
) -> MaterialAt:
    """Constants of a building material at one frequency; f in GHz inside.

    Outside the row's range the numbers are still formed, and `is_extrapolated` says so.

    Args:
        a, b: permittivity is a f^b.
        c, d: conductivity is c f^d [S/m].
        lowest_ghz, highest_ghz: range of the row [GHz].
        frequency_hz: carrier frequency [Hz].
    """
    require_range("frequency_hz", frequency_hz, "Hz", low=1e6, high=1e12, because="our choice")
    ghz = frequency_hz / 1e9
    return MaterialAt(a * ghz**b, c * ghz**d, not lowest_ghz <= ghz <= highest_ghz)


@cites("Complex permittivity, textbook", place="eps - j sigma / (2 pi f eps0)", mark=Mark.MEMORY)
def complex_permittivity(*, permittivity: float, conductivity_s_per_m: float, frequency_hz: float) -> complex:
    """Relative permittivity with the loss in its (negative) imaginary part.

    Raises:
        OutOfRange: conductivity of a metal; metal is opaque and has no slab loss.

    Args:
        permittivity: real relative permittivity.
        conductivity_s_per_m: of the material [S/m].
        frequency_hz: carrier frequency [Hz].
    """
    require_range(
        "conductivity_s_per_m",
        conductivity_s_per_m,
        "S/m",
        low=0.0,
        high=1000.0,
        because="our choice, metal is opaque",
    )
    return complex(permittivity, -conductivity_s_per_m / (2.0 * np.pi * frequency_hz * VACUUM_PERMITTIVITY))
