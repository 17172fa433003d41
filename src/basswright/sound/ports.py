"""What air a port moves: length with end corrections, mass, tuning, clean air speed."""

from __future__ import annotations

from typing import Final, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from basswright.sound.air import C_M_PER_S, RHO_KG_PER_M3

End = Literal["free", "flanged"]

#: End correction in radii: an unflanged pipe (Levine and Schwinger, *Physical Review*
#: 73, 1948: 0.6133) and one in an infinite flange (0.8216, quoted by Dalmont, Nederveen
#: and Joly, *Journal of Sound and Vibration* 244, 2001).
END_CORRECTION: Final[dict[str, float]] = {"free": 0.6133, "flanged": 0.8216}

#: Highest clean air speeds [m/s peak]. Small's rule for the least area of a vent (1973,
#: part II) implies 17 m/s (QB3) to 23 m/s (B4); the upper end is used for flared ports.
PLAIN_SPEED: Final = 17.0
FLARED_SPEED: Final = 23.0


def effective_length(
    length_m: ArrayLike, area_m2: ArrayLike, ends: tuple[End, End] = ("flanged", "free")
) -> NDArray[np.float64]:
    """Return the length of a port with its end corrections [m].

    A slot counts as the round port of the same area.

    Parameters
    ----------
    length_m, area_m2 : array
        Length along the axis, and area of one port.
    ends : pair of "free" or "flanged"
        What each end sits in; by default flush in the wall outside, free inside.
    """
    radius = np.sqrt(np.asarray(area_m2, dtype=float) / np.pi)
    outside = radius * sum(END_CORRECTION[end] for end in ends)
    return np.asarray(np.asarray(length_m, dtype=float) + outside)


def port_mass(area_m2: ArrayLike, effective_length_m: ArrayLike) -> NDArray[np.float64]:
    """Return the acoustic mass of the air in a port, rho L / S [kg/m4]."""
    area = np.asarray(area_m2, dtype=float)
    return np.asarray(RHO_KG_PER_M3 * np.asarray(effective_length_m) / area)


def helmholtz_hz(
    volume_m3: ArrayLike, area_m2: ArrayLike, effective_length_m: ArrayLike
) -> NDArray[np.float64]:
    """Return the tuning of a box, c / 2 pi sqrt(S / (V L)) [Hz], S of all ports together."""
    springy = np.asarray(volume_m3, dtype=float) * np.asarray(effective_length_m, dtype=float)
    return np.asarray(C_M_PER_S / (2 * np.pi) * np.sqrt(np.asarray(area_m2) / springy))


def length_for(
    tuning_hz: ArrayLike, volume_m3: ArrayLike, area_m2: ArrayLike, count: int = 1
) -> NDArray[np.float64]:
    """Return the length of each of `count` equal ports that gives a tuning [m].

    `area_m2` is that of one port; a negative answer means that no port of that area
    tunes so high.
    """
    wanted = (C_M_PER_S / (2 * np.pi * np.asarray(tuning_hz, dtype=float))) ** 2
    effective = wanted * count * np.asarray(area_m2) / np.asarray(volume_m3)
    return np.asarray(effective - effective_length(0.0, area_m2))
