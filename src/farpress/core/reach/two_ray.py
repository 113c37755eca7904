"""Direct ray and ground ray together: how a yard or a street weakens a press.

The ground is flat and smooth between the two ends. Steps, vehicles and house fronts are not
in it; the average over a few metres takes out the sharp holes that no real hand stands in.
"""

from __future__ import annotations

from typing import Final, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from farpress.core.reach.slab import complex_permittivity
from farpress.errors import require_range
from farpress.sources import Mark, cites
from farpress.units import wavelength_m

__all__ = ["AVERAGE_M", "breakpoint_m", "ground_reflection", "two_ray_loss_db"]

AVERAGE_M: Final = 2.0
"""Half width of the distance average: our choice, about three wavelengths at 433 MHz."""

_POINTS: Final = 41

Polarisation = Literal["vertical", "horizontal"]


@cites(
    "Two-ray ground reflection, textbook",
    place="sum of direct ray and Fresnel-reflected ray",
    mark=Mark.MEMORY,
)
def two_ray_loss_db(
    *,
    ground_distance_m: ArrayLike,
    height_a_m: float,
    height_b_m: float,
    frequency_hz: float,
    permittivity: float,
    conductivity_s_per_m: float,
    polarisation: Polarisation,
    average_m: float = AVERAGE_M,
) -> NDArray[np.float64]:
    """Loss over flat ground between isotropic aerials, power averaged over distance.

    Args:
        ground_distance_m: distance along the ground, at least 0.5 m [m]; any shape.
        height_a_m, height_b_m: heights over the ground, 0.05 m or more [m].
        frequency_hz: carrier frequency [Hz].
        permittivity: real relative permittivity of the ground.
        conductivity_s_per_m: of the ground [S/m].
        polarisation: of both aerials.
        average_m: half width of the average along the distance [m]; 0 for none. Distances
            that the average would put nearer than 0.5 m are left out of it.

    Returns:
        Loss as a positive number [dB], shape of `ground_distance_m`.

    Raises:
        OutOfRange: an end lies in the ground or nearer than 0.5 m.

    Source:
        Textbook sum of two rays (from memory); far away it tends to 40 log d - 20 log(h1 h2).

    Example:
        >>> float(
        ...     two_ray_loss_db(
        ...         ground_distance_m=100.0,
        ...         height_a_m=3.0,
        ...         height_b_m=1.2,
        ...         frequency_hz=433.92e6,
        ...         permittivity=16.306,
        ...         conductivity_s_per_m=0.00897,
        ...         polarisation="vertical",
        ...         average_m=0.0,
        ...     )
        ... )
        69.45
    """
    distance = np.asarray(ground_distance_m, dtype=np.float64)
    require_range(
        "ground_distance_m", distance, "m", low=0.5, because="our choice, the far field begins there"
    )
    for name, height in (("height_a_m", height_a_m), ("height_b_m", height_b_m)):
        require_range(
            name,
            height,
            "m",
            low=0.05,
            because="our choice, an aerial on the ground is not described by two rays",
        )
    require_range("average_m", average_m, "m", low=0.0, high=10.0, because="our choice")
    if average_m == 0.0:
        offsets, weights = np.zeros(1), np.ones((*distance.shape, 1))
    else:
        offsets = np.linspace(-average_m, average_m, _POINTS)
        weights = (distance[..., None] + offsets >= 0.5).astype(np.float64)
    near = np.maximum(distance[..., None] + offsets, 0.5)
    direct_m = np.hypot(near, height_a_m - height_b_m)
    bounced_m = np.hypot(near, height_a_m + height_b_m)
    grazing = np.arctan2(height_a_m + height_b_m, near)
    gamma = ground_reflection(
        grazing_rad=grazing,
        permittivity=permittivity,
        conductivity_s_per_m=conductivity_s_per_m,
        frequency_hz=frequency_hz,
        polarisation=polarisation,
    )
    wave = wavelength_m(frequency_hz)
    turn = 2.0 * np.pi / wave
    field = np.exp(-1j * turn * direct_m) / direct_m + gamma * np.exp(-1j * turn * bounced_m) / bounced_m
    power = np.sum(np.abs(field) ** 2 * weights, axis=-1) / np.sum(weights, axis=-1)
    return np.asarray(-10.0 * np.log10(power * (wave / (4.0 * np.pi)) ** 2))


@cites("Fresnel reflection at flat ground, textbook", mark=Mark.MEMORY)
def ground_reflection(
    *,
    grazing_rad: ArrayLike,
    permittivity: float,
    conductivity_s_per_m: float,
    frequency_hz: float,
    polarisation: Polarisation,
) -> NDArray[np.complex128]:
    """Reflection factor of flat ground, from the grazing angle [rad]; tends to -1 at grazing.

    Args:
        grazing_rad: angle between ray and ground [rad]; any shape.
        permittivity: real relative permittivity of the ground.
        conductivity_s_per_m: of the ground [S/m].
        frequency_hz: carrier frequency [Hz].
        polarisation: of the wave.

    Example:
        >>> float(
        ...     abs(
        ...         ground_reflection(
        ...             grazing_rad=1e-6,
        ...             permittivity=15.0,
        ...             conductivity_s_per_m=0.01,
        ...             frequency_hz=433.92e6,
        ...             polarisation="horizontal",
        ...         )
        ...         + 1.0
        ...     )
        ... ) < 1e-5
        True
    """
    eta = complex_permittivity(
        permittivity=permittivity, conductivity_s_per_m=conductivity_s_per_m, frequency_hz=frequency_hz
    )
    angle = np.asarray(grazing_rad, dtype=np.float64)
    root = np.sqrt(eta - np.cos(angle) ** 2)
    top = eta * np.sin(angle) if polarisation == "vertical" else np.sin(angle)
    return np.asarray((top - root) / (top + root))


@cites("Rec. ITU-R P.1411", edition="12", place="breakpoint 4 h1 h2 / wavelength", mark=Mark.COPY)
def breakpoint_m(*, height_a_m: float, height_b_m: float, frequency_hz: float) -> float:
    """Distance beyond which loss grows with the fourth power [m].

    Args:
        height_a_m, height_b_m: heights of the aerials over the ground [m].
        frequency_hz: carrier frequency [Hz].

    Example:
        >>> breakpoint_m(height_a_m=3.0, height_b_m=1.2, frequency_hz=433.92e6)
        20.843
    """
    return 4.0 * height_a_m * height_b_m / wavelength_m(frequency_hz)
