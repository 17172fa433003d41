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
    """Return the speed of sound in dry air [m/s].

    Parameters
    ----------
    temperature_c : float or ndarray
        Above -273.15; meant for -40 to 60 [°C].

    Returns
    -------
    ndarray, shape of `temperature_c`
        343.2 sqrt(T / 293.15 K) [m/s]. Moist air is faster by up to 0.4 % at 20 °C.

    References
    ----------
    .. [1] ISO 9613-1:1993, Attenuation of sound during propagation outdoors, part 1 (speed of
       sound, 343.2 m/s at 20 °C).
    """
    return np.asarray(C_M_PER_S * np.sqrt((np.asarray(temperature_c) + 273.15) / 293.15))


def density(temperature_c: float | NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the density of dry air at 101325 Pa [kg/m3].

    Parameters
    ----------
    temperature_c : float or ndarray
        Above -273.15; meant for -40 to 60 [°C].

    Returns
    -------
    ndarray, shape of `temperature_c`
        p / (R T), R = 287.05 J/(kg K) [kg/m3].

    References
    ----------
    .. [1] ISO 2533:1975, Standard atmosphere (gas constant of dry air, 287.05287 J/(kg K);
       from memory).
    """
    return np.asarray(101325.0 / (287.05 * (np.asarray(temperature_c) + 273.15)))


def half_space_transfer(
    frequency_hz: NDArray[np.float64], distance_m: float = 1.0
) -> NDArray[np.complex128]:
    """Return pressure per volume velocity of a small source on a wall [Pa s/m3].

    Parameters
    ----------
    frequency_hz : ndarray, shape (f,)
        Low enough for the source to be small beside the wave [Hz].
    distance_m : float
        Above 0 [m].

    Returns
    -------
    ndarray of complex, shape (f,)
        p = j w rho U / (2 pi r), the delay of the way left out [Pa s/m3].

    References
    ----------
    .. [1] L. E. Kinsler, A. R. Frey, A. B. Coppens and J. V. Sanders, Fundamentals of
       Acoustics, 4th ed., Wiley, 2000, chapter 7 (simple source in a baffle).
    """
    w = 2 * np.pi * np.asarray(frequency_hz, dtype=float)
    return np.asarray(1j * w * RHO_KG_PER_M3 / (2 * np.pi * distance_m))
