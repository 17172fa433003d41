"""What the air is: density and speed of sound, at 20 degrees unless told otherwise."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

#: Density [kg/m3] and speed of sound [m/s] of dry air at 20 degrees and 101325 Pa.
RHO_KG_PER_M3: Final = 1.204
C_M_PER_S: Final = 343.2
BULK_PA: Final = RHO_KG_PER_M3 * C_M_PER_S**2
#: Reference sound pressure of a level in dB [Pa] (ISO 80000-8).
REFERENCE_PA: Final = 20e-6
#: 10 log10 of the acoustic power-to-pressure ratio: level at 1 m of 1 W in half space.
ONE_WATT_LEVEL_DB: Final = 112.16


def speed_of_sound(temperature_c: float | NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the speed of sound in dry air [m/s] (ISO 9613-1: 343.2 sqrt(T / 293.15))."""
    return np.asarray(C_M_PER_S * np.sqrt((np.asarray(temperature_c) + 273.15) / 293.15))


def density(temperature_c: float | NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the density of dry air at 101325 Pa [kg/m3] (ideal gas, 287.05 J/kg K)."""
    return np.asarray(101325.0 / (287.05 * (np.asarray(temperature_c) + 273.15)))


def half_space_transfer(
    frequency_hz: NDArray[np.float64], distance_m: float = 1.0
) -> NDArray[np.complex128]:
    """Return pressure per volume velocity of a small source on a wall [Pa s/m3].

    p = j w rho U / (2 pi r), the delay of the way left out (Kinsler et al.,
    *Fundamentals of Acoustics*, baffled simple source).
    """
    w = 2 * np.pi * np.asarray(frequency_hz, dtype=float)
    return np.asarray(1j * w * RHO_KG_PER_M3 / (2 * np.pi * distance_m))
