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

    Parameters
    ----------
    length_m, area_m2 : array_like
        Length along the axis [m], and area of one port [m2]. A slot counts as the round
        port of the same area.
    ends : pair of "free" or "flanged"
        What each end sits in; by default flush in the wall outside, free inside.

    Returns
    -------
    ndarray, broadcast of both
        L + a (sum of both corrections), 0.6133 free, 0.8216 in an infinite flange [m].

    Notes
    -----
    Low-frequency limits, k a well below 1. Walls near the inner end lengthen it further;
    that is left out.

    References
    ----------
    .. [1] H. Levine and J. Schwinger, "On the radiation of sound from an unflanged circular
       pipe", Physical Review 73(4), 1948, pp. 383-406.
    .. [2] J.-P. Dalmont, C. J. Nederveen and N. Joly, "Radiation impedance of tubes with
       different flanges", Journal of Sound and Vibration 244(3), 2001, pp. 505-534.
    """
    radius = np.sqrt(np.asarray(area_m2, dtype=float) / np.pi)
    outside = radius * sum(END_CORRECTION[end] for end in ends)
    return np.asarray(np.asarray(length_m, dtype=float) + outside)


def port_mass(area_m2: ArrayLike, effective_length_m: ArrayLike) -> NDArray[np.float64]:
    """Return the acoustic mass of the air in a port [kg/m4].

    Parameters
    ----------
    area_m2 : array_like
        Above 0 [m2].
    effective_length_m : array_like
        With end corrections [m].

    Returns
    -------
    ndarray, broadcast of both
        rho L / S [kg/m4].

    References
    ----------
    .. [1] L. E. Kinsler et al., Fundamentals of Acoustics, 4th ed., Wiley, 2000, chapter 10
       (acoustic inertance).
    """
    area = np.asarray(area_m2, dtype=float)
    return np.asarray(RHO_KG_PER_M3 * np.asarray(effective_length_m) / area)


def helmholtz_hz(
    volume_m3: ArrayLike, area_m2: ArrayLike, effective_length_m: ArrayLike
) -> NDArray[np.float64]:
    """Return the tuning of a box with ports [Hz].

    Parameters
    ----------
    volume_m3 : array_like
        Net volume, above 0 [m3].
    area_m2 : array_like
        Of all ports together [m2].
    effective_length_m : array_like
        Of each, with end corrections, above 0 [m].

    Returns
    -------
    ndarray, broadcast of all three
        c / 2 pi sqrt(S / (V L)) [Hz].

    References
    ----------
    .. [1] L. E. Kinsler et al., Fundamentals of Acoustics, 4th ed., Wiley, 2000, chapter 10
       (Helmholtz resonator).
    """
    springy = np.asarray(volume_m3, dtype=float) * np.asarray(effective_length_m, dtype=float)
    return np.asarray(C_M_PER_S / (2 * np.pi) * np.sqrt(np.asarray(area_m2) / springy))


def length_for(
    tuning_hz: ArrayLike, volume_m3: ArrayLike, area_m2: ArrayLike, count: int = 1
) -> NDArray[np.float64]:
    """Return the length of each of several equal ports that gives a tuning [m].

    Parameters
    ----------
    tuning_hz : array_like
        Above 0 [Hz].
    volume_m3 : array_like
        Net volume, above 0 [m3].
    area_m2 : array_like
        Of one port [m2].
    count : int
        Ports.

    Returns
    -------
    ndarray, broadcast of all
        (c / 2 pi f)^2 n S / V less both end corrections [m]; negative where no port of that
        area tunes so high.

    References
    ----------
    .. [1] As :func:`helmholtz_hz` and :func:`effective_length`.
    """
    wanted = (C_M_PER_S / (2 * np.pi * np.asarray(tuning_hz, dtype=float))) ** 2
    effective = wanted * count * np.asarray(area_m2) / np.asarray(volume_m3)
    return np.asarray(effective - effective_length(0.0, area_m2))
